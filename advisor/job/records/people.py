"""People: who gets which garment with what on it, read row by row from a list with any columns."""

from __future__ import annotations

import difflib
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from advisor.job.misspelt import no_column
from advisor.job.names_list import (
    LONGEST_NAME,
    MOST_EACH,
    Lines,
    is_quantity,
    list_lines,
    refuse_shape,
    told_twice,
)
from advisor.job.records.order import Order, OrderedGarment
from advisor.job.sheet import Line
from rules.catalogue.everyday import Words, as_word, load_words, meant
from rules.errors import BadInputError, UnknownNameError, nearest_names, told_together

__all__ = ["NOBODY", "People", "Person", "read_people"]

KNOWN = ("garment", "size", "colour", "quantity")
"""Columns that have a meaning of their own; all others may be lettered."""

SPELT = {"color": "colour", "qty": "quantity", "number of garments": "quantity"}
"""Other ways in which people write these."""

SURELY_MEANT = 0.8
"""A column that looks so much like a known one is that one misspelt; others are the shop's own."""

NOTHING = ("-", "–", "—")
"""What stands in a cell whose garment is to get nothing there."""


Unsettable = Callable[[str, str], str | None]
"""Why the font of a column cannot set a text; nothing where it can."""


@dataclass(frozen=True, slots=True)
class Person:
    """One row: ``line`` is the line of the order, from 0, and ``says`` the row by its columns.

    Attributes:
        row: its line in the file.
        quantity: how many garments they get, all alike.
    """

    row: int
    line: int
    quantity: int
    says: Mapping[str, str]

    def lettered(self, column: str) -> str:
        """What they get of a column; nothing where a dash stands."""
        said = self.says.get(column, "")
        return "" if said in NOTHING else said


@dataclass(frozen=True, slots=True)
class People:
    """The rows of a list in its order, its columns, and what is worth a look in it."""

    columns: tuple[str, ...] = ()
    rows: tuple[Person, ...] = ()
    notes: tuple[str, ...] = ()


NOBODY = People()
"""The people of an order that letters nothing."""


def read_people(
    path: Path,
    order: Order,
    words: Mapping[str, Words] | None = None,
    unsettable: Unsettable = lambda column, said: None,
) -> People:
    """The people of an order, each with the line of the order that they get a garment of.

    A row goes to the line whose garment it names under ``garment``, or under ``size`` where there
    is no such column; where the order has that garment in several colours, ``colour`` says which.
    A dash in a lettered column leaves the place bare.

    Args:
        unsettable: why the font of a column cannot set a text; nothing where it can.

    Raises:
        BadInputError: the list or some of its rows cannot be used; the message tells every such
            row, with the nearest right value.
    """
    source, lines = str(path), list_lines(path)
    header = [SPELT.get(cell, cell) for cell in (_plain(cell).lower() for cell in lines[0].cells)]
    _refuse_header(header, order.columns, source)
    refuse_shape(lines, source)
    reader = _Reader(order, tuple(header), words or load_words(), unsettable)
    rows = [reader.person(line) for line in lines[1:]]
    reader.tell_doubles(lines)
    reader.tell_too_many(rows)
    if reader.wrong:
        by_row = sorted(reader.wrong, key=lambda one: one[0])
        raise told_together(f"row {at}: {said}" for at, said in by_row).at(source=source)
    found = tuple(row for row in rows if row is not None)
    return People(
        columns=tuple(cell for cell in header if cell),
        rows=found,
        notes=tuple(_doubled(found, order)),
    )


def _plain(cell: str) -> str:
    return " ".join(unicodedata.normalize("NFC", cell).split())


def _refuse_header(header: Sequence[str], lettered: Sequence[str], source: str) -> None:
    """Refuse a list that lacks a column which is lettered, or has one twice."""
    for name in (*KNOWN, *lettered):
        if header.count(name) > 1:
            raise BadInputError(f"has the column {name} twice", source=source)
    there = [cell for cell in header if cell]
    for name in lettered:
        if name not in header:
            raise BadInputError(no_column(name, there), source=source)
    missing = [name for name in KNOWN if name not in header]
    for cell in there:
        meant_for = [name for name in missing if _likeness(cell, name) >= SURELY_MEANT]
        if cell not in (*KNOWN, *lettered) and meant_for:
            raise BadInputError(
                f"has a column {cell[:40]!r}; did you mean {meant_for[0]}?", source=source
            )


def _likeness(one: str, other: str) -> float:
    return difflib.SequenceMatcher(None, one, other).ratio()


class _Reader:
    """Reads rows one by one and keeps all that is wrong with them."""

    def __init__(
        self,
        order: Order,
        header: tuple[str, ...],
        words: Mapping[str, Words],
        unsettable: Unsettable,
    ) -> None:
        self.order, self.header, self.words = order, header, words
        self.unsettable = unsettable
        self.wrong: list[tuple[int, str]] = []

    def person(self, line: Line) -> Person | None:
        """A row, or nothing where it is wrong."""
        says = {
            name: _plain(line.cells[place]) if place < len(line.cells) else ""
            for place, name in enumerate(self.header)
            if name
        }
        faults = {
            name: line.fault(place)
            for place, name in enumerate(self.header)
            if name in (*KNOWN, *self.order.columns) and line.fault(place)
        }
        told = [f"the {name} {why}" for name, why in faults.items()]
        quantity = says.get("quantity") or "1"
        if not is_quantity(quantity) and "quantity" not in faults:
            told.append(f"quantity {quantity[:20]!r} is no whole number from 1 to {MOST_EACH:,}")
        of_order = -1
        if not faults.keys() & {"garment", "size", "colour"}:
            try:
                of_order = self._line(says)
                says |= self._size(says, self.order.garments[of_order])
            except BadInputError as error:
                told.append(error.reason)
        # Of a column that its garment does not bear, nobody fills in the cell.
        worn = self.order if of_order < 0 else self.order.garments[of_order]
        lettered = [one for one in self.order.columns if one in worn.columns or says[one]]
        told += (
            why
            for column in lettered
            if column not in faults and (why := self._unlettered(column, says[column]))
        )
        self.wrong += ((line.row, one) for one in told)
        return None if told else Person(line.row, of_order, int(quantity), says)

    def _unlettered(self, column: str, said: str) -> str | None:
        """Why what is said in a column cannot be lettered."""
        if not said:
            return f"the {column} is empty; write it, or a dash where it is to stay bare"
        if len(said) > LONGEST_NAME:
            return (
                f"the {column} {said[:20]!r}… has {len(said)} characters; {LONGEST_NAME} at most "
                "fit"
            )
        return None if said in NOTHING else self.unsettable(column, said)

    def _line(self, says: Mapping[str, str]) -> int:
        """The line of the order that a row gets a garment of."""
        lines = self.order.garments
        garments = list(dict.fromkeys(line.garment for line in lines))
        said, column = says.get("garment", ""), "garment"
        if "garment" not in says and len(garments) > 1:
            # A list of a club says S, M and L of one garment, or child and adult of two.
            size = says.get("size", "")
            of_size = list(dict.fromkeys(line.garment for line in lines if _comes_in(line, size)))
            if of_size:
                garments = of_size
            else:
                said, column = size, "size"
        if said:
            garment = self._garment(said, garments, column)
        elif len(garments) == 1:
            garment = garments[0]
        else:
            raise BadInputError(
                f"says no garment, and the order has {', '.join(garments)}; write one of them in "
                "the column garment"
            )
        of_it = {n: line for n, line in enumerate(lines) if line.garment == garment}
        said = says.get("colour", "")
        if not said and len(of_it) == 1:
            return next(iter(of_it))
        return self._coloured(said, garment, of_it)

    def _size(self, says: Mapping[str, str], line: OrderedGarment) -> dict[str, str]:
        """The size of a row as the order writes it; nothing where the order asks for none.

        Raises:
            BadInputError: the order does not have it of that garment.
        """
        said = says.get("size", "")
        if line.sizes is None:
            return {}
        known = {str(size).lower(): str(size) for size in line.sizes}
        if said.lower() in known:
            return {"size": known[said.lower()]}
        near = nearest_names(said, known) if said else []
        sizes = [known[name] for name in near] or list(line.sizes)
        told = f"the size {said[:20]!r} is none of the order" if said else "says no size"
        raise BadInputError(
            f"{told}; {'nearest' if near else line.garment + ' comes in'}: {', '.join(sizes)}"
        )

    def _garment(self, said: str, garments: Sequence[str], column: str) -> str:
        try:
            return meant("garment", said, garments, self.words["garments"])
        except UnknownNameError as error:
            near = error.reason.partition("; ")[2]
            raise BadInputError(
                f"the {column} {said[:40]!r} is no garment of the order; {near}"
            ) from None

    def _coloured(self, said: str, garment: str, of_it: Mapping[int, OrderedGarment]) -> int:
        comes_in = {line.colour or "its usual colour": n for n, line in of_it.items()}
        if len(comes_in) < len(of_it):
            raise BadInputError(
                f"the order has several lines of {garment} in one colour; people cannot tell them "
                "apart, so make them one line"
            )
        if not said:
            raise BadInputError(
                f"{garment} comes in {', '.join(comes_in)}; write one of them in the column colour"
            )
        word = str(as_word(said))
        if word in comes_in:
            return comes_in[word]
        try:
            return comes_in[meant("colour", said, comes_in, self.words["colours"])]
        except UnknownNameError as error:
            near = error.reason.partition("; ")[2]
            raise BadInputError(
                f"{garment} does not come in {said[:40]!r} in this order; {near}"
            ) from None

    def tell_doubles(self, lines: Lines) -> None:
        """Rows that say the very same as an earlier one: one of them was pasted twice."""
        first: dict[tuple[str, ...], int] = {}
        for line in lines[1:]:
            row = tuple(map(_plain, line.cells))
            if row in first:
                again = f"says the same as row {first[row]}; delete one, or write 2 under quantity"
                self.wrong.append((line.row, again))
            first.setdefault(row, line.row)

    def tell_too_many(self, rows: Sequence[Person | None]) -> None:
        """People for whom a line has no garment left."""
        of_size: Counter[tuple[int, str]] = Counter()
        left = Counter({n: line.quantity for n, line in enumerate(self.order.garments)})
        for row in rows:
            if row is None:
                continue
            line = self.order.garments[row.line]
            size = row.says.get("size", "").lower()
            left[row.line] -= row.quantity
            of_size[row.line, size] += row.quantity
            ordered = {name.lower(): many for name, many in (line.sizes or {}).items()}
            if left[row.line] < 0:
                more = (
                    f"no garment is left: the list has more people for {line.worn} than the "
                    f"{line.quantity} of the order"
                )
                self.wrong.append((row.row, more))
            elif size in ordered and of_size[row.line, size] > ordered[size]:
                more = (
                    f"no {line.worn} in {row.says['size']} is left: the order has {ordered[size]}"
                )
                self.wrong.append((row.row, more))


def _comes_in(line: OrderedGarment, size: str) -> bool:
    return size.lower() in {str(known).lower() for known in line.sizes or ()}


def _doubled(rows: Sequence[Person], order: Order) -> list[str]:
    """Numbers that several people wear, which teams mostly do not want, and names had twice."""
    told = []
    for column in order.columns:
        wear: dict[str, list[int]] = defaultdict(list)
        for row in rows:
            wear[row.lettered(column)].append(row.row)
        if all(said.removeprefix("#").isdigit() or not said for said in wear):
            told += [
                f"the {column} {said} is on rows {', '.join(map(str, at))} of the list"
                for said, at in wear.items()
                if said and len(at) > 1
            ]
        elif len(wear) > 1 or len(rows) == 2:
            # A word that all of them bear is the crew's, and nobody's name.
            told += told_twice(
                (one.row, said, one.line) for one in rows if (said := one.lettered(column))
            )
    return told
