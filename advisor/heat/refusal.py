"""Refusal: heat that does not reach an adhesive within what its films allow, in numbers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from advisor.heat.stack import Column
from rules.facts.film import Film
from rules.facts.step import Purpose
from rules.facts.units import show_c

__all__ = ["HeatRefusal"]


@dataclass(frozen=True, slots=True)
class HeatRefusal:
    """Heat does not reach an adhesive within what the films allow.

    Attributes:
        stage: which finishing stage, from 0; a tack belongs to the stage that finishes it.
        purpose: whether a tack does not grab or a full press does not bond.
        piece: whose adhesive it is; ``film`` is its film, ``below`` what it lies on, by id.
        column: the place where it is slowest, by piece, bottom first.
        peak_c: the hottest that the bond line gets within ``longest_s``, °C.
        seconds: at or above what it wants to reach, within ``longest_s``, s.
        needed_s: least whole seconds that would do, s; ``None`` if none would.
        longest_s: longest that is allowed, s.
        settles_c: where it would settle if the press stayed closed, °C.
    """

    stage: int
    purpose: Purpose
    piece: str
    film: Film
    below: str
    column: Column
    setpoint_c: float
    peak_c: float
    seconds: float
    needed_s: float | None
    longest_s: float
    settles_c: float

    @property
    def rule(self) -> Literal["bond-line-heat"]:
        """The rule that such a schedule would break."""
        return "bond-line-heat"

    @property
    def message(self) -> str:
        """What is refused, in one sentence with the numbers."""
        film = self.film
        if self.purpose == "tack":
            wants = f"softens at {show_c(film.softens_c)}"
            does = f"a tack of {self.longest_s:g} s"
        else:
            wants = f"wants {film.bonds_s:.3g} s at {show_c(film.bonds_c)}"
            does = f"{self.longest_s:g} s, the longest that is allowed,"
        sentence = (
            f"the adhesive of {film.id} on {self.below} {wants}; {does} at "
            f"{show_c(self.setpoint_c)} heats it to {show_c(self.peak_c)}"
        )
        if self.purpose == "full":
            sentence += f" and gives it {self.seconds:.3g} s"
        if self.needed_s is None:
            return f"{sentence}; no dwell would do, for it settles at {show_c(self.settles_c)}"
        return f"{sentence}; it would take {self.needed_s:.0f} s"
