"""*Plan a job.* Artwork, looks and garments on one side; the plan on the other, at once."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from rules.errors import PressloreError
from ui.order.artwork import named_artwork
from ui.order.visit import change, keep, opened_order, refused_link
from ui.pages.plan.answer import answer
from ui.pages.plan.form import open_form, order_form
from ui.show import lead, refusal
from ui.tasks import plan_task
from ui.waiting import wait_for

__all__ = ["page"]

STYLE = Path(__file__).parents[2] / "static" / "plan.css"


def page() -> None:
    """The page."""
    st.html(STYLE)
    st.title("Plan a job")
    lead("Say what is wanted; the films, their order, every press step and the cost follow.")
    order = opened_order()
    if refused := refused_link():
        refusal(refused)
    with st.container(key="plan-two"):
        asked, told = st.columns([1, 1.9], gap="large")
    with asked:
        open_form(order)
        try:
            wished = order_form(order)
        except PressloreError as error:
            refusal(str(error))
            return
    if wished != order:
        change(wished)
    keep(wished)
    with told:
        plan = wait_for(plan_task(wished))
        if plan is not None:
            answer(wished, plan, named_artwork(wished, plan))
