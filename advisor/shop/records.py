"""Records of the shop: what it has entered itself, and what it asks for an order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from typing import Any

__all__ = [
    "BY_GARMENT",
    "BondTally",
    "CustomerItem",
    "CustomerQuote",
    "FilmTaken",
    "LoggedBond",
    "LoggedPress",
    "OwnEntry",
    "OwnShelf",
    "PressedJob",
    "Quote",
    "QuoteBreak",
    "QuoteLine",
    "by_quantity",
]  # fmt: skip


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
class EntryRow:
    """An entry as it stands in a list.

    Attributes:
        label: what it is called when something is wrong with it, such as ``row 3``.
        unread: values that could not be read, with why; ``wrong``: what else is wrong with the row.
    """

    label: str
    entry: OwnEntry
    unread: Mapping[str, str] = field(default_factory=dict)
    wrong: tuple[str, ...] = ()


@dataclass(frozen=True)
class TakenIn:
    """What came of a list of entries.

    Attributes:
        new: how many are; ``replaced``: how many took the place of one of the same id.
        counted: metres of films that stay as the shop has counted them, where the list says
            otherwise, by id.
    """

    new: int
    replaced: int
    counted: Mapping[str, float]


@dataclass(frozen=True)
class OwnShelf:
    """All that the shop entered, in the order in which it did, and what of it cannot be used.

    Attributes:
        unusable: why an entry is left out, by kind and id.
    """

    entries: tuple[OwnEntry, ...] = ()
    unusable: Mapping[tuple[str, str], str] = field(default_factory=dict)


@dataclass(frozen=True)
class FilmTaken:
    """What a job took of a film.

    Attributes:
        wanted_m: metres that it took by its nested length.
        counted_m: metres of them that were on the shelf; ``left_m`` were left there.
    """

    film: str
    wanted_m: float
    counted_m: float
    left_m: float


@dataclass(frozen=True)
class PressedJob:
    """A job as it was pressed.

    Attributes:
        key: what tells it from any other job; see `advisor.shop.pressed.job_key`.
        plan: the plan that it was pressed by, as a plan file holds it.
        shelf: what was known then of its films, fabrics and press, by kind and id.
        pressed_at: in UTC.
        number: what it is taken back by; 0 until it is kept.
    """

    key: str
    job: str
    plan: Mapping[str, Any]
    shelf: Mapping[str, Any]
    taken: tuple[FilmTaken, ...]
    pressed_at: datetime
    number: int = 0

    @property
    def on(self) -> str:
        """The day, as it is told."""
        return f"{self.pressed_at:%Y-%m-%d}"

    @property
    def films(self) -> str:
        """The metres that were counted of each film, as they are told."""
        return ", ".join(f"{each.film} {each.counted_m:.2f} m" for each in self.taken)


@dataclass(frozen=True)
class LoggedBond:
    """What became of one bond line.

    Attributes:
        below: what its film lies on: a film, or the fabric.
        outcome: of `rules.book.outcomes.OUTCOMES`.
        under: the films between ``below`` and the fabric, bottom first; ``None`` where unknown.
        colour: of the film, as a hex value; ``None`` where nobody said.
        setpoint_c, dwell_s: what the full presses over it were set to, °C and s together;
            ``None`` where nobody said.
    """

    film: str
    below: str
    outcome: str
    under: tuple[str, ...] | None = None
    colour: str | None = None
    setpoint_c: float | None = None
    dwell_s: float | None = None

    @property
    def line(self) -> str:
        """The bond line as it is typed."""
        return f"{self.film}-on-{self.below}"


@dataclass(frozen=True)
class LoggedPress:
    """Garments that were pressed alike, and what became of them.

    Attributes:
        bonds: the lowest first.
        washes: how often each of the garments was washed.
        colour: of the fabric, as a hex value; ``None`` where nobody said.
        number: what it is removed by; 0 until it is kept.
    """

    fabric: str
    press: str
    bonds: tuple[LoggedBond, ...]
    garments: int
    washes: int
    note: str
    pressed_on: date
    colour: str | None = None
    number: int = 0


@dataclass(frozen=True)
class BondTally:
    """How one bond line did on one fabric at one press, over all that was logged of it.

    Attributes:
        trials: garments; ``sound``: how many of them held.
        washes: how often the least washed of them was washed.
        at_least: the share of garments that holds at least, as sure as ``confidence``.
    """

    film: str
    below: str
    fabric: str
    press: str
    trials: int
    sound: int
    washes: int
    at_least: float
    confidence: float


@dataclass(frozen=True)
class QuoteLine:
    """One part of a price.

    Attributes:
        amount: for the whole order, in whole units of the smallest coin.
        basis: how it comes about, in words with its numbers.
        facts: these numbers by name, from which the amount can be reckoned again.
    """

    what: str
    amount: Decimal
    basis: str
    facts: Mapping[str, float]


BY_GARMENT = "by garment"
"""What stands for the price of one where each kind of garment has a price of its own."""


def by_quantity(items: Sequence[CustomerItem]) -> str:
    """What stands above the prices at other quantities.

    >>> by_quantity([CustomerItem("tee", 3, Decimal(9), Decimal(27))])
    'By quantity'
    """
    return "By quantity" if len(items) == 1 else "By quantity, each in the mix of this order"


@dataclass(frozen=True)
class QuoteBreak:
    """What one garment and all cost when so many are ordered.

    Attributes:
        quantity: the next from the one that was asked at which all kinds of garments come in whole
            numbers in the mix of the order.
        each: so that so many of it are the total; ``None`` where each kind has a price of its own.
    """

    quantity: int
    each: Decimal | None
    total: Decimal


@dataclass(frozen=True)
class CustomerItem:
    """Garments of one kind that a customer gets."""

    what: str
    quantity: int
    each: Decimal
    amount: Decimal


@dataclass(frozen=True)
class Quote:
    """What an order is to cost, before tax.

    Attributes:
        currency: its three letters.
        items: what the customer gets, and for what.
        lines: what the price is made of: the shop's own figures.
        each: the price of one garment; ``None`` where each kind of them has a price of its own.
    """

    job: str
    currency: str
    quantity: int
    items: tuple[CustomerItem, ...]
    lines: tuple[QuoteLine, ...]
    each: Decimal | None
    total: Decimal
    breaks: tuple[QuoteBreak, ...]

    @property
    def for_customer(self) -> CustomerQuote:
        """The same without the shop's own figures."""
        return CustomerQuote(
            self.job, self.currency, self.quantity, self.items, self.each, self.total, self.breaks
        )


@dataclass(frozen=True)
class CustomerQuote:
    """A quote as the customer gets it."""

    job: str
    currency: str
    quantity: int
    items: tuple[CustomerItem, ...]
    each: Decimal | None
    total: Decimal
    breaks: tuple[QuoteBreak, ...]
