"""Next films: other plans of an order's prints, where no order of places spares their best ones."""

from __future__ import annotations

import time
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations, product
from typing import NamedTuple

from advisor.answers.plan import Solved
from advisor.answers.whole_order import Composed
from advisor.job.records.job import Job, Prefer
from advisor.job.records.order_plan import PlannedPrint
from advisor.job.records.plan import Plan
from advisor.job.records.print_job import PrintJob
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.film import Film
from rules.facts.text import Text, and_list
from rules.knowledge import Knowledge

__all__ = ["Compose", "SolvePrint", "Tried", "named_films", "plan_in_films", "with_next_films"]

EACH_S = 5.0
"""How long another plan of one print is looked for, s: it need not be proved."""

MOST_CHOICES = 40
"""So many other choices are put in order at most, each of which takes up to a second."""

SolvePrint = Callable[[Job, Knowledge, float], Solved]
Compose = Callable[[Sequence[PlannedPrint]], tuple[tuple[PlannedPrint, ...], Composed]]


class Tried(NamedTuple):
    """What came of the next films.

    Attributes:
        prints: in films of which some order of places harms none, or as they were.
        composed: their order of places.
        choices: how many other choices of films were put in order.
    """

    prints: tuple[PlannedPrint, ...]
    composed: Composed
    choices: int


def with_next_films(
    jobs: Sequence[PrintJob],
    prints: tuple[PlannedPrint, ...],
    composed: Composed,
    *,
    solve: SolvePrint,
    compose: Compose,
    knowledge: Knowledge,
    deadline: float,
) -> Tried:
    """The prints with as few of them as can be in other films than their best, so none is harmed.

    Each print has up to four other plans: in films of a cooler window, in films that bear more, in
    films that are pressed for fewer seconds, and the quickest. First one print is changed, then
    two, and so on; of those that come as far, the one with the fewest samples and the least cost
    is taken. It is a search of the likeliest: nothing is proved where it finds none.

    Args:
        prints: each in the films that are best for it alone; ``composed`` harms some of them.
        solve: plans a print by other knowledge, in so many seconds.
        compose: lays prints in order.
        deadline: of ``time.monotonic``, after which no other choice is tried.
    """
    parts = [one.part for one in prints]
    of_print: dict[int, list[PlannedPrint]] = {}
    choices = 0

    def others(at: int) -> list[PlannedPrint]:
        if at not in of_print:
            of_print[at] = list(_others(jobs[at], prints[at], solve, knowledge, deadline))
        return of_print[at]

    beside_others = [at for at, part in enumerate(parts) if parts.count(part) > 1]
    for count in range(1, len(beside_others) + 1):
        sound: list[tuple[int, float, int, tuple[PlannedPrint, ...], Composed]] = []
        for changed in combinations(beside_others, count):
            for chosen in product(*(others(at) for at in changed)):
                if choices == MOST_CHOICES or time.monotonic() > deadline:
                    break
                choices += 1
                with_them = dict(zip(changed, chosen, strict=True))
                laid, made = compose([with_them.get(at, one) for at, one in enumerate(prints)])
                if not any(places.harm for _, places in made):
                    samples = sum(
                        finding.severity == "sample"
                        for _, places in made
                        for finding in places.findings
                    )
                    cost = sum(one.plan.cost for one in laid)
                    sound.append((samples, cost, choices, laid, made))
        if sound:
            *_, laid, made = min(sound, key=lambda entry: entry[:3])
            return Tried(laid, made, choices)
    return Tried(prints, composed, choices)


def _others(
    job: PrintJob, best: PlannedPrint, solve: SolvePrint, knowledge: Knowledge, deadline: float
) -> Iterator[PlannedPrint]:
    """Other plans of a print, those of a cooler window first; each that is planned, once."""
    known = knowledge.catalogue
    taken = [known.film(piece.film) for piece in best.plan.pieces]
    seen = {_pressed(best.plan)}
    asked = [(job.job, films) for films in _kinds(known.films, taken, named_films(job.job, known))]
    asked.append((job.job.model_copy(update={"prefer": "fastest"}), known.films))
    for wanted, films in asked:
        fewer = replace(knowledge, catalogue=replace(known, films=films))
        within_s = min(EACH_S, deadline - time.monotonic())
        if within_s <= 0:
            return
        plan = plan_in_films(wanted, fewer, solve, within_s)
        if plan is not None and _pressed(plan) not in seen:
            seen.add(_pressed(plan))
            yield best.model_copy(update={"plan": _as_next(plan, best.plan, job.job.prefer)})


def _kinds(
    films: Mapping[str, Film], taken: Sequence[Film], named: Collection[str]
) -> Iterator[Mapping[str, Film]]:
    """The films of a cooler window than those taken, that bear more, and that take fewer seconds.

    Args:
        named: films that the job wishes for by name; these it has in any case.
    """
    cooler_c = min(film.setpoint_c.best for film in taken)
    weakest_s, weakest_c = (min(film.bears_s for film in taken), min(f.bears_c for f in taken))
    longest_s = max(film.dwell_s.best for film in taken)
    suits: tuple[Callable[[Film], bool], ...] = (
        lambda film: film.setpoint_c.best < cooler_c,
        lambda film: film.bears_s > weakest_s and film.bears_c >= weakest_c,
        lambda film: film.dwell_s.best < longest_s,
    )
    for suit in suits:
        yield {name: film for name, film in films.items() if suit(film) or name in named}


def plan_in_films(
    job: Job, knowledge: Knowledge, solve: SolvePrint, within_s: float
) -> Plan | None:
    """The plan of a print by knowledge of fewer films; nothing where it has none."""
    try:
        plan = solve(job, knowledge, within_s).plan
    except BadInputError:
        # None of them shows a finish that is asked for.
        return None
    return plan if plan.status == "planned" else None


def named_films(job: Job, known: Catalogue) -> set[str]:
    """The films that a job wishes for by name."""
    wishes = [*job.looks.values(), *([job.names.look] if job.names else [])]
    return {known.film(wish.film).id for wish in wishes if wish.film is not None}


def _pressed(plan: Plan) -> tuple[object, ...]:
    """What tells two plans of a print apart at the press."""
    films = tuple((piece.id, piece.film, piece.colour) for piece in plan.pieces)
    steps = tuple((step.action, step.setpoint_c, step.dwell_s, step.pieces) for step in plan.steps)
    return films, steps


def _as_next(plan: Plan, best: Plan, prefer: Prefer) -> Plan:
    """A plan that is not the best of its print, and says why it is taken."""
    films = [and_list(dict.fromkeys(piece.film for piece in one.pieces)) for one in (best, plan)]
    note = (
        f"in {films[1]}: {films[0]}, best for this print alone, is harmed by the presses of the "
        "other prints or harms them, in every order"
    )
    if films[0] == films[1]:
        note = "pressed as quickly as may be, since no order spares it or the others otherwise"
    proof = plan.proof.model_copy(update={"optimal": False, "bound": None, "objective": None})
    return plan.model_copy(
        update={"prefer": prefer, "proof": proof, "notes": (Text(note), *plan.notes)}
    )
