"""Sheet: the lines of a spreadsheet or CSV file, each cell as the person who wrote it sees it."""

from __future__ import annotations

import io
import lzma
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from rules.errors import BadInputError

__all__ = ["UNREADABLE_ZIP", "Line", "sheet_lines"]

UNREADABLE_ZIP = (
    zipfile.BadZipFile, RuntimeError, ValueError, OSError, EOFError, OverflowError, MemoryError,
    struct.error, zlib.error, lzma.LZMAError,
)  # fmt: skip
"""What the library raises of a damaged, encrypted or unusual zip file: it tries to read it all."""

LARGEST_UNPACKED_BYTES = 50_000_000
MOST_COLUMNS = 50

ERRORS = ("#NULL!", "#DIV/0!", "#VALUE!", "#REF!", "#NAME?", "#NUM!", "#N/A")
"""What a formula that failed shows; ISO/IEC 29500-1, 18.18.11."""

NOT_CALCULATED = (
    "is a formula that the spreadsheet has not calculated; open the file there, save it and give "
    "it again"
)

GENERAL_SHOWS, GENERAL_LEAST = 11, Decimal("0.0001")
"""A cell without a format shows at most so many characters, and from what number on it shows no
power of ten. Values from memory."""

_PADDING = re.compile(r"_.|\*.|\[[^\]]*\]")
_LITERAL = re.compile(r'"([^"]*)"|\\(.)')
_DIGITS = re.compile(r"(?P<whole>[0#?,]*[0#?])(?:\.(?P<decimals>[0#?]*))?")


@dataclass(frozen=True, slots=True)
class Line:
    """A line that says something.

    Attributes:
        row: its number in the file.
        unread: why a cell is no text to use, by its place in ``cells``.
    """

    row: int
    cells: tuple[str, ...]
    unread: Mapping[int, str] = field(default_factory=dict)

    def fault(self, place: int) -> str:
        """Why a cell cannot be used; nothing where it can.

        >>> Line(3, ("#REF!", "Ana")).fault(0)
        "holds the spreadsheet's error #REF!; mend its formula, or type what it should say"
        >>> Line(3, ("#REF!", "Ana")).fault(1)
        ''
        """
        said = self.cells[place].strip() if place < len(self.cells) else ""
        if place in self.unread:
            return self.unread[place]
        if said.upper() in ERRORS:
            told = "mend its formula, or type what it should say"
            return f"holds the spreadsheet's error {said}; {told}"
        if len(said.splitlines()) > 1:
            return f"{' '.join(said.split())[:20]!r} is written on several lines; write it on one"
        return ""


def sheet_lines(data: bytes, source: str) -> list[Line]:
    """The lines of the first sheet of an XLSX file that is not hidden.

    A formula is never worked out: what counts is the value that was saved with it.

    Raises:
        BadInputError: it cannot be read, or another sheet has the same columns and says otherwise.
    """
    # Only here, since most lists and all other questions need none of it.
    from openpyxl import load_workbook

    try:
        unpacked = sum(entry.file_size for entry in zipfile.ZipFile(io.BytesIO(data)).infolist())
        if unpacked > LARGEST_UNPACKED_BYTES:
            raise BadInputError(
                f"unpacks to {unpacked / 1e6:.0f} MB; a list of names is far smaller",
                source=source,
            )
        written, saved = (
            load_workbook(io.BytesIO(data), read_only=True, data_only=values, keep_links=False)
            for values in (False, True)
        )
        seen = [one for one in saved.worksheets if one.sheet_state == "visible"]
        sheets = {
            one.title: _lines(written[one.title], one) for one in seen or saved.worksheets[:1]
        }
        (first, lines), *others = sheets.items()
    except (*UNREADABLE_ZIP, LookupError, SyntaxError, TypeError, AttributeError):
        raise BadInputError("is no XLSX spreadsheet that can be read", source=source) from None
    _refuse_same_columns(first, lines, dict(others), source)
    return lines


def _refuse_same_columns(
    first: str, lines: Sequence[Line], others: Mapping[str, Sequence[Line]], source: str
) -> None:
    """Refuse to choose between lists: what is lettered from the wrong one is spoilt.

    What goes with the list, such as a key to its sizes, has other columns.
    """

    def columns(of: Sequence[Line]) -> set[str]:
        return {cell.strip().lower() for cell in of[0].cells} - {""} if of else set()

    said = [line.cells for line in lines[1:]]
    rivals = [
        name
        for name, rows in others.items()
        if said and len(rows) > 1 and columns(lines) <= columns(rows)
        and [line.cells for line in rows[1:]] != said
    ]  # fmt: skip
    if rivals:
        named = ", ".join(repr(name) for name in rivals)
        raise BadInputError(
            f"the sheet {first!r} would be read, being the first, and {named} has the same columns "
            "with other rows; hide or delete the sheets that are not to be lettered",
            source=source,
        )


def _lines(written: Any, saved: Any) -> list[Line]:
    """The lines of a sheet, of which ``written`` has the formulas and ``saved`` the values."""
    formulas = _formulas(written.iter_rows(max_col=MOST_COLUMNS))
    lines = []
    for at, row in enumerate(saved.iter_rows(max_col=MOST_COLUMNS), 1):
        said = [_said(cell, (at, n) in formulas) for n, cell in enumerate(row)]
        used = [n for n, (text, why) in enumerate(said) if text or why]
        if used:
            cells = tuple(text for text, _ in said[: used[-1] + 1])
            lines.append(Line(at, cells, {n: why for n, (_, why) in enumerate(said) if why}))
    return lines


def _formulas(rows: Iterator[tuple[Any, ...]]) -> set[tuple[int, int]]:
    return {
        (at, n) for at, row in enumerate(rows, 1) for n, cell in enumerate(row)
        if cell.data_type == "f"
    }  # fmt: skip


def _said(cell: Any, formula: bool) -> tuple[str, str]:
    """A cell as its text, and why that is not to be used; nothing twice for an empty cell."""
    value = cell.value
    if value is None:
        # A formula that gives an empty text was saved as a text.
        return "", NOT_CALCULATED if formula and cell.data_type == "n" else ""
    if cell.data_type == "d":
        date = str(value).removesuffix(" 00:00:00")
        return date, f"is a date, {date}; format the cell as text and type what is meant"
    if isinstance(value, bool):
        said = str(value).upper()
        return said, f"is the spreadsheet's {said} for yes or no; format the cell as text"
    if isinstance(value, int | float):
        return _number(value, cell.number_format)
    return str(value).strip(" \t\r\n"), ""


def _number(value: float, number_format: str) -> tuple[str, str]:
    """A number as its format shows it: 7 is 07 where the format is 00."""
    plain = str(int(value)) if value == int(value) else str(value)
    if number_format in ("General", "@"):
        return _general(value, plain)
    sections = number_format.split(";")
    pattern = _PADDING.sub("", sections[0])
    bare = _LITERAL.sub("", pattern).strip()
    digits = _DIGITS.fullmatch(bare)
    at = pattern.find(bare)
    if digits is None or at < 0 or (len(sections) > 1 and value <= 0):
        return plain, (
            f"{plain} has the number format {number_format[:30]!r}, and what that shows is not "
            "known here; format the cell as text and type it as it is to be cut"
        )
    before, after = (
        _LITERAL.sub(r"\1\2", part) for part in (pattern[:at], pattern[at + len(bare) :])
    )
    return before + _in_digits(value, digits["whole"], digits["decimals"] or "") + after, ""


def _general(value: float, plain: str) -> tuple[str, str]:
    """A number in a cell without a format, where what does not fit is rounded: a third is
    0.333333333.
    """
    exact = Decimal(str(value))
    whole = len(f"{abs(exact):.0f}")
    if whole > GENERAL_SHOWS or 0 < abs(exact) < GENERAL_LEAST:
        return plain, (
            f"{plain} is shown as a power of ten; format the cell as text and type it as it is to "
            "be cut"
        )
    if plain.lstrip("-").isdigit():
        return plain, ""
    decimals = max(GENERAL_SHOWS - whole - 1, 0)
    rounded = exact.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)
    return f"{rounded.normalize():f}", ""


def _in_digits(value: float, whole: str, decimals: str) -> str:
    """A number with as many digits as a format asks for at least, and at most behind the point."""
    rounded = abs(Decimal(str(value))).quantize(Decimal(1).scaleb(-len(decimals)), ROUND_HALF_UP)
    before, _, behind = f"{rounded:f}".partition(".")
    least = decimals.rfind("0") + 1
    behind = behind[:least] + behind[least:].rstrip("0")
    before = before.zfill(whole.count("0"))
    if "," in whole:
        before = f"{int(before):,}"
    sign = "-" if value < 0 else ""
    return sign + before + ("." + behind if behind else "")
