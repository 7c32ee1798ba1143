"""Terminal: verdicts, findings, steps and tables in colour, or as plain text where none is seen."""

from __future__ import annotations

import io
import re
import sys
from collections.abc import Iterable, Mapping, Sequence
from typing import TextIO

from rich.box import SIMPLE
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from advisor.job.records.plan import BondLineResult
from advisor.words.phrases import (
    SEVERITY_WORDS,
    VERDICT_WORDS,
    Shown,
    Units,
    gathered,
    printable,
    step_settings,
    step_title,
)
from rules.facts.basis import BASIS_MEANING
from rules.facts.finding import Finding
from rules.facts.press import Press
from rules.facts.step import Step

__all__ = [
    "make_console", "show_bond_lines", "show_findings", "show_heading", "show_lines", "show_steps",
    "show_table", "show_verdict", "swatch", "words",
]  # fmt: skip

PLAIN_WIDTH = 100
LINE_FEED = "\n     "
WIDEST = 120
_STYLES = {"go": "bold green", "sample": "bold yellow", "stop": "bold red", "note": "cyan"}


def make_console() -> Console:
    """A console on standard output: coloured on a terminal, plain and 100 wide elsewhere."""
    stream = sys.stdout
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        # A terminal that lacks a letter shows a question mark in its place.
        reconfigure(errors="replace")
    if not stream.isatty():
        return _Console(
            file=_Trimmed(stream),
            width=PLAIN_WIDTH,
            color_system=None,
            force_terminal=False,
            no_color=True,
            markup=False,
            highlight=False,
            emoji=False,
        )
    console = _Console(file=stream, markup=False, highlight=False, emoji=False)
    if console.width > WIDEST:
        console.width = WIDEST
    return console


class _Console(Console):
    """A console that leaves it to the command line what to do when its reader has gone."""

    def on_broken_pipe(self) -> None:
        raise


class _Trimmed(io.StringIO):
    """A stream that leaves out the blanks that fill a line up to the width."""

    def __init__(self, stream: TextIO) -> None:
        super().__init__()
        self._stream = stream

    def write(self, text: str) -> int:
        self._stream.write(re.sub(r"[ \t]+(?=\n|\Z)", "", text))
        return len(text)

    def flush(self) -> None:
        self._stream.flush()


def words(text: str, style: str = "") -> Text:
    """Text as it is: no markup in it counts, and control characters become question marks."""
    return Text(printable(text), style=style)


def show_heading(console: Console, text: str) -> None:
    """A heading with a line above it kept free."""
    console.print()
    console.print(words(text, "bold underline"))


def show_lines(console: Console, lines: Iterable[str], *, indent: int = 4, style: str = "") -> None:
    """Sentences, each from a new line, indented."""
    for line in lines:
        console.print(Padding(words(line, style), (0, 0, 0, indent), expand=False))


def show_verdict(console: Console, verdict: str, *, label: str = "") -> None:
    """A verdict by shape, word and colour, and what it means."""
    shown = VERDICT_WORDS[verdict]
    line = _shape_and_word(shown, _STYLES[verdict])
    line.append(f"  {shown.meaning}")
    if label:
        line.append_text(words(f"  ·  {label}"))
    console.print(line)


def show_findings(
    console: Console, findings: Sequence[Finding], *, units: Units, brief: bool = False
) -> None:
    """Each finding with what, why, what instead and what it rests on; ``brief`` says what only."""
    for finding, where in gathered(findings):
        line = _shape_and_word(SEVERITY_WORDS[finding.severity], _STYLES[finding.severity])
        line.append_text(words(f"  {finding.rule}", "bold"))
        line.append_text(words(f"  {units.sentence(where)}"))
        console.print(line)
        show_lines(console, [units.sentence(finding.message)])
        if not brief:
            show_lines(
                console,
                [
                    f"why: {units.sentence(finding.why)}",
                    f"instead: {units.sentence(finding.instead)}",
                    f"rests on: {BASIS_MEANING[finding.basis]}",
                ],
                style="dim",
            )


def show_steps(
    console: Console,
    steps: Sequence[Step],
    *,
    names: Mapping[str, str],
    press: Press | None,
    units: Units,
) -> None:
    """Every step with its settings on one line and its reasons under it."""
    for step in steps:
        title = f"{step.n:>3}  {step_title(step, names)}"
        settings = " · ".join(step_settings(step, press, units=units))
        line = words(title, "bold")
        if settings:
            fits = len(title) + len(settings) + 2 <= console.width
            line.append_text(words(f"{'  ' if fits else LINE_FEED}{settings}", "not bold green"))
        console.print(line)
        if step.why:
            show_lines(console, [units.sentence(step.why)], indent=5, style="dim")


def show_bond_lines(
    console: Console,
    lines: Sequence[BondLineResult],
    *,
    units: Units,
    names: Mapping[str, str],
) -> None:
    """How hot each adhesive gets and how long it bonds: usually, needed, and on a poor press.

    Args:
        names: what each piece is called; its film where that is not given.
    """
    for fabric in dict.fromkeys(line.fabric for line in lines):
        rows = [
            (
                names.get(line.piece, line.film),
                line.below,
                units.temperature(line.peak_c),
                f"{line.seconds_bonding:.1f} s",
                f"{line.needed_s:.0f} s",
                _at_worst(line),
            )
            for line in lines
            if line.fabric == fabric
        ]
        columns = (f"on {fabric}", "over", "peak", "bonds", "needs", "on an unlucky press")
        show_table(console, columns, rows, whole=len(columns))


def _at_worst(line: BondLineResult) -> str:
    low_s = line.low_seconds_bonding
    return "enough" if low_s is None else f"{low_s:.1f} s"


def show_table(
    console: Console,
    columns: Sequence[str],
    rows: Iterable[Sequence[str | Text]],
    *,
    whole: int = 1,
) -> None:
    """A plain table; the first ``whole`` columns hold names, which are never broken."""
    table = Table(
        box=SIMPLE, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold"
    )
    for position, column in enumerate(columns):
        table.add_column(column, overflow="fold", no_wrap=position < whole)
    for row in rows:
        table.add_row(*(cell if isinstance(cell, Text) else words(cell) for cell in row))
    console.print(table)


def swatch(console: Console, name: str, srgb: str) -> Text:
    """A colour as a patch with its name; the name alone where there is no colour."""
    if console.color_system is None or console.no_color:
        return words(name)
    return Text("  ", style=f"on {srgb}").append_text(words(f" {name}"))


def _shape_and_word(shown: Shown, style: str) -> Text:
    return Text(f"{shown.shape} {shown.word}", style=style)
