"""Terminal: verdicts, findings, steps and tables in colour, or as plain text where none is seen."""

from __future__ import annotations

import io
import re
import sys
import textwrap
from collections.abc import Iterable, Mapping, Sequence
from typing import TextIO

from rich.box import SIMPLE
from rich.console import Console
from rich.padding import Padding
from rich.table import Table
from rich.text import Text as Styled

from advisor.job.records.plan import BondLineResult
from advisor.words.plan import step_settings, step_title
from advisor.words.verdicts import SEVERITIES, VERDICTS, Shown, gathered, printable
from rules.facts.basis import BASIS_MEANING
from rules.facts.fact import Colour
from rules.facts.finding import Finding, Verdict
from rules.facts.press import Press
from rules.facts.step import Step
from rules.facts.text import Text
from rules.facts.units import Units

__all__ = ["VERDICTS", "Cell", "Terminal", "severities", "stack_line"]

Cell = str | Styled | Colour
"""What a table holds; a colour is shown as a patch."""

PLAIN_WIDTH, WIDEST = 100, 120
COLUMN_GAP, LEAST_COLUMN = "  ", 10
LINE_FEED = "\n     "
_STYLES = {"go": "bold green", "sample": "bold yellow", "stop": "bold red", "note": "cyan"}


class Terminal:
    """Standard output for a person: coloured on a terminal, plain and 100 wide elsewhere.

    Whatever is put on it is shown in the person's units, with pieces called by their names.

    Args:
        units: what the person reads temperatures and lengths in.
        names: what each piece is called, by its id.
    """

    def __init__(
        self, units: Units | None = None, *, names: Mapping[str, str] | None = None
    ) -> None:
        self.units, self.names = units or Units(), names or {}
        self.console = _console()

    def _plain(self, text: str, style: str = "") -> Styled:
        """Text as it is, in the person's units and with pieces called by their names.

        No markup in it counts, and control characters become question marks.
        """
        shown = Text(text).shown(self.units, self.names)
        return Styled(printable(shown), style=style)

    def line(self, text: str = "", style: str = "") -> None:
        """One line, or more where it is too long; an empty one to keep parts apart."""
        self.console.print(self._plain(text, style))

    def heading(self, text: str) -> None:
        """A heading with a line above it kept free."""
        self.line()
        self.line(text, "bold underline")

    def lines(self, lines: Iterable[str], *, indent: int = 4, style: str = "") -> None:
        """Sentences, each from a new line, indented."""
        for line in lines:
            self.console.print(Padding(self._plain(line, style), (0, 0, 0, indent), expand=False))

    def mark(self, verdict: Verdict) -> str:
        """A verdict as its shape and its word, to stand in a line."""
        shown = VERDICTS[verdict]
        return f"{shown.shape} {shown.word}"

    def verdict(self, verdict: Verdict, *, label: str = "") -> None:
        """A verdict by shape, word and colour, and what it means."""
        shown = VERDICTS[verdict]
        line = _shape_and_word(shown, _STYLES[verdict]).append(f"  {shown.meaning}")
        self.console.print(line.append_text(self._plain(f"  ·  {label}" if label else "")))

    def findings(self, heading: str, findings: Sequence[Finding]) -> None:
        """Each finding with what, why, what instead and what it rests on; nothing for none."""
        if findings:
            self.heading(heading)
        for finding, where in gathered(findings):
            line = _shape_and_word(SEVERITIES[finding.severity], _STYLES[finding.severity])
            line.append_text(self._plain(f"  {finding.rule}", "bold"))
            self.console.print(line.append_text(self._plain(f"  {where}")))
            self.lines([finding.message])
            self.lines(
                [
                    f"why: {finding.why}",
                    *([f"seen: {finding.seen}"] if finding.seen else []),
                    f"instead: {finding.instead}",
                    f"rests on: {BASIS_MEANING[finding.basis]}",
                ],
                style="dim",
            )

    def in_short(self, findings: Sequence[Finding]) -> None:
        """Each finding in a line or two: what, where, and unless it is a note what instead."""
        for finding, where in gathered(findings):
            line = _shape_and_word(SEVERITIES[finding.severity], _STYLES[finding.severity])
            line.append_text(self._plain(f"  {where}: ", "bold"))
            instead = "" if finding.severity == "note" else f"; instead: {finding.instead}"
            seen = f". {finding.seen}" if finding.seen else ""
            said = Text(f"{finding.message}{instead} ({finding.rule}){seen}")
            line.append_text(self._plain(said))
            self.console.print(Padding(line, (0, 0, 0, 2), expand=False))

    def pairs(self, pairs: Iterable[tuple[str, str]]) -> None:
        """Lines of two parts, the second ones under one another."""
        grid = Table.grid(padding=(0, 2, 0, 0))
        grid.add_column(style="bold")
        grid.add_column(style="green")
        for first, second in pairs:
            grid.add_row(self._plain(first), self._plain(second))
        self.console.print(Padding(grid, (0, 0, 0, 2), expand=False))

    def steps(self, heading: str, steps: Iterable[Step], *, press: Press) -> None:
        """Every step with its settings on one line and its reasons under it."""
        self.heading(heading)
        for step in steps:
            title = f"{step.n:>3}  {step_title(step, self.names)}"
            settings = " · ".join(step_settings(step, press, units=self.units))
            line = self._plain(title, "bold")
            if settings:
                fits = len(title) + len(settings) + 2 <= self.console.width
                gap = "  " if fits else LINE_FEED
                line.append_text(self._plain(f"{gap}{settings}", "not bold green"))
            self.console.print(line)
            if step.why:
                self.lines([step.why], indent=5, style="dim")

    def bond_lines(self, lines: Sequence[BondLineResult]) -> None:
        """How hot each adhesive gets and how long it bonds, also on an unlucky press."""
        if lines:
            self.heading("Heat at the bond lines")
        for fabric in dict.fromkeys(line.fabric for line in lines):
            rows = [
                (
                    self.names.get(line.piece, line.film),
                    line.below,
                    self.units.temperature(line.peak_c),
                    f"{line.seconds_bonding:.1f} s",
                    f"{line.needed_s:.0f} s",
                    _unlucky(line),
                )
                for line in lines
                if line.fabric == fabric
            ]
            columns = (f"on {fabric}", "over", "peak", "bonds", "needs", "on an unlucky press")
            self.table(columns, rows, whole=len(columns))

    def table(
        self, columns: Sequence[str], rows: Iterable[Sequence[Cell]], *, whole: int = 1
    ) -> None:
        """A plain table; the first ``whole`` columns hold names, broken only to fit the page."""
        shown = [[self._cell(cell) for cell in row] for row in rows]
        widest = [max((row[n].cell_len for row in shown), default=0) for n in range(len(columns))]

        def takes(headed: Sequence[str]) -> int:
            wide = [max(widest[n], _widest_line(head)) for n, head in enumerate(headed)]
            rest = [min(LEAST_COLUMN, each) for each in wide[whole:]]
            return sum(wide[:whole]) + sum(rest) + len(COLUMN_GAP) * (len(wide) - 1)

        if takes(columns) > self.console.width:
            # A heading breaks at its words before any name or number is broken.
            columns = [_broken(head, most) for head, most in zip(columns, widest, strict=True)]
            whole = whole if takes(columns) <= self.console.width else 0
        table = Table(
            box=SIMPLE, show_edge=False, pad_edge=False, padding=(0, 1, 0, 0), header_style="bold"
        )
        for position, column in enumerate(columns):
            table.add_column(column, overflow="fold", no_wrap=position < whole)
        for row in shown:
            table.add_row(*row)
        self.console.print(table)

    def _cell(self, cell: Cell) -> Styled:
        if isinstance(cell, Colour):
            return self.swatch(cell.name, cell.srgb)
        return cell if isinstance(cell, Styled) else self._plain(cell)

    def swatch(self, name: str, srgb: str) -> Styled:
        """A colour as a patch with its name; the name alone where there is no colour."""
        if self.console.color_system is None or self.console.no_color:
            return self._plain(name)
        return Styled("  ", style=f"on {srgb}").append_text(self._plain(f" {name}"))


def _console() -> Console:
    stream = sys.stdout
    reconfigure = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        # A terminal that lacks a letter shows a question mark in its place.
        reconfigure(errors="replace")
    if stream.isatty():
        console = _Console(file=stream, markup=False, highlight=False, emoji=False)
        console.width = min(console.width, WIDEST)
        return console
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


def _widest_line(text: str) -> int:
    return max(map(len, text.splitlines()), default=0)


def _broken(heading: str, most: int) -> str:
    """A heading on lines of ``most`` letters, or of its longest word."""
    longest = max(map(len, heading.split()), default=1)
    return textwrap.fill(heading, max(most, longest), break_on_hyphens=False)


def _shape_and_word(shown: Shown, style: str) -> Styled:
    return Styled(f"{shown.shape} {shown.word}", style=style)


def severities() -> str:
    """What each severity means, in a row."""
    return ", ".join(f"{name}: {shown.meaning}" for name, shown in SEVERITIES.items())


def stack_line(films: Sequence[str], meets: Sequence[str]) -> str:
    """Films bottom first, each with how it meets the one below.

    >>> stack_line(["base", "top"], ["lap"])
    'base ‹lap› top'
    """
    return films[0] + "".join(
        f" ‹{way}› {film}" for way, film in zip(meets, films[1:], strict=False)
    )


def _unlucky(line: BondLineResult) -> str:
    """Seconds that an unlucky press bonds; where they were not worked out, all that is known."""
    if line.low_seconds_bonding is not None:
        return f"{line.low_seconds_bonding:.1f} s"
    if line.seconds_bonding < line.needed_s:
        return f"under {line.seconds_bonding:.1f} s"
    return f"{line.needed_s:.0f} s or more"
