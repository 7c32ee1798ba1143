"""Sheet: a cover sheet laid over the print, or a pad laid under the garment."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal, Self

from pydantic import Field, model_validator

from rules.errors import PressloreError
from rules.facts.fact import Fact, Slug

__all__ = ["HANGS_OVER_MM", "Sheet", "cover_for"]

HANGS_OVER_MM = 20.0
"""What of a pad may hang over its bed, mm, over both edges together. Common practice, no source."""


class Sheet(Fact):
    """A cover sheet or a pad: thickness in micrometres, highest temperature in °C.

    Attributes:
        leaves: the face that a cover leaves on a smooth film under it.
        takes_up_mm: the height of seam or closure that a pad lets sink, mm.
    """

    id: Slug
    name: str = Field(min_length=3, max_length=80)
    kind: Literal["cover", "pad"]
    thickness_um: float = Field(gt=0, le=50_000)
    thermal_material: Slug
    highest_c: float = Field(ge=80, le=400)
    leaves: Literal["as-is", "matte", "gloss"] = "as-is"
    takes_up_mm: float = Field(default=0, ge=0, le=50)
    width_mm: float = Field(gt=20, le=2000)
    depth_mm: float = Field(gt=20, le=2000)
    curved: bool = Field(default=False, description="it is bent, for the bed of a cap press")

    def covers(self, width_mm: float, depth_mm: float) -> bool:
        """Whether it is as large as that, straight or turned.

        >>> from rules.catalogue import load_catalogue
        >>> pad = load_catalogue().sheet("foam-pad-thin")
        >>> pad.covers(300, 250), pad.covers(300, 260)
        (True, False)
        """
        sides, wanted = sorted((self.width_mm, self.depth_mm)), sorted((width_mm, depth_mm))
        return sides[0] >= wanted[0] and sides[1] >= wanted[1]

    def lies_on(self, width_mm: float, depth_mm: float) -> bool:
        """Whether it lies on a bed of that size, but for a little that may hang over.

        >>> from rules.catalogue import load_catalogue
        >>> pad = load_catalogue().sheet("foam-pad-thin")
        >>> pad.lies_on(380, 380), pad.lies_on(290, 240), pad.lies_on(160, 80)
        (True, True, False)
        """
        sides, bed = sorted((self.width_mm, self.depth_mm)), sorted((width_mm, depth_mm))
        return all(side <= of_bed + HANGS_OVER_MM for side, of_bed in zip(sides, bed, strict=True))

    @model_validator(mode="after")
    def _takes_up_less_than_it_is_thick(self) -> Self:
        if self.takes_up_mm * 1000 > self.thickness_um:
            raise ValueError(
                f"takes_up_mm {self.takes_up_mm:g} mm is more than the sheet's own thickness, "
                f"{self.thickness_um:g} µm"
            )
        return self


def cover_for(
    sheets: Mapping[str, Sheet], print_mm: tuple[float, float], setpoint_c: float
) -> Sheet:
    """The cover sheet to lay over a print: one that bears the heat, is as large, and marks least.

    Raises:
        PressloreError: the shelf has no cover sheet.
    """
    covers = [sheet for sheet in sheets.values() if sheet.kind == "cover"]
    if not covers:
        raise PressloreError("the final press wants a cover sheet and the shelf has none")

    def unsuited(cover: Sheet) -> tuple[bool, bool, bool]:
        return (
            cover.highest_c < setpoint_c,
            not cover.covers(*print_mm),
            cover.leaves != "as-is",
        )

    return min(covers, key=unsuited)
