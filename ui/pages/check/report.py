"""Check report: a verdict that stays in sight, the stack drawn, every finding, the bond lines."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.answers.records import CheckReport
from advisor.words.verdicts import verdict_sentence
from ui.drawing.profile import laying_order
from ui.drawing.section import section
from ui.drawing.texture import Coloured
from ui.session import catalogue, last_cover, units
from ui.show import drawing, findings, lead, values_table, verdict_badge

__all__ = ["show_findings", "show_stack", "show_verdict"]


def show_verdict(report: CheckReport) -> None:
    """The verdict and what it rests on, in one line."""
    verdict_badge(report.verdict)
    lead(verdict_sentence(report.verdict, report.findings).shown(units()))


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
