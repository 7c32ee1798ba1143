"""Command shelf: what there is to work with, as tables, as one card, or as JSON."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import click

from advisor.command import options
from advisor.command.shelf_tables import COLUMNS
from advisor.command.terminal import Terminal
from advisor.words.values import bases_in_words, rows_of
from rules.catalogue import Catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fact import Fact
from rules.facts.film import FAMILIES, FINISHES

__all__ = ["command"]

Shelf = Mapping[str, Mapping[str, Fact]]


@click.command("shelf")
@click.argument("what", nargs=-1, metavar="[films|fabrics|garments|presses|sheets] [ID]")
@click.option("--family", metavar="FAMILY", help="Only films of this family.")
@click.option("--finish", metavar="FINISH", help="Only films that show this finish.")
@options.as_json
@options.shop
def command(what: tuple[str, ...], family: str | None, finish: str | None, as_json: bool) -> None:
    """Show the shelf, one kind of thing on it, or one thing with the basis of every value.

    \b
      presslore shelf films --finish sparkle
      presslore shelf matte-smooth
    """
    shelf = _whole_shelf(options.shop_knowledge().catalogue)
    kind, name = _kind_and_name(what, shelf)
    if family is not None or finish is not None:
        if kind not in (None, "films") or name is not None:
            raise BadInputError("--family and --finish choose among films; ask for films only")
        kind = "films"
    if name is not None and kind is not None:
        fact = shelf[kind][name]
        if as_json:
            options.show_json(fact)
        else:
            _show_card(Terminal(), kind, fact)
        return
    kinds = (kind,) if kind else tuple(shelf)
    chosen = {each: _chosen(shelf[each], family, finish) for each in kinds}
    if as_json:
        options.show_json(
            {
                each: [fact.model_dump(mode="json") for fact in facts]
                for each, facts in chosen.items()
            }
        )
    else:
        _show_tables(Terminal(), chosen)


def _whole_shelf(known: Catalogue) -> dict[str, Mapping[str, Any]]:
    return {kind: getattr(known, kind) for kind in COLUMNS}


def _kind_and_name(what: tuple[str, ...], shelf: Shelf) -> tuple[str | None, str | None]:
    """The kind and the name asked for; a name may stand alone, a kind in the singular."""
    if len(what) > 2:
        raise BadInputError(f"name one thing, such as `films matte-smooth`; got {' '.join(what)!r}")
    if not what:
        return None, None
    kind = next((k for k in shelf if what[0] in (k, k[:-1], k.removesuffix("es"))), None)
    if kind is not None:
        if len(what) == 1:
            return kind, None
        if what[1] not in shelf[kind]:
            raise UnknownNameError(f"thing among the {kind}", what[1], shelf[kind])
        return kind, what[1]
    if len(what) == 1:
        for each, facts in shelf.items():
            if what[0] in facts:
                return each, what[0]
    everything = [*shelf, *(name for facts in shelf.values() for name in facts)]
    raise UnknownNameError("thing on the shelf", what[0], everything)


def _chosen(facts: Mapping[str, Any], family: str | None, finish: str | None) -> list[Any]:
    """The facts of one kind; of films only those of a family that show a finish."""
    if family is not None and family not in FAMILIES:
        raise UnknownNameError("family", family, FAMILIES)
    if finish is not None and finish not in FINISHES:
        raise UnknownNameError("finish", finish, FINISHES)
    return [
        fact
        for fact in facts.values()
        if (family is None or fact.family == family) and (finish is None or finish in fact.finishes)
    ]


def _show_card(out: Terminal, kind: str, fact: Any) -> None:
    out.line(f"{fact.id}  ({kind})", "bold")
    out.table(("value", "is", "rests on"), rows_of(fact, out.units))
    out.lines(bases_in_words(fact), indent=0, style="dim")


def _show_tables(out: Terminal, shelf: Mapping[str, Sequence[Any]]) -> None:
    for kind, facts in shelf.items():
        out.heading(f"{kind} ({len(facts)})")
        if facts:
            columns = COLUMNS[kind]
            rows = [tuple(cell(fact) for cell in columns.values()) for fact in facts]
            out.table(tuple(columns), rows, whole=2 if kind == "garments" else 1)
        else:
            out.line("none on the shelf fits")
    out.line("`presslore shelf ID` shows one with the basis of every value")
