"""Impossible: what an impossible job runs into, and which changes of the job would help."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache

from advisor.answers.examination import Drafts
from advisor.answers.found_always import found_always, on_press
from advisor.answers.other_films import OtherFilms
from advisor.job.records.plan import Change, Clash
from advisor.job.records.print import PrintLine
from advisor.job.repaired import repaired_job
from advisor.layering.preparation import prepare
from advisor.layering.records.prepared import OrderLine, PreparedJob
from advisor.layering.records.problem import Problem
from advisor.solver.impossible import explain_impossible
from advisor.solver.records import Cut, Examine, Otherwise, RepairChange, RuleInstance
from advisor.solver.repairs import can_be_planned, repairs
from rules.errors import BadInputError
from rules.facts.finding import Finding
from rules.facts.text import Text, and_list, piece_name

__all__ = [
    "clash",
    "clashes_and_repairs",
    "off_the_press",
    "off_the_press_repairs",
    "planned_changes",
]

OF_SIZE = ("artwork", "joint", "garment")
"""Whose rules object to how large or small a thing is."""

SIZES_APART = 1.02
"""Sizes that differ by less than this factor are not tried apart."""

SMALLEST_MM = 10
"""No print is made smaller than this, mm."""

Repairs = tuple[tuple[Change, ...], ...]


def clashes_and_repairs(
    drafts: Drafts, cuts: Sequence[Cut], *, time_limit_s: float
) -> tuple[tuple[Clash, ...], Repairs, bool]:
    """The minimal conflict, the ranked repairs of an impossible job, and whether it is minimal.

    Args:
        drafts: of the job; each repair is examined as they were.
        cuts: what heat and the checker ruled out on the way.
        time_limit_s: seconds to look for both, s.
    """
    deadline = time.monotonic() + time_limit_s
    drafts = replace(drafts, deadline=deadline)
    prepared = drafts.prepared
    others = OtherFilms(prepared)
    found = explain_impossible(
        prepared.problem,
        beyond=others.beyond,
        swaps=others.swaps,
        otherwise=lambda conflict: _otherwise(prepared, conflict, deadline),
        cuts=cuts,
        examine_of=drafts.examine_of,
        time_limit_s=time_limit_s,
    )
    lines = prepared.print.lines
    return (
        tuple(map(clash, found.conflict)),
        tuple(
            tuple(
                _told_if_recoloured(prepared, change)
                for change in planned_changes(repair.changes, lines)
            )
            for repair in found.repairs
        ),
        found.fewest,
    )


def _told_if_recoloured(prepared: PreparedJob, change: Change) -> Change:
    """A change that knows whether its film comes in another colour than is wished by name."""
    wishes = [prepared.wish(piece) for piece in change.pieces]
    named = {wish.colour for wish in wishes if wish and wish.colour and wish.colour[0] != "#"}
    other = bool(change.colour and named - {change.colour})
    return change.model_copy(update={"recoloured": other})


def clash(fact: RuleInstance) -> Clash:
    """A member of a conflict as a plan holds it; its sentence is put in later."""
    return Clash(rule=fact.rule, where=fact.where, fact=fact)


def planned_changes(
    changes: Sequence[RepairChange], lines: Sequence[PrintLine]
) -> tuple[Change, ...]:
    """A repair as a plan holds it; its sentences are put in later."""
    made = []
    for change in changes:
        pieces = list(map(piece_name, change.pieces))
        where = " on ".join(map(str, pieces)) if change.kind == "meets" else and_list(pieces)
        where = where or "the job"
        if change.line is not None:
            line = lines[change.line]
            where = f"{line.quantity} × {line.garment}"
            if sum(other.garment == line.garment for other in lines) > 1:
                where += f" of {line.fabric}"
        made.append(
            Change(
                kind=change.kind,
                where=Text(where),
                to=change.to,
                pieces=change.pieces,
                colour=change.colour,
                line=None if change.line is None else change.line + 1,
            )
        )
    return tuple(made)


def off_the_press(prepared: PreparedJob) -> dict[int, Finding]:
    """For each line whose print is too large for press or area, whatever it is cut from, why."""
    found = {line.number: _too_large(prepared, line) for line in prepared.lines}
    return {number: finding for number, finding in found.items() if finding is not None}


def off_the_press_repairs(drafts: Drafts, *, time_limit_s: float) -> Repairs:
    """What helps where a print is too large: another press, a smaller print, fewer lines."""
    deadline = time.monotonic() + time_limit_s
    prepared = drafts.prepared
    too_large = tuple(off_the_press(prepared))
    smaller = tuple(
        RepairChange("size", to=f"{_largest_mm(prepared, number)}", line=number)
        for number in too_large
    )
    ways = [*_presses(prepared), smaller, *_fewer_lines(prepared, [too_large])]
    found = repairs(
        prepared.problem,
        among=(),
        otherwise=[_made(prepared, way, deadline) for way in ways],
        deadline=deadline,
    )
    return tuple(planned_changes(repair.changes, prepared.print.lines) for repair in found)


def _otherwise(
    prepared: PreparedJob, conflict: Sequence[RuleInstance], deadline: float
) -> Iterator[Otherwise]:
    """The job changed as a whole, in the order in which it is tried."""
    for press in _presses(prepared):
        yield _made(prepared, press, deadline)
    known = prepared.problem.knowledge.rules.by_id
    if any(fact.rule in known and known[fact.rule].judges in OF_SIZE for fact in conflict):
        lines = [line.number for line in prepared.lines]
        for together in dict.fromkeys([*((n,) for n in lines), tuple(lines)]):
            sized = _another_size(prepared, together, deadline)
            if sized:
                yield _made(prepared, sized, deadline)
    alone = [(line.number,) for line in prepared.lines]
    alike: dict[str, list[int]] = {}
    for line in prepared.lines:
        alike.setdefault(line.fabric.id, []).append(line.number)
    for fewer in _fewer_lines(prepared, [*alone, *map(tuple, alike.values())]):
        yield _made(prepared, fewer, deadline)


def _presses(prepared: PreparedJob) -> Iterator[tuple[RepairChange, ...]]:
    for press in prepared.problem.knowledge.catalogue.presses:
        if press != prepared.job.press:
            yield (RepairChange("press", to=press),)


def _fewer_lines(
    prepared: PreparedJob, left_out: Sequence[tuple[int, ...]]
) -> Iterator[tuple[RepairChange, ...]]:
    for numbers in dict.fromkeys(left_out):
        if len(numbers) < len(prepared.lines):
            yield tuple(RepairChange("line", line=number) for number in numbers)


def _made(prepared: PreparedJob, changes: tuple[RepairChange, ...], deadline: float) -> Otherwise:
    def made() -> tuple[Problem, Examine] | None:
        changed = _prepared_with(prepared, changes)
        if changed is None or off_the_press(changed):
            return None
        always = found_always(changed)
        if any(cut.forbids(changed.problem) for cut in always):
            return None
        return changed.problem, Drafts(changed, always=always, deadline=deadline).examine

    return Otherwise(changes, made)


def _prepared_with(prepared: PreparedJob, changes: Sequence[RepairChange]) -> PreparedJob | None:
    """The job with changes made, prepared anew; ``None`` where it is then no job."""
    job = repaired_job(prepared.job, planned_changes(changes, prepared.print.lines))
    problem = prepared.problem
    try:
        changed = prepare(
            job,
            prepared.artwork,
            problem.knowledge,
            of_names=prepared.of_names,
            merged=prepared.print.merged,
        )
    except BadInputError:
        return None
    if changed.problem.knowledge.at != problem.knowledge.at:
        return changed
    answers = problem.rule_answers.on_another_print()
    return replace(changed, problem=replace(changed.problem, rule_answers=answers))


def _another_size(
    prepared: PreparedJob, numbers: tuple[int, ...], deadline: float
) -> tuple[RepairChange, ...]:
    """The least change of some lines' width with which a plan is possible, both ways."""
    widths = {n: prepared.print.lines[n].width_mm for n in numbers}

    def scaled(factor: float) -> tuple[RepairChange, ...]:
        return tuple(
            RepairChange("size", to=f"{max(SMALLEST_MM, round(mm * factor))}", line=n)
            for n, mm in widths.items()
        )

    @cache
    def possible(factor: float) -> bool:
        if time.monotonic() > deadline:
            return False
        changed = _prepared_with(prepared, scaled(factor))
        return changed is not None and can_be_planned(changed.problem)

    largest = min(_largest_mm(prepared, n) / mm for n, mm in widths.items())
    smallest = max(SMALLEST_MM / mm for mm in widths.values())
    sides = ((largest, largest > 1), (smallest, smallest < 1))
    reached = [_nearest(possible, far) for far, is_other in sides if is_other and possible(far)]
    if not reached:
        return ()
    return scaled(min(reached, key=lambda factor: max(factor, 1 / factor)))


def _nearest(possible: Callable[[float], bool], far: float) -> float:
    """The factor nearest to 1 that is found possible by halving the way from a possible one."""
    near = 1.0
    while max(far / near, near / far) > SIZES_APART:
        middle = (near + far) / 2
        if possible(middle):
            far = middle
        else:
            near = middle
    return far


def _largest_mm(prepared: PreparedJob, number: int) -> int:
    """The largest whole width of a line's print that press and area take without a sample, mm."""
    line = prepared.lines[number]
    low, high = SMALLEST_MM, 1500
    while low < high:
        middle = (low + high + 1) // 2
        if _too_large(prepared, line, width_mm=middle, tried_first=True) is None:
            low = middle
        else:
            high = middle - 1
    return low


def _too_large(
    prepared: PreparedJob,
    line: OrderLine,
    *,
    width_mm: float | None = None,
    tried_first: bool = False,
) -> Finding | None:
    """Why a print is too large, if it is; ``tried_first``: also if only a sample would tell."""
    pressed = on_press(prepared, line, width_mm=width_mm)
    found = prepared.problem.knowledge.judge(pressed) if pressed else ()
    refuses = {"stop", "sample"} if tried_first else {"stop"}
    return next((finding for finding in found if finding.severity in refuses), None)
