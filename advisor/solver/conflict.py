"""Conflict: why nothing is possible, as few facts, rules and wishes as cannot hold together."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from typing import Any

from advisor.job.records.print import Meeting
from advisor.layering.records.problem import Option, Problem
from advisor.solver.conflict_facts import facts_of, wished, with_refused
from advisor.solver.cpsat import OutOfTimeError, solved
from advisor.solver.leaving_out import part_of, parts
from advisor.solver.model import PlanModel
from advisor.solver.plain_plan import first_plan
from advisor.solver.records import Cut, RuleInstance
from advisor.solver.variables import Tag, most_stages
from rules.errors import ProgramError

__all__ = ["Beyond", "conflict_model", "impossible_parts", "is_narrowed", "minimal_conflict"]

Beyond = Callable[[str], Sequence[Option]]
"""The films on the shelf that a piece could be cut from, were they not other than is wished."""

TOUCHING = ("film_on_film", "joint")
"""Whose rules are named only where nothing else forbids a plan already."""

FEW_PIECES = 12
"""Up to so many pieces every stage is soon weighed."""

SHORTLY_S = 1.0
"""How long fewer members of a conflict are looked for in the model as it is, s."""

MOST_BEYOND = 4
"""Pieces for which every film of the shelf is weighed; in larger parts, those of the wishes."""

JUDGED = ("film_on_fabric", "artwork", "film_on_film", "joint", "stack")
"""Whose rules are named first where several conflicts are to be had."""


def minimal_conflict(
    problem: Problem,
    *,
    cuts: Sequence[Cut] = (),
    among: Sequence[Problem] | None = None,
    beyond: Beyond = lambda piece: (),
    deadline: float = math.inf,
) -> tuple[tuple[RuleInstance, ...], bool]:
    """Facts, rules and wishes that cannot hold together; without any one of them they could.

    What CP-SAT needs to assume is made minimal by leaving one after another away, wishes first and
    then what is least telling. A look is part of it where another film of the shelf would do.
    What by itself refuses every plan, or every film of a piece, is asked first.

    Args:
        cuts: what was found against drafted plans.
        among: what `impossible_parts` gave, where it is known.
        beyond: without it, a piece without its wish is taken to bear all.

    Returns:
        As few as were found, and whether it is known that none of them is to spare; no members
        where time ran out before any were found.

    Raises:
        ProgramError: the problem can be planned.
    """
    missing = next((p for p in problem.pieces if not p.options and not p.refused), None)
    if missing is not None:
        return (wished(missing),), True
    part = (among or impossible_parts(problem, cuts=cuts, deadline=deadline))[0]
    try:
        # Of a large part it is asked first what holds whatever its stages are.
        for stages in (0, None) if len(part.pieces) > FEW_PIECES else (None,):
            model, asked = conflict_model(part, cuts=cuts, stages=stages, deadline=deadline)
            tags = _sought(part, model, asked, cuts, deadline)
            if tags:
                break
        else:
            raise ProgramError("this can be planned, so nothing stands in its way")
    except OutOfTimeError:
        return (), False
    tags, fewest = _fewest(model, asked, tags, deadline)
    looks = [tag[1] for tag in tags if tag[0] == "wish"]
    pieces = [piece.id for piece in part.pieces] if looks else []
    if len(pieces) > MOST_BEYOND:
        pieces = looks[:MOST_BEYOND]
    others = {piece: tuple(beyond(piece)) for piece in pieces}
    if fewest and any(others.values()):
        # As wished, the pieces are what they were; then again whatever need not be is left away.
        wishes = [("wish", piece) for piece in pieces if ("wish", piece) not in tags]
        try:
            weighed, asked = conflict_model(part, cuts=cuts, beyond=others, deadline=deadline)
        except OutOfTimeError:
            fewest = False
        else:
            fewer, fewest = _fewest(weighed, asked, [*tags, *wishes], deadline)
            if fewest or len(fewer) <= len(tags):
                model, tags = weighed, fewer
    level = {piece.id: n for n, piece in enumerate(problem.pieces)}

    def low_to_high(instance: RuleInstance) -> tuple[Any, ...]:
        levels = sorted(level[piece] for piece in instance.pieces) or [len(level)]
        return (instance.kind != "wish", levels[0], levels, instance.rule)

    return tuple(sorted(facts_of(part, tags, model.options, cuts), key=low_to_high)), fewest


def impossible_parts(
    problem: Problem, *, cuts: Sequence[Cut] = (), deadline: float = math.inf
) -> tuple[Problem, ...]:
    """Every set of meeting pieces that is impossible by itself; everything where none is.

    Where a film may foam nothing is parted: it takes its carrier through the full press, which
    spares all that is down a tack, wherever it lies.
    """
    groups = parts(problem)
    foams = any(o.film.foams for options in with_refused(problem).values() for o in options)
    alone = groups if len(groups) > 1 and not cuts and not foams else ()
    found = tuple(
        part
        for part in (part_of(problem, pieces) for pieces in alone)
        if first_plan(part, deadline=deadline) == "none"
    )
    return found or (problem,)


def conflict_model(
    problem: Problem,
    *,
    cuts: Sequence[Cut] = (),
    beyond: Mapping[str, Sequence[Option]] | None = None,
    stages: int | None = None,
    deadline: float = math.inf,
) -> tuple[PlanModel, Mapping[Tag, Any]]:
    """A problem whose every rule, fact and wish can be taken away on its own.

    Args:
        beyond: films that a piece may be cut from once its wish is taken away; without any, it is
            then taken to bear all.
        stages: as `PlanModel` has them; as many as there may be by default.
        deadline: of ``time.monotonic``, by which the model is to be built.

    Returns:
        The model, and by tag the literal that asks for it, what is most telling first.

    Raises:
        OutOfTimeError: it was not.
    """
    model = PlanModel(
        problem,
        stages=most_stages(problem) if stages is None else stages,
        sample_free=not problem.samples_allowed,
        cuts=cuts,
        options=with_refused(problem),
        beyond=beyond,
        ways={meeting.pair: meeting.open_ways for meeting in problem.meetings},
        explained=True,
        waivable=not problem.samples_allowed,
        deadline=deadline,
    )
    rules = [rule.id for kind in JUDGED for rule in problem.knowledge.rules.by_judged[kind]]
    first = {rule: n for n, rule in enumerate(rules)}
    asked = dict(sorted(model.asked.items(), key=lambda item: first.get(item[0][0], len(first))))
    for piece, wish in model.wish.items():
        asked["wish", piece] = wish
    for meeting in problem.meetings:
        if is_narrowed(meeting):
            kept = model.cp.new_bool_var("")
            model.clause(("order",), ~kept, model.meets(meeting.pair, *meeting.ways))
            asked["wish-meets", *meeting.pair] = kept
    if not problem.samples_allowed:
        asked["wish-samples",] = ~model.sampled
    return model, asked


def is_narrowed(meeting: Meeting) -> bool:
    """Whether fewer ways are wished for than the artwork leaves open."""
    return set(meeting.ways) != set(meeting.open_ways)


def _sought(
    problem: Problem,
    model: PlanModel,
    asked: Mapping[Tag, Any],
    cuts: Sequence[Cut],
    deadline: float,
) -> list[Tag]:
    """Tags that cannot hold together, sought among few before all; none where all of them can.

    Raises:
        OutOfTimeError: time ran out before it was clear.
    """
    looks = [tag for tag in asked if tag not in model.asked]
    everywhere = {str(n) for n, cut in enumerate(cuts) if not cut.pieces and not cut.meets}
    touch = {rule.id for kind in TOUCHING for rule in problem.knowledge.rules.by_judged[kind]}
    rows: list[list[Tag]] = [[tag] for tag in asked if tag[0] == "cut" and tag[1] in everywhere]
    rows += [[tag] for tag in _refusing_all(problem) if tag in asked]
    rows += [[tag] for tag in asked if tag[1:] == ("stack",)]
    rows.append([tag for tag in asked if tag[0] not in touch or len(tag) < 3])
    rows.append(list(asked))
    for row in rows:
        core = _core(model, asked, list(dict.fromkeys([*row, *looks])), deadline)
        if core is not None:
            return core
    return []


def _refusing_all(problem: Problem) -> list[Tag]:
    """For each piece every rule that by itself refuses all films that are wished for it.

    Those that no sample would answer come first: they need one wish less.
    """
    found: dict[Tag, None] = {}
    for refuses in ({"stop"}, {"stop"} if problem.samples_allowed else {"stop", "sample"}):
        for piece, options in with_refused(problem).items():
            rules = [
                [f.rule for f in o.findings + o.fabric_findings if f.severity in refuses]
                for o in options
            ]
            for rule in rules[0] if rules else ():
                if all(rule in others for others in rules):
                    found.setdefault((rule, piece))
    return list(found)


def _fewest(
    model: PlanModel, asked: Mapping[Tag, Any], tags: list[Tag], deadline: float
) -> tuple[list[Tag], bool]:
    """As few as still cannot hold together of tags that cannot; whether none is to spare."""
    with suppress(OutOfTimeError):
        # Unsimplified, a model of sixty pieces tells in a sixth of the time, and with half as many.
        shortly = min(deadline, time.monotonic() + SHORTLY_S)
        tags = _core(model, asked, tags, shortly, presolve=False) or tags
    try:
        while len(core := _core(model, asked, tags, deadline) or tags) < len(tags):
            tags = core
        for tag in reversed(tags):
            if tag in tags and (fewer := [other for other in tags if other != tag]):
                tags = _core(model, asked, fewer, deadline) or tags
    except OutOfTimeError:
        return tags, False
    return tags, True


def _core(
    model: PlanModel,
    asked: Mapping[Tag, Any],
    tags: list[Tag],
    deadline: float,
    *,
    presolve: bool = True,
) -> list[Tag] | None:
    """Those of the tags that cannot hold together; ``None`` where all of them can."""
    model.cp.clear_assumptions()
    model.cp.add_assumptions([asked[tag] for tag in tags])
    until = min(deadline, time.monotonic() + 1e6)
    solution = solved(model.cp, deadline=until, presolve=presolve)
    if solution.status == "unknown":
        raise OutOfTimeError("time ran out before it was clear whether this can be planned")
    if solution.found:
        return None
    core = set(solution.core)
    return [tag for tag in tags if asked[tag].index in core]
