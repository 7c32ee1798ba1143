"""Kept orders: every state of a job, in a file beside the shop's store, under a word of its own.

What is kept under a word never changes, so that an address reopens exactly what it was written
for, and two people or two tabs can never overwrite each other's names.
"""

from __future__ import annotations

import os
import zlib
from pathlib import Path
from threading import get_ident

from advisor.job.demo import DEMO_JOBS
from advisor.job.saving import safe_name
from advisor.shop.place import store_path
from rules.errors import BadInputError
from ui.order.record import CustomerOrder, demo_order
from ui.order.text import order_from_text, order_to_text

__all__ = ["keep_order", "kept_order"]

_MOST_KEPT = 1_000
"""So many states of jobs are kept; those that were opened longest ago are let go."""
_LETTERS = 12


def keep_order(order: CustomerOrder) -> str:
    """Keep an order; returns the word that reopens it, with its title in it.

    >>> keep_order(demo_order("bags"))
    'bags'
    """
    for name in DEMO_JOBS:
        if order == demo_order(name):
            return name
    place = _file(order.key)
    if place.exists():
        place.touch()
    else:
        place.parent.mkdir(parents=True, exist_ok=True)
        fresh = place.with_suffix(f".{os.getpid()}-{get_ident()}")
        fresh.write_bytes(zlib.compress(order_to_text(order).encode()))
        fresh.replace(place)
        _let_go(place.parent)
    return f"{safe_name(order.job.job)}-{order.key[:_LETTERS]}"


def kept_order(word: str) -> CustomerOrder:
    """The order that was kept under a word.

    Raises:
        BadInputError: nothing is kept under it, or no longer.

    >>> kept_order("../../passwd")
    Traceback (most recent call last):
    rules.errors.BadInputError: address: no job is kept here as '../../passwd'; open its job file
    """
    if word in DEMO_JOBS:
        return demo_order(word)
    key = word.rpartition("-")[2]
    if len(key) == _LETTERS and key.isalnum():
        try:
            return order_from_text(zlib.decompress(_file(key).read_bytes()).decode())
        except (OSError, zlib.error):
            pass
    raise BadInputError(
        f"no job is kept here as {word[:80]!r}; open its job file", source="address"
    )


def _file(key: str) -> Path:
    store = store_path()
    return store.with_name(f"{store.name}-jobs") / key[:_LETTERS]


def _let_go(folder: Path) -> None:
    kept = sorted(folder.iterdir(), key=lambda file: file.stat().st_mtime, reverse=True)
    for file in kept[_MOST_KEPT:]:
        file.unlink(missing_ok=True)
