"""Planner: from a job and its artwork to films, order, press steps, cost and every finding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from advisor.artwork import Artwork, Piece, read_artwork
from advisor.assess import MEASURES, Assessment, objective
from advisor.candidates import MeasuredPiece, artwork_pieces, piece_with_options
from advisor.checker import judge_plan
from advisor.choose import Listing, list_choices
from advisor.cost import garment_seconds
from advisor.fineness import fineness
from advisor.job import GarmentLine, Job, read_job
from advisor.meeting import Meeting
from advisor.overlay import artwork_pairs, artwork_places, close_pairs
from advisor.plan_model import (
    Joint,
    PieceMeasures,
    Plan,
    PlannedPiece,
    Proof,
    RefusedFilm,
    Run,
    RunGarment,
)
from advisor.problem import PieceSize, Problem, gap_mm, shrink_mm, trap_mm
from advisor.schedule import Laying, Timing, press_steps, usual_timing
from advisor.stages import heat_limits
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.facts.finding import verdict
from rules.facts.garment import Garment, PrintArea
from rules.facts.step import Step
from rules.practice import preheat_s
from rules.rulebook import rulebook

__all__ = ["CARRIER_MARGIN_MM", "plan", "problem_of"]

CARRIER_MARGIN_MM = 3.0
"""How far outside a piece its carrier is trimmed, mm. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class _Line:
    """A line of the job with what it names."""

    asked: GarmentLine
    garment: Garment
    area: PrintArea
    fabric: Fabric


def plan(
    job: Job | Path | str,
    *,
    folder: Path | None = None,
    catalogue: Catalogue | None = None,
) -> Plan:
    """The best plan for a job: films, order, every press step with its reasons, cost, findings.

    Args:
        job: a job, or the path of a job file.
        folder: where the artwork is looked for; the job file's own folder by default.

    Raises:
        BadInputError: the job or its artwork cannot be used; one line says what and where.
        UnknownNameError: a garment, film or press is not known; the nearest names are offered.

    >>> from advisor.demo import demo_job
    >>> made = plan(demo_job("crew-tees"))
    >>> made.status, made.steps[-1].action
    ('planned', 'peel')
    """
    if not isinstance(job, Job):
        path = Path(job)
        job, folder = read_job(path), folder or path.parent
    known = catalogue or load_catalogue()
    lines = _lines(job, known)
    artwork = _artwork(job, folder or Path(), lines)
    problem, measured = _problem(job, artwork, lines, known)
    listing = list_choices(problem)
    if listing.best is None:
        return _impossible(job, artwork, problem)
    return _planned(job, artwork, lines, known, problem, measured, listing.best, listing)


def problem_of(job: Job, *, folder: Path, catalogue: Catalogue | None = None) -> Problem:
    """The problem that a job poses, for solvers and for questions about it."""
    known = catalogue or load_catalogue()
    lines = _lines(job, known)
    return _problem(job, _artwork(job, folder, lines), lines, known)[0]


def _lines(job: Job, known: Catalogue) -> list[_Line]:
    lines = []
    for asked in job.garments:
        garment = known.garment(asked.garment)
        fabric = known.fabric(asked.fabric) if asked.fabric else garment.fabric
        lines.append(_Line(asked, garment, garment.print_area(asked.area), fabric))
    known.press(job.press)
    return lines


def _artwork(job: Job, folder: Path, lines: Sequence[_Line]) -> Artwork:
    width_mm = max(line.asked.artwork_width_mm for line in lines)
    artwork = read_artwork(
        folder / job.artwork, width_mm=width_mm, flatten=job.flatten, name=Path(job.artwork).stem
    )
    if not artwork.pieces:
        raise BadInputError("has nothing to press", source=job.artwork)
    return artwork


def _problem(
    job: Job, artwork: Artwork, lines: Sequence[_Line], known: Catalogue
) -> tuple[Problem, dict[str, MeasuredPiece]]:
    fabrics = tuple({line.fabric.id: line.fabric for line in lines}.values())
    rules = rulebook()
    measured: dict[str, MeasuredPiece] = {}
    pieces = []
    for piece in artwork.pieces:
        wish = job.wish_for(piece.fill)
        if wish is None:
            raise BadInputError(
                f"the artwork has the fill {piece.fill}, for which the job wishes no look; add it "
                "or a look called default",
                field="looks",
            )
        measured[piece.id] = _measured(piece, artwork, lines)
        pieces.append(
            piece_with_options(
                measured[piece.id],
                wish,
                fabrics=fabrics,
                catalogue=known,
                rules=rules,
                rates=job.rates,
                on_shelf_only=job.on_shelf_only,
            )
        )
    smallest = min(line.asked.artwork_width_mm for line in lines)
    problem = Problem(
        pieces=tuple(pieces),
        meetings=_as_wished(job, artwork),
        places=artwork_places(artwork),
        close=close_pairs(artwork.scaled(width_mm=smallest), margin_mm=CARRIER_MARGIN_MM),
        fabrics=fabrics,
        limits=heat_limits(fabrics, known.press(job.press)),
        rules=rules,
        prefer=job.prefer,
        rates=job.rates,
        quantity=sum(line.asked.quantity for line in lines),
        garment_price=max(line.garment.price_each for line in lines),
        registration_mm=job.registration_mm,
        samples_allowed=job.samples_allowed,
    )
    return problem, measured


def _measured(piece: Piece, artwork: Artwork, lines: Sequence[_Line]) -> MeasuredPiece:
    left, top, right, bottom = piece.shape.bounds
    whole = fineness(piece.shape)
    sizes, fine = [], []
    for line in lines:
        factor = line.asked.artwork_width_mm / artwork.width_mm
        scaled = whole.scaled(factor)
        narrowest = scaled.least_stroke_mm
        sizes.append(
            PieceSize(
                width_mm=(right - left) * factor,
                height_mm=(bottom - top) * factor,
                narrowest_mm=1000.0 if narrowest is None else narrowest,
            )
        )
        fine.append(scaled)
    return MeasuredPiece(piece.id, piece.fill, tuple(sizes), tuple(fine))


def _as_wished(job: Job, artwork: Artwork) -> tuple[Meeting, ...]:
    """The meetings of the artwork, with the ways narrowed where the job says how to meet."""
    fills = {piece.id: piece.fill for piece in artwork.pieces}
    meetings = []
    for meeting in artwork_pairs(artwork):
        for wished in job.joints:
            names = (wished.upper.lower(), wished.lower.lower())
            if names in {(fills[meeting.upper], fills[meeting.lower]), meeting.pair}:
                if wished.meets not in meeting.ways:
                    raise BadInputError(
                        f"{meeting.upper} and {meeting.lower} cannot meet as {wished.meets}; "
                        f"open to them: {', '.join(meeting.ways)}",
                        field="joints",
                    )
                meeting = replace(meeting, ways=(wished.meets,))
        meetings.append(meeting)
    return tuple(meetings)


def _impossible(job: Job, artwork: Artwork, problem: Problem) -> Plan:
    return Plan(
        job=job.job,
        artwork=artwork.name,
        status="impossible",
        verdict="stop",
        prefer=job.prefer,
        press=job.press,
        proof=Proof(optimal=True, bound=None, objective=None, measures=MEASURES[job.prefer]),
        refused=_refused(problem),
        currency=job.rates.currency,
        notes=artwork.notes,
    )


def _refused(problem: Problem) -> tuple[RefusedFilm, ...]:
    return tuple(
        RefusedFilm(
            piece=piece.id,
            film=refusal.film,
            rule=refusal.findings[0].rule,
            message=refusal.findings[0].message,
            instead=refusal.findings[0].instead,
        )
        for piece in problem.pieces
        for refusal in piece.refused
    )


def _planned(
    job: Job,
    artwork: Artwork,
    lines: Sequence[_Line],
    known: Catalogue,
    problem: Problem,
    measured: dict[str, MeasuredPiece],
    best: Assessment,
    listing: Listing,
) -> Plan:
    if best.grouping is None or best.measures is None:
        raise ValueError("only what can be pressed is planned")
    timing = usual_timing(best.grouping.groups, best.stages)
    runs, steps = _runs(job, artwork, lines, known, best, timing)
    reached = objective(best.measures, job.prefer)
    made = Plan(
        job=job.job,
        artwork=artwork.name,
        status="planned",
        verdict="go",
        prefer=job.prefer,
        press=job.press,
        proof=Proof(
            optimal=listing.complete,
            bound=reached if listing.complete else None,
            objective=reached,
            measures=MEASURES[job.prefer],
            listed=listing.listed,
        ),
        pieces=_pieces(problem, measured, best),
        joints=_joints(problem, best),
        stacks=tuple(place.stack for place in problem.places),
        steps=steps,
        runs=runs,
        minutes=round(sum(g.quantity * g.minutes_each for r in runs for g in r.garments), 1),
        cost=round(sum(g.quantity * g.cost_each for r in runs for g in r.garments), 2),
        currency=job.rates.currency,
        refused=_refused(problem),
        notes=artwork.notes,
        registration_mm=job.registration_mm,
    )
    findings, bond_lines = judge_plan(made, known)
    return made.model_copy(
        update={
            "findings": findings,
            "verdict": verdict(findings),
            "bond_lines": bond_lines,
        }
    )


def _pieces(
    problem: Problem, measured: dict[str, MeasuredPiece], best: Assessment
) -> tuple[PlannedPiece, ...]:
    if best.grouping is None:
        raise ValueError("only what can be pressed is planned")
    rank = {piece: i for i, group in enumerate(best.grouping.groups, 1) for piece in group}
    planned = []
    for piece in problem.pieces:
        option = best.choice.options[piece.id]
        planned.append(
            PlannedPiece(
                id=piece.id,
                fill=piece.fill,
                film=option.film.id,
                colour=option.colour.name,
                srgb=option.colour.srgb,
                rank=rank[piece.id],
                delta_e=round(option.delta_e, 2),
                on_fabric=piece.id in best.on_fabric,
                sizes=tuple(
                    PieceMeasures(
                        width_mm=size.width_mm,
                        height_mm=size.height_mm,
                        least_stroke_mm=size.least_stroke_mm,
                        least_gap_mm=size.least_gap_mm,
                        small_islands=size.small_islands,
                        smallest_island_mm2=size.smallest_island_mm2,
                    )
                    for size in artwork_pieces(measured[piece.id], option.film, option.delta_e)
                ),
            )
        )
    return tuple(planned)


def _joints(problem: Problem, best: Assessment) -> tuple[Joint, ...]:
    films, joints = best.choice.films, []
    for meeting in problem.meetings:
        way = best.choice.meets[meeting.pair]
        drawn_in = max(
            shrink_mm(films[piece], size.extent_mm)
            for piece in meeting.pair
            for size in problem.piece(piece).sizes
        )
        joints.append(
            Joint(
                upper=meeting.upper,
                lower=meeting.lower,
                meets=way,
                trap_mm=trap_mm(problem.registration_mm, drawn_in) if "inset" in way else 0.0,
                gap_mm=gap_mm(problem.registration_mm, drawn_in) if way == "butt" else 0.0,
                shrink_mm=drawn_in,
                hidden=meeting.hidden,
            )
        )
    return tuple(joints)


def _runs(
    job: Job,
    artwork: Artwork,
    lines: Sequence[_Line],
    known: Catalogue,
    best: Assessment,
    timing: Timing,
) -> tuple[tuple[Run, ...], tuple[Step, ...]]:
    """Garments pressed alike, gathered into runs, and the steps of each run in turn."""
    if best.grouping is None:
        raise ValueError("only what can be pressed is planned")
    alike: dict[tuple[object, ...], list[_Line]] = {}
    for line in lines:
        key = (preheat_s(line.fabric.holds_water_pct), line.area.obstructions)
        alike.setdefault(key, []).append(line)
    runs: list[Run] = []
    steps: list[Step] = []
    setpoint_now: float | None = None
    pad_now: str | None = None
    for number, members in enumerate(alike.values(), 1):
        laying = Laying(
            films=best.choice.films,
            groups=best.grouping.groups,
            stages=best.stages,
            over=tuple((contact.upper, contact.lower) for contact in best.contacts),
            fabric=members[0].fabric,
            press=known.press(job.press),
            sheets=known.sheets,
            obstructions=members[0].area.obstructions,
            print_mm=_print_mm(artwork, members),
            names=_names(best),
            fabric_names=tuple(dict.fromkeys(line.fabric.id for line in members)),
        )
        made = press_steps(
            laying,
            timing,
            run=number,
            first_n=len(steps) + 1,
            setpoint_now_c=setpoint_now,
            pad_now=pad_now,
        )
        steps += made
        setpoint_now = best.stages[-1].setpoint_c
        for step in made:
            if step.action == "pad":
                pad_now = None if step.pad == "out" else step.pad
        runs.append(_run(job, artwork, members, known, best, timing, number))
    return tuple(runs), tuple(steps)


def _names(best: Assessment) -> dict[str, str]:
    """Each piece as one would call it at the press: its colour and its film."""
    return {
        piece: f"{option.colour.name} {option.film.id}"
        for piece, option in best.choice.options.items()
    }


def _print_mm(artwork: Artwork, members: Sequence[_Line]) -> tuple[float, float]:
    width = max(line.asked.artwork_width_mm for line in members)
    return (width, width * artwork.height_mm / artwork.width_mm)


def _run(
    job: Job,
    artwork: Artwork,
    members: Sequence[_Line],
    known: Catalogue,
    best: Assessment,
    timing: Timing,
    number: int,
) -> Run:
    if best.grouping is None or best.measures is None:
        raise ValueError("only what can be pressed is planned")
    quantity = sum(line.asked.quantity for line in members)
    seconds = garment_seconds(
        best.grouping.groups,
        best.stages,
        best.choice.films,
        best.choice.meets,
        press=known.press(job.press),
        preheat_s=preheat_s(members[0].fabric.holds_water_pct),
        quantity=quantity,
        tack_s=timing.tack_s,
    )
    garments = []
    for line in members:
        factor = line.asked.artwork_width_mm / artwork.width_mm
        film = sum(option.film_cost for option in best.choice.options.values()) * factor**2
        spoilage = (
            best.measures.samples * job.rates.spoiled_per_sample_pct / 100 * line.garment.price_each
        )
        time = seconds / 3600 * job.rates.rate_per_hour
        garments.append(
            RunGarment(
                garment=line.garment.id,
                area=line.area.name,
                quantity=line.asked.quantity,
                width_mm=line.asked.artwork_width_mm,
                height_mm=artwork.height_mm * factor,
                minutes_each=round(seconds / 60, 2),
                cost_each=round(film + spoilage + time, 2),
            )
        )
    fabrics = tuple(dict.fromkeys(line.fabric.id for line in members))
    return Run(run=number, fabrics=fabrics, garments=tuple(garments))
