"""Checker: a verdict on a stack that someone typed, or on a plan whose steps someone edited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from advisor.answers.judge import Print, judge_print
from advisor.answers.plan_check import bond_line_result, judge_plan, refuse_strangers
from advisor.heat.records import HeatRefusal
from advisor.heat.timed import judged_lines, with_seconds
from advisor.job.records.plan import BondLineResult, Plan
from advisor.job.records.print import Contact
from advisor.layering.arrangement import Pressing, arrange
from advisor.layering.order import Precedence
from advisor.layering.press_steps import Laying, press_steps, usual_timing
from advisor.layering.stages import StageConflict, compromise, heat_limits
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.facts.fact import Record
from rules.facts.film import Film
from rules.facts.finding import Finding, Verdict, verdict
from rules.facts.garment import Garment
from rules.facts.practice import preheat_s
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.step import Step
from rules.facts.subjects import GarmentOnPress
from rules.rulebook import rulebook

__all__ = ["CheckReport", "check"]

MOST_FILMS = 12
SAMPLE_PRINT_MM = 200.0
"""Size of the print at which a typed stack is judged, mm."""


class CheckReport(Record):
    """A verdict with every finding, and the steps that were judged.

    Attributes:
        steps_given: whether the steps came with the stack; otherwise these are the best that we
            can give it.
    """

    verdict: Verdict
    findings: tuple[Finding, ...]
    bond_lines: tuple[BondLineResult, ...]
    fabric: str
    press: str
    films: tuple[str, ...]
    pieces: tuple[str, ...]
    steps: tuple[Step, ...]
    steps_given: bool = False


def check(
    plan: Plan | None = None,
    *,
    fabric: str | None = None,
    stack: Sequence[str] = (),
    steps: Sequence[Step] | None = None,
    press: str = "clamshell-38x38",
    catalogue: Catalogue | None = None,
) -> CheckReport:
    """Judge a stack of films (bottom first) on a fabric, or a whole plan with its steps.

    A stack without steps is judged under the best schedule that we can give it.

    Args:
        plan: a plan, perhaps edited by hand; the other arguments are then left out.
        fabric: a fabric, or a garment, whose print area is then judged as well.
        stack: film ids, bottom first.
        steps: the press steps for the stack; pieces are named as in the report's ``pieces``.

    Raises:
        BadInputError: no film or too many, no fabric, or a step names a piece that is not there.
        UnknownNameError: a film, fabric or press is not known; the nearest names are offered.

    >>> check(fabric="cotton-jersey-tee", stack=["matte-smooth", "sparkle-coarse"]).verdict
    'go'
    >>> report = check(fabric="cotton-jersey-tee", stack=["sparkle-coarse", "matte-smooth"])
    >>> report.verdict, report.findings[0].rule
    ('stop', 'top-surface')
    """
    known = catalogue or load_catalogue()
    if plan is not None:
        findings, lines = judge_plan(plan, known)
        return CheckReport(
            verdict=verdict(findings),
            findings=findings,
            bond_lines=lines,
            fabric=", ".join(dict.fromkeys(name for run in plan.runs for name in run.fabrics)),
            press=plan.press,
            films=tuple(dict.fromkeys(piece.film for piece in plan.pieces)),
            pieces=tuple(piece.id for piece in plan.pieces),
            steps=plan.steps,
            steps_given=True,
        )
    if fabric is None:
        raise BadInputError("name the fabric, or a garment, that the stack lies on")
    return _check_stack(fabric, tuple(stack), steps, press, known)


def _check_stack(
    fabric_name: str,
    stack: tuple[str, ...],
    steps: Sequence[Step] | None,
    press_name: str,
    catalogue: Catalogue,
) -> CheckReport:
    if not 1 <= len(stack) <= MOST_FILMS:
        raise BadInputError(
            f"a stack has 1 to {MOST_FILMS} films, bottom first; {len(stack)} were given"
        )
    fabric, press = catalogue.fabric(fabric_name), catalogue.press(press_name)
    garment = catalogue.garments.get(fabric_name)
    films = _named_pieces([catalogue.film(name) for name in stack])
    pieces = tuple(films)
    over = tuple((upper, lower) for lower, upper in pairwise(pieces))
    size = _sample_size(garment)
    judged = (
        tuple(steps)
        if steps is not None
        else _best_steps(films, over, fabric, press, garment, size, catalogue)
    )
    refuse_strangers(judged, pieces)
    schedule = Schedule(
        fabric=fabric,
        press=press,
        films=films,
        over=over,
        steps=judged,
        sheets=catalogue.sheets,
        size_mm=dict.fromkeys(pieces, max(size)),
    )
    lines = judged_lines(schedule, [pieces])
    print_ = Print(
        schedule=schedule,
        colours={},
        contacts=tuple(Contact(upper, lower, rim=False) for upper, lower in over),
        on_fabric=pieces[:1],
        stacks=(tuple(films.values()),),
        garments=_on_press(garment, press_name, size, judged, catalogue),
        bond_lines=tuple(lines.values()),
        wearer=garment.wearer if garment else "adult",
        nightwear=garment.nightwear if garment else False,
    )
    findings = judge_print(print_, rulebook())
    return CheckReport(
        verdict=verdict(findings),
        findings=findings,
        bond_lines=tuple(bond_line_result(*line, fabric.id) for line in lines.items()),
        fabric=fabric.id,
        press=press.id,
        films=stack,
        pieces=pieces,
        steps=judged,
        steps_given=steps is not None,
    )


def _best_steps(
    films: Mapping[str, Film],
    over: tuple[tuple[str, str], ...],
    fabric: Fabric,
    press: Press,
    garment: Garment | None,
    size: tuple[float, float],
    catalogue: Catalogue,
) -> tuple[Step, ...]:
    """The steps of the best schedule that a stack can be given, or of the least harmful one."""
    limits = heat_limits([fabric], press)
    pressing = Pressing(
        films, dict.fromkeys(over, "lap"), limits, preheat_s(fabric.holds_water_pct), quantity=1
    )
    order = [Precedence(lower, upper, f"{upper} lies on {lower}") for upper, lower in over]
    grouping, made = arrange(pressing, order, frozenset(frozenset(pair) for pair in over))
    groups = grouping.groups
    stages = compromise(groups, films, limits) if isinstance(made, StageConflict) else made
    laying = Laying(
        films=films,
        groups=groups,
        stages=stages,
        over=over,
        fabric=fabric,
        press=press,
        sheets=catalogue.sheets,
        obstructions=garment.print_area().obstructions if garment else (),
        print_mm=size,
        names={piece: piece for piece in films},
    )
    timed = with_seconds(laying, [tuple(films)])
    if isinstance(timed, HeatRefusal):
        return press_steps(laying, usual_timing(groups, stages))
    return press_steps(*timed)


def _named_pieces(films: Sequence[Film]) -> dict[str, Film]:
    """A piece for each film, called as the film; a film that comes again is numbered."""
    named: dict[str, Film] = {}
    for film in films:
        count = sum(known.id == film.id for known in named.values())
        named[film.id if not count else f"{film.id}-{count + 1}"] = film
    return named


def _sample_size(garment: Garment | None) -> tuple[float, float]:
    if garment is None:
        return (SAMPLE_PRINT_MM, SAMPLE_PRINT_MM)
    area = garment.print_area()
    return (
        min(SAMPLE_PRINT_MM, 0.8 * area.width_mm),
        min(SAMPLE_PRINT_MM, 0.8 * area.height_mm),
    )


def _on_press(
    garment: Garment | None,
    press: str,
    size: tuple[float, float],
    steps: tuple[Step, ...],
    catalogue: Catalogue,
) -> tuple[GarmentOnPress, ...]:
    if garment is None:
        return ()
    return (
        GarmentOnPress(
            garment=garment,
            area=garment.print_area(),
            press=catalogue.press(press),
            width_mm=size[0],
            height_mm=size[1],
            steps=steps,
            sheets=tuple(catalogue.sheets.values()),
        ),
    )
