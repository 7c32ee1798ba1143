"""Entries of the shop's own shelf in its store: read, put, taken out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from advisor.shop.place import store_path
from advisor.shop.records import OwnEntry

if TYPE_CHECKING:
    from sqlalchemy import Connection

__all__ = ["opened", "own_entries", "put", "stored", "take_out"]


def own_entries(path: Path | None = None) -> tuple[OwnEntry, ...]:
    """What the shop entered, in that order; nothing where there is no store.

    Raises:
        BadInputError: the store cannot be read.
    """
    path = path or store_path()
    if not path.exists():
        return ()
    with opened(path) as connection:
        return stored(connection)


@contextmanager
def opened(path: Path | None = None) -> Iterator[Connection]:
    """The store's connection, as `advisor.shop.store.open_store` gives it."""
    # Only here, and so below: the libraries take longer to load than most questions to answer.
    from advisor.shop.store import open_store

    with open_store(path or store_path()) as connection:
        yield connection


def stored(connection: Connection) -> tuple[OwnEntry, ...]:
    """What the shop entered, in that order."""
    from sqlalchemy import select

    from advisor.shop.tables import entries

    rows = connection.execute(select(entries).order_by(entries.c.number))
    return tuple(OwnEntry(row.kind, row.name, row._mapping["values"]) for row in rows)


def put(connection: Connection, new: Iterable[OwnEntry]) -> None:
    """Enter things, or put new values in the place of what was entered of them."""
    from sqlalchemy import insert, update

    from advisor.shop.tables import entries

    now = datetime.now(UTC).replace(tzinfo=None)
    for entry in new:
        same = (entries.c.kind == entry.kind) & (entries.c.name == entry.name)
        values = {"values": dict(entry.values), "entered_at": now}
        if not connection.execute(update(entries).where(same).values(values)).rowcount:
            row = {"kind": entry.kind, "name": entry.name, **values}
            connection.execute(insert(entries).values(row))


def take_out(connection: Connection, entry: OwnEntry) -> None:
    """Forget what was entered of a thing."""
    from sqlalchemy import delete

    from advisor.shop.tables import entries

    same = (entries.c.kind == entry.kind) & (entries.c.name == entry.name)
    connection.execute(delete(entries).where(same))
