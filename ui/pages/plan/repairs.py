"""Repairs: why a job is impossible, and the smallest changes that would make it possible."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from advisor.job.records.plan import Change, Plan
from advisor.job.repaired import repaired_job
from ui.order.record import CustomerOrder
from ui.order.visit import change as go_on_with
from ui.session import units
from ui.show import badge_html, findings, lead, sentence, sentences

__all__ = ["repaired", "show_repairs"]


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
        sentences(
            f"{sentence(clash.message.shown(units()))} ({clash.rule})" for clash in plan.conflict
        )
    if plan.repairs:
        st.subheader("What would make it possible, the smallest change first")
        for n, changes in enumerate(plan.repairs, 1):
            _repair(order, changes, n)


def _repair(order: CustomerOrder, changes: tuple[Change, ...], n: int) -> None:
    said = sentence("; and ".join(each.message.shown(units()) for each in changes))
    after = repaired(order, changes)
    with st.container(border=True, key=f"repair-{n}"):
        lead(said)
        st.button(
            f"Make change {n}", key=f"repair-apply-{n}", on_click=go_on_with, args=[after],
            kwargs={"redraw": True}, help=said, icon=":material/build:",
        )  # fmt: skip


def repaired(order: CustomerOrder, changes: Sequence[Change]) -> CustomerOrder:
    """The order with all changes of a repair."""
    after = order.with_job(repaired_job(order.job, changes))
    return after if after.job.names is not None else replace(after, names="")
