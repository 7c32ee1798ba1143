"""Command shelf: what there is to work with, and the acts that change what is the shop's own."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import click

from advisor.command import options
from advisor.command.shelf_add import add
from advisor.command.shelf_edit import acts, bring_in, count, remove_entry, set_value, take_out
from advisor.command.shelf_shown import show_card, show_tables
from advisor.command.shelf_tables import COLUMNS
from advisor.command.terminal import Terminal
from rules.catalogue import Catalogue
from rules.catalogue.everyday import meant_of_film
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fact import Fact

__all__ = ["command"]

Shelf = Mapping[str, Mapping[str, Fact]]
SHOW = "show"


class _Shelf(click.Group):
    """A group that shows the shelf where no act is named."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        if not args or args[0] not in {*self.commands, "-h", "--help"}:
            args = [SHOW, *args]
        return super().parse_args(ctx, args)


@click.group("shelf", cls=_Shelf)
def command() -> None:
    """Show what there is to work with, and keep the shop's own films, garments and presses.

    Without an act it shows: the whole shelf, one kind of thing, or one thing.

    \b
      presslore shelf films --finish sparkle
      presslore shelf matte-smooth
      presslore shelf add film our-glitter --finish sparkle --setpoint 320F --dwell 12 --peel warm
      presslore shelf set matte-smooth price 6.20
    """


command.add_command(add)
for act in (set_value, remove_entry, count, take_out, bring_in):
    command.add_command(act)


@command.command(SHOW)
@click.argument("what", nargs=-1, metavar="[films|fabrics|garments|presses|sheets|colours] [ID]")
@click.option("--family", metavar="FAMILY", help="Only films of this family.")
@click.option("--finish", metavar="FINISH", help="Only films that show this finish.")
@options.as_json
@options.shop
def show(what: tuple[str, ...], family: str | None, finish: str | None, as_json: bool) -> None:
    """Show the shelf, one kind of thing on it, or one thing with the basis of every value."""
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
            show_card(Terminal(), kind, fact)
        return
    kinds = (kind,) if kind else tuple(shelf)
    family, finish = _in_ids(family, finish)
    chosen = {each: _chosen(shelf[each], family, finish) for each in kinds}
    # What cannot be used is told where the whole shelf is shown.
    unusable = tuple(acts.unusable(options.shop_store()).values()) if not what else ()
    if as_json:
        listed: dict[str, Any] = {
            each: [fact.model_dump(mode="json") for fact in facts] for each, facts in chosen.items()
        }
        options.show_json(listed | ({"unusable": list(unusable)} if unusable else {}))
    else:
        show_tables(Terminal(), chosen, unusable)


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


def _in_ids(family: str | None, finish: str | None) -> tuple[str | None, str | None]:
    """The family and the finish that are meant."""
    return (
        None if family is None else meant_of_film("family", family),
        None if finish is None else meant_of_film("finish", finish),
    )


def _chosen(facts: Mapping[str, Any], family: str | None, finish: str | None) -> list[Any]:
    """The facts of one kind; of films only those of a family that show a finish."""
    return [
        fact
        for fact in facts.values()
        if (family is None or fact.family == family) and (finish is None or finish in fact.finishes)
    ]
