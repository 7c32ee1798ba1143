"""Assess: what the rules, the order and the heat windows make of one complete choice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from advisor.cost import garment_seconds
from advisor.meeting import Contact, contacts, present, pressed_before
from advisor.order import Cycle, Grouping, find_cycle, group_presses, precedences
from advisor.problem import Choice, Problem
from advisor.stages import Stage, StageConflict, choose_stages
from rules.facts.film import Film
from rules.facts.finding import Finding
from rules.practice import preheat_s

__all__ = [
    "Assessment",
    "Measures",
    "assess",
    "objective",
    "thickest_stacks",
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


def assess(problem: Problem, choice: Choice) -> Assessment:
    """Judge a complete choice: contacts, joints, stacks, order, stages and cost."""
    films = choice.films
    touching, on_fabric = contacts(problem.places, choice.meets)
    findings = _findings(problem, choice, films, touching, on_fabric)
    order = precedences(films, pressed_before(choice.meets))
    cycle = find_cycle(order)
    grouping: Grouping | None = None
    stages: tuple[Stage, ...] = ()
    conflict: StageConflict | None = None
    if cycle is None:
        grouping = group_presses(
            tuple(films),
            order,
            problem.close | _never_together(films),
            hotter_first={piece: film.setpoint_c.low for piece, film in films.items()},
        )
        made = choose_stages(grouping.groups, films, problem.limits)
        if isinstance(made, StageConflict):
            conflict = made
        else:
            stages = made
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
        return _broken(problem, "press-order", str(found.cycle), films)
    if found.conflict is not None:
        return _broken(problem, found.conflict.rule, found.conflict.message, films)
    if not problem.samples_allowed:
        sample = next(f for f in found.findings if f.severity == "sample")
        return sample.model_copy(update={"severity": "stop"})
    raise ValueError("this choice can be pressed")


def _broken(problem: Problem, rule_id: str, message: str, where: str) -> Finding:
    rule = problem.rules.rule(rule_id)
    return Finding(
        rule=rule.id,
        severity="stop",
        where=where,
        message=message,
        why=rule.why,
        instead=rule.instead,
        basis=rule.basis,
    )


def objective(measures: Measures, prefer: str) -> tuple[int, ...]:
    """The measures in the order that counts: samples first, then the user's preference.

    >>> objective(Measures(0, 1, 60, 250, 300), "softest")
    (0, 300, 250, 60, 1)
    """
    m = measures
    return {
        "durable": (m.samples, m.weak, m.cents, m.thickness_um, m.seconds),
        "softest": (m.samples, m.thickness_um, m.cents, m.seconds, m.weak),
        "fastest": (m.samples, m.seconds, m.cents, m.thickness_um, m.weak),
        "cheapest": (m.samples, m.cents, m.seconds, m.thickness_um, m.weak),
    }[prefer]


def thickest_stacks(
    problem: Problem, choice: Choice, films: Mapping[str, Film]
) -> tuple[tuple[Film, ...], ...]:
    """The films at the deepest and at the thickest place, bottom first; one if they agree."""
    stacks = [
        tuple(films[piece] for piece in present(place, choice.meets)) for place in problem.places
    ]
    deepest = max(stacks, key=len, default=())
    thickest = max(stacks, key=_thickness_um, default=())
    return (deepest,) if deepest == thickest else (deepest, thickest)


def _thickness_um(stack: tuple[Film, ...]) -> float:
    return sum(film.thickness_um for film in stack)


def _never_together(films: Mapping[str, Film]) -> frozenset[frozenset[str]]:
    """Pairs that cannot finish in one press, so that neither may they go down in one."""
    return frozenset(
        frozenset((one, other))
        for one, a in films.items()
        for other, b in films.items()
        if one < other
        and (
            max(a.setpoint_c.low, b.setpoint_c.low) > min(a.setpoint_c.high, b.setpoint_c.high)
            or max(a.dwell_s.low, b.dwell_s.low) > min(a.dwell_s.high, b.dwell_s.high)
        )
    )


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
    seen_rules: set[str] = set()
    for stack in thickest_stacks(problem, choice, films):
        for finding in problem.in_stack(stack):
            if finding.rule not in seen_rules:
                seen_rules.add(finding.rule)
                found.append(finding)
    unique = {(finding.rule, finding.where, finding.message): finding for finding in found}
    return tuple(unique.values())


def _measures(
    problem: Problem,
    choice: Choice,
    films: Mapping[str, Film],
    findings: tuple[Finding, ...],
    grouping: Grouping,
    stages: tuple[Stage, ...],
) -> Measures:
    samples = sum(finding.severity == "sample" for finding in findings)
    samples += sum(not stage.pressure_suits for stage in stages)
    seconds = garment_seconds(
        grouping.groups,
        stages,
        films,
        choice.meets,
        press=problem.limits.press,
        preheat_s=max(preheat_s(fabric.holds_water_pct) for fabric in problem.fabrics),
        quantity=problem.quantity,
    )
    rates = problem.rates
    film_cents = sum(round(100 * option.film_cost) for option in choice.options.values())
    spoilage_cents = round(samples * rates.spoiled_per_sample_pct * problem.garment_price)
    time_cents = round(seconds * rates.rate_per_hour / 36)
    return Measures(
        samples=samples,
        weak=sum(WEAKNESS[way] for way in choice.meets.values()),
        seconds=round(seconds),
        cents=film_cents + spoilage_cents + time_cents,
        thickness_um=round(
            max(_thickness_um(stack) for stack in thickest_stacks(problem, choice, films))
        ),
    )
