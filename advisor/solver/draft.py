"""Draft: the plan that a solution stands for, and what its own stacks have against it."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace

from advisor.job.records.print import Pair, Place
from advisor.layering.assessment import assess, with_more
from advisor.layering.flaking_last import may_move
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.pressing import Arrangement
from advisor.layering.records.problem import Choice, Option, Problem
from advisor.solver.cpsat import Solution
from advisor.solver.model import PlanModel
from advisor.solver.records import Cut
from advisor.solver.stack_limits import foreseen, stack_limits
from rules.facts.film import Film
from rules.facts.finding import Finding, seriousness
from rules.facts.practice import TACK_S
from rules.facts.step import Meets
from rules.facts.text import Text
from rules.facts.units import show_s

__all__ = [
    "chosen",
    "in_this_plan",
    "late_cut",
    "of_heat",
    "part_cut",
    "refuses",
    "shape_cut",
    "stack_cuts",
    "whole_cut",
    "with_late",
]


def chosen(model: PlanModel, solution: Solution) -> Assessment:
    """The plan that a solution stands for, assessed."""
    options: dict[str, Option] = {}
    meets: dict[Pair, Meets] = {}
    for piece, films in model.film.items():
        taken = next(i for i, film in enumerate(films) if solution.holds(film))
        options[piece] = model.options[piece][taken]
    for pair, ways in model.way.items():
        meets[pair] = next(way for way, literal in ways.items() if solution.holds(literal))
    rank = {piece: solution.of(rank) for piece, rank in model.rank.items()}
    presses = sorted(set(rank.values()))
    groups = tuple(tuple(p for p in rank if rank[p] == press) for press in presses)
    stages = [press // model.width for press in presses]
    edges = [i for i, stage in enumerate(stages) if i and stage != stages[i - 1]]
    arrangement = Arrangement(groups, (0, *edges, len(groups)), fewest=False)
    return assess(model.problem, Choice(options, meets), arrangement=arrangement)


def _presses_of(found: Assessment) -> dict[str, tuple[int, int]]:
    """The stage that each piece finishes in, and the press of that stage in which it goes down."""
    if found.grouping is None:
        return {}
    return {
        piece: (k, press - stage.first)
        for k, stage in enumerate(found.stages)
        for press in range(stage.first, stage.last + 1)
        for piece in found.grouping.groups[press]
    }


def part_cut(
    finding: Finding,
    found: Assessment,
    pieces: Sequence[str],
    *,
    anywhere: bool = False,
    coloured: bool = True,
) -> Cut:
    """A cut that names some pieces: their films, ways and stages, nothing finished after them.

    Args:
        anywhere: whatever stages they have, and whatever is finished after them.
        coloured: the finding may rest on the colours of the films too.
    """
    options, pressed = found.choice.options, _presses_of(found)
    stages = sorted({pressed[piece][0] for piece in pieces})
    ways = {pair: way for pair, way in found.choice.meets.items() if set(pair) <= set(pieces)}
    return Cut(
        films=tuple((p, options[p].name if coloured else options[p].film.id) for p in pieces),
        meets=tuple(ways.items()),
        stages=()
        if anywhere
        else tuple((piece, stages.index(pressed[piece][0])) for piece in pieces),
        sentence=f"{finding.rule}: " + finding.message,
        rule=finding.rule,
        severity="stop" if finding.severity == "stop" else "sample",
    )


def shape_cut(problem: Problem, finding: Finding, found: Assessment, named: Set[str]) -> Cut:
    """A cut that names what shapes some pieces: how they meet, and the films of what cuts them.

    A piece that only laps takes nothing from them, whatever film it is; films that draw in alike
    leave the same of what lies beside them.
    """
    around = {pair: way for pair, way in found.choice.meets.items() if named & set(pair)}
    cutting = {piece for pair, way in around.items() if way != "lap" for piece in pair}
    alike = []
    for piece in problem.pieces:
        if piece.id in cutting | named:
            taken = found.choice.films[piece.id]
            # One that was asked about need not be among the options.
            films = {taken.id: None} | {
                option.film.id: None
                for option in piece.options
                if _draw_in_alike(option.film, taken)
                and (piece.id not in named or _weed_alike(option.film, taken))
            }
            alike.append((piece.id, tuple(films)))
    cut = part_cut(finding, found, (), anywhere=True)
    return replace(cut, alike=tuple(alike), meets=tuple(around.items()))


def _draw_in_alike(one: Film, other: Film) -> bool:
    """Whether the traps and gaps beside two films are as wide."""
    return one.draws_in(2 * TACK_S) == other.draws_in(2 * TACK_S)


def _weed_alike(one: Film, other: Film) -> bool:
    """Whether two films weed the same details."""
    return (one.least_stroke_mm, one.least_gap_mm) == (other.least_stroke_mm, other.least_gap_mm)


def refuses(cut: Cut, found: Assessment) -> bool:
    """Whether a plan is one that a cut speaks of."""
    choice, pressed = found.choice, _presses_of(found)
    return (
        all(film in _names(choice.options[piece]) for piece, film in cut.films)
        and all(choice.films[piece].id in films for piece, films in cut.alike)
        and all(choice.meets[pair] == way for pair, way in cut.meets)
        and all(choice.meets[pair] != "lap" for pair in cut.apart)
        and all(pressed[piece] == (stage, press) for piece, stage, press in cut.presses)
        and _in_stages(cut, [pressed[piece][0] for piece, _ in cut.stages], len(found.stages))
    )


def _names(option: Option) -> tuple[str, str]:
    """What a cut may call an option: by its film, whatever its colour, or by both."""
    return option.film.id, option.name


def _in_stages(cut: Cut, stages: Sequence[int], number: int) -> bool:
    apart = sorted(set(stages))
    numbered = [stage for _, stage in cut.stages]
    return not stages or (
        [apart.index(stage) for stage in stages] == numbered
        and (cut.followed or apart[-1] == number - 1)
    )


def whole_cut(finding: Finding, found: Assessment) -> Cut:
    """A cut that names the whole plan, its presses and stages included."""
    return in_this_plan(part_cut(finding, found, ()), found)


def late_cut(found: Assessment, ms: int) -> Cut:
    """A cut that says how much longer the whole plan takes than usual, milliseconds."""
    longer = Text(f"heat takes {show_s(ms / 1000)} longer than usual")
    return of_heat(Cut((), (), longer, severity="late", ms=ms), found)


def of_heat(cut: Cut, found: Assessment) -> Cut:
    """A cut that speaks of all plans that are alike to heat: what lies where, in which presses.

    Neither colours nor which of two rims goes under are anything to heat. Only where loose flakes
    may move a press later does it matter what may pass what.
    """
    whole, options = in_this_plan(cut, found), found.choice.options
    if may_move(found):
        return whole
    return replace(
        whole,
        films=tuple((piece, option.film.id) for piece, option in options.items()),
        meets=tuple(met for met in whole.meets if met[1] == "lap"),
        apart=tuple(pair for pair, way in whole.meets if way != "lap"),
    )


def with_late(problem: Problem, found: Assessment, cuts: Sequence[Cut]) -> Assessment:
    """A plan with the samples and the time that examining it has added."""
    causes = {cut.cause for cut in cuts if cut.severity == "sample"}
    longest_ms = max((cut.ms for cut in cuts), default=0)
    return with_more(problem, found, samples=len(causes), ms=longest_ms)


def in_this_plan(cut: Cut, found: Assessment) -> Cut:
    """A cut that speaks of the whole plan alone instead, its presses and stages included."""
    return replace(
        cut,
        films=tuple((piece, option.name) for piece, option in found.choice.options.items()),
        meets=tuple(found.choice.meets.items()),
        presses=tuple((piece, *at) for piece, at in _presses_of(found).items()),
        stages=(),
    )


def stack_cuts(problem: Problem, found: Assessment) -> tuple[Cut, ...]:
    """What rules have against these very films over one another, which no table foresaw."""
    cuts: dict[Cut, None] = {}
    limits = stack_limits(problem)
    judged: dict[tuple[str, ...], None] = {}
    for place in problem.places:
        laid = place.laid(found.choice.meets)
        films = found.choice.films
        ids = tuple(films[piece].id for piece in laid)
        if ids in judged:
            continue
        judged[ids] = None
        for finding in problem.in_stack(tuple(films[piece] for piece in laid)):
            over = [films[piece] for piece in laid]
            if finding.severity != "note" and not foreseen(limits, finding, over):
                cuts[_stack_cut(problem, finding, place, laid, found)] = None
    return tuple(cuts)


def _stack_cut(
    problem: Problem, finding: Finding, place: Place, laid: Sequence[str], found: Assessment
) -> Cut:
    """The fewest of the films at a place that draw the finding, and what keeps them there."""
    films, meets = found.choice.films, found.choice.meets
    kept = list(laid)
    for piece in laid:
        rest = [other for other in kept if other != piece]
        if rest and _as_bad(problem, finding, [films[other] for other in rest]):
            kept = rest
    above = [
        (upper, lower) for lower in kept for upper in place.stack[place.stack.index(lower) + 1 :]
    ]
    return Cut(
        films=tuple((piece, films[piece].id) for piece in kept),
        meets=tuple((pair, meets[pair]) for pair in above if pair in meets),
        sentence=f"{finding.rule}: " + finding.message,
        rule=finding.rule,
        severity="stop" if finding.severity == "stop" else "sample",
        cause=("stack", finding.rule),
    )


def _as_bad(problem: Problem, finding: Finding, films: Sequence[Film]) -> bool:
    return any(
        other.rule == finding.rule and seriousness(other.severity) <= seriousness(finding.severity)
        for other in problem.in_stack(tuple(films))
    )
