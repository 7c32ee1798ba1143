"""Optimise time: the milliseconds of one garment at the press, as constraints."""

from __future__ import annotations

from functools import partial
from typing import Any

import cpmpy as cp

from advisor.layering.cost import (
    BUTT_EXTRA_S,
    CLOSE_S,
    COVER_S,
    INSET_EXTRA_S,
    LAY_S,
    LOAD_S,
    PEEL_S,
    change_ms_per_c,
)
from advisor.layering.records.problem import Option, Problem
from advisor.solver.model import PlanModel
from advisor.solver.order import Order, foaming, lies_on
from advisor.solver.setpoint import settle
from advisor.solver.stages import Stages, Windows
from rules.facts.practice import PEEL_WAIT_S, TACK_S, preheat_s

__all__ = ["fixed_ms", "least_milliseconds", "milliseconds", "press_ms"]

LONGEST_MS = 100_000_000
"""More than any garment takes at the press, ms: a bound for the solver."""

WAITS_S = tuple(sorted({seconds for seconds in PEEL_WAIT_S.values() if seconds > 0}))


def milliseconds(order: Order, stages: Stages, *, least_ms: int = 0, changes: bool = True) -> Any:
    """The same milliseconds as `advisor.layering.cost.garment_seconds` adds up.

    Args:
        least_ms: what is known that all but the full presses takes, ms.
        changes: whether changes of setpoint between stages are counted.
    """
    model = order.model
    terms = [fixed_ms(model.problem) + press_ms() * (order.total - stages.direct)]
    terms.append(-_ms(COVER_S) * (order.lone * 1))
    for extra_s, slow in _slow_peels(model):
        for i in range(order.presses):
            waits: Any = cp.boolvar()
            for piece, waiting in slow.items():
                model.never(("order",), order.in_press[piece][i], waiting, ~waits)
            terms.append(_ms(extra_s) * waits)
    terms += _registering(model)
    if least_ms:
        model.post(("order",), cp.sum(terms) >= least_ms)
    full = [_ms(CLOSE_S + COVER_S) * stage.used + 1000 * stage.dwell_s for stage in stages.stages]
    counted = changes and stages.count > 1
    return _total(model, terms + full + (_changes(stages) if counted else []))


def least_milliseconds(model: PlanModel, *, stages: int, most_stages: int) -> Any:
    """No plan of so many stages takes less: a piece's press and the order of stages left open.

    Counts the presses that the longest pile needs, one wait for the slowest peel and, for each
    stage, the longest of its films' shortest dwells; films that finish together share a setpoint
    and a dwell. With no stages, what is left without the full presses.
    """
    pieces, problem = model.pieces, model.problem
    rank = {piece: cp.intvar(0, len(pieces) - 1) for piece in pieces}
    lies_on(model, rank)
    presses = cp.intvar(max(1, stages), len(pieces))
    for piece in pieces:
        model.post(("order",), rank[piece] + 1 <= presses)
    several: Any = cp.boolvar()
    model.post(("order",), several.implies(presses >= 2))
    model.post(("order",), (~several).implies(presses <= 1))
    foams = [literal for literal in foaming(model).values() if literal is not False]
    direct: Any = cp.boolvar()
    if not any(literal is True for literal in foams):
        model.post(("order",), cp.any([~several, *foams]) == direct)
    terms = [
        fixed_ms(problem) + press_ms() * (presses - direct) - _ms(COVER_S) * (1 - several),
        *_least_stages(model, stages, most_stages),
    ]
    for extra_s, slow in _slow_peels(model):
        waits: Any = cp.boolvar()
        for waiting in slow.values():
            model.never(("order",), waiting, ~waits)
        terms.append(_ms(extra_s) * waits)
    return _total(model, terms + _registering(model))


def _least_stages(model: PlanModel, least: int, most: int) -> list[Any]:
    """Milliseconds of the full presses: the hottest stage first, since the order is left open."""
    windows = Windows(model)
    terms = []
    finishes = {
        piece: [True] if most == 1 else [cp.boolvar() for _ in range(most)]
        for piece in model.pieces
    }
    if most > 1:
        for at in finishes.values():
            model.post(("order",), cp.sum(at) == 1)
    hotter: Any = None
    for k in range(most):
        used: Any = True if k < least else cp.boolvar()
        setpoint = cp.intvar(*windows.dial)
        dwell = cp.intvar(0, windows.longest_s)
        if hotter is not None:
            model.post(("order",), setpoint <= hotter)
        hotter = setpoint
        at_k = {piece: finishes[piece][k] for piece in model.pieces}
        windows.hold(at_k, setpoint, dwell)
        if used is not True:
            for here in at_k.values():
                model.never(("order",), here, ~used)
        elif most > 1:
            model.post(("order",), cp.any(list(at_k.values())))
        terms.append(_ms(CLOSE_S + COVER_S) * used + 1000 * dwell)
    return terms


def fixed_ms(problem: Problem) -> int:
    """What every plan of these pieces takes, ms: loading, preheat, laying and peeling."""
    preheat = max(preheat_s(fabric.holds_water_pct) for fabric in problem.fabrics)
    return _ms(LOAD_S + CLOSE_S + preheat + len(problem.pieces) * (LAY_S + PEEL_S))


def press_ms() -> int:
    """What one more press takes at least, ms."""
    return _ms(CLOSE_S + TACK_S)


def _total(model: PlanModel, terms: list[Any]) -> Any:
    total = cp.intvar(0, LONGEST_MS)
    model.post(("order",), cp.sum(terms) == total)
    return total


def _slow_peels(model: PlanModel) -> list[tuple[float, dict[str, Any]]]:
    """Seconds that each slower way of peeling adds, with literals for the pieces that need it."""
    found = []
    known_s = 0.0
    for wait_s in WAITS_S:
        slow = {piece: model.where(piece, partial(_waits_for, wait_s)) for piece in model.pieces}
        found.append((wait_s - known_s, slow))
        known_s = wait_s
    return found


def _registering(model: PlanModel) -> list[Any]:
    terms = []
    for ways in model.way.values():
        for way, literal in ways.items():
            if way == "butt":
                terms.append(_ms(BUTT_EXTRA_S) * literal)
            elif way != "lap":
                terms.append(_ms(INSET_EXTRA_S) * literal)
    return terms


def _changes(stages: Stages) -> list[Any]:
    """Heating and cooling between stages, at the setpoints that `advisor.layering.stages` takes."""
    press, post = stages.press, stages.model.post
    heating, cooling = change_ms_per_c(press, stages.problem.quantity)
    lowest, highest = stages.dial
    terms = []
    for k, stage in enumerate(stages.stages):
        settle(stages, k)
        if k:
            rise, fall = cp.intvar(0, highest - lowest), cp.intvar(0, highest - lowest)
            before = stages.stages[k - 1].setpoint
            post(("order",), stage.used.implies(stage.setpoint - before <= rise))
            post(("order",), stage.used.implies(before - stage.setpoint <= fall))
            step = press.setpoint_step_c
            terms.append(round(heating * step) * rise + round(cooling * step) * fall)
    return terms


def _waits_for(wait_s: float, option: Option) -> bool:
    return PEEL_WAIT_S[option.film.peel] >= wait_s


def _ms(seconds: float) -> int:
    return round(1000 * seconds)
