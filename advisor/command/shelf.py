"""Command shelf: what there is to work with, as tables, as one card, or as JSON."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click

from advisor.command.card import card_rows
from advisor.command.options import json_option, shop_catalogue, shop_option, show_json
from rules.catalogue import Catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.facts.basis import BASIS_MEANING
from rules.facts.fact import Fact, Window
from rules.facts.film import FAMILIES, FINISHES, Film

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["command"]

KINDS = ("films", "fabrics", "garments", "presses", "sheets")


@click.command("shelf")
@click.argument("what", nargs=-1, metavar="[films|fabrics|garments|presses|sheets] [ID]")
@click.option("--family", metavar="FAMILY", help="Only films of this family.")
@click.option("--finish", metavar="FINISH", help="Only films that show this finish.")
@json_option
@shop_option
def command(what: tuple[str, ...], family: str | None, finish: str | None, as_json: bool) -> None:
    """Show the shelf, one kind of thing on it, or one thing with the basis of every value.

    \b
      presslore shelf films --finish sparkle
      presslore shelf matte-smooth
    """
    known = shop_catalogue()
    kind, name = _asked(what, known)
    if family is not None or finish is not None:
        if kind not in (None, "films") or name is not None:
            raise BadInputError("--family and --finish choose among films; ask for films only")
        kind = "films"
    if name is not None and kind is not None:
        fact = _of(known, kind)[name]
        if as_json:
            show_json(fact.model_dump_json(indent=2))
        else:
            _show_card(kind, fact)
        return
    shelf: dict[str, Sequence[Fact]] = {
        each: tuple(_of(known, each).values()) for each in ((kind,) if kind else KINDS)
    }
    if "films" in shelf:
        shelf["films"] = _chosen(known, family, finish)
    if as_json:
        dumped = {
            each: [fact.model_dump(mode="json") for fact in facts] for each, facts in shelf.items()
        }
        show_json(json.dumps(dumped, ensure_ascii=False, indent=2))
        return
    _show_tables(shelf)


def _of(known: Catalogue, kind: str) -> Mapping[str, Fact]:
    shelves: dict[str, Mapping[str, Fact]] = {
        "films": known.films,
        "fabrics": known.fabrics,
        "garments": known.garments,
        "presses": known.presses,
        "sheets": known.sheets,
    }
    return shelves[kind]


def _asked(what: tuple[str, ...], known: Catalogue) -> tuple[str | None, str | None]:
    """The kind and the name asked for; a name may stand alone, a kind in the singular."""
    if len(what) > 2:
        raise BadInputError(f"name one thing, such as `films matte-smooth`; got {' '.join(what)!r}")
    if not what:
        return None, None
    kind = next((k for k in KINDS if what[0] in (k, k[:-1], k.removesuffix("es"))), None)
    if kind is not None:
        if len(what) == 1:
            return kind, None
        if what[1] not in _of(known, kind):
            raise UnknownNameError(f"thing among the {kind}", what[1], _of(known, kind))
        return kind, what[1]
    if len(what) == 1:
        for each in KINDS:
            if what[0] in _of(known, each):
                return each, what[0]
    everything = [*KINDS, *(name for each in KINDS for name in _of(known, each))]
    raise UnknownNameError("thing on the shelf", what[0], everything)


def _chosen(known: Catalogue, family: str | None, finish: str | None) -> tuple[Film, ...]:
    if family is not None and family not in FAMILIES:
        raise UnknownNameError("family", family, FAMILIES)
    if finish is not None and finish not in FINISHES:
        raise UnknownNameError("finish", finish, FINISHES)
    return tuple(
        film
        for film in known.films.values()
        if family in (None, film.family) and (finish is None or finish in film.finishes)
    )


def _show_card(kind: str, fact: Any) -> None:
    from advisor.command import terminal

    console = terminal.make_console()
    console.print(terminal.words(f"{fact.id}  ({kind})", "bold"))
    terminal.show_table(console, ("value", "is", "rests on"), card_rows(fact))
    used = {fact.basis_of(name) for name in fact.values()}
    terminal.show_lines(
        console,
        [f"{basis}: {meaning}" for basis, meaning in BASIS_MEANING.items() if basis in used],
        indent=0,
        style="dim",
    )


def _show_tables(shelf: Mapping[str, Sequence[Any]]) -> None:
    from advisor.command import terminal

    console = terminal.make_console()
    tables = {
        "films": _films, "fabrics": _fabrics, "garments": _garments, "presses": _presses,
        "sheets": _sheets,
    }  # fmt: skip
    for kind, facts in shelf.items():
        terminal.show_heading(console, f"{kind} ({len(facts)})")
        if facts:
            columns, rows = tables[kind](console, facts)
            whole = 2 if kind == "garments" else 1
            terminal.show_table(console, columns, rows, whole=whole)
        else:
            console.print(terminal.words("none on the shelf fits"))
    console.print(terminal.words("`presslore shelf ID` shows one with the basis of every value"))


Rows = tuple[tuple[str, ...], list[tuple[Any, ...]]]


def _films(console: Console, films: Sequence[Film]) -> Rows:
    columns = ("id", "finish", "film on top", "setpoint °C", "dwell s", "peel", "µm", "shelf m")
    return columns, [
        (
            film.id,
            ", ".join(film.finishes),
            film.takes_film_on_top,
            _window(film.setpoint_c),
            _window(film.dwell_s),
            film.peel,
            f"{film.thickness_um:.0f}",
            f"{film.on_shelf_m:g}",
        )
        for film in films
    ]


def _fabrics(console: Console, fabrics: Sequence[Any]) -> Rows:
    from advisor.command import terminal

    columns = ("id", "dye, coating", "fibres %", "colour", "iron °C", "harmed °C")
    return columns, [
        (
            fabric.id,
            ", ".join(n for n in (fabric.dye_class, fabric.coating) if n != "none") or "none",
            ", ".join(f"{s.fibre.id} {s.pct:g}" for s in fabric.fibres),
            terminal.swatch(console, fabric.colour.name, fabric.colour.srgb),
            f"{fabric.iron_fibre.iron_c:g}",
            f"{fabric.harmed_fibre.harmed_c:g}",
        )
        for fabric in fabrics
    ]


def _garments(console: Console, garments: Sequence[Any]) -> Rows:
    columns = ("id", "fabric", "for", "print areas", "in the way")
    return columns, [
        (
            garment.id,
            garment.fabric.id,
            garment.wearer,
            ", ".join(
                f"{area.name} {area.width_mm:g} × {area.height_mm:g} mm"
                for area in garment.print_areas
            ),
            ", ".join(
                dict.fromkeys(o.kind for area in garment.print_areas for o in area.obstructions)
            )
            or "nothing",
        )
        for garment in garments
    ]


def _presses(console: Console, presses: Sequence[Any]) -> Rows:
    columns = ("id", "platen", "setpoint", "heat", "pressure on the platen", "stations")
    return columns, [
        (
            press.id,
            f"{press.platen_width_mm:g} × {press.platen_depth_mm:g} mm",
            f"{press.setpoint_low_c:g} to {press.setpoint_high_c:g} °C",
            f"± {press.flat_c:g} °C",
            f"{press.pressures_kpa[0]:.0f} to {press.pressures_kpa[-1]:.0f} kPa",
            str(press.stations),
        )
        for press in presses
    ]


def _sheets(console: Console, sheets: Sequence[Any]) -> Rows:
    columns = ("id", "kind", "size", "thick", "bears", "leaves a face", "takes up")
    return columns, [
        (
            sheet.id,
            sheet.kind,
            f"{sheet.width_mm:g} × {sheet.depth_mm:g} mm",
            f"{sheet.thickness_um:g} µm",
            f"{sheet.highest_c:g} °C",
            sheet.leaves if sheet.kind == "cover" else "–",
            f"{sheet.takes_up_mm:g} mm" if sheet.kind == "pad" else "–",
        )
        for sheet in sheets
    ]


def _window(window: Window) -> str:
    return f"{window.low:g}–{window.best:g}–{window.high:g}"
