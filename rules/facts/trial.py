"""Trial: what became of one bond line of garments that a shop pressed alike."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rules.facts.fabric import Fabric
from rules.facts.fact import Record
from rules.facts.press import Press
from rules.facts.step import Step

__all__ = ["NOWHERE", "Occasion", "SeenHere", "Setting", "Trial", "settings_of"]


@dataclass(frozen=True, slots=True)
class Setting:
    """What the full presses over a film were set to; a tack is none.

    Attributes:
        setpoint_c: the hottest that the dial said, °C.
        dwell_s: their seconds together, s.
    """

    setpoint_c: float
    dwell_s: float


@dataclass(frozen=True, slots=True)
class Trial:
    """Garments of one bond line that were pressed alike and fared alike.

    Attributes:
        below: what the film lay on: a film, or the cloth, by id.
        under: the films between ``below`` and the cloth, bottom first; ``None`` where unknown.
        outcome: what became of it, of `rules.book.outcomes.OUTCOMES`.
        washes: how often the least washed of them was washed.
        film_colour, cloth_colour: as a hex value; ``None`` where nobody said.
        setting: ``None`` where nobody said how they were pressed.
    """

    film: str
    below: str
    under: tuple[str, ...] | None
    cloth: str
    press: str
    outcome: str
    garments: int
    washes: int
    film_colour: str | None = None
    cloth_colour: str | None = None
    setting: Setting | None = None


@dataclass(frozen=True, slots=True)
class Occasion:
    """Where and how something is pressed, which what a shop has seen is compared with.

    Attributes:
        press: ``None`` where nobody has said on which.
        fabrics: all that it is pressed on.
        settings: by the film's id; ``None`` before there are any steps.
    """

    press: Press | None = None
    fabrics: tuple[Fabric, ...] = ()
    settings: Mapping[str, Setting] | None = None


NOWHERE = Occasion()


class SeenHere(Record):
    """What the shop's own trials say of one bond line, as it is pressed here.

    Attributes:
        films: the film and those under it, bottom first.
        trials: garments of just this that count; ``sound``: how many of them held.
        washes: how often the least washed of the sound ones was washed.
        like: what garments of like stacks count for beside them.
        at_least: the share of garments that holds at least, as sure as ``confidence``.
        sound_to_go: sound ones more until a sample is no longer wanted.
    """

    films: tuple[str, ...]
    trials: int
    sound: int
    washes: int
    like: float
    at_least: float
    confidence: float
    sound_to_go: int


def settings_of(steps: Iterable[Step], dial_c: float | None = None) -> Mapping[str, Setting]:
    """What the full presses over each piece were set to, by piece.

    Args:
        dial_c: what the dial says before the first step, °C.

    >>> settings_of([Step(n=1, action="press", purpose="full", pieces=("sun",), setpoint_c=150,
    ...                   dwell_s=12)])["sun"]
    Setting(setpoint_c=150.0, dwell_s=12.0)
    """
    found: dict[str, Setting] = {}
    down: dict[str, None] = {}
    for step in steps:
        dial_c = dial_c if step.setpoint_c is None else step.setpoint_c
        if step.action != "press":
            continue
        down |= dict.fromkeys(step.pieces)
        if step.purpose == "tack" or dial_c is None:
            continue
        for piece in down:
            was = found.get(piece, Setting(dial_c, 0.0))
            dwell_s = was.dwell_s + (step.dwell_s or 0.0)
            found[piece] = Setting(max(was.setpoint_c, dial_c), dwell_s)
    return MappingProxyType(found)
