"""Care: the sample that comes first, and how the customer is to care for what they get."""

from __future__ import annotations

import streamlit as st

from advisor import line_by_line
from advisor.job.records.plan import Plan
from advisor.job.saving import safe_name
from advisor.words.hand_over import care_page, hand_over, set_by
from ui.session import catalogue, knowledge, units
from ui.show import lead, remark, sentences, values_table

__all__ = ["show_care", "show_sample"]


def show_sample(plan: Plan) -> None:
    """What to press, wash and look for before the order; nothing where no sample is asked for."""
    if plan.wants_sample:
        plan = line_by_line(plan, knowledge())
    sample = hand_over(plan, catalogue()).sample
    if sample is not None:
        with st.expander("Sample first: what to do", icon=":material/science:"):
            sentences(f"{what}: {said.shown(units())}" for what, said in sample.lines)


def show_care(plan: Plan) -> None:
    """The customer's care cards, and the page to print."""
    cards = hand_over(plan, catalogue()).care
    lead("What goes out with the order: the strictest of films and fabric.")
    for card in cards:
        rows = [
            (line.what, line.said.shown(units()), line.symbol.shown(units())) for line in card.lines
        ]
        values_table(", ".join(card.garments), rows, heads=("What", "Ask the customer", "Symbol"))
        remark(set_by(card.care))
    st.download_button(
        "Care card to print", care_page(cards, job=plan.job), f"{safe_name(plan.job)}-care.html",
        "text/html", icon=":material/local_laundry_service:", on_click="ignore",
    )  # fmt: skip
