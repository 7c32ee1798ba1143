"""Alternatives: the best plans that differ in something a person cares about, and their price."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass

from advisor.job.records.job import Rates
from advisor.layering.assessment import objective
from advisor.layering.cost import money
from advisor.layering.meeting import present
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.proof import refined
from advisor.solver.records import Cut, Examine
from rules.facts.meeting import MEETING_WORDS
from rules.facts.text import Text, piece_name
from rules.facts.units import show_um

__all__ = ["Alternative", "alternatives", "compare", "differences", "layers"]


@dataclass(frozen=True, slots=True)
class Alternative:
    """Another plan, the best of its kind.

    Attributes:
        differs: what is different, in sentences.
        gains: what is better than in the best plan; ``loses``: what is worse.
        optimal: whether it is proved the best that differs so.
    """

    assessment: Assessment
    differs: tuple[Text, ...]
    gains: tuple[Text, ...]
    loses: tuple[Text, ...]
    optimal: bool


def alternatives(
    problem: Problem,
    best: Assessment,
    *,
    most: int = 3,
    examine: Examine | None = None,
    time_limit_s: float = 20.0,
) -> tuple[Alternative, ...]:
    """The best plan with another way of meeting, with a layer less, and with another film.

    Further ones, up to ``most``, each differ in a film from all before. Ordered by the objective.

    Args:
        best: the plan to differ from.
        examine: as in `advisor.solver.proof.optimise`.
        time_limit_s: seconds for all of them together, s.
    """
    deadline = time.monotonic() + time_limit_s
    found: list[Alternative] = []
    seen = [best]

    def take(cuts: tuple[Cut, ...], most_layers: int | None = None) -> bool:
        left_s = deadline - time.monotonic()
        if left_s <= 0 or len(found) >= most:
            return False
        other = refined(
            problem, examine=examine, time_limit_s=left_s, cuts=cuts, most_layers=most_layers
        )
        if other.assessment is None:
            return False
        if all(_same(other.assessment, one) is False for one in seen):
            seen.append(other.assessment)
            gains, loses = compare(best, other.assessment, problem.rates)
            differs = differences(best, other.assessment)
            found.append(Alternative(other.assessment, differs, gains, loses, other.optimal))
        return True

    if best.choice.meets:
        take((Cut((), tuple(best.choice.meets.items()), Text("as in the best plan")),))
    deepest = layers(problem, best)
    if deepest > 1:
        take((), deepest - 1)
    while take(tuple(_films(one) for one in seen)):
        pass
    found.sort(key=lambda one: _reached(one.assessment, problem.prefer))
    return tuple(found)


def layers(problem: Problem, found: Assessment) -> int:
    """Films over one another at the deepest place."""
    meets = found.choice.meets
    return max((len(present(place, meets)) for place in problem.places), default=0)


def differences(best: Assessment, other: Assessment) -> tuple[Text, ...]:
    """What another plan does differently, in sentences, films first."""
    said: list[str] = []
    for piece, option in best.choice.options.items():
        film = other.choice.options[piece].film.id
        if film != option.film.id:
            said.append(f"{piece_name(piece)} is cut from {film} instead of {option.film.id}")
    for pair, way in best.choice.meets.items():
        taken = other.choice.meets[pair]
        if taken != way:
            upper, lower = map(piece_name, pair)
            now = MEETING_WORDS[taken].short.format(upper=upper, lower=lower)
            said.append(f"{now} instead of {MEETING_WORDS[way].noun}")
    return tuple(map(Text, said))


def compare(
    best: Assessment, other: Assessment, rates: Rates
) -> tuple[tuple[Text, ...], tuple[Text, ...]]:
    """What another plan gains and what it loses against the best, in words.

    Raises ``ValueError`` where one of them cannot be pressed.
    """
    if best.measures is None or other.measures is None:
        raise ValueError("only plans that can be pressed are compared")
    gains: list[str] = []
    loses: list[str] = []
    for name, say in _MEASURES.items():
        more = getattr(other.measures, name) - getattr(best.measures, name)
        if more:
            (loses if more > 0 else gains).append(say(abs(more), more > 0, rates))
    return tuple(map(Text, gains)), tuple(map(Text, loses))


def _samples(count: int, worse: bool, rates: Rates) -> str:
    return f"{count} {'more' if worse else 'fewer'} to sample first"


def _weak(count: int, worse: bool, rates: Rates) -> str:
    return f"edges {'weaker' if worse else 'stronger'} by {count} (a lap counts 0, a butt 2)"


def _cents(cents: int, worse: bool, rates: Rates) -> str:
    return f"{money(cents / 100, rates)} {'dearer' if worse else 'cheaper'} a garment"


def _thickness(micrometres: int, worse: bool, rates: Rates) -> str:
    return f"{show_um(micrometres)} {'thicker' if worse else 'thinner'} at the thickest place"


def _seconds(seconds: int, worse: bool, rates: Rates) -> str:
    return f"{seconds} s {'slower' if worse else 'quicker'} a garment"


_MEASURES: dict[str, Callable[[int, bool, Rates], str]] = {
    "samples": _samples,
    "weak": _weak,
    "cents": _cents,
    "thickness_um": _thickness,
    "seconds": _seconds,
}


def _same(one: Assessment, other: Assessment) -> bool:
    return one.choice.meets == other.choice.meets and _film_ids(one) == _film_ids(other)


def _film_ids(found: Assessment) -> list[str]:
    return [option.film.id for option in found.choice.options.values()]


def _films(found: Assessment) -> Cut:
    films = tuple((piece, option.film.id) for piece, option in found.choice.options.items())
    return Cut(films, (), Text("the films of a plan already shown"))


def _reached(found: Assessment, prefer: str) -> tuple[int, ...]:
    return objective(found.measures, prefer) if found.measures is not None else ()
