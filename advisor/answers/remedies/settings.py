"""Remedies at the dial, the timer and the pressure: a setting higher or lower, step by step."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from advisor.answers.records import PlanEdit
from advisor.answers.remedies.remedy import (
    Changed,
    Remedy,
    edit,
    films_of,
    together,
    with_set,
    with_steps,
)
from advisor.job.records.plan import Plan
from rules.book.faults import Cure
from rules.catalogue import Catalogue
from rules.facts.fact import Window
from rules.facts.moisture import preheat_s
from rules.facts.practice import TACK_S
from rules.facts.press import Press
from rules.facts.step import Step

__all__ = ["SETTINGS"]

MISSED_S = 1.0
"""By how much a press that is timed by hand is off, s. Common practice, no source."""


def _on_dial(window: Window, press: Press) -> set[float]:
    """The least, the best and the hottest that a film asks for, as the dial can show them, °C."""
    steps = (
        press.dial_step(window.low, up=True),
        press.dial_step(window.best),
        press.dial_step(window.high, up=False),
    )
    return {press.dial_c(step) for step in steps}


@dataclass(frozen=True)
class _Setting:
    """One value that several steps share, and the values that films would rather have."""

    plan: Plan
    what: str
    field: str
    at: tuple[int, ...]
    now: float
    windows: tuple[Window, ...]
    wanted: frozenset[float]
    unit: str
    spread: float

    def remedy(self, *, up: bool) -> Remedy:
        sign = 1 if up else -1
        beyond = sorted((v for v in self.wanted if sign * (v - self.now) > 0), key=self._from_best)
        return Remedy(
            tuple(Changed(self._to(value), (self._told(value),)) for value in beyond),
            # Further the wrong way, as a press or a hand may have been without anybody's knowing.
            worse=lambda by: self._to(max(0.0, self.now - sign * by)),
            unit=self.unit,
            spread=self.spread,
            off=max((_off(window, self.now, up=up) for window in self.windows), default=0.0),
        )

    def _from_best(self, value: float) -> tuple[float, float]:
        """How far a value is from what the films like best, and from what it was."""
        return sum(abs(value - each.best) for each in self.windows), abs(value - self.now)

    def _to(self, value: float) -> Plan:
        return with_set(self.plan, self.at, **{self.field: value})

    def _told(self, value: float) -> PlanEdit:
        return edit(self.plan, self.what, self.at, self.now, value)


def _off(window: Window, now: float, *, up: bool) -> float:
    side = window.best - window.low if up else window.high - window.best
    missed = window.best - now if up else now - window.best
    return min(max(missed / side if side > 0 else missed, 0.0), 1.0)


def _dialled(plan: Plan, known: Catalogue, *, up: bool) -> Iterator[Remedy]:
    """The dial, for all steps that are pressed at one setpoint."""
    press, films = known.press(plan.press), films_of(plan, known)
    groups = together(plan, lambda step: step.setpoint_c)
    for now_c, at in groups.items():
        full = [n for n in at if plan.steps[n].purpose == "full"]
        pieces = {piece for n in full or at for piece in plan.steps[n].pieces}
        windows = tuple(films[piece].setpoint_c for piece in films if piece in pieces)
        wanted = {value for window in windows for value in _on_dial(window, press)} | {*groups}
        yield _Setting(
            plan, "setpoint_c", "setpoint_c", tuple(at), now_c, windows, frozenset(wanted), "°C",
            press.flat_c,
        ).remedy(up=up)  # fmt: skip


def _full_presses(plan: Plan, known: Catalogue, *, up: bool) -> Iterator[Remedy]:
    films = films_of(plan, known)

    def alike(step: Step) -> Hashable | None:
        return (step.dwell_s or 0.0, step.pieces) if step.purpose == "full" else None

    for (now_s, pieces), at in together(plan, alike).items():
        windows = tuple(films[piece].dwell_s for piece in pieces)
        wanted = {value for each in windows for value in (each.low, each.best, each.high)}
        yield _Setting(
            plan, "dwell_s", "dwell_s", tuple(at), now_s, windows, frozenset(wanted), "s", MISSED_S
        ).remedy(up=up)


def _tacks(plan: Plan, known: Catalogue, *, up: bool) -> Iterator[Remedy]:
    groups = together(plan, lambda s: (s.dwell_s or 0.0) if s.purpose == "tack" else None)
    for now_s, at in groups.items():
        yield _Setting(
            plan, "tack_s", "dwell_s", tuple(at), now_s, (), frozenset({TACK_S}), "s", MISSED_S
        ).remedy(up=up)


def _pressures(plan: Plan, known: Catalogue, *, up: bool) -> Iterator[Remedy]:
    press, films = known.press(plan.press), films_of(plan, known)
    low_kpa = max(film.pressure_kpa.low for film in films.values())
    high_kpa = min(film.pressure_kpa.high for film in films.values())
    groups = together(plan, lambda step: step.pressure_kpa)
    suits = {kpa for kpa in press.pressures_kpa if low_kpa <= kpa <= high_kpa}
    for now_kpa, at in groups.items():
        wanted = frozenset(suits | {*groups})
        yield _Setting(
            plan, "pressure_kpa", "pressure_kpa", tuple(at), now_kpa,
            tuple(film.pressure_kpa for film in films.values()), wanted, "kPa", 0.0,
        ).remedy(up=up)  # fmt: skip


def _preheats(plan: Plan, known: Catalogue, *, up: bool) -> Iterator[Remedy]:
    """The bare garment pressed for as long as its fabric wants, run by run."""
    for run in plan.runs:
        fabrics = [known.fabric(name) for name in run.fabrics]
        wanted_s = max(preheat_s(fabric) for fabric in fabrics)
        mine = [n for n, step in enumerate(plan.steps) if step.run == run.run]
        first = next((n for n in mine if plan.steps[n].action == "press"), None)
        if first is None:
            continue
        at = tuple(n for n in mine if plan.steps[n].action == "preheat" and n < first)
        now_s = sum(plan.steps[n].dwell_s or 0.0 for n in at)
        if len(at) == 1:
            yield _Setting(
                plan, "preheat_s", "dwell_s", at, now_s, (), frozenset({wanted_s}), "s", MISSED_S
            ).remedy(up=up)
        elif not at and up:
            like = plan.steps[first]
            step = Step(
                n=1, run=run.run, action="preheat", setpoint_c=like.setpoint_c, dwell_s=wanted_s,
                pressure_kpa=like.pressure_kpa,
            )  # fmt: skip
            made = with_steps(plan, (*plan.steps[:first], step, *plan.steps[first:]))
            told = PlanEdit(what="preheat_s", steps=(like.n,), was=0.0, to=wanted_s)
            yield Remedy((Changed(made, (told,)),))


SETTINGS: Mapping[Cure, Callable[[Plan, Catalogue], Iterator[Remedy]]] = {
    "hotter": partial(_dialled, up=True),
    "cooler": partial(_dialled, up=False),
    "longer": partial(_full_presses, up=True),
    "shorter": partial(_full_presses, up=False),
    "longer-tack": partial(_tacks, up=True),
    "shorter-tack": partial(_tacks, up=False),
    "longer-preheat": partial(_preheats, up=True),
    "shorter-preheat": partial(_preheats, up=False),
    "firmer": partial(_pressures, up=True),
    "softer": partial(_pressures, up=False),
}
"""What can be set otherwise, by the change that it is."""
