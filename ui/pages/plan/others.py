"""Others: plans that differ side by side, every preference, and why not something else."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from advisor.job.records.job import Job, Wish, WishedJoint
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from advisor.words.plan import piece_names
from rules.facts.text import Text, and_list
from ui.fields import choose
from ui.order.record import CustomerOrder
from ui.order.visit import change
from ui.session import catalogue, units
from ui.show import facts, lead, sentence, sentences, values_table, verdict_badge
from ui.tasks import other_plans_task, plan_task, why_not_task
from ui.waiting import wait_for
from ui.words import PREFER

__all__ = ["plan_figures", "show_others", "show_refused"]

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
            _list("Differs", other.differs)
            _list("Gains", other.gains)
            _list("Loses", other.loses)
            _take(order.with_job(as_planned(order.job, other.plan)), f"differing-{n}")


def _preferences(order: CustomerOrder, plan: Plan) -> None:
    lead("The same job with something else mattering most.")
    others = {prefer: order.changed(prefer=prefer) for prefer in PREFER if prefer != plan.prefer}
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
                _list("Films", [Text(and_list(films))] if films else [])
                if other is not None:
                    _take(other, prefer)


def _why_not(order: CustomerOrder, plan: Plan) -> None:
    names = piece_names(plan)
    left, right = st.columns(2)
    piece = choose("Instead of", names, key="why-piece", at=left, words=names.__getitem__)
    film = choose("This film", catalogue().films, key="why-film", at=right)
    if piece not in names:
        return
    answer = wait_for(why_not_task(order, f"{piece}={film}"))
    if answer is None:
        return
    lead(sentence(answer.said.shown(units())))
    _list("It would also change", answer.differs)
    if answer.plan is not None and answer.plan.status == "planned":
        _column(answer.plan)
        _take(order.with_job(as_planned(order.job, answer.plan)), "why")


def plan_figures(plan: Plan) -> dict[str, str]:
    """What a plan costs and takes, by name."""
    garments = plan.quantity
    return {
        "At the press": f"{plan.minutes:.0f} min",
        "Cost": f"{plan.cost:.2f} {plan.currency}",
        f"Each of {garments}": f"{plan.cost / garments:.2f} {plan.currency}",
        "Steps": str(len(plan.steps)),
    }


def _column(made: Plan) -> None:
    if made.status != "planned":
        st.markdown("Not possible.")
        return
    verdict_badge(made.verdict, large=False)
    facts(plan_figures(made))


def _list(title: str, texts: Sequence[Text]) -> None:
    if texts:
        sentences((each.shown(units()) for each in texts), title=title, small=True)


def _take(order: CustomerOrder, name: str) -> None:
    st.button(
        "Take this", key=f"take-{name}", on_click=change, args=[order], kwargs={"redraw": True}
    )


def as_planned(job: Job, plan: Plan) -> Job:
    """The job with every film, colour and way of meeting of a plan wished for.

    The wishes hold for fills; where one fill makes several pieces, the last one counts.
    """
    looks = dict(job.looks)
    names = job.names
    for piece in plan.pieces:
        if piece.id == NAMES_PIECE and names is not None:
            wish = _cut_from(names.look, piece.film, piece.colour)
            names = names.model_copy(update={"look": wish})
        else:
            fill = plan.print.piece(piece.id).fill or ""
            was = job.wish_for(fill) or Wish(film=piece.film)
            looks[fill] = _cut_from(was, piece.film, piece.colour)
    joints = tuple(
        WishedJoint(upper=joint.upper, lower=joint.lower, meets=joint.meets)
        for joint in plan.open_joints
    )
    return job.model_copy(update={"looks": looks, "joints": joints, "names": names})


def _cut_from(wish: Wish, film: str, colour: str) -> Wish:
    return wish.model_copy(update={"film": film, "colour": colour})


def show_refused(plan: Plan) -> None:
    """Films that show a wished finish but cannot be used, and the rule that refused each."""
    if plan.refused:
        fills = {piece.id: piece.fill for piece in plan.print.pieces}
        values_table(
            "Films refused",
            [
                (f"{refused.film} for {fills.get(refused.piece, refused.piece)}",
                 refused.message.shown(units()),
                 f"{refused.rule}: {refused.instead.shown(units())}")
                for refused in plan.refused
            ],
            heads=("Film", "Because", "Rule, and what instead"),
        )  # fmt: skip
