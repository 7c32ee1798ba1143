"""Trial: the schedule that presses a few films over one another, to see what heat makes of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from advisor.heat.press_layers import Materials
from advisor.heat.timed import timed_laying
from advisor.layering.press_steps import press_steps, usual_timing
from advisor.layering.records.pressing import Laying, StageConflict
from advisor.layering.stages import choose_stages, compromise, heat_limits
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.sheet import Sheet
from rules.facts.text import Text
from rules.facts.units import show_c

__all__ = ["LONGEST_DWELL_S", "stack_schedule"]

LONGEST_DWELL_S = 600.0
"""A press timer goes no further, s. Generic."""


def stack_schedule(
    films: Sequence[Film],
    *,
    fabric: Fabric,
    press: Press,
    sheets: Mapping[str, Sheet],
    materials: Materials,
    setpoint_c: float | None = None,
    dwell_s: float | None = None,
    cover: str | None = None,
) -> Schedule:
    """The schedule that presses films over one another, each tacked, all finished at the end.

    Pieces are called like their films; a film that stands there twice gets a number.

    Args:
        films: bottom first, at least one.
        sheets: the covers and pads that there are.
        setpoint_c: the dial in every press, °C; by default what suits the films.
        dwell_s: seconds of the full press; by default what heat and the films ask for.
        cover: the cover sheet by id, or ``"none"``; by default the one that suits.

    Raises:
        BadInputError: no film is given, or a setting that the press cannot be set to.
        UnknownNameError: the cover is not among the sheets.
    """
    if not films:
        raise BadInputError("is empty; name at least one film, bottom first", field="stack")
    low_c, high_c = press.setpoint_low_c, press.setpoint_high_c
    if setpoint_c is not None and not low_c <= setpoint_c <= high_c:
        raise BadInputError(
            Text(f"is {show_c(setpoint_c)}; it must be from {show_c(low_c, high_c)}"),
            field="setpoint_c",
        )
    if dwell_s is not None and not 0 <= dwell_s <= LONGEST_DWELL_S:
        raise BadInputError(
            f"is {dwell_s:g} s; it must be from 0 to {LONGEST_DWELL_S:g} s", field="dwell_s"
        )
    if cover not in {None, "none"} and cover not in sheets:
        raise UnknownNameError("sheet", str(cover), sheets)
    names = _names(films)
    by_piece = dict(zip(names, films, strict=True))
    groups, limits = tuple((name,) for name in names), heat_limits([fabric], press)
    stages = choose_stages(groups, by_piece, limits)
    if isinstance(stages, StageConflict) or setpoint_c is not None or dwell_s is not None:
        [stage] = compromise(groups, by_piece, limits)
        stages = (
            replace(
                stage,
                setpoint_c=stage.setpoint_c if setpoint_c is None else setpoint_c,
                dwell_s=stage.dwell_s if dwell_s is None else dwell_s,
            ),
        )
    over = tuple((upper, lower) for lower, upper in pairwise(names))
    laying = Laying(by_piece, groups, stages, over, fabric, press, sheets)
    timing = usual_timing(groups, stages)
    if setpoint_c is None and dwell_s is None:
        timed = timed_laying(laying, None, materials)
        if isinstance(timed, tuple):
            laying, timing = timed
    steps = press_steps(laying, timing)
    if cover is not None:
        chosen = None if cover == "none" else cover
        steps = tuple(
            step.model_copy(update={"cover": chosen}) if step.purpose == "full" else step
            for step in steps
            if chosen is not None or not (step.action == "peel" and step.cover)
        )
    return Schedule(fabric, press, by_piece, over, steps, sheets)


def _names(films: Sequence[Film]) -> tuple[str, ...]:
    ids = [film.id for film in films]
    return tuple(
        name if ids.count(name) == 1 else f"{name} {ids[: n + 1].count(name)}"
        for n, name in enumerate(ids)
    )
