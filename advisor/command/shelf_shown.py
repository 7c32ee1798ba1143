"""The shelf as the terminal shows it: tables, the card of one thing, what was just added."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from advisor.command.shelf_tables import COLUMNS
from advisor.command.terminal import Terminal
from advisor.shop.records import OwnEntry
from advisor.words.values import bases_in_words, label_of, rows_of, value_of
from rules.catalogue import load_catalogue
from rules.facts.fact import Fact
from rules.facts.film import FAMILIES, Film
from rules.facts.units import Units

__all__ = ["show_added", "show_card", "show_tables", "value_line"]


def show_card(out: Terminal, kind: str, fact: Any) -> None:
    """Everything known of one thing, with what each value rests on."""
    out.line(f"{fact.id}  ({kind})", "bold")
    out.table(("value", "is", "rests on"), rows_of(fact, out.units))
    out.lines(bases_in_words(fact), indent=0, style="dim")


def show_tables(
    out: Terminal, shelf: Mapping[str, Sequence[Any]], unusable: Iterable[str] = ()
) -> None:
    """Things as a table for each kind, and what of the shop's own cannot be used."""
    for kind, facts in shelf.items():
        out.heading(f"{kind} ({len(facts)})")
        if facts:
            columns = COLUMNS[kind]
            rows = [tuple(cell(fact) for cell in columns.values()) for fact in facts]
            out.table(tuple(columns), rows, whole=2 if kind == "garments" else 1)
        else:
            out.line("none on the shelf fits")
    out.line("`presslore shelf ID` shows one with the basis of every value")
    left_out = list(unusable)
    if left_out:
        out.heading("what the shop entered and this shelf cannot use")
        out.lines(left_out, indent=2)


def value_line(fact: Fact, field: str, units: Units) -> str:
    """A value by its name."""
    return f"{label_of(field)}: {value_of(fact, field, units)}"


def show_added(out: Terminal, entry: OwnEntry, fact: Fact, proposed: Sequence[str]) -> None:
    """What the shop said of a thing, what was proposed for the rest, and what to do next."""
    name = entry.name
    out.line(f"{name} is on the shelf", "bold")
    said = [field for field in entry.values if field != "like"]
    out.lines((value_line(fact, field, out.units) for field in said), indent=2)
    family = entry.values.get("family")
    if family is not None and family not in FAMILIES:
        out.line(
            f"{family!r} is no family that we know, so what follows is cautious; "
            f"there are: {', '.join(FAMILIES)}"
        )
    if isinstance(fact, Film):
        out.lines(_far_from_family(fact, out.units), indent=0, style="bold")
    if proposed:
        out.line("proposed, and less sure until you enter your own:")
        out.lines((value_line(fact, f, out.units) for f in proposed), indent=2, style="dim")
        out.line(f"`presslore shelf set {name} FIELD VALUE` enters one")
    if entry.kind == "films" and "on_shelf_m" not in entry.values:
        out.line(f"none of it is counted yet: `presslore shelf count {name} +METRES`")


_OUTSIDE_FAMILY_K = 12.0
"""So far outside what ships of its family a setpoint is believed without a word, K. Generic."""


def _far_from_family(film: Film, units: Units) -> tuple[str, ...]:
    """A question about a setpoint that is more likely mistyped than true."""
    shipped = [
        one.setpoint_c for one in load_catalogue().films.values() if one.family == film.family
    ]
    if not shipped:
        return ()
    low, high = min(one.low for one in shipped), max(one.high for one in shipped)
    best = film.setpoint_c.best
    if low - _OUTSIDE_FAMILY_K <= best <= high + _OUTSIDE_FAMILY_K:
        return ()
    return (
        f"is {units.temperature(best)} right? {film.family} films take "
        f"{units.temperature(low)} to {units.temperature(high)}; read its data sheet again",
    )
