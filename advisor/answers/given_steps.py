"""Given steps: the reasons of steps that someone wrote or edited, from what is pressed now."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from hashlib import sha256

from advisor.job.records.plan import BondLineResult, Plan
from advisor.layering.records.reasons import GivenReason
from rules.facts.film import Film
from rules.facts.step import Step
from rules.facts.text import Text

__all__ = ["fingerprint", "with_given_reasons"]


def fingerprint(plan: Plan) -> str:
    """What a plan's sentences were made for: its press, pieces and steps, in sixteen characters.

    >>> proof = {"optimal": False, "bound": None, "objective": None, "measures": []}
    >>> plan = Plan.model_validate(dict(job="a", artwork="b", status="planned", verdict="go",
    ...     prefer="durable", press="clamshell-38x38", proof=proof))
    >>> fingerprint(plan) == fingerprint(plan.model_copy(update={"press": "swing-arm-40x50"}))
    False
    """
    pieces = [(piece.id, piece.film, piece.colour) for piece in plan.pieces]
    steps = [step.model_dump_json(exclude={"why", "tape"}) for step in plan.steps]
    return sha256(repr((plan.press, pieces, steps)).encode()).hexdigest()[:16]


def with_given_reasons(
    steps: Sequence[Step],
    films: Mapping[str, Film],
    names: Mapping[str, str],
    lines: Sequence[BondLineResult] = (),
) -> tuple[Step, ...]:
    """A run's steps with the facts that say what each does, in place of the reasons made for it.

    Args:
        films: the film of each piece; ``names`` what the pieces are called.
        lines: what the bond lines get from these steps.
    """
    finished: set[str] = set()
    told = []
    for at, step in enumerate(steps):
        pieces = _meant(steps, at)
        reason = GivenReason(
            step=step.model_copy(update={"why": Text(), "reason": None}),
            films=tuple(films[piece] for piece in pieces),
            names=tuple(names[piece] for piece in step.pieces),
        )
        if step.purpose == "full":
            new = [piece for piece in step.pieces if piece not in finished]
            finished |= set(new)
            reason = replace(reason, bond_lines=_worst(lines, new))
        told.append(step.model_copy(update={"reason": reason}))
    return tuple(told)


def _meant(steps: Sequence[Step], at: int) -> tuple[str, ...]:
    """The pieces that a step is for: its own, or those of the presses or the peel that follow."""
    step, later = steps[at], steps[at + 1 :]
    if step.action == "wait":
        return next((one.pieces for one in later if one.action == "peel" and one.pieces), ())
    if step.action not in {"setpoint", "pressure"}:
        return step.pieces
    meant: list[str] = []
    for one in later:
        if one.action == step.action:
            break
        if one.purpose == "full":
            meant += one.pieces
    return tuple(dict.fromkeys(meant))


def _worst(
    lines: Sequence[BondLineResult], pieces: Sequence[str]
) -> tuple[tuple[str, float, float], ...]:
    """Of each film that is finished, the bond line that gets least."""
    worst: dict[str, BondLineResult] = {}
    for line in lines:
        known = worst.get(line.film)
        if line.piece in pieces and (known is None or line.seconds_bonding < known.seconds_bonding):
            worst[line.film] = line
    return tuple((line.film, line.peak_c, line.seconds_bonding) for line in worst.values())
