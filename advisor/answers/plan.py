"""Plan: from a job and its artwork to films, order, press steps, cost and every finding."""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from pathlib import Path

from advisor.answers.examination import Drafts
from advisor.answers.found_always import found_always
from advisor.answers.impossible import (
    clashes_and_repairs,
    off_the_press,
    off_the_press_repairs,
)
from advisor.answers.other_shade import other_shades
from advisor.answers.plan_of_choice import refused_films
from advisor.answers.prepared_job import prepared_job
from advisor.answers.records import PROOF_LIMIT_S
from advisor.cutting.records.cut import SizedCut
from advisor.cutting.told import told_as_cut
from advisor.job.records.job import Job, read_job
from advisor.job.records.plan import (
    Change,
    Clash,
    Plan,
    Proof,
)
from advisor.layering.assessment import MEASURES
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.prepared import PreparedJob
from advisor.layering.records.problem import Problem
from advisor.solver.proof import Optimum, optimise
from rules.facts.text import Text
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["Solved", "plan", "solve"]

REPAIRS_LIMIT_S = 10.0
"""How long an impossible job's conflict and its repairs are looked for at most, s."""

REPAIRS_BEYOND_S = 3.0
"""How much longer they are looked for than the plan was, s: most are found in a tenth of that."""

MAYBE_FEWER = (
    "time ran out while it was sought what stands in the way: not all that is listed may be needed"
)
NOT_FOUND = "it is proved that nothing is possible, but time ran out before it was clear why"


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
        folder: where its names are.
        sheets: the plan as it is cut, a layout for each size.
    """

    prepared: PreparedJob
    plan: Plan
    best: Assessment | None
    drafts: Drafts
    folder: Path = Path()
    sheets: tuple[SizedCut, ...] = ()

    def of(self, found: Assessment) -> Plan:
        """The plan of a choice, told as its sheets are cut."""
        return self.as_cut(found)[0]

    def as_cut(self, found: Assessment) -> tuple[Plan, tuple[SizedCut, ...]]:
        """The same, and the sheets."""
        return told_as_cut(
            self.drafts.of(found),
            self.prepared.artwork,
            self.prepared.job,
            folder=self.folder,
            catalogue=self.prepared.problem.knowledge.catalogue,
        )


def solve(
    job: Job | Path | str,
    *,
    folder: Path | None = None,
    svg: bytes | None = None,
    knowledge: Knowledge | None = None,
    time_limit_s: float = PROOF_LIMIT_S,
    dial_c: float | None = None,
    kept: Plan | None = None,
) -> Solved:
    """The plan that `plan` gives, with what it was solved from; arguments and errors are alike.

    Args:
        dial_c: where the dial stands anyway, for what is pressed beside it, °C; it is left there
            where it suits.
        kept: a plan of the same job whose films and colours every piece keeps. What is wished is
            wished as before, so that no colour counts as right for being kept.
    """
    deadline = time.monotonic() + time_limit_s
    knowledge = knowledge or load_knowledge()
    if not isinstance(job, Job):
        path = Path(job)
        job, folder = read_job(path, knowledge.catalogue), folder or path.parent
    prepared = prepared_job(job, folder=folder or Path(), svg=svg, knowledge=knowledge)
    limits = replace(prepared.problem.limits, dial_c=dial_c)
    problem = replace(prepared.problem, limits=limits)
    prepared = replace(prepared, problem=_keeping(problem, kept) if kept else problem)
    known = found_always(prepared)
    drafts = Drafts(prepared, always=known, deadline=deadline)
    # Reading the artwork is of the wait too; a plain plan is made however little is left.
    time_limit_s = max(0.0, deadline - time.monotonic())
    unfit = _off_the_press(drafts, min(time_limit_s, REPAIRS_LIMIT_S))
    if unfit is not None:
        return Solved(prepared, unfit, None, drafts)
    best = optimise(prepared.problem, examine=drafts.examine, time_limit_s=time_limit_s, cuts=known)
    if best.assessment is None:
        best = replace(best, cuts=(*known, *best.cuts))
        return Solved(prepared, _unplanned(drafts, best, time_limit_s), None, drafts)
    solved = Solved(prepared, drafts.of(best.assessment), best.assessment, drafts, folder or Path())
    made, sheets = solved.as_cut(best.assessment)
    more = {
        "proof": _proof(prepared, best),
        "notes": (*made.notes, *other_shades(prepared, best.assessment)),
    }
    return replace(solved, plan=made.model_copy(update=more), sheets=sheets)


def _keeping(problem: Problem, kept: Plan) -> Problem:
    """The problem with every piece of a plan in its film and colour alone."""
    cut = {one.id: (one.film, one.colour, one.srgb) for one in kept.pieces}
    return problem.narrowed(
        {
            piece.id: tuple(
                option
                for option in piece.options
                if (option.film.id, option.colour.name, option.colour.srgb) == cut[piece.id]
            )
            for piece in problem.pieces
            if piece.id in cut
        }
    )


def _proof(prepared: PreparedJob, best: Optimum) -> Proof:
    return Proof(
        optimal=best.optimal,
        bound=best.bound,
        objective=best.objective,
        measures=MEASURES[prepared.job.prefer],
    )


def _unplanned(drafts: Drafts, best: Optimum, time_limit_s: float) -> Plan:
    prepared, job = drafts.prepared, drafts.prepared.job
    conflict: tuple[Clash, ...] = ()
    repairs: tuple[tuple[Change, ...], ...] = ()
    ruled_out = dict.fromkeys(Text(cut.sentence) for cut in best.cuts if cut.films)
    drawn = [finding.message for finding in prepared.problem.drawn]
    notes = [*map(Text, prepared.artwork.notes), *drawn, *ruled_out]
    if best.status == "impossible":
        conflict, repairs, fewest = clashes_and_repairs(
            drafts, best.cuts, time_limit_s=min(time_limit_s + REPAIRS_BEYOND_S, REPAIRS_LIMIT_S)
        )
        if not fewest:
            notes.insert(0, Text(MAYBE_FEWER if conflict else NOT_FOUND))
    return Plan(
        job=job.job,
        artwork=prepared.artwork.name,
        status="impossible" if best.status == "impossible" else "unknown",
        verdict="stop",
        prefer=job.prefer,
        press=job.press,
        proof=_proof(prepared, best),
        refused=refused_films(prepared.problem),
        conflict=conflict,
        repairs=repairs,
        currency=job.rates.currency,
        notes=tuple(dict.fromkeys(notes)),
        ruled_out=tuple(ruled_out),
    )


def _off_the_press(drafts: Drafts, time_limit_s: float) -> Plan | None:
    """The answer where a print is too large for its press or its area, whatever it is cut from."""
    prepared, job = drafts.prepared, drafts.prepared.job
    stops = off_the_press(prepared)
    if not stops:
        return None
    alike = {finding.where: finding for finding in stops.values()}
    return Plan(
        job=job.job,
        artwork=prepared.artwork.name,
        status="impossible",
        verdict="stop",
        prefer=job.prefer,
        press=job.press,
        proof=Proof(optimal=True, bound=None, objective=None, measures=MEASURES[job.prefer]),
        conflict=tuple(
            Clash(rule=f.rule, where=f.where, message=f.message + "; " + f.instead)
            for f in alike.values()
        ),
        repairs=off_the_press_repairs(drafts, time_limit_s=time_limit_s),
        refused=refused_films(prepared.problem),
        currency=job.rates.currency,
        notes=tuple(map(Text, prepared.artwork.notes)),
    )
