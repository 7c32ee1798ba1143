"""Dial changes: how far a press heats and cools between the stages of a model.

The dial stands as `advisor.layering.dialled` has it: left where it is for as many stages as it
suits, as its films like it where the last stage is among these, and otherwise as cool as may be.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from advisor.layering.records.settings import FilmSettings, PressTimes
from advisor.solver.model import PlanModel
from advisor.solver.variables import no, total

__all__ = ["dial_changes"]

Like = Callable[[FilmSettings], int]

Alike = Mapping[tuple[int, int], Any]
"""By first and last of some stages, a literal: the dial is left alone between them."""


def dial_changes(model: PlanModel, times: PressTimes) -> list[Any]:
    """The milliseconds of every change of the dial, as terms to add up."""
    left = [model.cp.new_bool_var("") for _ in range(model.stages - 1)]
    alike: dict[tuple[int, int], Any] = {}
    for k in range(model.stages):
        alike[k, k] = True
        for j in range(k):
            alike[j, k] = model.both(alike[j, k - 1], left[k - 1])
    for k, alone in enumerate(left):
        _leave_alone(model, k, alone, alike)
    for k in range(model.stages):
        _stand_as_liked(model, k, alike, elsewhere=left[k] if k < len(left) else False)
    terms: list[Any] = []
    for k in range(1, model.stages):
        rise, fall = (model.cp.new_int_var(0, model.top - model.bottom, "") for _ in range(2))
        up = model.setpoint[k] - model.setpoint[k - 1]
        model.hold(("order",), up <= rise, model.stage_used[k])
        model.hold(("order",), -up <= fall, model.stage_used[k])
        terms += [times.heating * rise, times.cooling * fall]
        # Where it is not left alone for a stage that is used, it is turned.
        terms += [times.again * model.stage_used[k], -times.again * left[k - 1]]
    return terms


def _leave_alone(model: PlanModel, k: int, alone: Any, alike: Alike) -> None:
    """Leave the dial between a stage and the next alone, unless what suits them all crosses."""
    step = model.cp.new_int_var(model.bottom, model.top, "")
    hotter, no_hotter = [], []
    for piece in model.pieces:
        lowest = model.asks_for(piece, lambda s: s.lowest)
        highest = model.asks_for(piece, lambda s: s.highest)
        bears = model.asks_for(piece, lambda s: s.bears)
        for j, here in enumerate(model.finishes[piece][: k + 2]):
            among = (here, alike[j, k] if j <= k else True)
            hotter.append(model.reason(lowest >= step + 1, *among))
            no_hotter.append(model.reason(highest <= step, *among))
            if j <= k:
                no_hotter.append(model.reason(bears <= step, here))
    model.hold(("order",), model.setpoint[k] == model.setpoint[k + 1], alone)
    model.clause(("order",), ~alone, model.stage_used[k + 1])
    for reasons in (hotter, no_hotter):
        model.clause(("order",), alone, no(model.stage_used[k + 1]), *reasons)


def _stand_as_liked(model: PlanModel, k: int, alike: Alike, *, elsewhere: Any) -> None:
    """The dial nearest to the median of what a stage's films like best, within what suits.

    Args:
        elsewhere: a literal: the dial is left alone for the next stage, which says where it stands.
    """
    setpoint = model.setpoint[k]
    # What a later stage lies on is pressed as coolly as it bonds, so that it draws in least.
    coolest = model.stage_used[k + 1] if k + 1 < model.stages else False
    too_hot = [model.reason(setpoint >= model.top), no(model.stage_used[k])]
    too_cool = [model.reason(setpoint <= model.bottom), no(model.stage_used[k])]
    for piece in model.pieces:
        lowest = model.asks_for(piece, lambda s: s.lowest)
        highest = model.asks_for(piece, lambda s: s.highest)
        bears = model.asks_for(piece, lambda s: s.bears)
        for j, here in enumerate(model.finishes[piece][: k + 1]):
            too_hot.append(model.reason(setpoint >= highest, here, alike[j, k]))
            too_cool.append(model.reason(setpoint <= lowest, here, alike[j, k]))
            if j < k:
                too_hot.append(model.reason(setpoint >= bears, here))
    likes: tuple[tuple[Like, Any], ...] = (
        (lambda s: s.best, no(coolest)),
        (lambda s: s.lowest, coolest),
    )
    for like, when in likes:
        if when is False:
            continue
        steps = sorted({like(s) for each in model.settings.values() for s in each})
        beyond: Any = True
        for step in steps:
            reached = _half_like(model, k, like, step) if step != steps[-1] else True
            for too, side in ((too_hot, setpoint >= step), (too_cool, setpoint <= step)):
                unless = (elsewhere, no(when), no(reached), no(beyond))
                model.clause(("order",), *too, model.reason(side), *unless)
            beyond = no(reached)


def _half_like(model: PlanModel, k: int, like: Like, step: int) -> Any:
    """A literal: half of the films that finish in a stage like that step best, or less."""
    count, cool = [], []
    for piece in model.pieces:
        here = model.finishes[piece][k]
        likes = model.where(piece, lambda s: like(s) <= step)
        count.append(here)
        cool.append(model.both(here, likes))
    reached = model.cp.new_bool_var("")
    model.hold(("order",), 2 * total(cool) >= total(count), reached)
    model.hold(("order",), 2 * total(cool) <= total(count) - 1, ~reached)
    return reached
