"""Film: one heat-applied film on the shelf, with everything that layering depends on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal, Self

from pydantic import Field, field_validator, model_validator

from rules.facts.fact import Colour, Fact, Record, Slug, Window

__all__ = [
    "FAMILIES",
    "FINISHES",
    "UNKNOWN_FAMILY",
    "Coating",
    "Family",
    "Film",
    "Finish",
    "Peel",
    "Shrink",
    "Surface",
]

Family = Literal[
    "smooth", "stretch", "sparkle", "flock", "metallic", "mirror", "holographic", "foam",
    "reflective", "glow", "patterned", "printable", "clear", "dye-blocking", "high-build", "other",
]  # fmt: skip
Finish = Literal[
    "matte", "satin", "gloss", "sparkle", "plush", "metallic", "mirror", "holographic", "raised",
    "puff", "reflective", "glow", "patterned", "printed", "clear",
]  # fmt: skip
Surface = Literal["smooth", "textured", "fibrous", "beaded", "sealed"]
Peel = Literal["hot", "warm", "cold"]
Coating = Literal["none", "polyurethane", "water-repellent", "silicone", "pvc"]

UNKNOWN_FAMILY: Family = "other"
"""The family of a film that is none of those that we know."""
FAMILIES: tuple[str, ...] = tuple(
    family
    for family in Family.__args__  # type: ignore[attr-defined]
    if family != UNKNOWN_FAMILY
)
"""The families that the built-in catalogue has films of."""
FINISHES: tuple[str, ...] = Finish.__args__  # type: ignore[attr-defined]

HOTTEST_SETPOINT_C = 260.0
"""No press is set hotter for a film, °C. Common practice, no source."""
LONGEST_PRESSED_S = 600.0
"""No film is pressed longer in all, s. Common practice, no source."""

Micrometres = Annotated[float, Field(ge=0, le=3000)]
Celsius = Annotated[float, Field(ge=20, le=HOTTEST_SETPOINT_C)]


class Shrink(Record):
    """Shrink in the press: percent for each second beyond ``grace_s`` above ``onset_c``."""

    onset_c: Celsius
    percent_per_s: float = Field(ge=0, le=5)
    grace_s: float = Field(ge=0, le=120)


class Film(Fact):
    """A heat-applied film as the shop buys it.

    Thicknesses in micrometres, temperatures in °C, times in seconds, pressure on the platen in
    kPa, prices in the shop's own currency per metre of roll.
    """

    id: Slug
    name: str = Field(min_length=3, max_length=80)
    family: Family
    finishes: tuple[Finish, ...] = Field(min_length=1, description="what its face shows")
    colours: tuple[Colour, ...] = Field(min_length=1)
    face_um: float = Field(gt=0, le=3000)
    adhesive_um: float = Field(gt=0, le=500)
    carrier_um: Micrometres
    face_material: Slug
    adhesive_material: Slug
    carrier_material: Slug
    surface: Surface
    takes_film_on_top: Literal["yes", "sample", "no"]
    softens_c: Celsius = Field(description="the adhesive grabs from here")
    bonds_c: Celsius = Field(description="the adhesive bonds from here …")
    bonds_s: float = Field(gt=0, le=120, description="… when held this long")
    setpoint_c: Window
    dwell_s: Window
    pressure_kpa: Window
    peel: Peel
    bears_s: float = Field(
        gt=0, le=LONGEST_PRESSED_S, description="pressed seconds in all that it bears"
    )
    bears_c: Celsius = Field(description="highest setpoint that it bears once down")
    shrink: Shrink
    foams: bool = False
    sheds: bool = Field(default=False, description="loose flakes come off its carrier")
    carrier_marks: bool = Field(default=False, description="its carrier's edge leaves a line")
    marked_by_carriers: bool = Field(default=False, description="its face takes such a line")
    stretch_pct: float = Field(ge=0, le=300)
    opacity: float = Field(ge=0, le=1)
    blocks_dye: bool = False
    least_stroke_mm: float = Field(gt=0, le=20)
    least_gap_mm: float = Field(gt=0, le=20)
    bonds_to: tuple[Slug, ...] = Field(min_length=1, description="fibres that it bonds to")
    bonds_to_coatings: tuple[Coating, ...] = ("none",)
    wash_limit_c: float = Field(ge=20, le=95)
    one_way: bool = Field(default=False, description="its look has a direction on the roll")
    roll_width_mm: float = Field(gt=50, le=2000)
    price_per_m: float = Field(gt=0, le=1000)
    on_shelf_m: float = Field(ge=0, le=10_000)

    @field_validator("takes_film_on_top", mode="before")
    @classmethod
    def _yaml_yes_and_no(cls, given: object) -> object:
        # YAML reads a bare yes or no as true or false.
        return {True: "yes", False: "no"}[given] if isinstance(given, bool) else given

    @model_validator(mode="before")
    @classmethod
    def _what_rises_is_puff(cls, given: object) -> object:
        """Only what foams is puff, which is raised too; what is merely thick is raised alone."""
        shown = given.get("finishes") if isinstance(given, Mapping) else None
        if not isinstance(given, Mapping) or not isinstance(shown, list | tuple):
            return given
        as_well = ["raised"] if "puff" in shown else []
        if "raised" in shown and given.get("foams") is True:
            as_well = ["puff"]
        return {**given, "finishes": (*shown, *(each for each in as_well if each not in shown))}

    @model_validator(mode="after")
    def _hangs_together(self) -> Self:
        wrong = []
        if self.setpoint_c.high > HOTTEST_SETPOINT_C:
            wrong.append(
                f"setpoint_c.high {self.setpoint_c.high:g} °C is beyond {HOTTEST_SETPOINT_C:g} °C"
            )
        elif self.bears_c < self.setpoint_c.high:
            wrong.append(
                f"bears_c {self.bears_c:g} °C is below setpoint_c.high {self.setpoint_c.high:g} °C"
            )
        if self.dwell_s.high > LONGEST_PRESSED_S:
            wrong.append(f"dwell_s.high {self.dwell_s.high:g} s is beyond {LONGEST_PRESSED_S:g} s")
        elif self.bears_s < self.dwell_s.high:
            wrong.append(
                f"bears_s {self.bears_s:g} s is below dwell_s.high {self.dwell_s.high:g} s"
            )
        if not self.dwell_s.low > 0:
            wrong.append(f"dwell_s.low {self.dwell_s.low:g} s is no time to press")
        if not self.softens_c <= self.bonds_c:
            wrong.append(f"softens_c {self.softens_c:g} °C lies above bonds_c {self.bonds_c:g} °C")
        if self.setpoint_c.best < self.bonds_c:
            wrong.append(
                f"setpoint_c.best {self.setpoint_c.best:g} °C is below bonds_c {self.bonds_c:g} °C"
            )
        if len({colour.name for colour in self.colours}) != len(self.colours):
            wrong.append("colours: a colour name appears twice")
        if wrong:
            raise ValueError("; ".join(wrong))
        return self

    @property
    def printed(self) -> bool:
        """Whether the shop prints it in the artwork's colours before it is cut."""
        return self.family == "printable"

    @property
    def cut_mirrored(self) -> bool:
        """Whether it is cut from its adhesive side, so that it reads right once it is turned over.

        A printable film is printed first and cut from its face (common practice, no source).
        """
        return not self.printed

    def draws_in(self, pressed_s: float) -> float:
        """The share of a piece's size that each of its edges draws in, pressed for so long."""
        hot = self.setpoint_c.best > self.shrink.onset_c
        beyond_grace_s = max(0.0, pressed_s - self.shrink.grace_s)
        return self.shrink.percent_per_s / 100 * beyond_grace_s / 2 if hot else 0.0

    @property
    def thickness_um(self) -> float:
        """Face and adhesive together, as it lies on the garment without its carrier."""
        return self.face_um + self.adhesive_um
