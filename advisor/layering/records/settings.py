"""Settings: what films and press allow and what every act costs, in whole numbers."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from rules.facts.film import Peel
from rules.facts.step import Meets

__all__ = ["Dial", "FilmSettings", "PressTimes"]


@dataclass(frozen=True, slots=True)
class FilmSettings:
    """What a film asks of the presses that finish it and of those that come later.

    Attributes:
        lowest: the coolest step of the dial that it takes; ``highest`` the hottest.
        best: the step that it likes best, the coolest where the fabric asks for that; or where the
            dial stands anyway.
        bears: the hottest step that it bears once it is down.
        least_s: the shortest full press; ``best_s`` the usual and ``most_s`` the longest.
        bears_s: seconds that it bears in all, over every press.
        pressures: which of the press's pressures it takes, by number.
    """

    lowest: int
    highest: int
    best: int
    bears: int
    least_s: int
    best_s: int
    most_s: int
    bears_s: int
    peel: Peel
    pressures: frozenset[int]


@dataclass(frozen=True, slots=True)
class Dial:
    """The steps of a press's dial.

    Attributes:
        lowest: the press's lowest step; ``highest`` its highest.
        harmed: the hottest step that no fabric is harmed by.
    """

    lowest: int
    highest: int
    harmed: int


@dataclass(frozen=True, slots=True)
class PressTimes:
    """Milliseconds of the average garment, for each thing that a plan may do.

    Attributes:
        fixed: what every plan takes: loading, preheat, and a carrier for each piece.
        carrier: laying and peeling one carrier.
        tack: closing and tacking once.
        full: closing for a full press, beside its dwell; ``cover`` laying a cover over it.
        waits: by way of peeling, how long it keeps press and hands.
        registering: by way of meeting, for each pair.
        heating: one step of the dial up, a garment's share; ``cooling`` one step down.
        again: laying it on again after a change of the dial.
    """

    fixed: int
    carrier: int
    tack: int
    full: int
    cover: int
    waits: Mapping[Peel, int]
    registering: Mapping[Meets, int]
    heating: int
    cooling: int
    again: int
