"""Checker: a verdict on a stack that someone typed, or on a plan whose steps someone edited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from advisor.arrange import Pressing, arrange
from advisor.assess import deepest_and_thickest
from advisor.heat.refusal import HeatRefusal
from advisor.judge import Print, judge_print
from advisor.meeting import Contact, Pair, Place, contacts, present
from advisor.order import Precedence
from advisor.plan_file import refuse_unfitting
from advisor.plan_model import BondLineResult, Plan, PlannedPiece, Run
from advisor.problem import window_mm
from advisor.schedule import Laying, press_steps, usual_timing
from advisor.settle import judged_lines, settled
from advisor.stages import StageConflict, compromise, heat_limits
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour, Record
from rules.facts.film import Film
from rules.facts.finding import Finding, Verdict, verdict, worst_first
from rules.facts.garment import Garment, Wearer
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.step import Meets, Step
from rules.practice import preheat_s
from rules.rulebook import rulebook
from rules.subjects import ArtworkPiece, BondLine, GarmentOnPress, Joint

__all__ = ["CheckReport", "check", "judge_plan", "schedule_of"]

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


def judge_plan(
    plan: Plan, catalogue: Catalogue
) -> tuple[tuple[Finding, ...], tuple[BondLineResult, ...]]:
    """Every finding on a plan, each run with its own steps, and its bond lines.

    Raises:
        BadInputError: the plan has no pieces or no steps, or its parts do not fit one another.
        UnknownNameError: a film, garment, fabric or press is not in the catalogue, or a step
            names a piece that the plan lacks.
    """
    if not plan.pieces or not plan.steps or not plan.runs:
        raise BadInputError("this plan has no steps to check; plan the job first")
    refuse_unfitting(plan)
    lying = _lying(plan)
    findings: list[Finding] = []
    lines: list[BondLineResult] = []
    for run in plan.runs:
        for fabric in run.fabrics:
            print_, seen = _print_of(plan, run, fabric, catalogue, lying)
            findings += judge_print(print_, rulebook())
            lines += seen
    return worst_first(findings), tuple(lines)


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
    _refuse_strangers(judged, pieces)
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
        bond_lines=lines,
        wearer=garment.wearer if garment else "adult",
        nightwear=garment.nightwear if garment else False,
    )
    findings = judge_print(print_, rulebook())
    return CheckReport(
        verdict=verdict(findings),
        findings=findings,
        bond_lines=tuple(_result(line, fabric.id) for line in lines),
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
    timed = settled(laying, [tuple(films)])
    if isinstance(timed, HeatRefusal):
        return press_steps(laying, usual_timing(groups, stages))
    return press_steps(*timed)


def schedule_of(
    plan: Plan, run: Run, fabric: str, catalogue: Catalogue
) -> tuple[Schedule, tuple[tuple[str, ...], ...]]:
    """The schedule of one run of a plan on one of its fabrics, and the places of the artwork.

    Returns:
        The schedule, and what lies over one another at each place, by piece, bottom first.

    Raises:
        UnknownNameError: a film, fabric or press is not known, or a step or stack names a piece
            that the plan lacks.
    """
    lying = _lying(plan)
    return _schedule(plan, run, fabric, catalogue, lying), lying.columns


@dataclass(frozen=True, slots=True)
class _Lying:
    """How the pieces of a plan lie, alike for every run and fabric.

    Attributes:
        columns: what lies over one another at each place, by piece, bottom first.
    """

    places: tuple[Place, ...]
    meets: Mapping[Pair, Meets]
    contacts: tuple[Contact, ...]
    on_fabric: tuple[str, ...]
    columns: tuple[tuple[str, ...], ...]


def _lying(plan: Plan) -> _Lying:
    places = tuple(Place(stack, 0.0) for stack in plan.stacks)
    named = [piece for place in places for piece in place.stack]
    _refuse_strangers([], tuple(piece.id for piece in plan.pieces), named=named)
    meets = {(joint.upper, joint.lower): joint.meets for joint in plan.joints}
    touching, on_fabric = contacts(places, meets)
    columns = tuple(dict.fromkeys(present(place, meets) for place in places))
    return _Lying(places, meets, touching, on_fabric, columns)


def _schedule(plan: Plan, run: Run, fabric: str, catalogue: Catalogue, lying: _Lying) -> Schedule:
    films = {piece.id: catalogue.film(piece.film) for piece in plan.pieces}
    steps = tuple(step for step in plan.steps if step.run == run.run)
    _refuse_strangers(steps, tuple(films))
    indices = _garment_indices(plan, run)
    return Schedule(
        fabric=catalogue.fabric(fabric),
        press=catalogue.press(plan.press),
        films=films,
        over=tuple((contact.upper, contact.lower) for contact in lying.contacts),
        steps=steps,
        sheets=catalogue.sheets,
        size_mm={piece.id: _largest_mm(piece, indices) for piece in plan.pieces},
        trap_mm=min((j.trap_mm for j in plan.joints if j.trap_mm > 0), default=0.0),
    )


def _print_of(
    plan: Plan, run: Run, fabric: str, catalogue: Catalogue, lying: _Lying
) -> tuple[Print, tuple[BondLineResult, ...]]:
    schedule = _schedule(plan, run, fabric, catalogue, lying)
    films, steps = schedule.films, schedule.steps
    indices = _garment_indices(plan, run)
    wearers = [catalogue.garment(line.garment) for line in run.garments]
    lines = judged_lines(schedule, lying.columns)
    print_ = Print(
        schedule=schedule,
        colours={piece.id: Colour(name=piece.colour, srgb=piece.srgb) for piece in plan.pieces},
        contacts=lying.contacts,
        on_fabric=lying.on_fabric,
        stacks=deepest_and_thickest(lying.places, lying.meets, films),
        joints=_joints(plan, films, indices),
        artwork=_artwork(plan, films, indices),
        garments=tuple(
            GarmentOnPress(
                garment=garment,
                area=garment.print_area(line.area),
                press=schedule.press,
                width_mm=line.width_mm,
                height_mm=line.height_mm,
                steps=steps,
                sheets=tuple(catalogue.sheets.values()),
            )
            for garment, line in zip(wearers, run.garments, strict=True)
        ),
        bond_lines=lines,
        wearer=_youngest(wearers),
        nightwear=any(garment.nightwear for garment in wearers),
    )
    return print_, tuple(_result(line, fabric) for line in lines)


def _garment_indices(plan: Plan, run: Run) -> list[int]:
    """Positions of a run's garments among those of the whole job, which sizes follow."""
    every = [(r.run, i) for r in plan.runs for i in range(len(r.garments))]
    return [position for position, (number, _) in enumerate(every) if number == run.run]


def _largest_mm(piece: PlannedPiece, indices: Sequence[int]) -> float:
    return max(max(piece.sizes[i].width_mm, piece.sizes[i].height_mm) for i in indices)


def _joints(plan: Plan, films: Mapping[str, Film], indices: Sequence[int]) -> tuple[Joint, ...]:
    sizes = {piece.id: [piece.sizes[i] for i in indices] for piece in plan.pieces}
    return tuple(
        Joint(
            upper=films[joint.upper],
            lower=films[joint.lower],
            meets=joint.meets,
            trap_mm=joint.trap_mm,
            gap_mm=joint.gap_mm,
            shift_mm=plan.registration_mm,
            shrink_mm=joint.shrink_mm,
            narrowest_mm=window_mm(size.least_stroke_mm, joint.meets, joint.trap_mm),
        )
        for joint in plan.joints
        if not joint.hidden
        for size in sizes[joint.upper]
    )


def _artwork(
    plan: Plan, films: Mapping[str, Film], indices: Sequence[int]
) -> tuple[ArtworkPiece, ...]:
    return tuple(
        ArtworkPiece(
            piece=piece.id,
            film=films[piece.id],
            width_mm=size.width_mm,
            height_mm=size.height_mm,
            least_stroke_mm=size.least_stroke_mm,
            least_gap_mm=size.least_gap_mm,
            small_islands=size.small_islands,
            smallest_island_mm2=size.smallest_island_mm2,
            mirrored=films[piece.id].cut_mirrored,
            delta_e=piece.delta_e,
        )
        for piece in plan.pieces
        for size in (piece.sizes[i] for i in indices)
    )


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


def _refuse_strangers(
    steps: Sequence[Step], pieces: tuple[str, ...], *, named: Sequence[str] = ()
) -> None:
    for step in steps:
        for piece in step.pieces:
            if piece not in pieces:
                raise UnknownNameError(f"piece (step {step.n})", piece, pieces)
    for piece in named:
        if piece not in pieces:
            raise UnknownNameError("piece (stacks)", piece, pieces)


def _youngest(garments: Sequence[Garment]) -> Wearer:
    order: tuple[Wearer, ...] = ("infant", "child", "adult", "nobody")
    return min((garment.wearer for garment in garments), key=order.index, default="adult")


def _result(line: BondLine, fabric: str) -> BondLineResult:
    # The unlucky end is exactly the usual course where heat had no cause to weigh it.
    weighed = line.low_seconds_bonding < line.seconds_bonding
    return BondLineResult(
        film=line.film.id,
        below=line.below,
        peak_c=round(line.peak_c, 1),
        seconds_bonding=round(line.seconds_bonding, 1),
        needed_s=line.film.bonds_s,
        low_seconds_bonding=round(line.low_seconds_bonding, 1) if weighed else None,
        fabric=fabric,
    )
