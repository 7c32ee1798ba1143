"""Dialled: where the dial stands for each finishing stage."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from statistics import median_low

from advisor.layering.records.pressing import HeatLimits
from rules.facts.film import Film
from rules.facts.press import Press

__all__ = ["StageAsked", "dialled", "steps_within"]


@dataclass(frozen=True, slots=True)
class StageAsked:
    """What a stage asks for: presses ``first`` up to ``end``, over what is ``down`` before them.

    Attributes:
        window: the setpoints that suit all, °C; ``steps`` the dial's within it, from and to.
    """

    first: int
    end: int
    down: Sequence[str]
    finishing: tuple[str, ...]
    window: tuple[float, float]
    dwell_window: tuple[float, float]
    steps: tuple[int, int]


def dialled(
    asked: Sequence[StageAsked], films: Mapping[str, Film], limits: HeatLimits
) -> Iterator[int]:
    """The step of the dial for each stage; it is left where it is for as many as it suits.

    Nobody changes the dial amid a run of garments where one setting does. Where the last stage is
    among these it is what its films like best, or where the dial stands anyway; otherwise, as what
    is laid later presses these again, the coolest at which all of them bond.
    """
    alike: list[StageAsked] = []
    for number, one in enumerate(asked, 1):
        alike.append(one)
        last = number == len(asked)
        if not last:
            low, high = _shared([*alike, asked[number]])
            if low <= high:
                continue
        step, highest = _shared(alike)
        if last and (limits.dial_c is not None or not limits.coolest):
            liked = median_low([films[piece].setpoint_c.best for piece in one.finishing])
            wanted = limits.press.dial_step(liked if limits.dial_c is None else limits.dial_c)
            step = min(max(wanted, step), highest)
        yield from [step] * len(alike)
        alike.clear()


def steps_within(window: tuple[float, float], press: Press) -> tuple[int, int] | None:
    """The coolest and the hottest step of the dial within a window, °C, if there is one.

    >>> from rules.catalogue import load_catalogue
    >>> press = load_catalogue().press("clamshell-38x38")
    >>> [press.dial_c(step) for step in steps_within((148, 162), press)]
    [150.0, 160.0]
    >>> steps_within((151, 154), press)
    """
    lowest = press.dial_step(max(window[0], press.setpoint_low_c), up=True)
    highest = press.dial_step(min(window[1], press.setpoint_high_c), up=False)
    return (lowest, highest) if lowest <= highest else None


def _shared(asked: Sequence[StageAsked]) -> tuple[int, int]:
    """The steps of the dial that suit several stages, from and to; none where these cross."""
    return max(one.steps[0] for one in asked), min(one.steps[1] for one in asked)
