"""The shop's own shelf: things added, single values changed, metres counted, things taken away.

Each act reads the store, checks what would come of it against the catalogue that ships, and writes,
all in one transaction.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from advisor.shop.checked import checked
from advisor.shop.entries import opened, put, stored, take_out
from advisor.shop.knowledge import laid_on_shelf
from advisor.shop.pressed import took_of
from advisor.shop.records import EntryRow, OwnEntry, TakenIn
from advisor.shop.typed import plain_data
from rules.catalogue import Catalogue, load_catalogue
from rules.catalogue.proposed_film import name_of
from rules.errors import BadInputError, UnknownNameError, told_together
from rules.facts.fact import Fact

__all__ = [
    "SHELF_KINDS",
    "add",
    "change",
    "count_metres",
    "kind_of",
    "remove",
    "take_in",
    "take_in_rows",
]

SHELF_KINDS = ("films", "fabrics", "garments", "presses", "sheets")
"""The kinds of things that a shop may enter."""
_NOTHING: Mapping[str, str] = MappingProxyType({})


def add(entry: OwnEntry, *, store: Path | None, unread: Mapping[str, str] = _NOTHING) -> Fact:
    """Put a thing of the shop's own on its shelf; what it does not say is proposed.

    Args:
        entry: what the shop says of it.
        store: the file of the store.
        unread: values that could not even be read, with why, to be told with whatever else is
            wrong.

    Raises:
        BadInputError: something is called so already, or values are wrong; all are told at once.
    """
    with opened(store) as connection:
        known, _ = laid_on_shelf(load_catalogue(), stored(connection))
        for kind in SHELF_KINDS:
            if entry.name in known.by_kind()[kind]:
                raise BadInputError(
                    "stands on the shelf already; `presslore shelf set` changes a value of it",
                    field=entry.name,
                )
        values = plain_data(entry.kind, entry.values)
        if entry.kind != "films" and "like" not in values:
            values = {"name": name_of(entry.name), **values}
        entry = replace(entry, values=values)
        fact = checked(entry, known, unread)
        put(connection, [entry])
    return fact


def change(name: str, changes: Mapping[str, Any], *, store: Path | None) -> Fact:
    """Change single values of a thing on the shelf, the shop's own or one that ships.

    Args:
        name: its id.
        changes: by value, such as ``price_per_m`` or ``setpoint_c.best``. Colours are added to
            those that there are; one that is given as nothing is taken away.
        store: the file of the store.

    Raises:
        BadInputError: there is no such thing, or a value is wrong.
    """
    with opened(store) as connection:
        entries = stored(connection)
        known, _ = laid_on_shelf(load_catalogue(), entries)
        kind = kind_of(name, known)
        was = _entered(entries, kind, name) or OwnEntry(kind, name, {})
        values = dict(was.values)
        for field, value in changes.items():
            _put_in(values, field, value)
        entry = replace(was, values=plain_data(kind, values))
        fact = checked(entry, laid_on_shelf(load_catalogue(), _without(entries, was))[0])
        put(connection, [entry])
    return fact


def remove(name: str, *, store: Path | None) -> Fact | None:
    """Take what the shop entered of a thing off its shelf; what ships under that id stays.

    Its count of metres stays too where jobs took of it: they are pressed, and the film is used.

    Returns:
        What ships under that id, with the metres that it has now, or nothing.

    Raises:
        BadInputError: the shop entered nothing of that id, or other entries need it.
    """
    with opened(store) as connection:
        entries = stored(connection)
        entry = next((one for one in entries if one.name == name), None)
        if entry is None:
            kind_of(name, load_catalogue())
            raise BadInputError("ships with Presslore; the shop entered nothing of it", field=name)
        before = laid_on_shelf(load_catalogue(), entries)[1].unusable
        known, after = laid_on_shelf(load_catalogue(), _without(entries, entry))
        needing = [other for _, other in after.unusable if (_, other) not in before]
        if needing:
            raise BadInputError(f"is needed by {', '.join(needing)}; remove that first", field=name)
        take_out(connection, entry)
        metres = entry.values.get("on_shelf_m")
        ships = entry.name in known.by_kind()[entry.kind]
        if ships and metres is not None and took_of(connection, entry.name):
            put(connection, [replace(entry, values={"on_shelf_m": metres})])
            known, _ = laid_on_shelf(load_catalogue(), stored(connection))
    return known.by_kind()[entry.kind].get(name)


def count_metres(name: str, by_m: float, *, store: Path | None) -> float:
    """Count metres of a film up, or down as they are used.

    Returns:
        Metres that are left.

    Raises:
        BadInputError: there is no such film, or less of it than is taken.
    """
    with opened(store) as connection:
        entries = stored(connection)
        known, _ = laid_on_shelf(load_catalogue(), entries)
        had_m = known.film(name).on_shelf_m
        left_m = round(had_m + by_m, 4)
        if left_m < 0:
            raise BadInputError(
                f"has {had_m:g} m on the shelf, so {-by_m:g} m cannot be taken; "
                f"`presslore shelf set {name} metres M` says what is there",
                field=name,
            )
        was = _entered(entries, "films", name) or OwnEntry("films", name, {})
        entry = replace(was, values={**was.values, "on_shelf_m": left_m})
        checked(entry, known)
        put(connection, [entry])
    return left_m


def take_in(new: Iterable[OwnEntry], *, store: Path | None, counts: bool = False) -> TakenIn:
    """Take in a list of entries, all or none; one of the same id takes the old one's place.

    A film's metres stay as the shop has counted them: jobs may have taken some since the list was
    written.

    Args:
        counts: the metres of the list are those that are there now.

    Raises:
        BadInputError: some are wrong; all of them are told.
    """
    return take_in_rows([EntryRow(one.name, one) for one in new], store=store, counts=counts)


def take_in_rows(
    rows: Iterable[EntryRow],
    *,
    store: Path | None,
    wrong: Iterable[str] = (),
    counts: bool = False,
) -> TakenIn:
    """The same of rows of which some may not even be read, to be told with whatever else is wrong.

    Args:
        wrong: what is wrong with the whole list.
        counts: the metres of the list are those that are there now.
    """
    arriving = [
        replace(row, entry=replace(row.entry, values=plain_data(row.entry.kind, row.entry.values)))
        for row in rows
    ]
    new, told = [row.entry for row in arriving], [*wrong]
    with opened(store) as connection:
        entries = stored(connection)
        replaced = [one for one in entries if _entered(new, one.kind, one.name) is not None]
        laid = [one for one in entries if one not in replaced]
        for row in sorted(arriving, key=lambda row: row.entry.kind == "garments"):
            told += (f"{row.label}: {why}" for why in row.wrong)
            try:
                if row.entry.name:
                    checked(row.entry, laid_on_shelf(load_catalogue(), laid)[0], row.unread)
                    laid.append(row.entry)
            except BadInputError as error:
                told.append(f"{row.label}: {error}")
                laid.append(row.entry)
        if told:
            raise told_together(told)
        counted = {} if counts else _counted(replaced, new)
        put(connection, [_with_count(one, counted.get(one.name)) for one in new])
    return TakenIn(len(new) - len(replaced), len(replaced), counted)


def _counted(replaced: Iterable[OwnEntry], new: Iterable[OwnEntry]) -> dict[str, float]:
    """The metres that the shop has counted of films of which a list says otherwise, or nothing."""
    listed = {one.name: one.values.get("on_shelf_m") for one in new if one.kind == "films"}
    return {
        was.name: was.values["on_shelf_m"]
        for was in replaced
        if was.kind == "films" and was.values.get("on_shelf_m") not in {None, listed[was.name]}
    }


def _with_count(entry: OwnEntry, metres: float | None) -> OwnEntry:
    if entry.kind != "films" or metres is None:
        return entry
    return replace(entry, values={**entry.values, "on_shelf_m": metres})


def kind_of(name: str, known: Catalogue) -> str:
    """The kind of the thing of that id.

    Raises:
        UnknownNameError: there is none; the nearest are offered.
    """
    shelf = {kind: known.by_kind()[kind] for kind in SHELF_KINDS}
    for kind, things in shelf.items():
        if name in things:
            return kind
    raise UnknownNameError("thing on the shelf", name, [n for each in shelf.values() for n in each])


def _entered(entries: Iterable[OwnEntry], kind: str, name: str) -> OwnEntry | None:
    return next((one for one in entries if (one.kind, one.name) == (kind, name)), None)


def _without(entries: Iterable[OwnEntry], entry: OwnEntry) -> tuple[OwnEntry, ...]:
    return tuple(one for one in entries if (one.kind, one.name) != (entry.kind, entry.name))


def _put_in(values: dict[str, Any], field: str, value: Any) -> None:
    """A change put into an entry's values: a part of a value beside its other parts."""
    field, _, part = field.partition(".")
    was = values.get(field)
    if part:
        values[field] = {**(was if isinstance(was, Mapping) else {}), part: value}
    elif field == "colours" and isinstance(value, Mapping) and isinstance(was, Mapping):
        values[field] = {**was, **value}
    else:
        values[field] = value
