"""Stacks on a shop's press, for the tests of heat."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from advisor.heat import bond_lines as lines
from advisor.heat import timed
from advisor.heat import timing as seconds
from advisor.heat.records import BondLineCourse, Column, HeatRefusal
from advisor.layering.records.pressing import Laying, Stage, StageConflict, Timing
from advisor.layering.stages import choose_stages, heat_limits
from rules.catalogue import load_catalogue
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.garment import Obstruction
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.sheet import Sheet
from rules.facts.step import Step

SHELF = load_catalogue()
PRESS = SHELF.press("clamshell-38x38")


def laying(
    films: Sequence[str | Film],
    fabric: str = "cotton-jersey-tee",
    *,
    press: Press = PRESS,
    stages: tuple[Stage, ...] | None = None,
    obstructions: tuple[Obstruction, ...] = (),
) -> Laying | StageConflict:
    """Films over one another, bottom first, each tacked in turn; pieces are called p0, p1 …"""
    by_piece = {
        f"p{n}": SHELF.film(film) if isinstance(film, str) else film for n, film in enumerate(films)
    }
    groups = tuple((piece,) for piece in by_piece)
    cloth = SHELF.fabric(fabric)
    made = stages or choose_stages(groups, by_piece, heat_limits([cloth], press))
    if isinstance(made, StageConflict):
        return made
    over = tuple((upper, lower) for lower, upper in pairwise(by_piece))
    return Laying(by_piece, groups, made, over, cloth, press, SHELF.sheets, obstructions)


def bond_lines(
    schedule: Schedule, columns: Sequence[Column] | None = None, *, uncertain: bool = False
) -> tuple[BondLineCourse, ...]:
    return lines.bond_lines(schedule, columns, SHELF.materials, uncertain=uncertain)


def timing(
    pressed: Laying, columns: Sequence[Column] | None = None, *, uncertain: bool = False
) -> Timing | HeatRefusal:
    return seconds.timing(pressed, columns, SHELF.materials, uncertain=uncertain)


def timed_laying(pressed: Laying) -> tuple[Laying, Timing] | HeatRefusal:
    return timed.timed_laying(pressed, None, SHELF.materials)


def scheduled(
    films: Sequence[str | Film],
    steps: Sequence[Step],
    fabric: str = "cotton-jersey-tee",
    *,
    press: Press = PRESS,
    size_mm: float = 200.0,
    trap_mm: float = 1.0,
) -> Schedule:
    """Any steps on films over one another, called p0, p1 … from the bottom."""
    by_piece = {
        f"p{n}": SHELF.film(film) if isinstance(film, str) else film for n, film in enumerate(films)
    }
    return Schedule(
        fabric=SHELF.fabric(fabric),
        press=press,
        films=by_piece,
        over=tuple((upper, lower) for lower, upper in pairwise(by_piece)),
        steps=tuple(step.model_copy(update={"n": n}) for n, step in enumerate(steps, start=1)),
        sheets=SHELF.sheets,
        size_mm=dict.fromkeys(by_piece, size_mm),
        trap_mm=trap_mm,
    )


def preheat(dwell_s: float = 4.0, setpoint_c: float = 160.0) -> Step:
    return Step(n=1, action="preheat", setpoint_c=setpoint_c, dwell_s=dwell_s)


def tack(*pieces: str, dwell_s: float = 2.0, setpoint_c: float = 160.0) -> Step:
    return Step(
        n=1, action="press", purpose="tack", pieces=pieces, setpoint_c=setpoint_c, dwell_s=dwell_s
    )


def full(
    *pieces: str, dwell_s: float = 15.0, setpoint_c: float = 160.0, cover: str | None = "ptfe-cover"
) -> Step:
    return Step(
        n=1, action="press", purpose="full", pieces=pieces, setpoint_c=setpoint_c,
        dwell_s=dwell_s, cover=cover,
    )  # fmt: skip


def peel(*pieces: str) -> Step:
    return Step(n=1, action="peel", pieces=pieces, peel="hot")


def lift() -> Step:
    return Step(n=1, action="peel", cover="ptfe-cover")


def wait(dwell_s: float) -> Step:
    return Step(n=1, action="wait", dwell_s=dwell_s)


def pad(name: str) -> Step:
    return Step(n=1, action="pad", pad=name)


def refusal_of(
    films: Sequence[Film],
    *,
    fabric: Fabric,
    press: Press,
    cover: Sheet | None,
    setpoint_c: float,
    longest_s: float,
) -> HeatRefusal | None:
    """The first of films over one another that tacks and one full press do not bond, if any."""
    names = tuple(f"p{n}" for n in range(len(films)))
    stage = Stage(
        first=0,
        last=len(films) - 1,
        finishes=names,
        setpoint_c=setpoint_c,
        setpoint_window_c=(setpoint_c, setpoint_c),
        dwell_s=longest_s,
        dwell_window_s=(0.0, longest_s),
        pressure_kpa=max(film.pressure_kpa.low for film in films),
        pressure_suits=True,
        direct=cover is None,
        bare=cover is None,
    )
    pressed = laying(films, fabric.id, press=press, stages=(stage,))
    assert isinstance(pressed, Laying)
    found = timing(replace(pressed, sheets={cover.id: cover} if cover else {}))
    return found if isinstance(found, HeatRefusal) else None
