"""*Plan a job.* Artwork, looks and garments on one side; the plan on the other, at once."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from advisor.artwork.reader import Artwork
from advisor.job.records.plan import Plan
from advisor.words.verdicts import verdict_sentence
from rules.errors import PressloreError
from ui.aloud import say
from ui.drawing.apart import artwork_flat
from ui.order.artwork import drawn_artwork, named_artwork
from ui.order.record import CustomerOrder
from ui.order.visit import change, keep, opened_order, refused_link
from ui.pages.plan.answer import answer
from ui.pages.plan.form import open_form, order_form
from ui.pages.plan.looks import choose_fill, chosen_fill
from ui.pages.plan.pictures import show_pictures
from ui.session import units
from ui.show import asked_below, asked_here, drawing, lead, refusal
from ui.tasks import plan_task
from ui.waiting import answer_before, wait_for

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
        asked_here()
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
        asked_below()
        place = st.empty()
        if answer_before(plan_task(wished)) is None:
            with place:
                drawing(artwork_flat(drawn_artwork(wished)), "The artwork, as drawn", most_px=420)
        plan = wait_for(plan_task(wished))
        if plan is not None:
            pressed = named_artwork(wished, plan)
            with place:
                _pictures(wished, plan, pressed)
            say(verdict_sentence(plan.verdict, plan.findings).shown(units()))
            answer(wished, plan, pressed)


def _pictures(order: CustomerOrder, plan: Plan, pressed: Artwork) -> None:
    drawn = drawn_artwork(order)
    fill, fills = chosen_fill(drawn), {p.id: p.fill for p in (*drawn.pieces, *pressed.pieces)}
    wishable = {piece.fill for piece in drawn.pieces}

    def touched(piece: str) -> None:
        if fills.get(piece) in wishable:
            choose_fill(fills[piece])

    show_pictures(
        drawn,
        plan if plan.status == "planned" else None,
        pressed,
        chosen=[piece for piece, its in fills.items() if its == fill],
        choose=touched,
    )
