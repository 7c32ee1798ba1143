"""Garment: what is decorated, where its print areas are, what is in the way and who wears it."""

from __future__ import annotations

from typing import Literal, Self

from pydantic import Field, model_validator

from rules.errors import UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.fact import Fact, Record, Slug

__all__ = ["Garment", "Obstruction", "PrintArea", "Wearer"]

Wearer = Literal["adult", "child", "infant", "nobody"]


class Obstruction(Record):
    """A seam, zip, closure or button in, under or beside a print area.

    Attributes:
        height_mm: how far it stands proud of the fabric on the platen.
        opens: whether the garment can be opened there and laid flat.
    """

    kind: Literal["seam", "zip", "hook-and-loop", "button", "snap", "drawstring", "pocket", "hem"]
    place: Literal["in", "under", "beside"]
    height_mm: float = Field(gt=0, le=30)
    opens: bool = False


class PrintArea(Record):
    """A place that can be decorated, with its size in millimetres."""

    name: Slug
    width_mm: float = Field(gt=10, le=1500)
    height_mm: float = Field(gt=10, le=1500)
    curved: bool = Field(default=False, description="it does not lie flat, as on a cap")
    obstructions: tuple[Obstruction, ...] = ()


class Garment(Fact):
    """A garment: its fabric, its print areas (the first is the usual one), its wearer."""

    id: Slug
    name: str = Field(min_length=3, max_length=80)
    fabric: Fabric
    wearer: Wearer
    nightwear: bool = False
    lined: bool = Field(default=False, description="a loose lining hangs behind the print")
    size_factor: float = Field(default=1.0, gt=0.1, le=2, description="against the adult size")
    collar: str = Field(
        default="collar",
        min_length=3,
        max_length=40,
        description="what the prints on its body are measured from",
    )
    price_each: float = Field(gt=0, le=1000, description="what a spoiled one costs")
    print_areas: tuple[PrintArea, ...] = Field(min_length=1)

    @model_validator(mode="after")
    def _areas_differ(self) -> Self:
        names = [area.name for area in self.print_areas]
        if len(set(names)) != len(names):
            raise ValueError("print_areas: a name appears twice")
        return self

    def print_area(self, name: str | None = None) -> PrintArea:
        """The print area of that name, or the usual one.

        Raises:
            UnknownNameError: this garment has no print area of that name.
        """
        if name is None:
            return self.print_areas[0]
        areas = {area.name: area for area in self.print_areas}
        if name not in areas:
            raise UnknownNameError(f"print area of {self.id}", name, areas)
        return areas[name]
