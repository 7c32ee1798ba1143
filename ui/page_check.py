"""*Is this risky?* Films stacked from the fabric up, their presses to change, a verdict at once."""

from __future__ import annotations

from hashlib import sha256

import streamlit as st

from advisor.checker import CheckReport
from rules.errors import PressloreError
from ui.asked import ask_check
from ui.drawing.section import Coloured, section
from ui.session import catalogue, units
from ui.show import drawing, findings, lead, values_table, verdict_badge
from ui.stack_editor import edit_stack
from ui.stack_state import edited_steps, edits, remember, stack, undo
from ui.step_editor import edit_steps
from ui.words import verdict_sentence

__all__ = ["page"]


def page() -> None:
    """The page."""
    st.title("Is this risky?")
    shelf = catalogue()
    with st.container(key="stack-and-verdict"):
        left, right = st.columns([1, 1.15], gap="large")
    with left:
        fabric, press = edit_stack()
    films = tuple(stack())
    if not films:
        remember(films, {})
        right.info("Lay a film on the fabric, and the verdict on it appears here.")
        return
    signature = sha256("|".join((fabric, press, *films)).encode()).hexdigest()[:10]
    changes = edits(signature)
    try:
        best = ask_check(films, fabric=fabric, press=press)
        steps = edited_steps(best.steps, changes)
        report = best if steps == best.steps else ask_check(
            films, fabric=fabric, press=press, steps=steps
        )  # fmt: skip
    except PressloreError as error:
        right.error(str(error))
        return
    remember(films, changes)
    looks = [Coloured(shelf.film(name)) for name in films]
    with left:
        _drawn(report, looks)
    with right:
        _verdict(report)
    st.header("The presses")
    lead(
        "These are your settings; every change is judged at once."
        if changes
        else "The best schedule for this stack. Change a setting and see what it does."
    )
    if changes:
        st.button("Undo all changes", key="undo", on_click=undo)
    edit_steps(
        steps, changes, looks=dict(zip(report.pieces, looks, strict=True)),
        fabric_srgb=shelf.fabric(fabric).colour.srgb, press=shelf.press(press),
        key=f"{signature}-{st.session_state.get('edits-round', 0)}",
    )  # fmt: skip


def _drawn(report: CheckReport, looks: list[Coloured]) -> None:
    shelf = catalogue()
    full = [step for step in report.steps if step.purpose == "full"]
    drawing(
        section(
            looks, fabric=shelf.fabric(report.fabric), units=units(), carriers=[len(looks) - 1],
            cover=shelf.sheets.get(full[-1].cover or "") if full else None,
        ),
        f"Cross-section: {', then '.join(look.words for look in looks)} on {report.fabric}",
    )  # fmt: skip


def _verdict(report: CheckReport) -> None:
    shown = units()
    verdict_badge(report.verdict)
    lead(shown.said(verdict_sentence(report.verdict, report.findings)))
    findings(report.findings)
    if report.bond_lines:
        values_table(
            "Heat at the bond lines",
            [
                (f"{line.film} on {line.below}", shown.c(line.peak_c),
                 f"{line.seconds_bonding:.0f} s hot enough to bond, {line.needed_s:.0f} s needed")
                for line in report.bond_lines
            ],
            heads=("Bond line", "Hottest", "Bonding"),
        )  # fmt: skip
