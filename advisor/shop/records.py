"""Records of the shop: what it has entered itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

__all__ = ["OwnEntry", "OwnShelf"]


@dataclass(frozen=True)
class OwnEntry:
    """A thing that the shop entered: one of its own, or some values of one that ships.

    Attributes:
        kind: ``films``, ``fabrics``, ``garments``, ``presses`` or ``sheets``.
        name: its id.
        values: what the shop said of it and nothing else, as plain data; ``like`` names what the
            rest is proposed from.
    """

    kind: str
    name: str
    values: Mapping[str, Any]


@dataclass(frozen=True)
class OwnShelf:
    """All that the shop entered, in the order in which it did, and what of it cannot be used.

    Attributes:
        unusable: why an entry is left out, by kind and id.
    """

    entries: tuple[OwnEntry, ...] = ()
    unusable: Mapping[tuple[str, str], str] = field(default_factory=dict)
