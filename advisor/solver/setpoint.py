"""Optimise setpoint: the dial stands nearest to the median of what finishing films like best."""

from __future__ import annotations

from functools import partial
from typing import Any

import cpmpy as cp

from advisor.layering.records.problem import Option
from advisor.layering.stages import dial_c
from advisor.solver.stages import Stages

__all__ = ["settle"]


def settle(stages: Stages, k: int) -> None:
    """The setpoint nearest to the median of what the finishing films like best."""
    model, stage = stages.model, stages.stages[k]
    step, careful = stages.press.setpoint_step_c, stages.problem.limits.careful_c
    bests = sorted({option.film.setpoint_c.best for os in model.options.values() for option in os})
    at = {piece: stages.finishes[piece][k] for piece in stages.pieces}
    number = cp.sum(list(at.values()))
    hot: Any = cp.boolvar()
    hot_pieces = []
    for piece, here in at.items():
        is_hot = model.where(piece, lambda option: option.film.setpoint_c.low > careful)
        if is_hot is not False:
            hot_pieces.append(here if is_hot is True else here & is_hot)
    if stages.press.setpoint_low_c > careful:
        model.post(("order",), hot)
    else:
        model.post(("order",), (cp.any(hot_pieces) == hot) if hot_pieces else ~hot)
    within = []
    for best in bests:
        counted = []
        for piece, here in at.items():
            cool = model.where(piece, partial(_likes_at_most, best))
            if cool is True:
                counted.append(here)
            elif cool is not False:
                both: Any = cp.boolvar()
                model.post(("order",), (here & cool) == both)
                counted.append(both)
        reached: Any = cp.boolvar()
        model.post(("order",), (2 * cp.sum([0, *counted]) >= number) == reached)
        within.append(reached)
    above = [True, *(~reached for reached in within[:-1])]
    at_top = _edge(stages, k, stages.windows.highest, at)
    at_bottom = _edge(stages, k, stages.windows.lowest, at)
    if stages.dial[0] > 0:
        bottom: Any = cp.boolvar()
        model.post(("order",), bottom.implies(stage.setpoint <= stages.dial[0]))
        at_bottom.append(bottom)
    for best, reached, beyond in zip(bests, within, above, strict=True):
        median = [stage.used, reached] + ([] if beyond is True else [beyond])
        for capped, held in ((False, [*median, hot]), (True, [*median, ~hot])):
            wanted = round(dial_c(min(best, careful) if capped else best, stages.press) / step)
            when = cp.all(held)
            model.post(("order",), when.implies(cp.any([stage.setpoint >= wanted, *at_top])))
            model.post(("order",), when.implies(cp.any([stage.setpoint <= wanted, *at_bottom])))


def _edge(stages: Stages, k: int, of: dict[str, Any], at: dict[str, Any]) -> list[Any]:
    """Literals that hold only where the setpoint stands at that end of its window."""
    stage, post = stages.stages[k], stages.model.post
    top = of is stages.windows.highest
    edges = []
    for piece, here in at.items():
        edge: Any = cp.boolvar()
        reached = stage.setpoint >= of[piece] if top else stage.setpoint <= of[piece]
        post(("order",), edge.implies(here))
        post(("order",), edge.implies(reached))
        edges.append(edge)
        if top and k:
            over: Any = cp.boolvar()
            post(("order",), over.implies(cp.any(stages.finishes[piece][:k])))
            post(("order",), over.implies(stage.setpoint >= stages.windows.bears[piece]))
            edges.append(over)
    if top:
        ceiling: Any = cp.boolvar()
        post(("order",), ceiling.implies(stage.setpoint >= stages.dial[1]))
        edges.append(ceiling)
    return edges


def _likes_at_most(best_c: float, option: Option) -> bool:
    return option.film.setpoint_c.best <= best_c
