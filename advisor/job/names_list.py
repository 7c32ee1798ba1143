"""Names list: the names for a job's garments, read from a CSV file row by row."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from rules.errors import BadInputError, nearest_names

__all__ = ["LONGEST_NAME", "MOST_NAMES", "NameRow", "read_names"]

MOST_NAMES = 2000
LONGEST_NAME = 60
LARGEST_LIST_BYTES = 1_000_000
MOST_EACH = 10_000

_COLUMNS = ("name", "quantity", "size")


@dataclass(frozen=True, slots=True)
class NameRow:
    """One row of a list of names; ``row`` is its line in the file, ``size`` a garment or empty."""

    name: str
    quantity: int
    size: str
    row: int


def read_names(path: Path) -> tuple[NameRow, ...]:
    """The rows of a list of names: a CSV file with a column ``name``.

    ``quantity`` (1 by default) and ``size`` are optional; other columns are left alone. Commas,
    semicolons and tabs may part the columns.

    Raises:
        BadInputError: the file or a row cannot be used; the message names the row.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = (Path(folder) / "crew.csv").write_text("name;quantity\\nAna;2\\nZoë;\\n")
    ...     [(row.name, row.quantity) for row in read_names(Path(folder) / "crew.csv")]
    [('Ana', 2), ('Zoë', 1)]
    """
    source = str(path)
    text = _text_of(path)
    titles = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(",;\t", key=titles.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        lines = [(reader.line_num, row) for row in reader if any(cell.strip() for cell in row)]
    except csv.Error as error:
        raise BadInputError(f"is no CSV file ({error})", source=source) from None
    if not lines:
        raise BadInputError("is empty; its first line names the columns: name", source=source)
    header = [cell.strip().lower() for cell in lines[0][1]]
    columns = _columns(header, source)
    rows = [_row(cells, at, columns, source) for at, cells in lines[1:]]
    if not rows:
        raise BadInputError("has no names under its header", source=source)
    if len(rows) > MOST_NAMES:
        raise BadInputError(
            f"has {len(rows):,} names, more than the {MOST_NAMES:,} of one job; split the list",
            source=source,
        )
    return tuple(rows)


def _text_of(path: Path) -> str:
    try:
        size = path.stat().st_size
        if size > LARGEST_LIST_BYTES:
            raise BadInputError(
                f"is {size / 1e6:.1f} MB; a list of names has at most "
                f"{LARGEST_LIST_BYTES / 1e6:.0f} MB",
                source=str(path),
            )
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise BadInputError(
            f"the list of names cannot be read: {reason}", source=str(path)
        ) from None
    except UnicodeDecodeError:
        raise BadInputError("is not UTF-8 text; save it as CSV UTF-8", source=str(path)) from None
    if "\0" in text:
        raise BadInputError("is not a text file; save it as CSV UTF-8", source=str(path))
    return text


def _columns(header: Sequence[str], source: str) -> dict[str, int]:
    columns = {name: header.index(name) for name in _COLUMNS if name in header}
    for name in _COLUMNS:
        if header.count(name) > 1:
            raise BadInputError(f"has the column {name} twice", source=source)
    if "name" not in columns:
        found = ", ".join(cell for cell in header if cell)[:80]
        raise BadInputError(f"has no column called name; its columns: {found}", source=source)
    for cell in header:
        missing = [name for name in _COLUMNS if name not in columns]
        if cell not in _COLUMNS and nearest_names(cell, missing):
            raise BadInputError(
                f"has a column {cell[:40]!r}; did you mean {nearest_names(cell, missing)[0]}?",
                source=source,
            )
    return columns


def _row(cells: Sequence[str], at: int, columns: dict[str, int], source: str) -> NameRow:
    def cell(name: str) -> str:
        place = columns.get(name, len(cells))
        return cells[place].strip() if place < len(cells) else ""

    name = " ".join(unicodedata.normalize("NFC", cell("name")).split())
    where = f"row {at}"
    if not name:
        raise BadInputError(
            "the name is empty; write it or delete the row", source=source, field=where
        )
    if len(name) > LONGEST_NAME:
        raise BadInputError(
            f"the name {name[:20]!r}… has {len(name)} characters; {LONGEST_NAME} at most fit",
            source=source,
            field=where,
        )
    given = cell("quantity") or "1"
    if not (given.isascii() and given.isdigit() and 1 <= int(given[:9]) <= MOST_EACH):
        raise BadInputError(
            f"quantity {given[:20]!r} of {name!r} is no whole number from 1 to {MOST_EACH:,}",
            source=source,
            field=where,
        )
    return NameRow(name, int(given), cell("size"), at)
