"""Heat on the terminal: bond lines, shrink, plain layers and what a calibration found."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.answers.heat import HeatReport
from advisor.command import terminal
from advisor.heat.fit import FitReport
from advisor.words.phrases import Units

__all__ = ["show_fit", "show_layers", "show_report"]


def show_report(report: HeatReport, units: Units, *, label: str = "") -> None:
    """Each adhesive over the whole schedule, the shrink of each face, and the findings."""
    console = terminal.make_console()
    terminal.show_verdict(console, report.verdict, label=label or f"on {report.fabric}")
    terminal.show_heading(console, "Bond lines, by the clock from the first closing of the press")
    rows = [
        (
            line.film,
            line.below,
            _at(line.softened_at_s),
            _at(line.bonded_at_s),
            units.temperature(line.peak_c),
            f"{line.seconds_bonding:.1f} of {line.bonds_s:g} s",
            f"{line.low_seconds_bonding:.1f} s",
            "no dwell would do" if line.needed_s is None else f"{line.needed_s:.0f} s",
        )
        for line in report.bond_lines
    ]
    columns = ("film", "on", "softens", "bonds", "peak", "bonding", "unlucky", "least press")
    terminal.show_table(console, columns, rows, whole=2)
    terminal.show_heading(console, "Shrink")
    terminal.show_table(
        console,
        ("film", "face up to", "above onset", "shrinks", "edge draws in", "trap"),
        [
            (
                shrink.film,
                units.temperature(shrink.face_hottest_c),
                f"{shrink.above_onset_s:.1f} s",
                f"{shrink.percent:.2f} %",
                units.length(shrink.mm),
                units.length(shrink.trap_mm) if shrink.trap_mm else "none",
            )
            for shrink in report.shrink
        ],
    )
    if report.findings:
        terminal.show_heading(console, "Findings")
        terminal.show_findings(console, report.findings, units=units)
    terminal.show_heading(console, "What this leaves out")
    terminal.show_lines(console, [report.limits])


def show_layers(document: Mapping[str, Any], answer: Mapping[str, Any]) -> None:
    """The temperatures of plain layers, a row for each asked second."""
    console = terminal.make_console()
    between = [f"{a} | {b}" for a, b in (line["between"] for line in answer["interfaces"])]
    courses = [line["celsius"] for line in answer["interfaces"]]
    rows = [
        (
            f"{second:g}",
            *(f"{celsius:.2f}" for celsius in (front, *at, back)),
        )
        for second, front, back, *at in zip(
            document["seconds"], answer["front_c"], answer["back_c"], *courses, strict=True
        )
    ]
    terminal.show_table(console, ("s", "front °C", *between, "back °C"), rows)


def show_fit(fit: FitReport, kept: list[str]) -> None:
    """What the readings told, each with its interval, and where it was kept."""
    console = terminal.make_console()
    terminal.show_lines(
        console,
        [
            f"{fit.readings} readings on {fit.press}; what is left between readings and fit is "
            f"typically {fit.typical_error_k:.1f} K."
        ],
        indent=0,
    )
    terminal.show_table(
        console,
        ("found", "of", "was", "is", "95 % interval"),
        [
            (
                found.unknown,
                found.of,
                f"{found.before:.4g} {found.unit}",
                f"{found.value:.4g} {found.unit}",
                f"{found.low:.4g} to {found.high:.4g}",
            )
            for found in fit.fitted
        ],
    )
    if kept:
        terminal.show_lines(console, [f"kept in {name}" for name in kept], indent=0)
    else:
        terminal.show_lines(console, ["Say --keep DIR to keep it with the shop's shelf."], indent=0)


def _at(seconds: float | None) -> str:
    return "never" if seconds is None else f"at {seconds:.1f} s"
