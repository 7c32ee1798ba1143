"""Print place: a place on a garment by its usual name, and where its print usually hangs."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from pydantic import Field

from rules.facts.fact import Fact, Record, Slug
from rules.facts.garment import Garment, PrintArea
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = ["GarmentPart", "PlaceSpot", "PrintPlace", "Side", "Within", "lies_inside"]

COLLAR = "collar"
"""What the places of a body are measured from, where a garment has one."""

GarmentPart = Literal["body", "sleeve-left", "sleeve-right", "hood", "leg-left", "leg-right"]
"""What is laid on the press by itself: only what is of one part lies under one platen."""

Side = Literal["front", "back"]


class Within(Record):
    """The box of a place inside a larger print area of an adult's garment, mm.

    Attributes:
        top_mm: from the upper edge of the area.
        across_mm: of its middle from that of the area; to the wearer's left is positive.
    """

    area: Slug
    top_mm: float = Field(ge=0, le=1000)
    across_mm: float = Field(default=0.0, ge=-500, le=500)
    width_mm: float = Field(gt=10, le=1500)
    height_mm: float = Field(gt=10, le=1500)


@dataclass(frozen=True, slots=True)
class PlaceSpot:
    """Where a print may lie on one garment: a box in a print area.

    Attributes:
        top_mm: from the upper edge of the area, mm; ``across_mm``: of its middle from that of the
            area, mm, to the wearer's left positive.
        told: where that is, from the collar or a seam; empty where nothing usual is known.
    """

    area: PrintArea
    top_mm: float
    across_mm: float
    width_mm: float
    height_mm: float
    told: Text = field(default_factory=Text)


class PrintPlace(Fact):
    """A place that decorators name, on the adult's garment.

    Attributes:
        areas: the print areas that are this place as a whole.
        within: a larger area that holds it where a garment has none of those.
        below: the collar or seam that the print is measured from; ``below_mm`` how far.
        curved: whether it lies on a press for curved things.
    """

    id: Slug
    part: GarmentPart
    side: Side
    areas: tuple[Slug, ...] = ()
    within: Within | None = None
    below: str = Field(min_length=3, max_length=40)
    below_mm: float = Field(ge=0, le=600)
    curved: bool = False

    def spot(self, garment: Garment) -> PlaceSpot | None:
        """The box of this place on a garment, within one of its areas; ``None`` if it has none.

        Usual measures shrink with the garment; a box that the area does not hold whole is none.
        """
        areas = {area.name: area for area in garment.print_areas if area.curved == self.curved}
        factor = garment.size_factor if self.part == "body" and not self.curved else 1.0
        edge = garment.collar if self.below == COLLAR else self.below
        if garment.wearer == "nobody":
            # What nobody wears, as a bag, has no collar.
            edge = "upper edge"
        told = f"{show_mm(round(self.below_mm * factor))} below the {edge}"
        across_mm = self.within.across_mm if self.within is not None else 0.0
        if across_mm:
            side = "left" if across_mm > 0 else "right"
            beside = show_mm(round(abs(across_mm) * factor))
            told += f", its middle {beside} to the wearer's {side}"
        for name in self.areas:
            if name in areas:
                area = areas[name]
                return PlaceSpot(area, 0.0, 0.0, area.width_mm, area.height_mm, Text(told))
        box = self.within
        if box is None or box.area not in areas:
            return None
        area, factor = areas[box.area], min(1.0, garment.size_factor)
        spot = PlaceSpot(
            area,
            box.top_mm * factor,
            box.across_mm * factor,
            box.width_mm * factor,
            box.height_mm * factor,
            Text(told),
        )
        return spot if lies_inside(spot) else None


def lies_inside(spot: PlaceSpot) -> bool:
    """Whether a box lies in its area, to a hundredth of a millimetre."""
    side_mm = spot.area.width_mm / 2 - abs(spot.across_mm) - spot.width_mm / 2
    return min(side_mm, spot.area.height_mm - spot.top_mm - spot.height_mm) >= -0.01
