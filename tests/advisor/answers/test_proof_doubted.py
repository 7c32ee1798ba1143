"""*Proved to be the best*, doubted: every other choice of films, ways and stages is tried for it.

Nothing of the solver is asked. Films and ways are multiplied out; for each choice its own findings,
films and handling say how good it could be were it pressed at once, and where that is better than
the plan called proved, so do the quickest presses at the usual timing; where that is better too,
every order of presses and every division into stages is finished with its heat and findings, and
read as anybody reads a plan: by its own findings, cost and minutes.
"""

from __future__ import annotations

import itertools
import os
import random
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor.answers.plan import Solved, solve
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from advisor.layering.assessment import (
    assess,
    ms_price,
    objective,
    option_price,
    sample_price,
)
from advisor.layering.meeting import columns, contacts, pressed_before
from advisor.layering.order import precedences
from advisor.layering.records.assessment import Assessment, Measures
from advisor.layering.records.pressing import Arrangement
from advisor.layering.records.problem import Choice, Problem
from advisor.layering.settings import press_times
from advisor.layering.stages import MOST_STAGES
from rules.knowledge import Knowledge, load_knowledge

JOBS, SECONDS = (2000, 5) if os.environ.get("PRESSLORE_FULL") else (210, 2)
"""What is not proved in two seconds is seldom proved in five, and out of time nothing is claimed:
ten jobs more have as many plans doubted in half the time."""
MOST_CHOICES = 1500
"""Choices of films and ways tried for one job, at random where there are more."""
MOST_FINISHED = 40
"""Arrangements finished with their heat for one job."""
KNOWN = load_knowledge()
FILLS = ("#1b3a5c", "#f2c14e", "#ffffff", "#c0392b")
GARMENTS = {
    "adult-tee": 240, "child-tee": 150, "adult-hoodie": 240, "zip-hoodie": 80, "wind-jacket": 80,
    "drawstring-bag": 180, "polo": 80, "sports-polo": 80, "canvas-tote": 200, "apron": 180,
}  # fmt: skip
NEVER = (10**9,)
"""Worse than any plan."""
WEAKNESS = {"lap": 0, "inset-over": 1, "inset-under": 1, "butt": 2}


def shelf_of_few(drawn: random.Random) -> Knowledge:
    """The catalogue with twelve of its films."""
    films = drawn.sample(sorted(KNOWN.catalogue.films), 12)
    few = {name: KNOWN.catalogue.films[name] for name in films}
    return replace(KNOWN, catalogue=replace(KNOWN.catalogue, films=few))


def random_job(number: int) -> tuple[Job, bytes, Knowledge]:
    """Two to four shapes over one another, in finishes that a small shelf has."""
    drawn = random.Random(f"doubted {number}")
    knowledge = shelf_of_few(drawn)
    finishes = sorted({f for film in knowledge.catalogue.films.values() for f in film.finishes})
    fills = drawn.sample(FILLS, drawn.choice((2, 3, 3, 4)))
    shapes = "".join(
        f'<rect x="{drawn.randint(0, 50)}" y="{drawn.randint(0, 50)}" '
        f'width="{drawn.randint(15, 50)}" height="{drawn.randint(15, 50)}" fill="{fill}"/>'
        for fill in fills
    )
    garments = drawn.sample(sorted(GARMENTS), drawn.choice((1, 1, 2)))
    job: dict[str, Any] = {
        "job": f"doubted {number}",
        "artwork": "drawn.svg",
        "looks": {fill: {"finish": drawn.choice(finishes)} for fill in fills},
        "garments": [
            {
                "garment": garment,
                "quantity": drawn.choice((1, 4, 30)),
                "artwork_width_mm": GARMENTS[garment] * drawn.choice((1.0, 0.8)),
            }
            for garment in garments
        ],
        "prefer": drawn.choice(("durable", "softest", "fastest", "cheapest")),
        "samples_allowed": drawn.random() < 0.9,
        "on_shelf_only": False,
    }
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{shapes}</svg>'
    return Job.model_validate(job), svg.encode(), knowledge


def as_shown(plan: Plan, problem: Problem) -> tuple[int, ...]:
    """The objective as the plan's own findings, cost, minutes, joints and films say it."""
    garments = sum(line.quantity for line in plan.print.lines)
    films = {piece.id: KNOWN.catalogue.films[piece.film] for piece in plan.pieces}
    piles = columns(plan.print.places, {(j.upper, j.lower): j.meets for j in plan.joints})
    measures = {
        "samples": sum(finding.severity == "sample" for finding in plan.findings),
        "weak": sum(WEAKNESS[joint.meets] for joint in plan.joints),
        "cents": round(100 * plan.cost / garments),
        "seconds": round(60 * plan.minutes / garments),
        "thickness_um": round(max(sum(films[p].thickness_um for p in pile) for pile in piles)),
    }
    return tuple(measures[level] for level in plan.proof.measures)


def compared(one: Sequence[int], other: Sequence[int], measures: Sequence[str]) -> list[int]:
    """By how much they differ, level by level, beyond what rounding may do.

    A plan shows its order's cost in hundredths, so that a garment's, read back, may be a cent off.
    """
    rounded = [1 if measure in ("cents", "seconds") else 0 for measure in measures]
    differ = [a - b for a, b in zip(one, other, strict=True)]
    return [0 if abs(d) <= most else d for d, most in zip(differ, rounded, strict=True)]


def is_better(one: Sequence[int], other: Sequence[int], measures: Sequence[str]) -> bool:
    """Whether one objective certainly comes before another: not by what rounding may do."""
    if len(other) < len(one):
        return True
    for measure, a, b in zip(measures, one, other, strict=True):
        if a != b:
            return b - a > (measure in ("cents", "seconds"))
    return False


def choices(problem: Problem, drawn: random.Random) -> Iterator[Choice]:
    """Every film for every piece with every way for every pair; some, where they are too many."""
    films = [piece.options for piece in problem.pieces]
    ways = [meeting.ways for meeting in problem.meetings]
    every = itertools.product(itertools.product(*films), itertools.product(*ways))
    count = 1
    for domain in (*films, *ways):
        count *= len(domain)
    if count > MOST_CHOICES:
        every = iter(
            [
                (tuple(map(drawn.choice, films)), tuple(map(drawn.choice, ways)))
                for _ in range(MOST_CHOICES)
            ]
        )
    for options, meets in every:
        yield Choice(
            {piece.id: option for piece, option in zip(problem.pieces, options, strict=True)},
            {m.pair: way for m, way in zip(problem.meetings, meets, strict=True)},
        )


def at_best(problem: Problem, choice: Choice) -> tuple[int, ...]:
    """What a choice comes to at least: judged as it lies, and pressed in no time at all."""
    films, meets = choice.films, choice.meets
    touching, on_fabric = contacts(problem.places, meets)
    judged = [finding for option in choice.options.values() for finding in option.findings]
    judged += [one for piece in on_fabric for one in choice.options[piece].fabric_findings]
    for touch in touching:
        judged += problem.on_film(films[touch.upper], films[touch.lower], rim=touch.rim)
    if any(finding.severity == "stop" for finding in judged):
        return NEVER
    samples = len({finding.said for finding in judged if finding.severity == "sample"})
    film = sum(option_price(problem, piece, one) for piece, one in choice.options.items())
    piles = columns(problem.places, meets)
    least = Measures(
        samples=samples,
        weak=sum(WEAKNESS[way] for way in meets.values()),
        ms=press_times(problem).fixed,
        price=film
        + samples * sample_price(problem)
        + press_times(problem).fixed * ms_price(problem.rates),
        thickness_um=int(max(sum(films[p].thickness_um for p in pile) for pile in piles)),
    )
    return objective(least, problem.prefer)


def arrangements(pieces: Sequence[str]) -> Iterator[Arrangement]:
    """Every order of presses, each with some of the pieces, and every division into stages."""
    for groups in ordered_partitions(tuple(pieces)):
        for count in range(1, min(len(groups), MOST_STAGES) + 1):
            for cuts in itertools.combinations(range(1, len(groups)), count - 1):
                yield Arrangement(groups, (0, *cuts, len(groups)), fewest=False)


def ordered_partitions(pieces: tuple[str, ...]) -> Iterator[tuple[tuple[str, ...], ...]]:
    if not pieces:
        yield ()
    for size in range(1, len(pieces) + 1):
        for first in itertools.combinations(pieces, size):
            rest = tuple(piece for piece in pieces if piece not in first)
            for later in ordered_partitions(rest):
                yield (first, *later)


def better_than_proved(solved: Solved, drawn: random.Random) -> Iterator[str]:
    """What finishes better than the plan that is called the best."""
    problem, best = solved.prepared.problem, solved.plan.proof.objective
    least = best if best is not None else NEVER
    pinned = sorted(
        (
            (objective(found.measures, problem.prefer), number, found.choice)
            for number, choice in enumerate(choices(problem, drawn))
            if at_best(problem, choice) < least
            and (found := assess(problem, choice)).measures is not None
        ),
        key=lambda entry: entry[:2],
    )
    finished = 0
    for could_be, _, choice in pinned:
        if could_be >= least or finished >= MOST_FINISHED:
            return
        for arrangement in arrangements(tuple(choice.options)):
            found = assess(problem, choice, arrangement=arrangement)
            if not may_be_laid(problem, found, arrangement) or found.measures is None:
                continue
            if objective(found.measures, problem.prefer) >= least:
                continue
            finished += 1
            cuts = solved.drafts.examine(found)
            if any(cut.severity == "stop" for cut in cuts):
                continue
            if any(cut.severity == "sample" for cut in cuts) and not problem.samples_allowed:
                continue
            plan = solved.drafts.of(found)
            shown = as_shown(plan, problem)
            if is_better(shown, least, plan.proof.measures):
                films = {piece: option.film.id for piece, option in choice.options.items()}
                yield f"{shown} is better than {best}: {films} {choice.meets} {arrangement}"


def may_be_laid(problem: Problem, found: Assessment, arrangement: Arrangement) -> bool:
    """Whether the presses keep to the order of the choice, and no carriers overlap in one."""
    press = {piece: n for n, group in enumerate(arrangement.groups) for piece in group}
    choice, cut = found.choice, found.choice.options
    order = precedences(choice.films, pressed_before(choice.meets))
    # What is cut from one film and colour lies on one carrier.
    return all(press[link.first] < press[link.then] for link in order) and not any(
        press[a] == press[b] and (cut[a].film.id, cut[a].colour) != (cut[b].film.id, cut[b].colour)
        for a, b in map(tuple, problem.close)
    )


@pytest.mark.slow
@pytest.mark.parametrize("tens", range(JOBS // 10))
def test_no_choice_of_films_ways_or_stages_is_better_than_what_is_proved(
    tens: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    # Why an impossible job is impossible is doubted elsewhere.
    monkeypatch.setattr("advisor.answers.plan.clashes_and_repairs", lambda *a, **b: ((), (), True))
    doubted = []
    for number in range(10 * tens, 10 * tens + 10):
        job, svg, knowledge = random_job(number)
        solved = solve(job, folder=Path(), svg=svg, knowledge=knowledge, time_limit_s=SECONDS)
        if solved.plan.status != "impossible" and not solved.plan.proof.optimal:
            # Out of time nothing is claimed.
            continue
        if solved.plan.status == "planned":
            shown = as_shown(solved.plan, solved.prepared.problem)
            claimed, measures = solved.plan.proof.objective or (), solved.plan.proof.measures
            if any(compared(shown, claimed, measures)):
                doubted.append(f"{job.job} shows {shown}, claims {solved.plan.proof.objective}")
        found = better_than_proved(solved, random.Random(number))
        doubted += [f"{job.job}: {one}" for one in found]
    assert not doubted, "\n".join(doubted)
