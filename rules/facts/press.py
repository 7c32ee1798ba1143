"""Press: a heat press, its platen, its dial and how its pressure is set."""

from __future__ import annotations

import math
from typing import Annotated, Literal, Self

from pydantic import Field, model_validator

from rules.facts.fact import Fact, Record, Slug
from rules.facts.units import c_to_f, f_to_c

__all__ = ["ByFeel", "Cylinder", "Knob", "Press"]

DIAL_STEP_C = {"celsius": 5.0, "fahrenheit": 25 / 9}
"""How far one step of a dial goes, °C: 5 °C or 5 °F. Common practice, no source."""


class Knob(Record):
    """Pressure set by a knob in classes; kPa on the platen for each class."""

    kind: Literal["knob"] = "knob"
    light_kpa: float = Field(gt=0, le=300)
    medium_kpa: float = Field(gt=0, le=300)
    firm_kpa: float = Field(gt=0, le=300)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.light_kpa < self.medium_kpa < self.firm_kpa:
            raise ValueError("the classes run light < medium < firm")
        return self


class Cylinder(Record):
    """Pressure set by a gauge on air cylinders; the platen's pressure follows from F = p·A."""

    kind: Literal["cylinder"] = "cylinder"
    bore_mm: float = Field(gt=5, le=400)
    cylinders: int = Field(default=1, ge=1, le=8)
    leverage: float = Field(
        default=1, gt=0, le=50, description="force at the platen per cylinder force"
    )
    gauge_low_bar: float = Field(gt=0, le=12)
    gauge_high_bar: float = Field(gt=0, le=12)
    gauge_step_bar: float = Field(default=0.1, gt=0, le=2)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.gauge_low_bar < self.gauge_high_bar:
            raise ValueError(
                f"gauge_low_bar {self.gauge_low_bar:g} bar is not below "
                f"gauge_high_bar {self.gauge_high_bar:g} bar"
            )
        return self

    def force_n(self, gauge_bar: float) -> float:
        """Force on the platen, N: F = p·A, summed over the cylinders, times the leverage.

        >>> round(Cylinder(bore_mm=50, gauge_low_bar=1, gauge_high_bar=8).force_n(6), 1)
        1178.1
        """
        area_mm2 = math.pi * self.bore_mm**2 / 4
        return gauge_bar * 0.1 * area_mm2 * self.cylinders * self.leverage


_FELT = (
    "it closes with one hand, and a strip of paper under its edge slides out",
    "it closes with a firm push of one hand, and a strip of paper drags as it comes out",
    "it takes both hands, and a strip of paper tears before it comes out",
)
"""How light, medium and firm feel with the garment in the press and the platen cold. Common
practice, no source."""


class ByFeel(Record):
    """Pressure that nobody has measured: classes set by feel, with what they usually give.

    The kPa of the classes are generic: what knobs of common presses give.
    """

    kind: Literal["feel"] = "feel"
    light_kpa: float = Field(default=15, gt=0, le=300)
    medium_kpa: float = Field(default=30, gt=0, le=300)
    firm_kpa: float = Field(default=45, gt=0, le=300)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.light_kpa < self.medium_kpa < self.firm_kpa:
            raise ValueError("the classes run light < medium < firm")
        return self


class Press(Fact):
    """A heat press: platen in millimetres, setpoints in °C, pressure on the platen in kPa."""

    id: Slug
    name: str = Field(min_length=3, max_length=80)
    platen_width_mm: float = Field(gt=50, le=2000)
    platen_depth_mm: float = Field(gt=50, le=2000)
    setpoint_low_c: float = Field(ge=20, le=200)
    setpoint_high_c: float = Field(ge=100, le=260)
    dial_reads: Literal["celsius", "fahrenheit"] = "celsius"
    setpoint_step_c: float = Field(
        default_factory=lambda known: DIAL_STEP_C[known.get("dial_reads", "celsius")], gt=0, le=10
    )
    flat_c: float = Field(ge=0, le=30, description="± how uneven the platen's heat is")
    pressure: Annotated[Knob | Cylinder | ByFeel, Field(discriminator="kind")]
    heats_c_per_min: float = Field(gt=0, le=100)
    cools_c_per_min: float = Field(gt=0, le=100)
    curved: bool = Field(default=False, description="its platen is bent, for caps")
    stations: int = Field(default=1, ge=1, le=8)
    contact_w_m2k: float = Field(gt=10, le=20_000, description="platen to what it presses")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.setpoint_low_c < self.setpoint_high_c:
            raise ValueError(
                f"setpoint_low_c {self.setpoint_low_c:g} °C is not below "
                f"setpoint_high_c {self.setpoint_high_c:g} °C"
            )
        return self

    def dial_step(self, setpoint_c: float, *, up: bool | None = None) -> int:
        """The number of the dial's step nearest to a setpoint, or of the next ``up`` or down.

        >>> from rules.catalogue import load_catalogue
        >>> press = load_catalogue().press("clamshell-38x38")
        >>> [press.dial_c(press.dial_step(152, up=up)) for up in (None, True, False)]
        [150.0, 155.0, 150.0]
        """
        if self.dial_reads == "fahrenheit":
            steps = c_to_f(setpoint_c) / self._step_f
        else:
            steps = setpoint_c / self.setpoint_step_c
        if up is None:
            return round(steps)
        return math.ceil(steps - 1e-9) if up else math.floor(steps + 1e-9)

    def dial_c(self, step: int) -> float:
        """What the dial says at a step, °C; steps count from nought on what it reads in.

        >>> from rules.catalogue import load_catalogue
        >>> read_in_f = {"dial_reads": "fahrenheit", "setpoint_step_c": 25 / 9}
        >>> load_catalogue().press("clamshell-38x38").model_copy(update=read_in_f).dial_c(64)
        160.0
        """
        if self.dial_reads == "fahrenheit":
            return f_to_c(step * self._step_f)
        return step * self.setpoint_step_c

    @property
    def _step_f(self) -> float:
        return round(self.setpoint_step_c * 9 / 5, 6)

    def change_seconds(self, from_c: float, to_c: float) -> float:
        """Seconds that it takes from one setpoint to another, s, at its own rate.

        >>> from rules.catalogue import load_catalogue
        >>> load_catalogue().press("clamshell-38x38").change_seconds(160, 160)
        0.0
        """
        per_minute = self.heats_c_per_min if to_c > from_c else self.cools_c_per_min
        return abs(to_c - from_c) / per_minute * 60

    @property
    def platen_area_m2(self) -> float:
        """Area of the platen, m²."""
        return self.platen_width_mm * self.platen_depth_mm / 1e6

    def platen_kpa(self, gauge_bar: float) -> float:
        """Pressure on the platen, kPa, for a gauge reading in bar (cylinder presses only)."""
        if not isinstance(self.pressure, Cylinder):
            raise ValueError(f"{self.id} has a knob, not a gauge")
        return self.pressure.force_n(gauge_bar) / self.platen_area_m2 / 1000

    @property
    def pressures_kpa(self) -> tuple[float, ...]:
        """Every pressure that can be set, lightest first, kPa on the platen."""
        if not isinstance(self.pressure, Cylinder):
            knob = self.pressure
            return (knob.light_kpa, knob.medium_kpa, knob.firm_kpa)
        gauge = self.pressure
        count = int((gauge.gauge_high_bar - gauge.gauge_low_bar) / gauge.gauge_step_bar + 1e-6)
        return tuple(
            round(self.platen_kpa(gauge.gauge_low_bar + i * gauge.gauge_step_bar), 3)
            for i in range(count + 1)
        )

    def gives_kpa(self, pressure_kpa: float) -> bool:
        """Whether that pressure on the platen lies between the lightest and the firmest.

        >>> from rules.catalogue import load_catalogue
        >>> press = load_catalogue().press("clamshell-38x38")
        >>> press.gives_kpa(30), press.gives_kpa(100)
        (True, False)
        """
        # A plan's figure is rounded.
        return self.pressures_kpa[0] - 0.5 <= pressure_kpa <= self.pressures_kpa[-1] + 0.5

    def pressure_words(self, pressure_kpa: float) -> str:
        """How to set ``pressure_kpa`` on this press: the knob's class, the gauge's bar, or by feel.

        >>> from rules.catalogue import load_catalogue
        >>> press = load_catalogue().press("clamshell-38x38")
        >>> press.pressure_words(press.pressures_kpa[1])
        'medium'
        """
        nearest = self._nearest(pressure_kpa)
        if not isinstance(self.pressure, Cylinder):
            by_feel = " by feel" if isinstance(self.pressure, ByFeel) else ""
            return ("light", "medium", "firm")[nearest] + by_feel
        bar = self.pressure.gauge_low_bar + nearest * self.pressure.gauge_step_bar
        return f"{bar:.1f} bar on the gauge"

    def pressure_told(self, pressure_kpa: float) -> str:
        """The same for somebody who sets it, with how it feels where nothing else tells it.

        >>> from rules.catalogue import load_catalogue
        >>> press = load_catalogue().press("clamshell-38x38")
        >>> felt = press.model_copy(update={"pressure": ByFeel()})
        >>> print(felt.pressure_told(15))
        light by feel, so that it closes with one hand, and a strip of paper ... slides out
        """
        words = self.pressure_words(pressure_kpa)
        if isinstance(self.pressure, ByFeel):
            return f"{words}, so that {_FELT[self._nearest(pressure_kpa)]}"
        return words

    def _nearest(self, pressure_kpa: float) -> int:
        settable = self.pressures_kpa
        return min(range(len(settable)), key=lambda i: abs(settable[i] - pressure_kpa))
