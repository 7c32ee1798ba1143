"""The shop's own shelf as YAML and CSV, out and in: what comes back is exactly what went out."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Any

import yaml

from advisor.shop.records import EntryRow, OwnEntry
from advisor.shop.shelf import SHELF_KINDS
from advisor.shop.typed import field_of, plain_data, text_of, typed
from rules.catalogue import MODELS
from rules.catalogue.documents import parse_yaml
from rules.errors import BadInputError

__all__ = ["csv_of", "from_yaml", "rows_of_csv", "yaml_of"]

_ASKS_A_SHEET = ("=", "+", "-", "@", "\t", "\r", "'")
"""What a spreadsheet would take for a formula, or already stands for such a sign."""


def yaml_of(entries: Iterable[OwnEntry]) -> str:
    """Entries as one YAML document, a list for each kind."""
    kept = list(entries)
    document = {
        kind: [{"id": one.name, **one.values} for one in kept if one.kind == kind]
        for kind in SHELF_KINDS
    }
    return yaml.safe_dump(
        {kind: listed for kind, listed in document.items() if listed},
        allow_unicode=True,
        sort_keys=False,
        width=100,
    )


def from_yaml(text: str, *, source: str) -> tuple[OwnEntry, ...]:
    """Entries out of a YAML document.

    Raises:
        BadInputError: it is no such document, or a thing stands in it twice.

    >>> from_yaml("films: [{id: matte-smooth, price_per_m: 7}]", source="ours.yaml")
    (OwnEntry(kind='films', name='matte-smooth', values={'price_per_m': 7.0}),)
    """
    document = parse_yaml(text, source=source)
    if document is None or document == {}:
        return ()
    if not isinstance(document, dict):
        raise BadInputError(f"needs lists called {', '.join(SHELF_KINDS)}", source=source)
    entries = []
    for kind, listed in document.items():
        if kind not in SHELF_KINDS or not isinstance(listed, list):
            raise BadInputError(f"{kind!r} is no list of {', '.join(SHELF_KINDS)}", source=source)
        for number, each in enumerate(listed, 1):
            if not isinstance(each, dict) or not isinstance(each.get("id"), str):
                raise BadInputError("needs an id", source=source, field=f"{kind} {number}")
            values = {str(field): value for field, value in each.items() if field != "id"}
            entries.append(OwnEntry(kind, each["id"], plain_data(kind, values)))
    return _once_each(entries, source)


def csv_of(entries: Iterable[OwnEntry], kind: str) -> str:
    """Entries of one kind as a table, a row each, with the columns that they need."""
    kept = [one for one in entries if one.kind == kind]
    known = ["like", *MODELS[kind].model_fields]
    used = {field for one in kept for field in one.values}
    columns = [field for field in known if field in used]
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\n")
    rows.writerow(["id", *columns])
    for one in kept:
        cells = [text_of(kind, f, one.values[f]) if f in one.values else "" for f in columns]
        rows.writerow([_inert(cell) for cell in (one.name, *cells)])
    return out.getvalue()


def rows_of_csv(
    text: str, kind: str, *, source: str
) -> tuple[tuple[EntryRow, ...], tuple[str, ...]]:
    """The rows of a table, each with what of it cannot be read, and what is wrong with its columns.

    An empty cell says nothing.

    Raises:
        BadInputError: it has no column of ids.

    >>> [row], _ = rows_of_csv("id,price\\nmatte-smooth,7\\n", "films", source="ours.csv")
    >>> row.label, row.entry.values
    ('row 2', {'price_per_m': 7.0})
    """
    text = text.removeprefix("\ufeff")
    parted = max(",;\t", key=text.partition("\n")[0].count)
    lines = list(csv.reader(io.StringIO(text, newline=""), delimiter=parted))
    if not lines or "id" not in (head.strip().lower() for head in lines[0]):
        raise BadInputError("the first row names the columns, and one of them is id", source=source)
    wrong: list[str] = []
    fields = [_column(kind, head, wrong) for head in lines[0]]
    rows: list[EntryRow] = []
    for number, line in enumerate(lines[1:], 2):
        cells = [_read(cell) for cell in line]
        if any(cell.strip() for cell in cells):
            row = _row(f"row {number}", kind, fields, cells)
            if row.entry.name in {before.entry.name for before in rows} - {""}:
                twice = f"{row.entry.name!r} stands here twice"
                row = replace(row, wrong=(*row.wrong, twice))
            rows.append(row)
    return tuple(rows), tuple(wrong)


def _column(kind: str, head: str, wrong: list[str]) -> str:
    name = head.strip().lower()
    if name in {"id", "like", ""}:
        return name
    try:
        return field_of(kind, name)
    except BadInputError as error:
        wrong.append(f"column {head.strip()!r}: {error}")
        return ""


def _row(label: str, kind: str, fields: Sequence[str], cells: Sequence[str]) -> EntryRow:
    values: dict[str, Any] = {}
    unread: dict[str, str] = {}
    wrong: list[str] = []
    name = ""
    for field, cell in zip(fields, cells, strict=False):
        if not cell or not field:
            continue
        if field == "id":
            name = cell.strip()
            continue
        try:
            values[field] = cell.strip() if field == "like" else typed(kind, field, cell)
        except BadInputError as error:
            unread[field] = error.reason
    if not name:
        wrong.append("has no id")
    if len(cells) > len(fields) and any(cells[len(fields) :]):
        wrong.append("has more cells than there are columns")
    entry = OwnEntry(kind, name, plain_data(kind, values))
    return EntryRow(label, entry, unread, tuple(wrong))


def _once_each(entries: Sequence[OwnEntry], source: str) -> tuple[OwnEntry, ...]:
    seen: set[str] = set()
    for one in entries:
        if one.name in seen:
            raise BadInputError(f"{one.name!r} stands here twice", source=source)
        seen.add(one.name)
    return tuple(entries)


def _inert(cell: str) -> str:
    """A cell that no spreadsheet reckons with."""
    return f"'{cell}" if cell.startswith(_ASKS_A_SHEET) else cell


def _read(cell: str) -> str:
    return cell.removeprefix("'")
