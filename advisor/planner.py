"""Planner: from a job and its artwork to films, order, press steps, cost and every finding."""

from __future__ import annotations

from pathlib import Path

from advisor.assess import MEASURES, Assessment, objective
from advisor.candidates import artwork_pieces
from advisor.checker import judge_plan
from advisor.choose import Listing, list_choices
from advisor.heat_timing import HeatRefusal
from advisor.job import Job, read_job
from advisor.plan_model import Joint, PieceMeasures, Plan, PlannedPiece, Proof, RefusedFilm
from advisor.posing import Posed, pose
from advisor.problem import Problem, gap_mm, shrink_mm, trap_mm
from advisor.runs import TimedRun, steps_of, summary, timed_runs
from rules.catalogue import Catalogue, load_catalogue
from rules.facts.finding import verdict

__all__ = ["plan"]


def plan(
    job: Job | Path | str,
    *,
    folder: Path | None = None,
    svg: bytes | None = None,
    catalogue: Catalogue | None = None,
) -> Plan:
    """The best plan for a job: films, order, every press step with its reasons, cost, findings.

    Args:
        job: a job, or the path of a job file.
        folder: where the artwork is looked for; the job file's own folder by default.
        svg: the artwork itself, where it does not lie in a file.

    Raises:
        BadInputError: the job or its artwork cannot be used; one line says what and where.
        UnknownNameError: a garment, film or press is not known; the nearest names are offered.

    >>> from advisor.demo import DEMO_FOLDER
    >>> made = plan(DEMO_FOLDER / "crew-tees.yaml")
    >>> made.status, made.steps[-1].action
    ('planned', 'peel')
    """
    if not isinstance(job, Job):
        path = Path(job)
        job, folder = read_job(path), folder or path.parent
    known = catalogue or load_catalogue()
    posed = pose(job, folder=folder or Path(), catalogue=known, svg=svg)
    listing = list_choices(posed.problem)
    for found in listing.assessments:
        runs = timed_runs(posed, found, known)
        if not isinstance(runs, HeatRefusal):
            return _planned(posed, found, runs, listing, known)
    return _impossible(posed)


def _impossible(posed: Posed) -> Plan:
    job = posed.job
    return Plan(
        job=job.job,
        artwork=posed.artwork.name,
        status="impossible",
        verdict="stop",
        prefer=job.prefer,
        press=job.press,
        proof=Proof(optimal=True, bound=None, objective=None, measures=MEASURES[job.prefer]),
        refused=_refused(posed.problem),
        currency=job.rates.currency,
        notes=posed.artwork.notes,
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
    posed: Posed,
    found: Assessment,
    runs: tuple[TimedRun, ...],
    listing: Listing,
    catalogue: Catalogue,
) -> Plan:
    if found.measures is None:
        raise ValueError("only what can be pressed is planned")
    job, problem = posed.job, posed.problem
    reached = objective(found.measures, job.prefer)
    summaries = tuple(summary(number, run, posed, found) for number, run in enumerate(runs, 1))
    garments = [garment for run in summaries for garment in run.garments]
    made = Plan(
        job=job.job,
        artwork=posed.artwork.name,
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
        pieces=_pieces(posed, found),
        joints=_joints(problem, found),
        stacks=tuple(place.stack for place in problem.places),
        steps=steps_of(runs),
        runs=summaries,
        minutes=round(sum(g.quantity * g.minutes_each for g in garments), 1),
        cost=round(sum(g.quantity * g.cost_each for g in garments), 2),
        currency=job.rates.currency,
        refused=_refused(problem),
        notes=posed.artwork.notes,
        registration_mm=job.registration_mm,
    )
    findings, bond_lines = judge_plan(made, catalogue)
    return made.model_copy(
        update={
            "findings": findings,
            "verdict": verdict(findings),
            "bond_lines": bond_lines,
        }
    )


def _pieces(posed: Posed, best: Assessment) -> tuple[PlannedPiece, ...]:
    if best.grouping is None:
        raise ValueError("only what can be pressed is planned")
    rank = {piece: i for i, group in enumerate(best.grouping.groups, 1) for piece in group}
    planned = []
    for piece in posed.problem.pieces:
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
                    for size in artwork_pieces(
                        posed.measured[piece.id], option.film, option.delta_e
                    )
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
