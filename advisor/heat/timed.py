"""The answers of the heat wing: a laying with its seconds, and a schedule's bond lines as judged.

Where a call is close, chance is weighed too. Answers are kept by content for as long as the
program runs, since the same stack is asked about again whenever something beside it changes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache, partial
from typing import Generic, TypeVar

from advisor.heat.bond_lines import followed_lines, weighed, worst_lines
from advisor.heat.press_layers import Materials
from advisor.heat.records import Column, HeatRefusal
from advisor.heat.timing import laid_schedule, timing
from advisor.heat.unlucky import close_call_s
from advisor.layering.records.pressing import Laying, Stage, Timing
from rules.book.schedule.registration_shrink import edge_shift_mm
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.subjects import BondLine

__all__ = ["hotter_settings", "judged_lines", "timed_laying", "with_seconds"]

MOST_SHIFT_MM = 0.25
"""How far an edge may draw in, so that the dial is left alone, mm: a quarter of the usual trap.
Common practice, no source."""

Answer = TypeVar("Answer")
Asked = TypeVar("Asked", Laying, Schedule)


@dataclass(frozen=True, slots=True)
class _Question(Generic[Asked]):
    """Something at its places; questions of like content are one."""

    content: str
    of: Asked = field(compare=False)
    columns: Sequence[Column] = field(compare=False)
    materials: Materials = field(compare=False)


def with_seconds(
    laying: Laying, columns: Sequence[Column], materials: Materials
) -> tuple[Laying, Timing] | HeatRefusal:
    """The laying with the seconds that bond every line, on an unlucky press too where they can.

    Where the longest press that the films allow leaves an adhesive short on an unlucky press, the
    last finishing press is set hotter, within what its films share. What no setting bonds even on
    a usual press is refused.
    """
    found = _timed(_question(laying, columns, materials))
    if isinstance(found, HeatRefusal):
        return found
    stages, seconds = found
    return replace(laying, stages=stages), seconds


def judged_lines(
    schedule: Schedule, columns: Sequence[Column], materials: Materials
) -> dict[str, BondLine]:
    """Each piece's bond line at its worst place; what has little to spare is weighed by chance."""
    return dict(_judged(_question(schedule, columns, materials)))


def timed_laying(
    laying: Laying,
    columns: Sequence[Column] | None,
    materials: Materials,
    *,
    uncertain: bool = False,
) -> tuple[Laying, Timing] | HeatRefusal:
    """The laying with its timing; where heat falls short, at the least hotter setting that does.

    Only the setpoint of the stage that falls short is raised, and of those dialled like it, within
    what their films share and what is already down bears; a refusal is that of the hottest. The
    arguments are those of :func:`advisor.heat.timing.timing`; ``uncertain`` holds as far as films
    bear it.
    """
    tried = partial(timing, columns=columns, materials=materials)
    while True:
        found = tried(laying, uncertain=uncertain)
        if uncertain and isinstance(found, HeatRefusal) and found.stage > 0:
            # Longer presses early on may leave too few of the seconds that a film bears.
            found = tried(laying)
        if not isinstance(found, HeatRefusal):
            return laying, found
        hotter = _hotter(laying, found, tried)
        if isinstance(hotter, HeatRefusal):
            return hotter
        laying = hotter


def hotter_settings(stage: Stage, press: Press) -> tuple[float, ...]:
    """The settings on the dial above the stage's own that its films share, least hot first, °C."""
    highest_c = min(stage.setpoint_window_c[1], press.setpoint_high_c)
    highest = press.dial_step(highest_c, up=False)
    lowest = press.dial_step(stage.setpoint_c, up=False) + 1
    return tuple(press.dial_c(step) for step in range(lowest, highest + 1))


def _hotter(
    laying: Laying, refusal: HeatRefusal, tried: Callable[[Laying], Timing | HeatRefusal]
) -> Laying | HeatRefusal:
    """The laying with the stage that falls short as hot as it must be; the refusal where none is.

    A later stage may fall short still.
    """
    number, refusals = refusal.stage, [refusal]

    def at(setpoint_c: float) -> Laying | None:
        hotter = _set_to(laying, number, setpoint_c)
        found = tried(hotter)
        if isinstance(found, HeatRefusal) and found.stage <= number:
            refusals.append(found)
            return None
        return hotter

    # Where even the hottest fails it is the only one that was tried.
    return _least(hotter_settings(laying.stages[number], laying.press), at) or refusals[-1]


def _least(settings: Sequence[float], at: Callable[[float], Answer | None]) -> Answer | None:
    """The answer at the least of some rising settings that has one, found by halving.

    Hotter never bonds less, so that whatever is hotter than the least has an answer too.
    """
    best = at(settings[-1]) if settings else None
    low, high = 0, len(settings) - 1
    while best is not None and low < high:
        middle = (low + high) // 2
        answer = at(settings[middle])
        if answer is None:
            low = middle + 1
        else:
            best, high = answer, middle
    return best


def _set_to(laying: Laying, number: int, setpoint_c: float) -> Laying:
    """A stage set hotter, and with it those beside it that are dialled like it and may be."""
    stages = list(laying.stages)
    for beside in (reversed(range(number)), range(number + 1, len(stages))):
        for k in beside:
            alike = stages[k].setpoint_c == stages[number].setpoint_c
            if not alike or not _may_be_set_to(laying, stages[k], setpoint_c):
                break
            stages[k] = replace(stages[k], setpoint_c=setpoint_c)
    stages[number] = replace(stages[number], setpoint_c=setpoint_c)
    return replace(laying, stages=tuple(stages))


def _may_be_set_to(laying: Laying, stage: Stage, setpoint_c: float) -> bool:
    """Whether a stage bears a setting, and no film that does not shrink yet draws in much by it.

    The next film is laid on what has drawn in, which is worse than to turn the dial.
    """
    down = [piece for group in laying.groups[: stage.last + 1] for piece in group]
    shifts_mm = [
        edge_shift_mm(
            percent_per_s=shrink.percent_per_s,
            grace_s=shrink.grace_s,
            above_onset_s=stage.dwell_window_s[1],
            size_mm=max(laying.print_mm),
        )
        for shrink in (laying.films[piece].shrink for piece in down)
        if stage.setpoint_c <= shrink.onset_c < setpoint_c
    ]
    return setpoint_c <= stage.setpoint_window_c[1] and max(shifts_mm, default=0) <= MOST_SHIFT_MM


@lru_cache(maxsize=128)
def _timed(asked: _Question[Laying]) -> tuple[tuple[Stage, ...], Timing] | HeatRefusal:
    made = timed_laying(asked.of, asked.columns, asked.materials, uncertain=True)
    if isinstance(made, HeatRefusal):
        return made
    if _left_to_luck(made, asked):
        made = _without_luck(made[0], asked) or made
    return made[0].stages, made[1]


def _without_luck(laying: Laying, asked: _Question[Laying]) -> tuple[Laying, Timing] | None:
    """The least hotter setting of the last finishing press at which no line is left to luck.

    Earlier ones stay: what they press hotter would draw in before the next film is laid on it.
    """

    def at(setpoint_c: float) -> tuple[Laying, Timing] | None:
        hotter = _set_to(laying, len(laying.stages) - 1, setpoint_c)
        made = timed_laying(hotter, asked.columns, asked.materials, uncertain=True)
        return None if isinstance(made, HeatRefusal) or _left_to_luck(made, asked) else made

    return _least(hotter_settings(laying.stages[-1], laying.press), at)


def _left_to_luck(made: tuple[Laying, Timing], asked: _Question[Laying]) -> bool:
    """Whether an adhesive that the last press finishes bonds on a usual press only."""
    laying = made[0]
    last = {laying.films[piece].id for piece in laying.stages[-1].finishes}
    lines = judged_lines(laid_schedule(*made), asked.columns, asked.materials).values()
    return any(
        line.film.id in last and line.low_seconds_bonding < line.film.bonds_s for line in lines
    )


@lru_cache(maxsize=128)
def _judged(asked: _Question[Schedule]) -> dict[str, BondLine]:
    _, lines = followed_lines(asked.of, asked.columns, asked.materials)
    # A deep design has a hundred places, but a piece is judged at its worst one alone.
    return {
        piece: (weighed(asked.of, one) if one.margin_s < close_call_s(one.line.film) else one).line
        for piece, one in worst_lines(lines).items()
    }


def _question(of: Asked, columns: Sequence[Column], materials: Materials) -> _Question[Asked]:
    """The question with everything that heat depends on, written out."""
    facts = [film.model_dump_json() for film in of.films.values()]
    facts += [of.fabric.model_dump_json(), of.press.model_dump_json()]
    rest: tuple[object, ...] = ()
    if isinstance(of, Laying):
        rest = (of.groups, of.stages, of.obstructions, of.print_mm)
    else:
        facts += [step.model_dump_json(exclude={"why", "n", "run"}) for step in of.steps]
    facts += [sheet.model_dump_json() for sheet in of.sheets.values()]
    made_of = [
        (name, one.conductivity_w_mk, one.density_kg_m3, one.heat_capacity_j_kgk)
        for name, one in materials.items()
    ]
    content = repr((tuple(of.films), of.over, tuple(columns), rest, facts, made_of))
    return _Question(content, of, columns, materials)
