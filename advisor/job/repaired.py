"""Repaired job: a job with the changes of a repair made."""

from __future__ import annotations

from collections.abc import Sequence
from typing import cast

from advisor.job.records.job import Job, Wish, WishedJoint
from advisor.job.records.plan import Change
from advisor.job.records.print import NAMES_PIECE, fill_of
from rules.facts.step import Meets

__all__ = ["repaired_job"]


def repaired_job(job: Job, changes: Sequence[Change]) -> Job:
    """The job with all changes of a repair.

    >>> from advisor.job.demo import demo_job
    >>> allow = Change(kind="sample", where="the job", to="yes", message="")
    >>> repaired_job(demo_job(), [allow]).samples_allowed
    True
    >>> drop = Change(kind="drop", where="navy", to="", message="", pieces=["fill-1b3a5c"])
    >>> repaired_job(demo_job(), [drop]).leave_out
    ('fill-1b3a5c',)
    """
    for change in changes:
        job = _made(job, change)
    # Lines are told by their number, so what is left out goes last.
    out = {change.line for change in changes if change.kind == "line"}
    lines = tuple(line for n, line in enumerate(job.garments, 1) if n not in out)
    return job.model_copy(update={"garments": lines}) if out else job


def _made(job: Job, change: Change) -> Job:
    match change.kind, change.pieces:
        case (("film" | "buy"), (piece, *_)):
            look = Wish(film=change.to, colour=change.colour or None)
            bought = {"on_shelf_only": False} if change.kind == "buy" else {}
            return job.with_look(piece, look).model_copy(update=bought)
        case "setpoint", (piece, *_):
            of_names = job.names.look if piece == NAMES_PIECE and job.names else None
            wish = of_names or job.wish_for(fill_of(piece)) or Wish()
            most = {"most_setpoint_c": float(change.to)}
            return job.with_look(piece, wish.model_copy(update=most))
    return job.model_copy(update=_update(job, change))


def _update(job: Job, change: Change) -> dict[str, object]:
    match change.kind, change.pieces:
        case "sample", _:
            return {"samples_allowed": True}
        case "press", _:
            return {"press": change.to}
        case "line", _:
            return {}
        case "size", _:
            width = {"artwork_width_mm": float(change.to)}
            return {
                "garments": tuple(
                    line.model_copy(update=width) if n == change.line else line
                    for n, line in enumerate(job.garments, 1)
                )
            }
        case "meets", (upper, lower):
            fills = ({upper, lower}, {fill_of(upper), fill_of(lower)})
            others = (joint for joint in job.joints if {joint.upper, joint.lower} not in fills)
            way = WishedJoint(upper=upper, lower=lower, meets=cast(Meets, change.to))
            return {"joints": (*others, way)}
        case "drop", (piece,) if piece == NAMES_PIECE:
            return {"names": None}
        case "drop", (piece,):
            return {"leave_out": (*job.leave_out, piece)}
    raise ValueError(f"no change of kind {change.kind} can be made at {change.where}")
