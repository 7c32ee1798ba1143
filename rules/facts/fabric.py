"""Fabric: what the garment is made of, and the heat that its fibres bear."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal, Self

from pydantic import Field, model_validator

from rules.facts.fact import Colour, Fact, Record, Slug
from rules.facts.film import Coating

__all__ = ["DyeClass", "Fabric", "Fibre", "FibreShare"]

DyeClass = Literal[
    "none", "pigment", "reactive", "acid", "basic",
    "disperse-low", "disperse-medium", "disperse-high",
]  # fmt: skip

BEARS_LITTLE_C = 180.0
"""A fibre harmed at or below this, °C, is pressed as coolly as the films bond: viscose, nylon and
wool among them, cotton and polyester not. Common practice, no source."""

SHINING_FIBRES = ("silk", "acetate")
"""Fibres that a platen polishes and water spots. Common practice, no source."""

MOSTLY_PCT = 50.0


class Fibre(Fact):
    """A fibre and the published temperatures that limit a press on it.

    Attributes:
        iron_c: the ironing temperature of its care symbol, °C, for a customer's iron.
        harmed_c: where the fibre softens, yellows or glazes for good, °C; above it, do not press.
        touchy: a few seconds within its limit may mark it, so that a sample comes first, always.
        counts_from_pct: the least share, in percent, at which it limits a blend.
        foam: it is a foam, which in a laminate lies between the faces.
        dye: the class of dye that usually colours it.
        regain_pct: the water that it holds in ordinary air, percent of its dry weight.
        source: where ``iron_c`` and ``harmed_c`` come from.
    """

    id: Slug
    name: str
    iron_c: float = Field(ge=60, le=250)
    harmed_c: float = Field(ge=60, le=300)
    touchy: bool = False
    counts_from_pct: float = Field(default=3, ge=0, le=100)
    foam: bool = False
    dye: DyeClass = "pigment"
    harm: str
    regain_pct: float = Field(ge=0, le=40)
    source: str = Field(min_length=5)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.harmed_c < self.iron_c:
            raise ValueError(f"harmed_c {self.harmed_c:g} °C lies below iron_c {self.iron_c:g} °C")
        return self


class FibreShare(Record):
    """A fibre and its share of the fabric, percent by weight."""

    fibre: Fibre
    pct: float = Field(gt=0, le=100)


class Fabric(Fact):
    """A fabric as it lies on the platen."""

    id: Slug
    name: str = Field(min_length=3, max_length=80)
    fibres: tuple[FibreShare, ...] = Field(min_length=1)
    construction: Literal["knit", "woven", "non-woven", "felt", "coated-sheet", "foam-laminate"]
    surface: Literal["smooth", "ribbed", "napped", "open", "grained"]
    weight_gsm: float = Field(gt=10, le=2000)
    thickness_um: float = Field(gt=20, le=10_000)
    stretch_pct: float = Field(ge=0, le=300)
    colour: Colour
    dye_class: DyeClass
    coating: Coating = "none"
    thermal_material: Slug
    holds_water_pct: float = Field(
        default_factory=lambda known: _mixed_regain_pct(known.get("fibres", ())),
        ge=0,
        le=40,
        description="moisture regain of the fabric, percent of its dry weight",
    )
    wash_c: float = Field(ge=20, le=95, description="the wash that its care label asks for")

    @model_validator(mode="after")
    def _shares_add_up(self) -> Self:
        total = sum(share.pct for share in self.fibres)
        if abs(total - 100) > 0.01:
            raise ValueError(f"fibres add up to {total:g} %, not 100 %")
        if len({share.fibre.id for share in self.fibres}) != len(self.fibres):
            raise ValueError("fibres: a fibre appears twice")
        return self

    def _limiting(self, field: str) -> FibreShare:
        counting = [s for s in self.fibres if s.pct >= s.fibre.counts_from_pct] or self.fibres
        return min(counting, key=lambda share: getattr(share.fibre, field))

    @property
    def water_gsm(self) -> float:
        """The water in it, g/m²; its weight is told as it lies in ordinary air.

        >>> from rules.catalogue import load_catalogue
        >>> round(load_catalogue().fabric("cotton-jersey-tee").water_gsm, 1)
        11.8
        """
        return self.weight_gsm * self.holds_water_pct / (100 + self.holds_water_pct)

    @property
    def iron_fibre(self) -> Fibre:
        """The fibre whose care symbol sets the careful limit."""
        return self._limiting("iron_c").fibre

    @property
    def harmed_fibre(self) -> Fibre:
        """The fibre that is harmed first."""
        return self._limiting("harmed_c").fibre

    @property
    def make(self) -> str:
        """The id of the cloth, whatever colour it comes in: ``denim`` of ``denim:black``."""
        return self.id.partition(":")[0]

    @property
    def colour_said(self) -> bool:
        """Whether somebody said its colour; otherwise it is what such cloth usually is.

        >>> from rules.catalogue import load_catalogue
        >>> [load_catalogue().fabric(name).colour_said for name in ("denim", "denim:black")]
        [False, True]
        """
        return self.id != self.make

    @property
    def dye_wanders(self) -> bool:
        """Whether heat drives its dye into what lies on it, the more the hotter."""
        return self.dye_class.startswith("disperse")

    @property
    def wants_coolest(self) -> bool:
        """Whether it is pressed as coolly as bonds: its dye wanders, or a fibre bears little."""
        return self.dye_wanders or self.harmed_fibre.harmed_c <= BEARS_LITTLE_C

    @property
    def shines(self) -> bool:
        """Whether a platen polishes it and water spots it."""
        return self.share_pct(SHINING_FIBRES) >= MOSTLY_PCT

    @property
    def platen_marks(self) -> bool:
        """Whether a bare platen marks its face, so that it is covered and pressed lightly."""
        return self.surface == "napped" or self.shines

    @property
    def main_fibre(self) -> Fibre:
        """The fibre with the largest share."""
        return max(self.fibres, key=lambda share: share.pct).fibre

    @property
    def on_face(self) -> tuple[FibreShare, ...]:
        """The fibres that a film touches, 100 % together: a laminate's foam lies inside.

        >>> from rules.catalogue import load_catalogue
        >>> laminate = load_catalogue().fabric("neoprene-like")
        >>> [(share.fibre.id, share.pct) for share in laminate.on_face]
        [('polyester', 100.0)]
        """
        inside = [s for s in self.fibres if s.fibre.foam and self.construction == "foam-laminate"]
        outside = [share for share in self.fibres if share not in inside]
        if not inside or not outside:
            return self.fibres
        whole_pct = sum(share.pct for share in outside)
        return tuple(
            share.model_copy(update={"pct": 100 * share.pct / whole_pct}) for share in outside
        )

    def face_share_pct(self, fibre_ids: tuple[str, ...]) -> float:
        """Percent of what a film touches that is one of ``fibre_ids``."""
        return sum(share.pct for share in self.on_face if share.fibre.id in fibre_ids)

    def share_pct(self, fibre_ids: tuple[str, ...]) -> float:
        """Percent of the fabric that is one of ``fibre_ids``."""
        return sum(share.pct for share in self.fibres if share.fibre.id in fibre_ids)


def _mixed_regain_pct(shares: Iterable[FibreShare]) -> float:
    """The regain of fibres mixed by weight, percent."""
    return round(sum(share.pct * share.fibre.regain_pct for share in shares) / 100, 2)
