"""Others: the plans for every preference side by side, and the films that were refused."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from advisor.explain import and_list
from advisor.plan_model import Plan
from ui.plan_kept import change
from ui.plan_order import Order
from ui.plan_told import remark
from ui.plan_wait import planned
from ui.session import units
from ui.show import facts_html, lead, values_table, verdict_badge
from ui.words import PREFER

__all__ = ["show_others", "show_refused"]


def show_others(order: Order, plan: Plan) -> None:
    """One column for each preference, and a button to take it."""
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
            made = plan if other is None else planned(other, beside=tuple(others.values()))
            if made is not None:
                _column(made, other or order, taken=other is None)


def _column(made: Plan, order: Order, *, taken: bool) -> None:
    if made.status != "planned":
        st.markdown("Not possible.")
        return
    verdict_badge(made.verdict, large=False)
    garments = sum(line.quantity for run in made.runs for line in run.garments)
    films = and_list([f"{piece.colour} {piece.film}" for piece in made.pieces])
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
    remark(films)
    st.button(
        "This one" if taken else "Take this", key=f"take-{made.prefer}", disabled=taken,
        on_click=change, args=[order], kwargs={"redraw": True},
    )  # fmt: skip


def show_refused(plan: Plan) -> None:
    """Films that show a wished finish but cannot be used, and the rule that refused each."""
    if plan.refused:
        values_table(
            "Films refused",
            [
                (f"{refused.film} for {refused.piece.removeprefix('fill-')}",
                 units().said(refused.message),
                 f"{refused.rule}: {units().said(refused.instead)}")
                for refused in plan.refused
            ],
            heads=("Film", "Because", "Rule, and what instead"),
        )  # fmt: skip
