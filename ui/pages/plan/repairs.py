"""Repairs: why a job is impossible, and the smallest changes that would make it possible."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import cast

import streamlit as st

from advisor.job.records.job import Wish, WishedJoint
from advisor.job.records.plan import Change, Plan
from rules.facts.step import Meets
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
    """The order with all changes of a repair.

    >>> from ui.order.record import demo_order
    >>> allow = Change(kind="sample", where="the job", to="", message="")
    >>> repaired(demo_order(), [allow]).job.samples_allowed
    True
    >>> drop = Change(kind="drop", where="navy", to="", message="", pieces=["fill-1b3a5c"])
    >>> repaired(demo_order(), [drop]).job.leave_out
    ('fill-1b3a5c',)
    """
    for change in changes:
        order = _repaired(order, change)
    return order


def _repaired(order: CustomerOrder, change: Change) -> CustomerOrder:
    job = order.job
    match change.kind, change.pieces:
        case "sample", _:
            return order.changed(samples_allowed=True)
        case "fabric", _:
            lines = tuple(line.model_copy(update={"fabric": change.to}) for line in job.garments)
            return order.changed(garments=lines)
        case "film", ("names",) if job.names is not None:
            return order.changed(names=job.names.model_copy(update={"look": Wish(film=change.to)}))
        case "film", (piece,):
            return order.changed(looks={**job.looks, _fill_of(piece): Wish(film=change.to)})
        case "meets", (upper, lower):
            same = ({upper, lower}, {_fill_of(upper), _fill_of(lower)})
            others = (joint for joint in job.joints if {joint.upper, joint.lower} not in same)
            way = WishedJoint(upper=upper, lower=lower, meets=cast(Meets, change.to))
            return order.changed(joints=(*others, way))
        case "drop", ("names",):
            return replace(order.changed(names=None), names="")
        case "drop", (piece,):
            return order.changed(leave_out=(*job.leave_out, piece))
    raise ValueError(f"no change of kind {change.kind} can be made at {change.where}")


def _fill_of(piece: str) -> str:
    """The fill that a piece's id tells: ``#1b3a5c`` of ``fill-1b3a5c-2``."""
    return "#" + piece.removeprefix("fill-")[:6]
