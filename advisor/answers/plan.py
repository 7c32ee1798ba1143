"""Planner: from a job and its artwork to films, order, press steps, cost and every finding."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from advisor.answers.impossible import clashes_and_repairs
from advisor.answers.plan_check import judge_plan
from advisor.answers.runs import TimedRun, steps_of, summary, timed_runs
from advisor.heat.records import HeatRefusal
from advisor.job.records.job import Job, read_job
from advisor.job.records.plan import (
    Change,
    Clash,
    Joint,
    PieceMeasures,
    Plan,
    PlannedPiece,
    Proof,
    RefusedFilm,
)
from advisor.layering.assessment import MEASURES, Assessment
from advisor.layering.candidates import artwork_pieces
from advisor.layering.flaking_last import flaking_last
from advisor.layering.posing import Posed, pose
from advisor.layering.problem import Problem, gap_mm, shrink_mm, trap_mm
from advisor.solver.cuts import cut_by_finding, cut_by_heat
from advisor.solver.proof import Cut, Optimum, optimise
from rules.catalogue import Catalogue, load_catalogue
from rules.facts.finding import Finding, verdict
from rules.facts.subjects import GarmentOnPress
from rules.rulebook import rulebook

__all__ = ["PROOF_LIMIT_S", "Drafts", "Solved", "plan", "solve"]

LATE_RULES = frozenset({"bond-line-heat", "registration-shrink"})
"""Rules that only the finished steps can answer."""

PROOF_LIMIT_S = 20.0
"""How long the best plan is looked for, s, unless more or less is asked for."""

REPAIRS_LIMIT_S = 10.0
"""How long repairs of an impossible job are looked for, s."""

SURER_LIMIT_S = 6.0
"""How long a choice is looked for whose steps want no sample, s."""


def plan(
    job: Job | Path | str,
    *,
    folder: Path | None = None,
    svg: bytes | None = None,
    catalogue: Catalogue | None = None,
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
    return solve(job, folder=folder, svg=svg, catalogue=catalogue, time_limit_s=time_limit_s).plan


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
    catalogue: Catalogue | None = None,
    time_limit_s: float = PROOF_LIMIT_S,
) -> Solved:
    """The plan that `plan` gives, with what it was solved from; arguments and errors are alike."""
    if not isinstance(job, Job):
        path = Path(job)
        job, folder = read_job(path), folder or path.parent
    known = catalogue or load_catalogue()
    posed = pose(job, folder=folder or Path(), catalogue=known, svg=svg)
    drafts = Drafts(posed, known)
    unfit = _off_the_press(posed, known)
    if unfit is not None:
        return Solved(posed, unfit, None, drafts)
    best = optimise(posed.problem, refute=drafts.refute, time_limit_s=time_limit_s)
    if best.assessment is None:
        return Solved(posed, _unplanned(posed, best, known, time_limit_s), None, drafts)
    made, proof, choice = drafts.of(best.assessment), _proof(posed, best), best.assessment
    if drafts.late_samples(best.assessment):
        surer = optimise(
            posed.problem,
            refute=drafts.refute_late,
            time_limit_s=min(time_limit_s, SURER_LIMIT_S),
        )
        choice, proof = drafts.better(best, surer)
        made = drafts.of(choice)
    return Solved(posed, made.model_copy(update={"proof": proof}), choice, drafts)


@dataclass(frozen=True, slots=True)
class Drafts:
    """Every choice that was drafted on the way to the best, with its steps and all findings.

    What the steps alone show (heat at a bond line, an edge that draws in) is not among the
    measures that are optimised, so a draft may want more samples than its choice does.
    """

    posed: Posed
    known: Catalogue
    plans: dict[int, tuple[Assessment, Plan]] = field(default_factory=dict)

    def refute(self, found: Assessment) -> tuple[Cut, ...]:
        """What may not occur again, if heat or a rule is against the drafted choice."""
        tidy = flaking_last(self.posed.problem, found)
        runs = timed_runs(self.posed, tidy, self.known)
        if isinstance(runs, HeatRefusal):
            return (cut_by_heat(runs, found, self.posed, self.known),)
        draft = _drafted(self.posed, tidy, runs, self.known)
        # The choice is kept with its draft, so that no later one is taken for it.
        self.plans[id(found)] = (found, draft)
        refused = {"stop"} if self.posed.job.samples_allowed else {"stop", "sample"}
        against = [finding for finding in draft.findings if finding.severity in refused]
        return (cut_by_finding(against[0], found),) if against else ()

    def refute_late(self, found: Assessment) -> tuple[Cut, ...]:
        """The same, also against a draft whose steps alone want a sample."""
        cuts = self.refute(found)
        late = () if cuts else _late_samples(self.of(found))
        return (cut_by_finding(late[0], found),) if late else cuts

    def of(self, found: Assessment) -> Plan:
        """The draft of a choice that was not refuted."""
        return self.plans[id(found)][1]

    def late_samples(self, found: Assessment) -> int:
        """How many samples the steps of a choice want beyond what was optimised."""
        return len(_late_samples(self.of(found)))

    def better(self, best: Optimum, surer: Optimum) -> tuple[Assessment, Proof]:
        """The one that wants fewer samples in all, and how sure it is that none is better."""
        if best.assessment is None or best.objective is None:
            raise ValueError("only a best choice can be bettered")
        wanted = best.objective[0]
        if surer.assessment is not None and surer.objective is not None:
            # A choice that wants as few as the very best does, and none besides, is the best.
            fewest = surer.objective[0] == wanted
            if surer.objective[0] < wanted + self.late_samples(best.assessment):
                proof = _proof(self.posed, surer)
                certain = best.optimal and surer.optimal and fewest
                return surer.assessment, proof.model_copy(update={"optimal": certain})
        proof = _proof(self.posed, best)
        return best.assessment, proof.model_copy(update={"optimal": False})


def _late_samples(made: Plan) -> tuple[Finding, ...]:
    return tuple(f for f in made.findings if f.severity == "sample" and f.rule in LATE_RULES)


def _proof(posed: Posed, best: Optimum) -> Proof:
    return Proof(
        optimal=best.optimal,
        bound=best.bound,
        objective=best.objective,
        measures=MEASURES[posed.job.prefer],
    )


def _unplanned(posed: Posed, best: Optimum, known: Catalogue, time_limit_s: float) -> Plan:
    job = posed.job
    conflict: tuple[Clash, ...] = ()
    repairs: tuple[tuple[Change, ...], ...] = ()
    if best.status == "impossible":
        conflict, repairs = clashes_and_repairs(
            posed, best.cuts, known, time_limit_s=min(time_limit_s, REPAIRS_LIMIT_S)
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
        notes=tuple(dict.fromkeys((*posed.artwork.notes, *(cut.sentence for cut in best.cuts)))),
    )


def _off_the_press(posed: Posed, known: Catalogue) -> Plan | None:
    """The answer where a print is too large for its press or its area, whatever it is cut from."""
    job, artwork = posed.job, posed.artwork
    stops = {
        finding.where: finding
        for line in posed.lines
        for finding in rulebook().judge(
            GarmentOnPress(
                garment=line.garment,
                area=line.area,
                press=known.press(job.press),
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
            Clash(rule=f.rule, where=f.where, message=f"{f.message}; {f.instead}")
            for f in stops.values()
        ),
        refused=_refused(posed.problem),
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


def _drafted(
    posed: Posed, found: Assessment, runs: tuple[TimedRun, ...], catalogue: Catalogue
) -> Plan:
    """The plan of one choice, judged; whether a better one exists is not asked here."""
    job, problem = posed.job, posed.problem
    summaries = tuple(summary(number, run, posed, found) for number, run in enumerate(runs, 1))
    garments = [garment for run in summaries for garment in run.garments]
    made = Plan(
        job=job.job,
        artwork=posed.artwork.name,
        status="planned",
        verdict="go",
        prefer=job.prefer,
        press=job.press,
        proof=Proof(optimal=False, bound=None, objective=None, measures=MEASURES[job.prefer]),
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
