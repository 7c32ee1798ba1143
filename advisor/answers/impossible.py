"""Impossible: what an impossible job runs into and what would help, in the person's own words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from advisor.answers.examination import Drafts
from advisor.job.records.job import Wish
from advisor.job.records.plan import Change, Clash
from advisor.job.records.print import NAMES_PIECE
from advisor.layering.candidates import piece_with_options
from advisor.layering.preparation import PreparedJob, wish_of
from advisor.layering.records.problem import Option, Problem
from advisor.layering.stages import heat_limits
from advisor.solver.conflict import RuleInstance
from advisor.solver.impossible import explain_impossible
from advisor.solver.records import Cut
from rules.errors import BadInputError
from rules.facts.film import FINISHES

__all__ = ["called", "clashes", "clashes_and_repairs", "other_looks"]

MOST_FABRICS = 4
"""Other fabrics that are tried, the most usual garments' first."""
MOST_OF_A_LOOK = 2
"""Films of each other look that are tried for a piece."""


def clashes_and_repairs(
    drafts: Drafts, cuts: Sequence[Cut], *, time_limit_s: float
) -> tuple[tuple[Clash, ...], tuple[tuple[Change, ...], ...]]:
    """The minimal conflict and the ranked repairs of an impossible job.

    Args:
        drafts: of the job; each repair is examined as they were.
        cuts: what heat and the checker ruled out on the way.
        time_limit_s: seconds to look for repairs, s.
    """
    prepared = drafts.prepared
    found = explain_impossible(
        prepared.problem,
        swaps={piece.id: other_looks(prepared, piece.id) for piece in prepared.problem.pieces},
        fabrics=_other_fabrics(prepared),
        cuts=cuts,
        examine_of=drafts.examine_of,
        time_limit_s=time_limit_s,
    )
    names = called(prepared)
    repairs = tuple(
        tuple(
            Change(
                kind=change.kind,
                where=change.where.named(names),
                to=change.to,
                message=change.message.named(names),
                pieces=change.pieces,
            )
            for change in repair.changes
        )
        for repair in found.repairs
    )
    return clashes(found.conflict, names), repairs


def clashes(conflict: Sequence[RuleInstance], names: dict[str, str] | None) -> tuple[Clash, ...]:
    """Rule instances as a plan shows them, with pieces called by ``names``, if any are given."""
    made = [
        Clash(rule=instance.rule, where=instance.where, message=instance.sentence)
        for instance in conflict
    ]
    return tuple(made if names is None else [clash.named(names) for clash in made])


def called(prepared: PreparedJob) -> dict[str, str]:
    """Each piece as one would call it before it has a film: its colour and what is wished."""
    names = {}
    for piece in prepared.problem.pieces:
        if piece.id == NAMES_PIECE:
            names[piece.id] = "the names"
            continue
        wish = wish_of(prepared.job, piece.piece)
        wanted = (wish.film or wish.finish or wish.family) if wish else None
        number = piece.id.removeprefix(f"fill-{piece.fill.removeprefix('#')}")
        names[piece.id] = f"the {wanted} {piece.fill}{number}" if wanted else piece.fill
    return names


def other_looks(prepared: PreparedJob, piece_id: str) -> tuple[Option, ...]:
    """Films of other finishes that a piece could be cut from, a few of each, for a repair."""
    wish = wish_of(prepared.job, prepared.print.piece(piece_id))
    tried: dict[str, Option] = {}
    mine = {option.film.id for option in prepared.problem.piece(piece_id).options}
    for finish in FINISHES:
        if wish is not None and finish == wish.finish:
            continue
        try:
            piece = piece_with_options(
                prepared.print.piece(piece_id),
                Wish.model_validate({"finish": finish}),
                fabrics=prepared.problem.fabrics,
                knowledge=prepared.problem.knowledge,
                rates=prepared.job.rates,
                on_shelf_only=prepared.job.on_shelf_only,
            )
        except BadInputError:
            # No film of that finish is on the shelf, so it cannot help.
            continue
        fresh = [o for o in piece.options if o.film.id not in mine and o.film.id not in tried]
        tried |= {option.film.id: option for option in fresh[:MOST_OF_A_LOOK]}
    return tuple(tried.values())


def _other_fabrics(prepared: PreparedJob) -> dict[str, Problem]:
    """The same job on the fabrics of a few other garments."""
    mine = {fabric.id for fabric in prepared.problem.fabrics}
    others = {
        g.fabric.id: g.fabric
        for g in prepared.problem.knowledge.catalogue.garments.values()
        if g.fabric.id not in mine
    }
    wishes = {p.id: wish_of(prepared.job, p.piece) for p in prepared.problem.pieces}
    problems = {}
    for fabric in list(others.values())[:MOST_FABRICS]:
        pieces = tuple(
            piece_with_options(
                piece.piece,
                wish,
                fabrics=[fabric],
                knowledge=prepared.problem.knowledge,
                rates=prepared.job.rates,
                on_shelf_only=prepared.job.on_shelf_only,
            )
            for piece in prepared.problem.pieces
            if (wish := wishes[piece.id]) is not None
        )
        problems[fabric.id] = replace(
            prepared.problem,
            print=replace(
                prepared.print,
                lines=tuple(replace(line, fabric=fabric.id) for line in prepared.print.lines),
            ),
            pieces=pieces,
            fabrics=(fabric,),
            limits=heat_limits([fabric], prepared.problem.limits.press),
            rule_answers=prepared.problem.rule_answers.on_another_print(),
        )
    return problems
