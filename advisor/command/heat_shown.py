"""Heat shown: bond lines, shrink and plain layers on the terminal."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.command.terminal import Terminal
from advisor.heat.records import HeatReport

LEAST_TOLD_GSM = 0.5
"""Where no press drives out more, g/m², there is nothing to tell."""

__all__ = ["show_layers", "show_report"]


def show_report(out: Terminal, report: HeatReport, *, run: int = 0) -> None:
    """Each adhesive over the whole schedule, the shrink of each face, and the findings.

    Args:
        run: the number of the plan's run; 0 where there is no plan.
    """
    temperature, length = out.units.temperature, out.units.length
    out.verdict(report.verdict, label=f"{f'run {run} ' if run else ''}on {report.fabric}")
    out.heading("Bond lines, by the clock from the first closing of the press")
    columns: tuple[str, ...]
    columns = ("film", "on", "softens", "bonds", "peak", "bonding", "unlucky", "least press")
    rows = [
        (
            line.film,
            line.below,
            _at(line.softened_at_s),
            _at(line.bonded_at_s),
            temperature(line.peak_c),
            f"{line.seconds_bonding:.1f} of {line.bonds_s:g} s",
            f"{line.low_seconds_bonding:.1f} s",
            "no dwell would do" if line.needed_s is None else f"{line.needed_s:.0f} s",
        )
        for line in report.bond_lines
    ]
    out.table(columns, rows, whole=2)
    out.heading("Shrink")
    columns = ("film", "face up to", "above onset", "shrinks", "edge draws in", "trap")
    shrinks = [
        (
            shrink.film,
            temperature(shrink.face_hottest_c),
            f"{shrink.above_onset_s:.1f} s",
            f"{shrink.percent:.2f} %",
            length(shrink.mm),
            length(shrink.trap_mm) if shrink.trap_mm else "none",
        )
        for shrink in report.shrink
    ]
    out.table(columns, shrinks)
    if any(press.leaves_gsm >= LEAST_TOLD_GSM for press in report.water):
        out.heading("Water that leaves the fabric")
        pressed = [
            (f"step {press.step}", f"{press.leaves_gsm:.1f} g/m²", f"{press.left_gsm:.1f} g/m²")
            for press in report.water
        ]
        out.table(("press", "leaves", "left"), pressed)
    out.findings("Findings", report.findings)
    out.heading("What this leaves out")
    out.lines([report.limits])


def show_layers(out: Terminal, document: Mapping[str, Any], answer: Mapping[str, Any]) -> None:
    """The temperatures of plain layers, a row for each asked second."""
    between = [" | ".join(line["between"]) for line in answer["interfaces"]]
    courses = [line["celsius"] for line in answer["interfaces"]]
    out.table(
        ("s", "front °C", *between, "back °C"),
        [
            (f"{second:g}", *(f"{celsius:.2f}" for celsius in (front, *at, back)))
            for second, front, back, *at in zip(
                document["seconds"], answer["front_c"], answer["back_c"], *courses, strict=True
            )
        ],
    )


def _at(seconds: float | None) -> str:
    return "never" if seconds is None else f"at {seconds:.1f} s"
