"""Stages: which films finish in the same press, at what setpoint, dwell and pressure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import combinations, pairwise
from statistics import median_low

from advisor.layering.dialled import StageAsked, dialled, steps_within
from advisor.layering.records.pressing import HeatLimits, Stage, StageConflict
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.practice import TACK_S
from rules.facts.press import Press
from rules.facts.text import Text
from rules.facts.units import show_c

__all__ = [
    "MOST_STAGES", "choose_stages", "compromise",
    "heat_limits", "stages_between",
]  # fmt: skip

MOST_STAGES = 4
"""Each stage presses everything that is down again; more would bake the first film."""


def heat_limits(fabrics: Sequence[Fabric], press: Press) -> HeatLimits:
    """The tightest limits of several fabrics on one press."""
    tightest = min((fabric.harmed_fibre for fabric in fabrics), key=lambda fibre: fibre.harmed_c)
    return HeatLimits(
        harmed_c=tightest.harmed_c,
        harmed_by=tightest.name,
        coolest=any(fabric.wants_coolest for fabric in fabrics),
        marked=any(fabric.platen_marks for fabric in fabrics),
        press=press,
    )


def choose_stages(
    groups: Sequence[Sequence[str]], films: Mapping[str, Film], limits: HeatLimits
) -> tuple[Stage, ...] | StageConflict:
    """The fewest finishing stages, and among those the least change of setpoint.

    Args:
        groups: the pieces of each press, in order.
        films: the film of each piece.
        limits: see `heat_limits`.

    Returns:
        The stages in order, or the conflict that a single stage runs into when none will do.
    """
    conflict: StageConflict | None = None
    for count in range(1, min(len(groups), MOST_STAGES) + 1):
        feasible: list[tuple[Stage, ...]] = []
        for cuts in combinations(range(1, len(groups)), count - 1):
            edges = (0, *cuts, len(groups))
            made = stages_between(edges, groups, films, limits)
            if isinstance(made, StageConflict):
                conflict = conflict or made
            else:
                feasible.append(made)
        if feasible:
            return min(feasible, key=_setpoint_travel_c)
    return conflict or StageConflict("all-finished", Text("there is nothing to press"), ())


def compromise(
    groups: Sequence[Sequence[str]], films: Mapping[str, Film], limits: HeatLimits
) -> tuple[Stage, ...]:
    """One stage that does least harm where no settings suit all, so that it can be judged.

    What the films share, it keeps to; where they share no time, each has time enough to bond.
    """
    pieces = tuple(piece for group in groups for piece in group)
    laid = [films[piece] for piece in pieces]
    ceiling = min([film.bears_c for film in laid] + [limits.hottest_c])
    shared = _setpoint_window(pieces, (), films, limits)
    window = (0.0, ceiling) if isinstance(shared, StageConflict) else shared
    steps = steps_within(window, limits.press) or steps_within((0.0, math.inf), limits.press)
    wanted = median_low([film.setpoint_c.best for film in laid])
    step = limits.press.dial_step(min(wanted, ceiling))
    shortest_s = float(math.ceil(max(film.dwell_s.low for film in laid)))
    longest_s = float(math.floor(min(film.dwell_s.high for film in laid)))
    best_s = float(math.ceil(max(film.dwell_s.best for film in laid)))
    dwell_s = min(best_s, max(shortest_s, longest_s))
    # Where no time suits all, heat may ask for more than the least.
    longest_s = longest_s if longest_s >= shortest_s else max(best_s, shortest_s)
    pressure, suits = _pressure(laid, limits)
    made = [
        Stage(
            first=0,
            last=len(groups) - 1,
            finishes=pieces,
            setpoint_c=limits.press.dial_c(min(max(step, steps[0]), steps[1]))
            if steps is not None
            else limits.press.setpoint_low_c,
            setpoint_window_c=window,
            dwell_s=dwell_s,
            dwell_window_s=(shortest_s, longest_s),
            pressure_kpa=pressure,
            pressure_suits=suits,
            direct=_direct(groups, films, ()),
            bare=not limits.marked and _bare(groups, films, ()),
        )
    ]
    held = _within_what_films_bear(made, groups, films, (TACK_S,) * len(groups))
    return tuple(made) if isinstance(held, StageConflict) else held


def _setpoint_travel_c(stages: tuple[Stage, ...]) -> float:
    return sum(abs(b.setpoint_c - a.setpoint_c) for a, b in pairwise(stages))


def _direct(
    groups: Sequence[Sequence[str]], films: Mapping[str, Film], down: Sequence[str]
) -> bool:
    """Whether the last press of a stage is its full press: a film that nothing waits for needs no
    tack, unless its carrier would leave a line in what is down."""
    if any(films[piece].foams for piece in groups[-1]):
        return True
    marks = any(films[piece].carrier_marks for piece in groups[-1])
    return len(groups) == 1 and not (
        marks and any(films[piece].marked_by_carriers for piece in down)
    )


def _bare(groups: Sequence[Sequence[str]], films: Mapping[str, Film], down: Sequence[str]) -> bool:
    """Whether the full press of a stage is the first press of all, and carriers cover its films."""
    return not down and len(groups) == 1 and all(films[piece].carrier_um > 0 for piece in groups[0])


def stages_between(
    edges: Sequence[int],
    groups: Sequence[Sequence[str]],
    films: Mapping[str, Film],
    limits: HeatLimits,
    *,
    tack_s: Sequence[float] | None = None,
) -> tuple[Stage, ...] | StageConflict:
    """The settings of given stages: a full press ends each run of groups between two edges.

    Args:
        edges: 0, the first group of each later stage, and the number of groups.
        groups: the pieces of each press, in order.
        films: the film of each piece.
        limits: see `heat_limits`.
        tack_s: seconds of each group's tack, s; the usual tack where not given.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> limits = heat_limits([known.fabric("cotton-jersey-tee")], known.press("clamshell-38x38"))
    >>> films = {"sea": known.film("matte-smooth"), "star": known.film("sparkle-coarse")}
    >>> [stage.dwell_s for stage in stages_between((0, 2), [["sea"], ["star"]], films, limits)]
    [15.0]
    """
    tacks = tuple(tack_s) if tack_s is not None else (TACK_S,) * len(groups)
    asked: list[StageAsked] = []
    for first, end in pairwise(edges):
        down = [piece for group in groups[:first] for piece in group]
        finishing = tuple(piece for group in groups[first:end] for piece in group)
        if any(films[piece].foams for piece in finishing) and end < len(groups):
            foam = next(piece for piece in finishing if films[piece].foams)
            return StageConflict(
                "foam-last", Text(f"{films[foam].id} foams and would be pressed again"), (foam,)
            )
        window = _setpoint_window(finishing, down, films, limits)
        if isinstance(window, StageConflict):
            return window
        dwell_window = _dwell_window(finishing, films)
        if isinstance(dwell_window, StageConflict):
            return dwell_window
        steps = steps_within(window, limits.press)
        if steps is None:
            return StageConflict(
                "press-range",
                Text(
                    f"no setting of {limits.press.id} lies between "
                    f"{show_c(*window, between=' and ')}"
                ),
                finishing,
            )
        asked.append(StageAsked(first, end, down, finishing, window, dwell_window, steps))
    stages: list[Stage] = []
    for one, step in zip(asked, dialled(asked, films, limits), strict=True):
        laid = [films[piece] for piece in one.finishing]
        pressure, suits = _pressure(laid, limits)
        wanted_s = max(math.ceil(max(film.dwell_s.best for film in laid)), one.dwell_window[0])
        stages.append(
            Stage(
                first=one.first,
                last=one.end - 1,
                finishes=one.finishing,
                setpoint_c=limits.press.dial_c(step),
                setpoint_window_c=one.window,
                dwell_s=float(min(wanted_s, one.dwell_window[1])),
                dwell_window_s=one.dwell_window,
                pressure_kpa=pressure,
                pressure_suits=suits,
                direct=_direct(groups[one.first : one.end], films, one.down),
                bare=not limits.marked and _bare(groups[one.first : one.end], films, one.down),
            )
        )
    return _within_what_films_bear(stages, groups, films, tacks)


def _setpoint_window(
    finishing: Sequence[str], down: Sequence[str], films: Mapping[str, Film], limits: HeatLimits
) -> tuple[float, float] | StageConflict:
    hottest_need = max(finishing, key=lambda piece: films[piece].setpoint_c.low)
    low = films[hottest_need].setpoint_c.low
    ceilings = [
        (films[piece].setpoint_c.high, f"{films[piece].id} takes at most", piece)
        for piece in finishing
    ]
    ceilings += [(films[piece].bears_c, f"{films[piece].id} bears", piece) for piece in down]
    ceilings.append((limits.hottest_c, limits.fabric_bears, ""))
    ceilings.append((limits.press.setpoint_high_c, f"{limits.press.id} reaches", ""))
    high, says, piece = min(ceilings, key=lambda ceiling: ceiling[0])
    if low > high:
        return StageConflict(
            "setpoint-window",
            Text(
                f"{films[hottest_need].id} needs at least {show_c(low)}, but {says} {show_c(high)}"
            ),
            tuple(dict.fromkeys(p for p in (hottest_need, piece) if p)),
        )
    return (max(low, limits.press.setpoint_low_c), high)


def _dwell_window(
    finishing: Sequence[str], films: Mapping[str, Film]
) -> tuple[float, float] | StageConflict:
    longest_need = max(finishing, key=lambda piece: films[piece].dwell_s.low)
    shortest = min(finishing, key=lambda piece: films[piece].dwell_s.high)
    low = float(math.ceil(films[longest_need].dwell_s.low))
    high = float(math.floor(films[shortest].dwell_s.high))
    if low > high:
        return StageConflict(
            "dwell-window",
            Text(
                f"{films[longest_need].id} needs at least {low:.0f} s, but {films[shortest].id} "
                f"takes at most {high:.0f} s"
            ),
            (longest_need, shortest),
        )
    return low, high


def _pressure(laid: Sequence[Film], limits: HeatLimits) -> tuple[float, bool]:
    low = max(film.pressure_kpa.low for film in laid)
    high = min(film.pressure_kpa.high for film in laid)
    wanted = low if limits.marked else median_low([film.pressure_kpa.best for film in laid])
    settable = limits.press.pressures_kpa
    suiting = [kpa for kpa in settable if low <= kpa <= high]
    return min(suiting or settable, key=lambda kpa: (abs(kpa - wanted), kpa)), bool(suiting)


def _within_what_films_bear(
    stages: list[Stage],
    groups: Sequence[Sequence[str]],
    films: Mapping[str, Film],
    tacks: Sequence[float],
) -> tuple[Stage, ...] | StageConflict:
    """Shorten full presses, the later ones first, until no film is pressed longer than it bears.

    A stage takes the whole seconds that the later ones, at their shortest, leave to every film
    that is down by then.
    """
    group_of = {piece: i for i, group in enumerate(groups) for piece in group}
    tacked_s = {
        piece: sum(tacks[i] for i in range(at, len(groups)) if not _pressed_directly(i, stages))
        for piece, at in group_of.items()
    }
    shortest_s = [stage.dwell_window_s[0] for stage in stages]
    pressed_s = {
        piece: tacked_s[piece]
        + sum(shortest_s[i] for i, stage in enumerate(stages) if stage.last >= at)
        for piece, at in group_of.items()
    }
    for piece in group_of:
        if pressed_s[piece] > films[piece].bears_s + 1e-9:
            return StageConflict(
                "pressed-seconds",
                Text(
                    f"{films[piece].id} would be pressed {pressed_s[piece]:.0f} s in all and bears "
                    f"{films[piece].bears_s:.0f} s"
                ),
                (piece,),
            )
    settled = []
    for i, stage in enumerate(stages):
        down = [piece for piece, at in group_of.items() if at <= stage.last]
        left_s = min(films[piece].bears_s - pressed_s[piece] for piece in down) + shortest_s[i]
        dwell_s = min(stage.dwell_s, max(float(math.floor(left_s + 1e-9)), shortest_s[i]))
        for piece in down:
            pressed_s[piece] += dwell_s - shortest_s[i]
        settled.append(replace(stage, dwell_s=dwell_s))
    return tuple(settled)


def _pressed_directly(group: int, stages: Sequence[Stage]) -> bool:
    return any(stage.direct and stage.last == group for stage in stages)
