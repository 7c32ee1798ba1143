"""Assessment: what the rules, the order and the heat windows make of one complete choice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from advisor.job.records.job import Rates
from advisor.job.records.print import Contact
from advisor.layering.arrangement import SecondsBasis, best_arrangement, with_settings
from advisor.layering.meeting import columns, contacts, pressed_before
from advisor.layering.order import find_cycle, precedences
from advisor.layering.records.assessment import PER_CENT, Assessment, Measures, halves_up
from advisor.layering.records.pressing import Arrangement, Grouping, Stage, StageConflict
from advisor.layering.records.problem import Choice, Option, Problem
from advisor.layering.stacks import stack_findings, stacks_of
from rules.book.rests_on import least_sure
from rules.facts.film import Film
from rules.facts.finding import Finding, Severity, distinct
from rules.facts.practice import ROLL_S
from rules.facts.text import Text

__all__ = [
    "MEASURES",
    "WEAKNESS",
    "assess",
    "finding_of_rule",
    "ms_price",
    "objective",
    "option_price",
    "roll_price",
    "sample_price",
    "tenths_um",
    "unpressable_finding",
    "with_more",
]

WEAKNESS = {"lap": 0, "inset-over": 1, "inset-under": 1, "butt": 2}
"""How much a way of meeting takes from an edge's life: a lap bonds all over, an inset at its
rim, a butt not at all. Common practice, no source."""


def assess(
    problem: Problem, choice: Choice, *, arrangement: Arrangement | None = None
) -> Assessment:
    """Judge a complete choice: contacts, joints, stacks, order, stages and cost.

    Args:
        arrangement: presses and stages found elsewhere; without it the best are sought here
            (exactly up to ``advisor.layering.arrangement.MOST_PIECES_EXACT`` pieces).
    """
    films = choice.films
    touching, on_fabric = contacts(problem.places, choice.meets)
    findings = _findings(problem, choice, films, touching, on_fabric)
    order = precedences(films, pressed_before(choice.meets))
    cycle = find_cycle(order)
    grouping: Grouping | None = None
    stages: tuple[Stage, ...] = ()
    conflict: StageConflict | None = None
    average = problem.average
    pressing = SecondsBasis(
        films,
        choice.meets,
        problem.carriers(choice.options),
        problem.limits,
        average.warming_s,
        average.garments,
    )
    if cycle is None:
        if arrangement is None:
            close = problem.carriers_clash(pressing.carriers)
            grouping, made = best_arrangement(pressing, order, close)
        else:
            grouping, made = with_settings(pressing, arrangement)
        if isinstance(made, StageConflict):
            conflict = made
        else:
            stages = made
            findings += _pressed_unevenly(problem, stages, films)
    stopped = any(finding.severity == "stop" for finding in findings)
    measures = None
    if grouping is not None and stages and not stopped:
        seconds = pressing.seconds(grouping.groups, stages)
        measures = _measures(problem, choice, films, findings, seconds)
        if measures.samples and not problem.samples_allowed:
            measures = None
    return Assessment(
        choice, findings, touching, on_fabric, grouping, stages, cycle, conflict, measures
    )


def unpressable_finding(problem: Problem, found: Assessment) -> Finding:
    """What stands in the way of a choice that the rules on films and joints let stand.

    Raises ``ValueError`` for a choice that can be pressed.
    """
    stops = [finding for finding in found.findings if finding.severity == "stop"]
    if stops:
        return stops[0]
    films = " + ".join(film.id for film in found.choice.films.values())
    if found.cycle is not None:
        return finding_of_rule(problem, "press-order", "stop", found.cycle.text, films)
    if found.conflict is not None:
        return finding_of_rule(problem, found.conflict.rule, "stop", found.conflict.message, films)
    if not problem.samples_allowed:
        sample = next(f for f in found.findings if f.severity == "sample")
        return sample.model_copy(update={"severity": "stop"})
    raise ValueError("this choice can be pressed")


def _pressed_unevenly(
    problem: Problem, stages: Sequence[Stage], films: Mapping[str, Film]
) -> tuple[Finding, ...]:
    """A finding for each full press whose films want different pressures."""
    return tuple(
        finding_of_rule(
            problem,
            "pressure-window",
            "sample",
            f"no setting of {problem.limits.press.id} suits all the films finished together; "
            f"{stage.pressure_kpa:.0f} kPa on the platen is the nearest",
            " + ".join(dict.fromkeys(films[piece].id for piece in stage.finishes)),
        )
        for stage in stages
        if not stage.pressure_suits
    )


def finding_of_rule(
    problem: Problem, rule_id: str, severity: Severity, message: str, where: str
) -> Finding:
    """A finding in the words of a rule, where its own function was not what found it.

    It is no surer than the least sure film that may be chosen.
    """
    rule = problem.knowledge.rules.rule(rule_id)
    films = (option.film.basis_default for piece in problem.pieces for option in piece.options)
    return Finding(
        rule=rule.id,
        severity=severity,
        where=Text(where),
        message=Text(message),
        why=Text(rule.why),
        instead=Text(rule.instead),
        basis=least_sure(films, rule.basis),
    )


MEASURES: dict[str, tuple[str, ...]] = {
    "durable": ("samples", "weak", "cents", "thickness_um", "seconds"),
    "softest": ("samples", "thickness_um", "cents", "seconds", "weak"),
    "fastest": ("samples", "seconds", "cents", "thickness_um", "weak"),
    "cheapest": ("samples", "cents", "seconds", "thickness_um", "weak"),
}
"""The measures in the order that counts, for each preference."""


def objective(measures: Measures, prefer: str) -> tuple[int, ...]:
    """The measures in the order that counts: samples first, then the user's preference.

    >>> measured = Measures(samples=0, weak=1, ms=60_000, price=9_000_000, thickness_um=300)
    >>> objective(measured, "softest")
    (0, 300, 3, 60, 1)
    """
    return tuple(getattr(measures, name) for name in MEASURES[prefer])


def _findings(
    problem: Problem,
    choice: Choice,
    films: Mapping[str, Film],
    touching: tuple[Contact, ...],
    on_fabric: tuple[str, ...],
) -> tuple[Finding, ...]:
    found = list(problem.drawn)
    for piece, option in choice.options.items():
        found.extend(option.findings)
        if piece in on_fabric:
            found.extend(option.fabric_findings)
    for contact in touching:
        found.extend(problem.on_film(films[contact.upper], films[contact.lower], rim=contact.rim))
    for meeting in problem.meetings:
        if not meeting.hidden:
            found.extend(
                problem.at_joint(
                    meeting,
                    films[meeting.upper],
                    films[meeting.lower],
                    choice.meets[meeting.pair],
                )
            )
            upper, lower = (choice.options[piece] for piece in meeting.pair)
            found.extend(problem.seen(meeting, upper, lower))
    piles = columns(problem.places, choice.meets)
    found.extend(stack_findings(stacks_of(piles, films), problem.in_stack))
    return distinct(found)


def _measures(
    problem: Problem,
    choice: Choice,
    films: Mapping[str, Film],
    findings: tuple[Finding, ...],
    seconds: float,
) -> Measures:
    samples = sum(finding.severity == "sample" for finding in findings)
    ms = round(1000 * seconds)
    film = sum(option_price(problem, piece, option) for piece, option in choice.options.items())
    rolls = len({option.roll for option in choice.options.values()})
    film += (rolls - 1) * roll_price(problem)
    return Measures(
        samples=samples,
        weak=sum(WEAKNESS[way] for way in choice.meets.values()),
        ms=ms,
        price=film + samples * sample_price(problem) + ms * ms_price(problem.rates),
        thickness_um=halves_up(
            max(
                sum(tenths_um(films[piece]) for piece in pile)
                for pile in columns(problem.places, choice.meets)
            ),
            10,
        ),
    )


def option_price(problem: Problem, piece: str, option: Option) -> int:
    """Film of a piece for the average garment, in the units of `Measures.price`."""
    cents = 100 * option.film_cost * problem.average.film_share[piece]
    return round(1000 * cents) * PER_CENT // 1000


def roll_price(problem: Problem) -> int:
    """Changing to one more roll, a garment's share of it, likewise; of an order alone.

    Films that are asked about over one another, and no artwork, are none.
    """
    if all(piece.fill is None for piece in problem.print.pieces):
        return 0
    return round(1000 * ROLL_S / problem.quantity) * ms_price(problem.rates)


def sample_price(problem: Problem) -> int:
    """What one finding of kind sample is expected to spoil, a garment's share, likewise."""
    cents = problem.rates.spoiled_per_sample_pct * problem.garment_price
    return round(1000 * cents) * PER_CENT // 1000


def ms_price(rates: Rates) -> int:
    """A millisecond at the press, likewise: as many units as an hour has cents."""
    return round(100 * rates.rate_per_hour)


def with_more(problem: Problem, found: Assessment, *, samples: int, ms: int) -> Assessment:
    """A plan that turns out to want so many more samples and to take so much longer."""
    known = found.measures
    if known is None:
        return found
    more = samples * sample_price(problem) + ms * ms_price(problem.rates)
    measures = replace(
        known, samples=known.samples + samples, ms=known.ms + ms, price=known.price + more
    )
    return replace(found, measures=measures)


def tenths_um(film: Film) -> int:
    """A film's thickness in tenths of a micrometre."""
    return round(10 * film.thickness_um)
