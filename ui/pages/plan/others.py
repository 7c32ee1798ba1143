"""Others: plans that differ side by side, every preference, and why not something else."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from html import escape

import streamlit as st

from advisor.job.records.plan import Plan
from advisor.words.phrases import piece_names
from advisor.words.reasons import and_list
from ui.order.kept import change
from ui.order.record import CustomerOrder
from ui.pages.plan.apply import as_planned
from ui.session import catalogue, units
from ui.show import facts_html, lead, values_table, verdict_badge
from ui.tasks import other_plans_task, plan_task, why_not_task
from ui.waiting import wait_for
from ui.words import PREFER, plain

__all__ = ["show_others", "show_refused"]

DIFFERING = "Plans that differ"
PREFERENCES = "Something else matters most"
WHY_NOT = "Why not another film?"


def show_others(order: CustomerOrder, plan: Plan) -> None:
    """What else there is beside the plan."""
    shown = st.segmented_control(
        "Compare with", [DIFFERING, PREFERENCES, WHY_NOT], default=DIFFERING, required=True,
        key="other-plans", label_visibility="collapsed",
    )  # fmt: skip
    if shown == WHY_NOT:
        _why_not(order, plan)
    elif shown == PREFERENCES:
        _preferences(order, plan)
    else:
        _differing(order, plan)


def _differing(order: CustomerOrder, plan: Plan) -> None:
    others = wait_for(other_plans_task(order))
    if others is None:
        return
    if not others:
        lead("There is no other plan for this job.")
        return
    lead("The plan, and the best ones that differ from it in a film, a meeting or a layer.")
    places = st.columns(len(others) + 1, border=True)
    with places[0]:
        st.markdown("**The plan**")
        _column(plan)
    for n, (place, other) in enumerate(zip(places[1:], others, strict=True), 1):
        with place:
            st.markdown(f"**Or {n}**")
            _column(other.plan)
            _said("Differs", other.differs)
            _said("Gains", other.gains)
            _said("Loses", other.loses)
            job = as_planned(order.job, other.plan)
            _take(replace(order, job=job), f"differing-{n}")


def _preferences(order: CustomerOrder, plan: Plan) -> None:
    lead("The same job with something else mattering most.")
    others = {
        prefer: replace(order, job=order.job.model_copy(update={"prefer": prefer}))
        for prefer in PREFER
        if prefer != plan.prefer
    }
    places = st.columns(len(PREFER), border=True)
    for place, (prefer, words) in zip(places, PREFER.items(), strict=True):
        with place:
            st.markdown(f"**{words}**")
            other = others.get(prefer)
            made = (
                plan
                if other is None
                else wait_for(
                    plan_task(other), beside=[plan_task(each) for each in others.values()]
                )
            )
            if made is not None:
                _column(made)
                films = [f"{piece.colour} {piece.film}" for piece in made.pieces]
                _said("Films", [and_list(films)] if films else [])
                if other is not None:
                    _take(other, prefer)


def _why_not(order: CustomerOrder, plan: Plan) -> None:
    names = piece_names(plan)
    left, right = st.columns(2)
    piece = left.selectbox(
        "Instead of", [piece.id for piece in plan.pieces], format_func=names.__getitem__,
        key="why-piece",
    )  # fmt: skip
    film = right.selectbox("This film", list(catalogue().films), format_func=plain, key="why-film")
    if piece not in names:
        return
    answer = wait_for(why_not_task(order, f"{piece}={film}"))
    if answer is None:
        return
    said = units().said(answer.said.strip())
    lead(said[:1].upper() + said[1:] + ("" if said.endswith(".") else "."))
    _said("It would also change", answer.differs)
    if answer.plan is not None and answer.plan.status == "planned":
        _column(answer.plan)
        _take(replace(order, job=as_planned(order.job, answer.plan)), "why")


def _column(made: Plan) -> None:
    if made.status != "planned":
        st.markdown("Not possible.")
        return
    verdict_badge(made.verdict, large=False)
    garments = sum(line.quantity for run in made.runs for line in run.garments)
    st.html(
        facts_html(
            {
                "Cost": f"{made.cost:.2f} {made.currency}",
                "Each": f"{made.cost / garments:.2f} {made.currency}",
                "At the press": f"{made.minutes:.0f} min",
                "Steps": str(len(made.steps)),
            }
        )
    )


def _said(title: str, said: Sequence[str]) -> None:
    if said:
        items = "".join(f"<li>{escape(units().said(each))}</li>" for each in said)
        st.html(f'<p class="pp-small">{title}</p><ul class="pp-changes pp-small">{items}</ul>')


def _take(order: CustomerOrder, name: str) -> None:
    st.button(
        "Take this", key=f"take-{name}", on_click=change, args=[order], kwargs={"redraw": True}
    )


def show_refused(plan: Plan) -> None:
    """Films that show a wished finish but cannot be used, and the rule that refused each."""
    if plan.refused:
        fills = {piece.id: piece.fill for piece in plan.pieces}
        values_table(
            "Films refused",
            [
                (f"{refused.film} for {fills.get(refused.piece, refused.piece)}",
                 units().said(refused.message),
                 f"{refused.rule}: {units().said(refused.instead)}")
                for refused in plan.refused
            ],
            heads=("Film", "Because", "Rule, and what instead"),
        )  # fmt: skip
