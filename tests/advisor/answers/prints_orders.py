"""Orders with several prints, written to a folder: what tests of them begin with."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from advisor import plan_order
from advisor.job.records.order_plan import OrderPlan

BLOCK = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<rect width="100" height="100" fill="#1b3a5c"/></svg>"""

CREW = "name,number\nAna,7\nBen,12\n"


def block(at: str, width_mm: float = 80, **wish: Any) -> dict[str, Any]:
    """A square of one film at a place."""
    looks = {"default": wish or {"film": "matte-smooth"}}
    return {"at": at, "artwork": "block.svg", "width_mm": width_mm, "looks": looks}


def letters(at: str, column: str, height_mm: float = 40, **wish: Any) -> dict[str, Any]:
    """The lettering of a column at a place."""
    wish = wish or {"film": "matte-smooth", "colour": "navy"}
    return {"at": at, "lettering": {"column": column}, "height_mm": height_mm, **wish}


def written(
    folder: Path,
    prints: Sequence[dict[str, Any]],
    *,
    people: str | None = None,
    garment: str = "adult-tee",
    quantity: int = 2,
    colour: str | None = None,
    **more: Any,
) -> Path:
    """An order of one line in a folder; the path of its file."""
    (folder / "block.svg").write_text(BLOCK, encoding="utf-8")
    line = {"garment": garment, "quantity": quantity, "colour": colour, "prints": list(prints)}
    document: dict[str, Any] = {"job": "crew", "garments": [line], **more}
    if people is not None:
        (folder / "crew.csv").write_text(people, encoding="utf-8")
        document["people"] = "crew.csv"
    path = folder / "order.yaml"
    path.write_text(json.dumps(document), encoding="utf-8")
    return path


def planned(folder: Path, prints: Sequence[dict[str, Any]], **more: Any) -> OrderPlan:
    """The plan of such an order."""
    return plan_order(written(folder, prints, **more))
