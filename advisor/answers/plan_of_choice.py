"""Plan of a choice: one choice with its runs written out as a plan, and judged."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from advisor.answers.given_steps import fingerprint
from advisor.answers.judge_plan import judged
from advisor.answers.runs import TimedRun, steps_of, summary
from advisor.cutting.as_cut import sizes_as_cut
from advisor.job.records.plan import Plan, PlannedJoint, PlannedPiece, Proof, RefusedFilm
from advisor.job.records.print import NAMES_PIECE
from advisor.layering.assessment import MEASURES
from advisor.layering.joint_width import joint_width
from advisor.layering.judged import artwork_pieces
from advisor.layering.records.assessment import PER_CENT, Assessment
from advisor.layering.records.prepared import PreparedJob
from advisor.layering.records.problem import Problem, Refusal
from rules.facts.film import Film
from rules.facts.finding import worst_first
from rules.facts.text import Text

__all__ = ["plan_of_choice", "priced", "refused_films"]


def plan_of_choice(
    prepared: PreparedJob,
    found: Assessment,
    runs: tuple[TimedRun, ...],
    *,
    as_cut: bool = True,
) -> Plan:
    """The plan of one choice, judged; whether a better one exists is not asked here.

    Args:
        as_cut: judge what windows and gaps leave of the pieces too.
    """
    job, problem = prepared.job, prepared.problem
    joints, pieces = _joints(problem, found), _pieces(prepared, found)
    if as_cut:
        pieces = _as_cut(prepared, pieces, joints, found.choice.films)
    made = Plan(
        job=job.job,
        artwork=prepared.artwork.name,
        status="planned",
        verdict="go",
        prefer=job.prefer,
        press=job.press,
        proof=Proof(optimal=False, bound=None, objective=None, measures=MEASURES[job.prefer]),
        print=problem.print,
        pieces=pieces,
        joints=joints,
        steps=steps_of(runs),
        currency=job.rates.currency,
        refused=refused_films(problem),
        notes=tuple(map(Text, prepared.artwork.notes)),
    )
    made = priced(made, prepared, found, runs)
    told_of = fingerprint(made)
    return judged(made, problem.knowledge).model_copy(update={"told_of": told_of})


def priced(
    plan: Plan, prepared: PreparedJob, found: Assessment, runs: tuple[TimedRun, ...]
) -> Plan:
    """The plan with its runs, and with minutes and cost: its measures, for the whole order."""
    if found.measures is None:
        raise ValueError("only what can be pressed is planned")
    garments, measures = prepared.problem.quantity, found.measures
    return plan.model_copy(
        update={
            "runs": tuple(summary(n, run, prepared, found) for n, run in enumerate(runs, 1)),
            "minutes": round(garments * measures.ms / 60_000, 3),
            "cost": round(garments * measures.price / PER_CENT / 100, 2),
        }
    )


def _pieces(prepared: PreparedJob, best: Assessment) -> tuple[PlannedPiece, ...]:
    if best.grouping is None:
        raise ValueError("only what can be pressed is planned")
    rank = {piece: i for i, group in enumerate(best.grouping.groups, 1) for piece in group}
    planned = []
    for piece in prepared.problem.print.pieces:
        option, wish = best.choice.options[piece.id], prepared.wish(piece.id)
        named = wish.colour if wish else None
        asked_for = named if named and named.startswith("#") else piece.fill
        cut = artwork_pieces(piece, option.film, option.delta_e)
        planned.append(
            PlannedPiece(
                id=piece.id,
                film=option.film.id,
                colour=option.colour.name,
                srgb=option.colour.srgb,
                colour_assumed=option.colour.assumed,
                rank=rank[piece.id],
                wanted=asked_for if option.delta_e else option.colour.srgb,
                delta_e=option.delta_e,
                on_fabric=piece.id in best.on_fabric,
                finish=wish.finish if wish and wish.finish else option.film.finishes[0],
                small_islands=tuple(one.small_islands for one in cut),
                called=prepared.job.called.get(piece.fill or "", ""),
                capitals_mm=_capitals_mm(prepared) if piece.id == NAMES_PIECE else (),
            )
        )
    return tuple(planned)


def _capitals_mm(prepared: PreparedJob) -> tuple[float, ...]:
    """How high the capitals of the names are at each size of the print."""
    drawn_mm = prepared.of_names.capital_mm if prepared.of_names else None
    if drawn_mm is None:
        return ()
    return tuple(
        round(drawn_mm * line.width_mm / prepared.artwork.width_mm, 2)
        for line in prepared.print.lines
    )


def _as_cut(
    prepared: PreparedJob,
    pieces: tuple[PlannedPiece, ...],
    joints: tuple[PlannedJoint, ...],
    films: Mapping[str, Film],
) -> tuple[PlannedPiece, ...]:
    """The pieces with what windows and gaps leave of them too fine; asked once for each cut."""
    print_, known = prepared.print, prepared.problem.rule_answers.as_cut
    ranks = {piece.id: piece.rank for piece in pieces}
    key = (joints, tuple(ranks.items()), tuple(film.id for film in films.values()))
    if key not in known:
        drawn = tuple(piece for piece in prepared.artwork.pieces if piece.id in ranks)
        known[key] = sizes_as_cut(
            replace(prepared.artwork, pieces=drawn),
            joints if len(drawn) == len(pieces) else (),
            films=films,
            ranks=ranks,
            hidden=(meeting.pair for meeting in print_.meetings if meeting.hidden),
            widths_mm=[line.width_mm for line in print_.lines],
        )
    return tuple(
        piece.model_copy(update={"as_cut": known[key].get(piece.id, ())}) for piece in pieces
    )


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


def refused_films(problem: Problem) -> tuple[RefusedFilm, ...]:
    """The films that would give a wish but were set aside at once, and the rule that did it."""
    return tuple(
        _refused(piece.id, refusal) for piece in problem.pieces for refusal in piece.refused
    )


def _refused(piece: str, refusal: Refusal) -> RefusedFilm:
    worst = worst_first(refusal.findings)[0]
    return RefusedFilm(
        piece=piece,
        film=refusal.film,
        rule=worst.rule,
        message=worst.message,
        instead=worst.instead,
    )
