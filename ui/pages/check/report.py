"""Check report: a verdict that stays in sight, the stack drawn, every finding, the bond lines."""

from __future__ import annotations

from collections.abc import Sequence

import streamlit as st

from advisor.answers.records import BetterStack, CheckReport
from advisor.words.verdicts import verdict_sentence
from ui.aloud import say
from ui.drawing.profile import laying_order
from ui.drawing.section import section
from ui.drawing.texture import Coloured
from ui.pages.check.stack import lay_instead
from ui.session import catalogue, last_cover, units
from ui.show import drawing, findings, lead, remark, values_table, verdict_badge

__all__ = ["show_findings", "show_instead", "show_stack", "show_verdict"]


def show_verdict(report: CheckReport) -> None:
    """The verdict and what it rests on, in one line."""
    words = verdict_sentence(report.verdict, report.findings).shown(units())
    verdict_badge(report.verdict)
    lead(words)
    say(words)


def show_instead(better: Sequence[BetterStack]) -> None:
    """What to do instead, each as a button that does it, with the verdict that it brings."""
    if not better:
        remark("No one change of this stack makes it better; ask what can give the look.")
        return
    st.subheader("Do this instead")
    for n, each in enumerate(better):
        with st.container(
            horizontal=True, vertical_alignment="center", gap="small", key=f"instead-{n}"
        ):
            verdict_badge(each.verdict, large=False)
            said = each.said.shown(units())
            st.button(
                said[:1].upper() + said[1:], key=f"instead-do-{n}", on_click=lay_instead,
                args=[each.films, each.meets], icon=":material/swap_vert:",
            )  # fmt: skip


def show_stack(report: CheckReport, looks: Sequence[Coloured]) -> None:
    """The stack cut through, under the cover of its last full press."""
    shelf = catalogue()
    drawing(
        section(
            looks,
            fabric=shelf.fabric(report.fabric),
            units=units(),
            meets=report.meets,
            carriers=laying_order(report.meets)[-1:],
            cover=last_cover(report.steps),
        ),
        f"Cross-section: {', then '.join(look.words for look in looks)} on {report.fabric}",
    )


def show_findings(report: CheckReport) -> None:
    """Every finding, and how hot each bond line gets."""
    findings(report.findings)
    if not report.bond_lines:
        return
    rows = [
        (
            f"{line.film} on {line.below}",
            units().temperature(line.peak_c),
            f"{line.seconds_bonding:.0f} s hot enough to bond, {line.needed_s:.0f} s needed",
        )
        for line in report.bond_lines
    ]
    values_table("Heat at the bond lines", rows, heads=("Bond line", "Hottest", "Bonding"))
