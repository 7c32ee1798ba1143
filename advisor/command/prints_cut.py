"""Prints cut: what the cut of an order with several prints has besides the files of each."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from advisor.command import options
from advisor.command.planned import PlannedOrder
from advisor.job.records.order_plan import OrderPlan
from rules.catalogue import Catalogue
from rules.errors import BadInputError

__all__ = ["PRESS_LIST", "make_folder", "refuse_unplanned", "save_press_list", "with_less"]

PRESS_LIST = "press-list.csv"


def refuse_unplanned(order: PlannedOrder, *, source: str) -> None:
    """Refuse to cut an order of which a print has no plan, before any file is written."""
    status = order.plan.whole.status
    if status != "planned":
        raise BadInputError(f"the order is {status}: there is nothing to cut", source=source)


def make_folder(out: Path) -> None:
    """Make the folder that holds those of the prints."""
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise BadInputError(f"cannot be written to: {reason}", source=str(out)) from None


def with_less(known: Catalogue, taken: Iterable[tuple[str, float]]) -> Catalogue:
    """The shelf without the metres that are taken of its films."""
    films = dict(known.films)
    for name, metres in taken:
        left_m = max(0.0, films[name].on_shelf_m - metres)
        films[name] = films[name].model_copy(update={"on_shelf_m": left_m})
    return replace(known, films=films)


def save_press_list(plan: OrderPlan, out: Path) -> str:
    """Write who gets which beside the folders of the prints, in the order of pressing.

    Returns:
        The path of the list.
    """
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(("run", "garments", "garment", "row", *plan.told_apart, *plan.lettered))
    for row in plan.press_list():
        who = (row.says.get(column, "") for column in plan.told_apart)
        gets = (row.gets.get(column, "") for column in plan.lettered)
        cells = map(_inert, (*who, *gets))
        table.writerow((row.run, row.quantity, row.worn, row.row or "", *cells))
    options.save_file(out / PRESS_LIST, text.getvalue())
    return str(out / PRESS_LIST)


def _inert(cell: str) -> str:
    """A cell that no spreadsheet takes for a formula.

    >>> _inert("=1+1"), _inert("Ana")
    ("'=1+1", 'Ana')
    """
    return f"'{cell}" if cell[:1] in {"=", "+", "-", "@"} else cell
