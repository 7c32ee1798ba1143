"""*Is this risky?* Films stacked from the fabric up, their presses to change, a verdict at once."""

from __future__ import annotations

from hashlib import sha256

import streamlit as st

from rules.errors import PressloreError
from ui.drawing.texture import Coloured
from ui.pages.check.editors import edit_stack, edit_steps
from ui.pages.check.report import show_findings, show_instead, show_stack, show_verdict
from ui.pages.check.stack import (
    drawn_anew,
    edited_steps,
    edits,
    meets,
    remember,
    reopen,
    size_mm,
    stack,
    undo,
)
from ui.session import catalogue
from ui.show import asked_below, asked_here, lead
from ui.tasks import StackQuestion, check_stack, instead_task
from ui.waiting import wait_for

__all__ = ["page"]


def page() -> None:
    """The page."""
    st.title("Is this risky?")
    shelf = catalogue()
    reopen()
    bar = st.container(key="verdict-bar", horizontal=True, vertical_alignment="center")
    with st.container(key="stack-and-verdict"):
        left, right = st.columns([1, 1.15], gap="large")
    with left:
        asked_here()
        fabric, press, area = edit_stack()
    films = tuple(stack())
    if not films:
        remember(films, {})
        right.info("Lay a film on the fabric, and the verdict on it appears here.")
        return
    asked = StackQuestion(films, fabric, press, tuple(meets()), area, size_mm())
    signature = sha256(repr(asked).encode()).hexdigest()[:10]
    changes = edits(signature)
    try:
        best = check_stack(asked)
        steps = edited_steps(best.steps, changes)
        report = best if steps == best.steps else check_stack(asked, steps)
    except PressloreError as error:
        right.error(str(error))
        return
    remember(films, changes)
    judged = zip(report.films, report.colours, strict=True)
    looks = [Coloured(shelf.film(film), colour) for film, colour in judged]
    with bar:
        show_verdict(report)
    with left:
        show_stack(report, looks)
    with right:
        asked_below()
        instead = st.container()
        show_findings(report)
    st.header("The presses")
    if changes:
        lead("These are your settings; every change is judged at once.")
        st.button("Undo all changes", key="undo", on_click=undo)
    else:
        lead("The best schedule for this stack. Change a setting and see what it does.")
    edit_steps(
        report.steps, changes, looks=dict(zip(report.pieces, looks, strict=True)),
        fabric_srgb=shelf.fabric(fabric).colour.srgb, press=shelf.press(press),
        key=f"{signature}-{drawn_anew()}",
    )  # fmt: skip
    # Last, as it takes a moment, though it stands first.
    with instead:
        if report.verdict != best.verdict:
            st.button("Press it as planned", key="instead-undo", on_click=undo)
        elif report.verdict != "go" and (better := wait_for(instead_task(asked))) is not None:
            show_instead(better)
