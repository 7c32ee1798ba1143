"""Settle: the seconds of a laying and its bond lines, weighed by chance where calls are close.

Answers are kept by content for as long as the program runs, since the same stack is asked about
again whenever something beside it changes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from advisor.heat.bond_lines import BondLineCourse, bond_lines, worst_lines
from advisor.heat.refusal import HeatRefusal
from advisor.heat.timing import hotter_settings, timed_laying, timing
from advisor.layering.press_steps import Laying, Timing, press_steps
from advisor.layering.stages import Stage
from rules.facts.schedule import Schedule
from rules.facts.subjects import BondLine

__all__ = ["CLOSE_CALL_S", "forget", "judged_lines", "refused_at_hottest", "settled"]

CLOSE_CALL_S = 5.0
"""A bond line with at least so many seconds to spare bonds on an unlucky press too: contact,
thickness and conductivity as uncertain as they are cost a press 3 to 4 s of bonding."""

Columns = Sequence[tuple[str, ...]]


@dataclass(frozen=True, slots=True, eq=False)
class _Asked:
    """A question with all that its answer depends on, alike when that content is alike."""

    laying: Laying | None
    schedule: Schedule | None
    columns: Columns
    content: str
    careful_c: float = 0.0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and self.content == other.content

    def __hash__(self) -> int:
        return hash(self.content)


def settled(
    laying: Laying, columns: Columns, *, careful_c: float | None = None
) -> tuple[Laying, Timing] | HeatRefusal:
    """The laying with the seconds that bond every line, on an unlucky press too where they can.

    Where the longest press that the films allow leaves an adhesive short on an unlucky press, the
    last finishing press is set hotter: within what its films share, and no hotter than every
    fabric bears without a sample.

    Args:
        columns: the places of the artwork, by piece, bottom first.
        careful_c: what the fabrics of the run bear without a sample, °C; the laying's own fabric
            by default.

    Returns:
        The laying (hotter, where heat asked for it) and its timing; or the first bond line that
        no setting within the films' windows bonds even on a usual press.
    """
    careful = laying.fabric.iron_fibre.iron_c if careful_c is None else careful_c
    asked = _Asked(laying, None, columns, f"{careful} {_content(laying, columns)}", careful)
    found = _settled(asked)
    if isinstance(found, HeatRefusal):
        return found
    stages, timing = found
    return replace(laying, stages=stages), timing


def refused_at_hottest(laying: Laying, columns: Columns) -> HeatRefusal | None:
    """The first adhesive that no setting bonds on a usual press: at the hottest, it falls short.

    Args:
        columns: the places of the artwork that are asked about, by piece, bottom first.
    """
    return _at_hottest(_Asked(laying, None, columns, _content(laying, columns)))


def judged_lines(schedule: Schedule, columns: Columns) -> dict[str, BondLine]:
    """Each piece's bond line at its worst place, with the unlucky end of it where that may matter.

    Args:
        columns: the places of the artwork, by piece, bottom first.
    """
    return dict(_judged(_Asked(None, schedule, columns, _content(schedule, columns))))


def forget() -> None:
    """Drop every answer that was kept, so that the next question is answered afresh."""
    _settled.cache_clear()
    _judged.cache_clear()
    _at_hottest.cache_clear()


@lru_cache(maxsize=512)
def _settled(asked: _Asked) -> tuple[tuple[Stage, ...], Timing] | HeatRefusal:
    if asked.laying is None:
        raise ValueError("a laying is settled")
    timed = timed_laying(asked.laying, columns=asked.columns)
    if isinstance(timed, HeatRefusal):
        return timed
    laying, timing = timed
    if _is_close(laying, timing):
        longer = timed_laying(laying, columns=asked.columns, uncertain=True)
        if not isinstance(longer, HeatRefusal):
            laying, timing = longer
        laying, timing = _surer(laying, timing, asked)
    return laying.stages, timing


@lru_cache(maxsize=2048)
def _at_hottest(asked: _Asked) -> HeatRefusal | None:
    if asked.laying is None:
        raise ValueError("a laying is settled")
    hottest = tuple(
        replace(stage, setpoint_c=stage.setpoint_window_c[1]) for stage in asked.laying.stages
    )
    timed = timing(replace(asked.laying, stages=hottest), columns=asked.columns)
    return timed if isinstance(timed, HeatRefusal) else None


def _surer(laying: Laying, timing: Timing, asked: _Asked) -> tuple[Laying, Timing]:
    """The least hotter setting of the last finishing press at which no line is left to luck.

    Earlier ones stay: what they press hotter would draw in before the next film is laid on it.
    """
    stage = laying.stages[-1]
    hotter = [c for c in hotter_settings(stage, laying.press) if c <= asked.careful_c]
    if not hotter or not _left_to_luck(laying, timing, asked.columns):
        return laying, timing

    def sure_at(setpoint_c: float) -> tuple[Laying, Timing] | None:
        set_to = replace(stage, setpoint_c=setpoint_c)
        made = timed_laying(
            replace(laying, stages=(*laying.stages[:-1], set_to)),
            columns=asked.columns,
            uncertain=True,
        )
        short = isinstance(made, HeatRefusal) or _left_to_luck(*made, asked.columns)
        return None if short or isinstance(made, HeatRefusal) else made

    best = sure_at(hotter[-1])
    if best is None:
        return laying, timing
    low, high = 0, len(hotter) - 1
    while low < high:
        middle = (low + high) // 2
        found = sure_at(hotter[middle])
        if found is None:
            low = middle + 1
        else:
            best, high = found, middle
    return best


def _left_to_luck(laying: Laying, timing: Timing, columns: Columns) -> bool:
    """Whether an adhesive that the last press finishes bonds on a usual press only."""
    last = {laying.films[piece].id for piece in laying.stages[-1].finishes}
    schedule = Schedule(
        fabric=laying.fabric,
        press=laying.press,
        films=laying.films,
        over=laying.over,
        steps=press_steps(laying, timing),
        sheets=laying.sheets,
    )
    for course in _close_calls(bond_lines(schedule, columns)):
        if course.film.id in last:
            weighed = bond_lines(schedule, [course.column], uncertain=True)
            [line] = [one.line for one in weighed if one.piece == course.piece]
            if line.low_seconds_bonding < course.film.bonds_s:
                return True
    return False


@lru_cache(maxsize=512)
def _judged(asked: _Asked) -> dict[str, BondLine]:
    if asked.schedule is None:
        raise ValueError("a schedule is judged")
    courses = bond_lines(asked.schedule, asked.columns)
    close = [course.column for course in _close_calls(courses)]
    weighed = bond_lines(asked.schedule, close, uncertain=True)
    by_chance = {(course.column, course.piece): course for course in weighed}
    return worst_lines([by_chance.get((c.column, c.piece), c) for c in courses])


def _close_calls(courses: Sequence[BondLineCourse]) -> list[BondLineCourse]:
    """What bonds on a usual press but may not on an unlucky one, the least to spare first.

    A deep design has a hundred places, but a piece is told of at its worst one alone.
    """
    worst = {id(line) for line in worst_lines(courses).values()}
    close = [c for c in courses if id(c.line) in worst and 0 <= c.margin_s < CLOSE_CALL_S]
    return sorted(close, key=lambda course: course.margin_s)


def _content(of: Laying | Schedule, columns: Columns) -> str:
    """Everything that heat depends on, written out."""
    facts = [film.model_dump_json() for film in of.films.values()]
    facts += [of.fabric.model_dump_json(), of.press.model_dump_json()]
    if isinstance(of, Laying):
        rest: tuple[object, ...] = (of.groups, of.stages, of.obstructions, of.print_mm)
    else:
        rest = (of.trap_mm, tuple(of.size_mm.items()))
        facts += [step.model_dump_json(exclude={"why", "n", "run"}) for step in of.steps]
    facts += [sheet.model_dump_json() for sheet in of.sheets.values()]
    return repr((tuple(of.films), of.over, tuple(columns), rest, facts))


def _is_close(laying: Laying, timing: Timing) -> bool:
    wants_s = {film.id: film.bonds_s for film in laying.films.values()}
    return any(
        seconds - wants_s[film] < CLOSE_CALL_S
        for lines in timing.bond_lines
        for film, _, seconds in lines
    )
