"""The shop's knowledge: rules, and the catalogue that ships with what is the shop's own over it."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from advisor.shop.entries import opened, stored
from advisor.shop.place import store_path
from advisor.shop.records import OwnEntry, OwnShelf
from advisor.shop.trials import all_trials
from rules.catalogue import MODELS, Catalogue, laid_over, load_catalogue, with_folders
from rules.catalogue.written import Written
from rules.errors import BadInputError
from rules.facts.trial import Trial
from rules.knowledge import Knowledge
from rules.rulebook import rulebook
from rules.shop_log import ShopLog

__all__ = ["laid_on_shelf", "shop_knowledge", "store_stamp", "written_as"]

_BY_THE_SHOP = frozenset({"id", "name", "colours", "price_per_m", "on_shelf_m", "family"})
"""What of a film the shop knows without its data sheet."""


def shop_knowledge(*folders: Path, store: Path | None = None) -> Knowledge:
    """All that this shop's judgements rest on, for whoever judges.

    Args:
        folders: catalogues of the shop's own, laid over what its store holds.
        store: the file of the store; without it, where the shop keeps it.

    Raises:
        BadInputError: store, folder or file cannot be read, or an entry of a folder is wrong.
    """
    entries, trials = _remembered(store or store_path())
    known, _ = laid_on_shelf(load_catalogue(), entries)
    if folders:
        known = with_folders(known, folders)
    return Knowledge(rulebook(), known, (ShopLog(trials, known),) if trials else ())


def _remembered(path: Path) -> tuple[tuple[OwnEntry, ...], tuple[Trial, ...]]:
    """What the shop entered, and what it tried; nothing where there is no store."""
    if not path.exists():
        return (), ()
    with opened(path) as connection:
        return stored(connection), all_trials(connection)


def laid_on_shelf(known: Catalogue, entries: Iterable[OwnEntry]) -> tuple[Catalogue, OwnShelf]:
    """A catalogue with what the shop entered over it, and what of that cannot be used.

    An entry that this version's catalogue no longer bears out, such as the price of a film that it
    has no more, is left out, not lost: it stays in the store and is told by `presslore shelf`.
    """
    kept, unusable = tuple(entries), {}
    for entry in sorted(kept, key=lambda one: one.kind == "garments"):
        try:
            known = laid_over(known, {entry.kind: [written_as(entry)]})
        except BadInputError as error:
            unusable[entry.kind, entry.name] = str(error)
    return known, OwnShelf(kept, unusable)


def written_as(entry: OwnEntry) -> Written:
    """An entry of the store as a catalogue reads it, with what its values rest on.

    >>> values = {"like": "matte-smooth", "peel": "cold", "price_per_m": 8}
    >>> written_as(OwnEntry("films", "ours", values)).fields["basis"]
    {'peel': 'sheet', 'price_per_m': 'shop'}
    """
    values = {"id": entry.name, **entry.values}
    of_a_film = entry.kind == "films" and not {"like", "family"}.isdisjoint(values)
    rests = {
        field: "sheet" if of_a_film and field not in _BY_THE_SHOP else "shop"
        for field in values
        if field != "id" and field in MODELS[entry.kind].model_fields
    }
    return Written(f"own {entry.kind}: {entry.name}", {**values, "basis": rests}, "shop")


def store_stamp(store: Path | None = None) -> tuple[tuple[int, int], ...]:
    """What tells whether the store has changed: the age and size of its files."""
    path = store or store_path()
    files = (path, path.with_name(path.name + "-wal"))
    return tuple((s.st_mtime_ns, s.st_size) for s in (f.stat() for f in files if f.exists()))
