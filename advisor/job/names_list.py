"""Names list: the names for a job's garments, read row by row from a CSV file or a spreadsheet."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Iterable, Sequence
from pathlib import Path

from advisor.job.records.job import NameRow
from advisor.job.sheet import Line, sheet_lines
from rules.catalogue.documents import file_bytes
from rules.errors import BadInputError, nearest_names, told_together

__all__ = [
    "LONGEST_NAME", "MOST_EACH", "MOST_NAMES", "SPREADSHEETS", "Lines", "csv_of_sheet",
    "is_quantity", "list_lines", "read_names", "refuse_shape",
    "told_twice",
]  # fmt: skip

MOST_NAMES = 2000
LONGEST_NAME = 60
LARGEST_LIST_BYTES = 1_000_000
MOST_EACH = 10_000
SPREADSHEETS = (".xlsx", ".xlsm")

_COLUMNS = ("name", "quantity", "size")

Lines = list[Line]
"""The lines that say anything, the header first."""


def read_names(path: Path) -> tuple[NameRow, ...]:
    """The rows of a list of names: a CSV file, or the first sheet of an XLSX one that is not
    hidden.

    It has a column ``name``; ``quantity`` (1 by default) and ``size`` are optional; other columns
    are left alone. Commas, semicolons and tabs may part the columns of a CSV file. A formula in a
    spreadsheet is never worked out: what counts is the value that was saved with it.

    Raises:
        BadInputError: the file or some of its rows cannot be used; the message tells every such
            row.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     _ = (Path(folder) / "crew.csv").write_text("name;quantity\\nAna;2\\nZoë;\\n")
    ...     [(row.name, row.quantity) for row in read_names(Path(folder) / "crew.csv")]
    [('Ana', 2), ('Zoë', 1)]
    """
    source = str(path)
    lines = list_lines(path)
    header = [cell.strip().lower() for cell in lines[0].cells]
    columns = _columns(header, source)
    refuse_shape(lines, source)
    wrong: list[str] = []
    rows = [_row(line, columns, wrong) for line in lines[1:]]
    if wrong:
        raise told_together(wrong).at(source=source)
    return tuple(row for row in rows if row is not None)


def list_lines(path: Path) -> Lines:
    """The lines of a CSV file or of a spreadsheet's first sheet, the header first.

    Raises:
        BadInputError: it cannot be read, or is empty.
    """
    lines = (
        sheet_lines(_bytes_of(path), str(path))
        if path.suffix.lower() in SPREADSHEETS
        else _csv_lines(path)
    )
    if not lines:
        raise BadInputError("is empty; its first line names the columns: name", source=str(path))
    return lines


def refuse_shape(lines: Lines, source: str) -> None:
    """Refuse a list with nothing under its header, one that is too long, and cells in no column."""
    if len(lines) == 1:
        raise BadInputError("has no names under its header", source=source)
    if len(lines) - 1 > MOST_NAMES:
        raise BadInputError(
            f"has {len(lines) - 1:,} names, more than the {MOST_NAMES:,} of one job; split the "
            "list",
            source=source,
        )
    if not source.lower().endswith(SPREADSHEETS):
        _refuse_stray(lines, source)


def _refuse_stray(lines: Lines, source: str) -> None:
    """Refuse cells beyond the columns: a comma that nobody quoted has moved the rest of its row."""
    columns = len(lines[0].cells)
    wrong = [
        f"row {line.row}: {line.cells[columns]!r} stands in no column, the list has {columns}; "
        'a comma within a cell wants quotes: "Smith, Jr"'
        for line in lines
        if any(map(_typed, line.cells[columns:]))
    ]
    if wrong:
        raise told_together(wrong).at(source=source)


def csv_of_sheet(path: Path) -> str:
    """The first sheet of a spreadsheet as CSV, each row on the line of its own number.

    Raises:
        BadInputError: it cannot be read, or cells that a list of names is read by say nothing that
            a CSV file could; the message tells every such row.
    """
    lines = sheet_lines(_bytes_of(path), str(path))
    header = [cell.strip().lower() for cell in lines[0].cells] if lines else []
    wrong = [
        f"row {line.row}: the {name} {line.fault(place)}"
        for line in lines[1:]
        for place, name in enumerate(header)
        if name in _COLUMNS and line.fault(place)
    ]
    if wrong:
        raise told_together(wrong).at(source=str(path))
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    at = 0
    for line in lines:
        out.write("\n" * (line.row - at - 1))
        table.writerow([" ".join(cell.split()) for cell in line.cells])
        at = line.row
    return out.getvalue()


def _csv_lines(path: Path) -> Lines:
    text = _text_of(path)
    titles = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = max(",;\t", key=titles.count)
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter)
    try:
        # Rows as a spreadsheet numbers them: a break within a cell begins none.
        rows = list(enumerate(reader, 1))
    except csv.Error as error:
        raise BadInputError(f"is no CSV file ({error})", source=str(path)) from None
    return [Line(number, tuple(row)) for number, row in rows if any(map(_typed, row))]


def _typed(cell: str) -> str:
    """What was typed in a cell: a no-break space alone may be meant for a name, so it stays."""
    return cell.strip(" \t\r\n")


def _bytes_of(path: Path) -> bytes:
    return file_bytes(path, most_bytes=LARGEST_LIST_BYTES, kind="a list of names")


def _text_of(path: Path) -> str:
    try:
        text = _bytes_of(path).decode("utf-8-sig")
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


def _row(line: Line, columns: dict[str, int], wrong: list[str]) -> NameRow | None:
    """A row, or what is wrong with it added to ``wrong``."""

    def cell(name: str) -> str:
        place = columns.get(name, len(line.cells))
        return line.cells[place].strip() if place < len(line.cells) else ""

    faults = {name: line.fault(place) for name, place in columns.items() if line.fault(place)}
    told = [f"the {name} {why}" for name, why in faults.items()]
    name = " ".join(unicodedata.normalize("NFC", cell("name")).split())
    given = cell("quantity") or "1"
    if not name and "name" not in faults:
        told.append("the name is empty; write it or delete the row")
    if len(name) > LONGEST_NAME:
        told.append(
            f"the name {name[:20]!r}… has {len(name)} characters; {LONGEST_NAME} at most fit"
        )
    if not is_quantity(given) and "quantity" not in faults:
        whose = f" of {name[:LONGEST_NAME]!r}" if name else ""
        told.append(f"quantity {given[:20]!r}{whose} is no whole number from 1 to {MOST_EACH:,}")
    wrong += (f"row {line.row}: {one}" for one in told)
    return None if told else NameRow(name, int(given), cell("size"), line.row)


def is_quantity(given: str) -> bool:
    """Whether a cell holds a whole number of garments.

    >>> is_quantity("12"), is_quantity("0"), is_quantity("1.5")
    (True, False, False)
    """
    return given.isascii() and given.isdigit() and 1 <= int(given[:9]) <= MOST_EACH


def told_twice(named: Iterable[tuple[int, str, object]]) -> list[str]:
    """Names that a list has twice, which may be two people or one who was written twice.

    Args:
        named: of each row its line in the list, the name, and what it is for: names for different
            things are never one.

    >>> told_twice([(2, "Dora", "hoodie"), (3, "Dora", "tee"), (4, "dora", "tee")])
    ["'dora' in row 4 stands in row 3 too: two people?"]
    """
    first: dict[tuple[str, object], int] = {}
    told = []
    for row, name, of in named:
        was = first.setdefault((name.casefold(), of), row)
        if was != row:
            told.append(f"{name!r} in row {row} stands in row {was} too: two people?")
    return told
