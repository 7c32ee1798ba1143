"""Repairs: why a job is impossible, and the smallest changes that would make it possible."""

from __future__ import annotations

import streamlit as st

from advisor.plan_model import Plan
from ui.plan_order import Order
from ui.session import units
from ui.show import badge_html, lead

__all__ = ["show_repairs"]


def show_repairs(order: Order, plan: Plan) -> None:
    """The conflict, and a button for each repair."""
    st.html(badge_html("stop", large=True))
    if plan.status == "unknown":
        lead(
            "No answer was found in time; that is not to say that there is none. Try less at once."
        )
        return
    lead("This cannot be pressed as asked.")
    if plan.conflict:
        st.subheader("These cannot all hold")
        for clash in plan.conflict:
            st.text(f"· {clash.where}: {units().said(clash.message)} ({clash.rule})")
