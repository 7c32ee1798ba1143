"""Plan check: every rule on a plan, run by run and fabric by fabric, and its bond lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.answers.judge import Print, judge_print
from advisor.heat.timed import judged_lines
from advisor.job.plan_file import refuse_unfitting
from advisor.job.records.plan import BondLineResult, Plan, PlannedPiece, Run
from advisor.job.records.print import Contact, Pair, Place
from advisor.layering.assessment import deepest_and_thickest
from advisor.layering.meeting import contacts, present
from advisor.layering.problem import window_mm
from rules.catalogue import Catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import Finding, worst_first
from rules.facts.garment import Garment, Wearer
from rules.facts.schedule import Schedule
from rules.facts.step import Meets, Step
from rules.facts.subjects import ArtworkPiece, BondLine, GarmentOnPress, Joint
from rules.rulebook import rulebook

__all__ = ["bond_line_result", "judge_plan", "refuse_strangers", "schedule_of"]


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
    refuse_strangers([], tuple(piece.id for piece in plan.pieces), named=named)
    meets = {(joint.upper, joint.lower): joint.meets for joint in plan.joints}
    touching, on_fabric = contacts(places, meets)
    columns = tuple(dict.fromkeys(present(place, meets) for place in places))
    return _Lying(places, meets, touching, on_fabric, columns)


def _schedule(plan: Plan, run: Run, fabric: str, catalogue: Catalogue, lying: _Lying) -> Schedule:
    films = {piece.id: catalogue.film(piece.film) for piece in plan.pieces}
    steps = tuple(step for step in plan.steps if step.run == run.run)
    refuse_strangers(steps, tuple(films))
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
        bond_lines=tuple(lines.values()),
        wearer=_youngest(wearers),
        nightwear=any(garment.nightwear for garment in wearers),
    )
    return print_, tuple(bond_line_result(piece, line, fabric) for piece, line in lines.items())


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


def _youngest(garments: Sequence[Garment]) -> Wearer:
    order: tuple[Wearer, ...] = ("infant", "child", "adult", "nobody")
    return min((garment.wearer for garment in garments), key=order.index, default="adult")


def refuse_strangers(
    steps: Sequence[Step], pieces: tuple[str, ...], *, named: Sequence[str] = ()
) -> None:
    """Refuse steps, or stacks (``named``), that name a piece which is not there.

    Raises:
        UnknownNameError: the nearest pieces are offered.
    """
    for step in steps:
        for piece in step.pieces:
            if piece not in pieces:
                raise UnknownNameError(f"piece (step {step.n})", piece, pieces)
    for piece in named:
        if piece not in pieces:
            raise UnknownNameError("piece (stacks)", piece, pieces)


def bond_line_result(piece: str, line: BondLine, fabric: str) -> BondLineResult:
    """A piece's bond line as a report shows it; ``fabric`` is the one it was pressed on, by id."""
    # The unlucky end is exactly the usual course where heat had no cause to weigh it.
    weighed = line.low_seconds_bonding < line.seconds_bonding
    return BondLineResult(
        piece=piece,
        film=line.film.id,
        below=line.below,
        peak_c=round(line.peak_c, 1),
        seconds_bonding=round(line.seconds_bonding, 1),
        needed_s=line.film.bonds_s,
        low_seconds_bonding=round(line.low_seconds_bonding, 1) if weighed else None,
        fabric=fabric,
    )
