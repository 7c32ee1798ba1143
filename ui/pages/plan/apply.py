"""Apply: a repair, or a plan that differs, put into a job as wishes."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from typing import cast

from advisor.job.records.job import Job, Wish, WishedJoint
from advisor.job.records.plan import Change, Plan
from advisor.job.records.print import NAMES_PIECE
from rules.facts.step import Meets
from ui.order.record import CustomerOrder

__all__ = ["as_planned", "repaired"]

_PIECE = re.compile(r"#([0-9a-f]{6}(?:-\d+)?)")
_NAMES = "the names"


def repaired(order: CustomerOrder, changes: Sequence[Change]) -> CustomerOrder:
    """The order with all changes of a repair.

    >>> from ui.order.record import demo_order
    >>> allow = Change(kind="sample", where="the job", to="", message="")
    >>> repaired(demo_order(), [allow]).job.samples_allowed
    True
    >>> drop = Change(kind="drop", where="the matte #1b3a5c", to="", message="")
    >>> repaired(demo_order(), [drop]).job.leave_out
    ('fill-1b3a5c',)
    """
    for change in changes:
        order = _with(order, change)
    return order


def as_planned(job: Job, plan: Plan) -> Job:
    """The job with every film, colour and way of meeting of a plan wished for.

    The wishes hold for fills; where one fill makes several pieces, the last one counts.
    """
    looks = dict(job.looks)
    names = job.names
    for piece in plan.pieces:
        if piece.id == NAMES_PIECE and names is not None:
            wish = _cut_from(names.look, piece.film, piece.colour)
            names = names.model_copy(update={"look": wish})
        else:
            was = job.wish_for(piece.fill) or Wish(film=piece.film)
            looks[piece.fill] = _cut_from(was, piece.film, piece.colour)
    joints = tuple(
        WishedJoint(upper=joint.upper, lower=joint.lower, meets=joint.meets)
        for joint in plan.joints
        if not joint.hidden
    )
    return job.model_copy(update={"looks": looks, "joints": joints, "names": names})


def _with(order: CustomerOrder, change: Change) -> CustomerOrder:
    job, pieces = order.job, _PIECE.findall(change.where)
    if change.kind == "sample":
        return _changed(order, samples_allowed=True)
    if change.kind == "fabric":
        lines = tuple(line.model_copy(update={"fabric": change.to}) for line in job.garments)
        return _changed(order, garments=lines)
    if change.kind == "film" and change.where == _NAMES and job.names is not None:
        look = Wish(film=change.to)
        return _changed(order, names=job.names.model_copy(update={"look": look}))
    if change.kind == "film" and pieces:
        fill = "#" + pieces[0][:6]
        return _changed(order, looks={**job.looks, fill: Wish(film=change.to)})
    if change.kind == "meets" and len(pieces) == 2:
        upper, lower = (f"fill-{piece}" for piece in pieces)
        fills = {"#" + piece[:6] for piece in pieces}
        others = tuple(
            joint
            for joint in job.joints
            if {joint.upper, joint.lower} not in ({upper, lower}, fills)
        )
        way = WishedJoint(upper=upper, lower=lower, meets=cast(Meets, change.to))
        return _changed(order, joints=(*others, way))
    if change.kind == "drop" and change.where == _NAMES:
        return replace(_changed(order, names=None), names="")
    if change.kind == "drop" and pieces:
        return _changed(order, leave_out=(*job.leave_out, f"fill-{pieces[0]}"))
    raise ValueError(f"no change of kind {change.kind} can be made at {change.where}")


def _changed(order: CustomerOrder, **changes: object) -> CustomerOrder:
    return replace(order, job=order.job.model_copy(update=changes))


def _cut_from(wish: Wish, film: str, colour: str) -> Wish:
    return wish.model_copy(update={"film": film, "colour": colour})
