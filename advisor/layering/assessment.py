"""Assess: what the rules, the order and the heat windows make of one complete choice."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.job.records.job import Rates
from advisor.job.records.print import Contact, Pair, Place
from advisor.layering.arrangement import Arrangement, Pressing, arrange, arranged
from advisor.layering.cost import garment_seconds
from advisor.layering.meeting import contacts, present, pressed_before
from advisor.layering.order import Cycle, Grouping, find_cycle, precedences
from advisor.layering.problem import Choice, Option, Problem
from advisor.layering.stages import Stage, StageConflict
from rules.facts.film import Film
from rules.facts.finding import Finding, Severity, distinct, seriousness
from rules.facts.practice import preheat_s
from rules.facts.step import Meets

__all__ = [
    "MEASURES",
    "MS_PER_HOUR",
    "WEAKNESS",
    "Assessment",
    "Measures",
    "assess",
    "deepest_and_thickest",
    "halves_up",
    "hour_cents",
    "objective",
    "option_cents",
    "said_by",
    "sample_millicents",
    "tenths_um",
    "unpressable_finding",
]

WEAKNESS = {"lap": 0, "inset-over": 1, "inset-under": 1, "butt": 2}
"""How much a way of meeting takes from an edge's life: a lap bonds all over, an inset at its
rim, a butt not at all. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Measures:
    """What a choice costs, in whole numbers, so that every solver adds them up alike.

    Attributes:
        samples: findings that want a sample pressed first.
        weak: how many edges are weaker than a lap, butts twice.
        seconds: at the press, for one garment, s.
        cents: time, film and expected spoilage for one garment, hundredths of the currency.
        thickness_um: films over one another at the thickest place, µm.
    """

    samples: int
    weak: int
    seconds: int
    cents: int
    thickness_um: int


@dataclass(frozen=True, slots=True)
class Assessment:
    """A choice as it would be pressed, or what stands in its way.

    Attributes:
        findings: what the rules say of its films and joints (not yet of its steps).
        grouping: ``None`` where no order is possible (``cycle`` says why).
        stages: empty where no setting suits all films (``conflict`` says why).
        measures: ``None`` unless it can be pressed.
    """

    choice: Choice
    findings: tuple[Finding, ...]
    contacts: tuple[Contact, ...]
    on_fabric: tuple[str, ...]
    grouping: Grouping | None
    stages: tuple[Stage, ...]
    cycle: Cycle | None
    conflict: StageConflict | None
    measures: Measures | None

    @property
    def possible(self) -> bool:
        """Whether it can be pressed without a ``stop``."""
        return self.measures is not None


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
    if cycle is None:
        pressing = Pressing(
            films, choice.meets, problem.limits, _preheat_s(problem), problem.quantity
        )
        if arrangement is None:
            grouping, made = arrange(pressing, order, problem.close)
        else:
            grouping, made = arranged(pressing, arrangement)
        if isinstance(made, StageConflict):
            conflict = made
        else:
            stages = made
            findings += _pressed_unevenly(problem, stages, films)
    stopped = any(finding.severity == "stop" for finding in findings)
    measures = None
    if grouping is not None and stages and not stopped:
        measures = _measures(problem, choice, films, findings, grouping, stages)
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
        return said_by(problem, "press-order", "stop", str(found.cycle), films)
    if found.conflict is not None:
        return said_by(problem, found.conflict.rule, "stop", found.conflict.message, films)
    if not problem.samples_allowed:
        sample = next(f for f in found.findings if f.severity == "sample")
        return sample.model_copy(update={"severity": "stop"})
    raise ValueError("this choice can be pressed")


def _pressed_unevenly(
    problem: Problem, stages: Sequence[Stage], films: Mapping[str, Film]
) -> tuple[Finding, ...]:
    """A finding for each full press whose films want different pressures."""
    return tuple(
        said_by(
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


def said_by(
    problem: Problem, rule_id: str, severity: Severity, message: str, where: str
) -> Finding:
    """A finding in the words of a rule, where its own function was not what found it."""
    rule = problem.rules.rule(rule_id)
    return Finding(
        rule=rule.id,
        severity=severity,
        where=where,
        message=message,
        why=rule.why,
        instead=rule.instead,
        basis=rule.basis,
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

    >>> objective(Measures(samples=0, weak=1, seconds=60, cents=250, thickness_um=300), "softest")
    (0, 300, 250, 60, 1)
    """
    return tuple(getattr(measures, name) for name in MEASURES[prefer])


def deepest_and_thickest(
    places: Sequence[Place], meets: Mapping[Pair, Meets], films: Mapping[str, Film]
) -> tuple[tuple[Film, ...], ...]:
    """The films at the deepest and at the thickest place, bottom first; one if they agree."""
    stacks = [tuple(films[piece] for piece in present(place, meets)) for place in places]
    deepest = max(stacks, key=len, default=())
    thickest = max(stacks, key=_thickness_um, default=())
    return (deepest,) if deepest == thickest else (deepest, thickest)


def _thickness_um(stack: tuple[Film, ...]) -> float:
    return sum(film.thickness_um for film in stack)


def _findings(
    problem: Problem,
    choice: Choice,
    films: Mapping[str, Film],
    touching: tuple[Contact, ...],
    on_fabric: tuple[str, ...],
) -> tuple[Finding, ...]:
    found: list[Finding] = []
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
    said: dict[str, Finding] = {}
    for stack in deepest_and_thickest(problem.places, choice.meets, films):
        for finding in problem.in_stack(stack):
            known = said.get(finding.rule)
            if known is None or seriousness(finding.severity) < seriousness(known.severity):
                said[finding.rule] = finding
    found.extend(said.values())
    return distinct(found)


def _measures(
    problem: Problem,
    choice: Choice,
    films: Mapping[str, Film],
    findings: tuple[Finding, ...],
    grouping: Grouping,
    stages: tuple[Stage, ...],
) -> Measures:
    samples = sum(finding.severity == "sample" for finding in findings)
    seconds = garment_seconds(
        grouping.groups,
        stages,
        films,
        choice.meets,
        press=problem.limits.press,
        preheat_s=_preheat_s(problem),
        quantity=problem.quantity,
    )
    film_cents = sum(option_cents(option) for option in choice.options.values())
    return Measures(
        samples=samples,
        weak=sum(WEAKNESS[way] for way in choice.meets.values()),
        seconds=halves_up(round(1000 * seconds), 1000),
        cents=film_cents
        + halves_up(samples * sample_millicents(problem), 1000)
        + halves_up(round(1000 * seconds) * hour_cents(problem.rates), MS_PER_HOUR),
        thickness_um=halves_up(
            max(
                sum(tenths_um(film) for film in stack)
                for stack in deepest_and_thickest(problem.places, choice.meets, films)
            ),
            10,
        ),
    )


MS_PER_HOUR = 3_600_000


def halves_up(amount: int, unit: int) -> int:
    """An amount in whole units, halves up, as every solver can reckon it.

    >>> halves_up(1499, 1000), halves_up(1500, 1000)
    (1, 2)
    """
    return (2 * amount + unit) // (2 * unit)


def option_cents(option: Option) -> int:
    """Film for one garment, hundredths of the currency."""
    return round(100 * option.film_cost)


def sample_millicents(problem: Problem) -> int:
    """What one finding of kind sample adds to a garment, thousandths of a cent."""
    return round(1000 * problem.rates.spoiled_per_sample_pct * problem.garment_price)


def hour_cents(rates: Rates) -> int:
    """An hour at the press, hundredths of the currency."""
    return round(100 * rates.rate_per_hour)


def tenths_um(film: Film) -> int:
    """A film's thickness in tenths of a micrometre."""
    return round(10 * film.thickness_um)


def _preheat_s(problem: Problem) -> float:
    return max(preheat_s(fabric.holds_water_pct) for fabric in problem.fabrics)
