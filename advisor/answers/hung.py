"""Hung: where the prints of a garment lie in its print areas, so that none lies over another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.job.records.order_plan import LiesOn, PlannedPrint
from rules.catalogue import Catalogue
from rules.catalogue.places import load_places
from rules.errors import BadInputError
from rules.facts.garment import Garment
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = ["GAP_MM", "hung"]

GAP_MM = 20.0
"""Between two prints under one another, mm. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Box:
    """A print in the area that holds all prints beside it, mm."""

    print_id: str
    area: tuple[str, str]
    top_mm: float
    across_mm: float
    width_mm: float
    height_mm: float

    def overlaps(self, other: _Box) -> bool:
        beside = abs(self.across_mm - other.across_mm) >= (self.width_mm + other.width_mm) / 2
        above = self.top_mm + self.height_mm <= other.top_mm
        below = other.top_mm + other.height_mm <= self.top_mm
        return self.area == other.area and not (beside or above or below)


def hung(
    worn: Sequence[str], prints: Sequence[PlannedPrint], known: Catalogue
) -> tuple[PlannedPrint, ...]:
    """The prints with those that would lie over another hung under it.

    What is placed by its measures stays there; then come the places that are a part of a larger
    area (a chest, a yoke); what is placed on a whole area hangs below them.

    Args:
        worn: the garment of each line of the order.

    Raises:
        BadInputError: an area does not hold them all, or two that are placed by their measures
            lie over one another.
    """
    lies_on: dict[tuple[str, int], LiesOn] = {}
    for number, name in enumerate(worn):
        garment, there = known.garment(name), list[_Box]()
        bears = [(one, lies) for one in prints for lies in one.lies if lies.line == number]
        for print_, lies in sorted(bears, key=_placed_first):
            box = _box(print_, lies, garment)
            for other in sorted(there, key=lambda one: one.top_mm):
                if not box.overlaps(other):
                    continue
                if not lies.told:
                    raise BadInputError(
                        f"{print_.id} would lie over {other.print_id}; place it lower or beside it",
                        field=f"garments.{number}.prints",
                    )
                lies = lies.model_copy(
                    update={
                        "top_mm": lies.top_mm
                        + other.top_mm + other.height_mm + GAP_MM - box.top_mm,
                        "told": Text(
                            f"{show_mm(GAP_MM)} below the {other.print_id.replace('-', ' ')}"
                        ),
                    }
                )  # fmt: skip
                box = _box(print_, lies, garment)
            _refuse_low(lies, garment, print_.id)
            there.append(box)
            lies_on[print_.id, number] = lies
    return tuple(
        one.model_copy(update={"lies": tuple(lies_on[one.id, lies.line] for lies in one.lies)})
        for one in prints
    )


def _placed_first(bears: tuple[PlannedPrint, LiesOn]) -> int:
    print_, lies = bears
    if not lies.told:
        return 0
    return 1 if load_places()[print_.at].within else 2


def _box(print_: PlannedPrint, lies: LiesOn, garment: Garment) -> _Box:
    """A print in the larger area that its own is a part of, where the garment has that."""
    within = load_places()[print_.at].within
    area, top_mm, across_mm = lies.area, lies.top_mm, lies.across_mm
    held = {one.name for one in garment.print_areas}
    if within is not None and area != within.area and within.area in held:
        factor = min(1.0, garment.size_factor)
        area = within.area
        top_mm, across_mm = top_mm + within.top_mm * factor, across_mm + within.across_mm * factor
    return _Box(print_.id, (print_.part, area), top_mm, across_mm, lies.width_mm, lies.height_mm)


def _refuse_low(lies: LiesOn, garment: Garment, print_id: str) -> None:
    area = garment.print_area(lies.area)
    ends_mm = lies.top_mm + lies.height_mm
    if ends_mm > area.height_mm + 0.1:
        raise BadInputError(
            Text(
                f"{print_id} would end {show_mm(ends_mm):.0f} below the upper edge of the "
                f"{lies.area} of {garment.id}, which is {show_mm(area.height_mm):.0f} high; make "
                "the prints there lower"
            ),
            field=f"garments.{lies.line}.prints",
        )
