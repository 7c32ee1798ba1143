"""*At the press.* One step at a time in large type, with a countdown and one large touch area."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from advisor.words.plan import run_words
from rules.errors import PressloreError
from ui.address import href
from ui.order.artwork import assigned_names, named_artwork
from ui.order.visit import opened_order
from ui.pages.plan.steps import choose_run
from ui.pages.press.cards import first_of_next_garment, garments_in_turn, press_cards
from ui.session import catalogue, units
from ui.show import lead, links, refusal, remark
from ui.tasks import plan_task
from ui.waiting import wait_for

__all__ = ["page"]

STATIC = Path(__file__).parents[2] / "static"
CAUTION = (
    "The platen and all that leaves it are hot: gloves on, never leave a closed press alone, air "
    "the room. The rules of your place and trade come first."
)
_SCREEN = st.components.v2.component(
    "presslore_press",
    html=(STATIC / "press.html").read_text(encoding="utf-8"),
    css=(STATIC / "press.css").read_text(encoding="utf-8"),
    js=(STATIC / "press.js").read_text(encoding="utf-8"),
)


def page() -> None:
    """The page."""
    st.title("At the press")
    order = opened_order()
    plan = wait_for(plan_task(order))
    if plan is None:
        return
    if plan.status != "planned":
        refusal(f"{order.job.job} cannot be pressed as asked; Plan a job tells what would help.")
        return
    screen = st.container()
    run = choose_run(plan, key="press-run", units=units())
    lead(f"{order.job.job}: {run_words(plan, run, units())}.")
    try:
        artwork, names = named_artwork(order, plan), assigned_names(order, plan)
    except PressloreError as error:
        refusal(str(error))
        return
    cards = press_cards(plan, run, artwork, known=catalogue(), units=units())
    with screen:
        _SCREEN(
            data={
                "key": f"{order.key[:16]}-{run.run}",
                "sample": plan.verdict == "sample",
                "cards": cards,
                "again": first_of_next_garment([s for s in plan.steps if s.run == run.run]),
                "garments": garments_in_turn(plan, run, names, units()),
            },
            key=f"press-screen-{run.run}",
        )
    links({"Back to its plan": href("plan", job=st.query_params.get("job"))})
    if plan.verdict == "sample":
        remark("Sample first: press one and wash it before the rest.")
    remark(CAUTION)
