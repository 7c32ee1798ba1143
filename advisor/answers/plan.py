"""Planner: from a job and its artwork to films, order, press steps, cost and every finding."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from advisor.answers.examination import Drafts
from advisor.answers.impossible import clashes_and_repairs
from advisor.answers.judge import judge_plan
from advisor.answers.posed_job import posed_job
from advisor.answers.runs import TimedRun, steps_of, summary
from advisor.job.records.job import Job, read_job
from advisor.job.records.plan import (
    Change,
    Clash,
    Plan,
    PlannedJoint,
    PlannedPiece,
    Proof,
    RefusedFilm,
    Run,
)
from advisor.job.records.print import Print
from advisor.layering.assessment import MEASURES
from advisor.layering.candidates import artwork_pieces
from advisor.layering.joint_width import joint_width
from advisor.layering.posing import Posed
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.proof import Optimum, optimise
from rules.facts.finding import verdict
from rules.facts.subjects import GarmentOnPress
from rules.facts.text import Text
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["PROOF_LIMIT_S", "Solved", "plan", "solve"]

PROOF_LIMIT_S = 20.0
"""How long the best plan is looked for, s, unless more or less is asked for."""

REPAIRS_LIMIT_S = 10.0
"""How long repairs of an impossible job are looked for, s."""


def plan(
    job: Job | Path | str,
    *,
    folder: Path | None = None,
    svg: bytes | None = None,
    knowledge: Knowledge | None = None,
    time_limit_s: float = PROOF_LIMIT_S,
) -> Plan:
    """The best plan for a job: films, order, every press step with its reasons, cost, findings.

    Args:
        job: a job, or the path of a job file.
        folder: where the artwork is looked for; the job file's own folder by default.
        svg: the artwork itself, where it does not lie in a file.
        time_limit_s: after so many seconds the best plan so far is given with its bound, s.

    Raises:
        BadInputError: the job or its artwork cannot be used; one line says what and where.
        UnknownNameError: a garment, film or press is not known; the nearest names are offered.

    >>> from advisor.job.demo import DEMO_FOLDER
    >>> made = plan(DEMO_FOLDER / "crew-tees.yaml")
    >>> made.status, made.steps[-1].action
    ('planned', 'peel')
    """
    return solve(job, folder=folder, svg=svg, knowledge=knowledge, time_limit_s=time_limit_s).plan


@dataclass(frozen=True, slots=True)
class Solved:
    """A plan with what it was solved from, so that more can be asked about it.

    Attributes:
        best: the choice behind the plan; ``None`` where there is none.
        drafts: every choice that was drafted on the way.
    """

    posed: Posed
    plan: Plan
    best: Assessment | None
    drafts: Drafts


def solve(
    job: Job | Path | str,
    *,
    folder: Path | None = None,
    svg: bytes | None = None,
    knowledge: Knowledge | None = None,
    time_limit_s: float = PROOF_LIMIT_S,
) -> Solved:
    """The plan that `plan` gives, with what it was solved from; arguments and errors are alike."""
    if not isinstance(job, Job):
        path = Path(job)
        job, folder = read_job(path), folder or path.parent
    posed = posed_job(
        job, folder=folder or Path(), svg=svg, knowledge=knowledge or load_knowledge()
    )
    drafts = Drafts(posed, _drafted)
    unfit = _off_the_press(posed)
    if unfit is not None:
        return Solved(posed, unfit, None, drafts)
    best = optimise(posed.problem, examine=drafts.examine, time_limit_s=time_limit_s)
    if best.assessment is None:
        return Solved(posed, _unplanned(posed, best, time_limit_s), None, drafts)
    made = drafts.of(best.assessment).model_copy(update={"proof": _proof(posed, best)})
    return Solved(posed, made, best.assessment, drafts)


def _proof(posed: Posed, best: Optimum) -> Proof:
    return Proof(
        optimal=best.optimal,
        bound=best.bound,
        objective=best.objective,
        measures=MEASURES[posed.job.prefer],
    )


def _unplanned(posed: Posed, best: Optimum, time_limit_s: float) -> Plan:
    job = posed.job
    conflict: tuple[Clash, ...] = ()
    repairs: tuple[tuple[Change, ...], ...] = ()
    if best.status == "impossible":
        conflict, repairs = clashes_and_repairs(
            posed, best.cuts, time_limit_s=min(time_limit_s, REPAIRS_LIMIT_S)
        )
    return Plan(
        job=job.job,
        artwork=posed.artwork.name,
        status="impossible" if best.status == "impossible" else "unknown",
        verdict="stop",
        prefer=job.prefer,
        press=job.press,
        proof=_proof(posed, best),
        refused=_refused(posed.problem),
        conflict=conflict,
        repairs=repairs,
        currency=job.rates.currency,
        notes=tuple(
            dict.fromkeys(map(Text, (*posed.artwork.notes, *(cut.sentence for cut in best.cuts))))
        ),
    )


def _off_the_press(posed: Posed) -> Plan | None:
    """The answer where a print is too large for its press or its area, whatever it is cut from."""
    job, artwork = posed.job, posed.artwork
    stops = {
        finding.where: finding
        for line in posed.lines
        for finding in posed.problem.knowledge.judge(
            GarmentOnPress(
                garment=line.garment,
                area=line.area,
                press=posed.problem.limits.press,
                width_mm=line.asked.artwork_width_mm,
                height_mm=line.asked.artwork_width_mm * artwork.height_mm / artwork.width_mm,
                steps=(),
            )
        )
        if finding.severity == "stop"
    }
    if not stops:
        return None
    return Plan(
        job=job.job,
        artwork=artwork.name,
        status="impossible",
        verdict="stop",
        prefer=job.prefer,
        press=job.press,
        proof=Proof(optimal=True, bound=None, objective=None, measures=MEASURES[job.prefer]),
        conflict=tuple(
            Clash(rule=f.rule, where=f.where, message=f.message + "; " + f.instead)
            for f in stops.values()
        ),
        refused=_refused(posed.problem),
        currency=job.rates.currency,
        notes=tuple(map(Text, artwork.notes)),
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


def _drafted(posed: Posed, found: Assessment, runs: tuple[TimedRun, ...]) -> Plan:
    """The plan of one choice, judged; whether a better one exists is not asked here."""
    job, problem = posed.job, posed.problem
    summaries = tuple(summary(number, run, posed, found) for number, run in enumerate(runs, 1))
    made = Plan(
        job=job.job,
        artwork=posed.artwork.name,
        status="planned",
        verdict="go",
        prefer=job.prefer,
        press=job.press,
        proof=Proof(optimal=False, bound=None, objective=None, measures=MEASURES[job.prefer]),
        print=problem.print,
        pieces=_pieces(problem, found),
        joints=_joints(problem, found),
        steps=steps_of(runs),
        runs=summaries,
        minutes=round(_over_all(problem.print, summaries, "minutes_each"), 1),
        cost=round(_over_all(problem.print, summaries, "cost_each"), 2),
        currency=job.rates.currency,
        refused=_refused(problem),
        notes=tuple(map(Text, posed.artwork.notes)),
    )
    findings, bond_lines = judge_plan(made, problem.knowledge)
    return made.model_copy(
        update={
            "findings": findings,
            "verdict": verdict(findings),
            "bond_lines": bond_lines,
        }
    )


def _over_all(
    print_: Print, runs: Sequence[Run], each: Literal["minutes_each", "cost_each"]
) -> float:
    """A figure of one garment, summed over every garment of the order."""
    amounts: float = sum(
        print_.lines[garment.line].quantity * getattr(garment, each)
        for run in runs
        for garment in run.garments
    )
    return amounts


def _pieces(problem: Problem, best: Assessment) -> tuple[PlannedPiece, ...]:
    if best.grouping is None:
        raise ValueError("only what can be pressed is planned")
    rank = {piece: i for i, group in enumerate(best.grouping.groups, 1) for piece in group}
    planned = []
    for piece in problem.print.pieces:
        option = best.choice.options[piece.id]
        cut = artwork_pieces(piece, option.film, option.delta_e)
        planned.append(
            PlannedPiece(
                id=piece.id,
                film=option.film.id,
                colour=option.colour.name,
                srgb=option.colour.srgb,
                rank=rank[piece.id],
                delta_e=round(option.delta_e, 2),
                on_fabric=piece.id in best.on_fabric,
                small_islands=tuple(one.small_islands for one in cut),
            )
        )
    return tuple(planned)


def _joints(problem: Problem, best: Assessment) -> tuple[PlannedJoint, ...]:
    films, joints = best.choice.films, []
    for meeting in problem.meetings:
        way = best.choice.meets[meeting.pair]
        width = joint_width(
            films[meeting.upper],
            films[meeting.lower],
            way,
            sizes=[size for piece in meeting.pair for size in problem.piece(piece).sizes],
            registration_mm=problem.registration_mm,
        )
        joints.append(
            PlannedJoint(
                upper=meeting.upper,
                lower=meeting.lower,
                meets=way,
                trap_mm=width.trap_mm,
                gap_mm=width.gap_mm,
                shrink_mm=width.shrink_mm,
            )
        )
    return tuple(joints)
