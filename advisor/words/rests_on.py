"""Rests on: the values of the shelf that a press step's numbers come from, each with its basis."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from advisor.words.values import label_of, value_of
from rules.facts.film import Film
from rules.facts.step import Step
from rules.facts.text import and_list
from rules.facts.units import Units

__all__ = ["rests_on"]

_COMPUTED = "What the bond lines reach: computed by the heat model (physics)"
_PREHEAT = (
    "Seconds of a preheat: common practice, no source",
    "Water that leaves: computed by the heat model (physics)",
)
_FIELDS = {
    "tack": ("softens_c", "shrink"),
    "full": ("dwell_s", "bonds_c", "bonds_s"),
    "setpoint": ("setpoint_c",),
    "pressure": ("pressure_kpa",),
    "peel": ("peel", "carrier_um"),
}


def rests_on(
    step: Step, steps: Sequence[Step], films: Mapping[str, Film], units: Units
) -> tuple[str, ...]:
    """The values that a step rests on, one a line, films of one value together.

    Args:
        steps: the run that it belongs to, in order: what is set, is set for what is pressed next.
        films: the film of each piece.

    >>> from rules.catalogue import load_catalogue
    >>> matte = load_catalogue().film("matte-smooth")
    >>> tack = Step(n=1, action="press", purpose="tack", pieces=("sea",), dwell_s=2)
    >>> rests_on(tack, [tack], {"sea": matte}, Units())[0]
    'Adhesive grabs from: 95 °C for matte-smooth (generic)'
    """
    pieces = step.pieces
    if step.action in {"setpoint", "pressure"}:
        pieces = _pressed_so(step, steps)
    asked = [films[piece] for piece in pieces if piece in films]
    told = tuple(_values(asked, _FIELDS.get(step.purpose or step.action, ()), units))
    if step.action == "preheat":
        return _PREHEAT
    return (*told, _COMPUTED) if step.action in {"press", "wait"} else told


def _pressed_so(step: Step, steps: Sequence[Step]) -> tuple[str, ...]:
    """The pieces that are pressed in full until the same is set again."""
    later = [each for each in steps if each.n > step.n]
    ends = next((each.n for each in later if each.action == step.action), float("inf"))
    full = (each for each in later if each.purpose == "full" and each.n < ends)
    return tuple(dict.fromkeys(piece for each in full for piece in each.pieces))


def _values(films: Sequence[Film], fields: Sequence[str], units: Units) -> Iterator[str]:
    for field in fields:
        told: dict[tuple[str, str], list[str]] = {}
        for film in {film.id: film for film in films}.values():
            said = value_of(film, field, units), film.basis_of(field)
            told.setdefault(said, []).append(film.id)
        for (value, basis), names in told.items():
            yield f"{label_of(field)}: {value} for {and_list(names)} ({basis})"
