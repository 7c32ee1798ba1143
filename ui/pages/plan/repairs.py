"""Repairs: why a job is impossible, and the smallest changes that would make it possible."""

from __future__ import annotations

from html import escape

import streamlit as st

from advisor.job.records.plan import Change, Plan
from ui.order.kept import change
from ui.order.record import CustomerOrder
from ui.pages.plan.apply import repaired
from ui.session import units
from ui.show import badge_html, findings, lead

__all__ = ["show_repairs"]


def show_repairs(order: CustomerOrder, plan: Plan) -> None:
    """The conflict, and a button for each repair that applies it."""
    st.html(badge_html("stop", large=True))
    if plan.status == "unknown":
        lead("Time ran out before an answer was found; that is not to say that there is none.")
        return
    lead("This cannot be pressed as asked.")
    stops = [each for each in plan.findings if each.severity == "stop"]
    if stops:
        findings(stops)
    if plan.conflict:
        st.subheader("These cannot all hold")
        said = "".join(
            f"<li>{escape(_capital(units().said(clash.message)))} "
            f'<span class="pl-soft">({escape(clash.rule)})</span></li>'
            for clash in plan.conflict
        )
        st.html(f'<ul class="pp-changes">{said}</ul>')
    if plan.repairs:
        st.subheader("What would make it possible, the smallest change first")
        for n, changes in enumerate(plan.repairs, 1):
            _repair(order, changes, n)


def _repair(order: CustomerOrder, changes: tuple[Change, ...], n: int) -> None:
    said = units().said("; and ".join(each.message for each in changes))
    said = _capital(said) + "."
    after = repaired(order, changes)
    with st.container(border=True, key=f"repair-{n}"):
        lead(said)
        st.button(
            f"Make change {n}", key=f"repair-apply-{n}", on_click=change, args=[after],
            kwargs={"redraw": True}, help=said, icon=":material/build:",
        )  # fmt: skip


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
