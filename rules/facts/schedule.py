"""Schedule: films and press steps together, with the state of the garment at every step."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from types import MappingProxyType

from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.press import Press
from rules.facts.sheet import Sheet
from rules.facts.step import Step
from rules.facts.text import and_list, piece_name, step_name
from rules.facts.trial import Setting, settings_of

__all__ = ["Schedule", "ScheduledStep", "State", "films_named", "number"]


@dataclass(frozen=True, slots=True)
class State:
    """How things stand between two steps.

    Attributes:
        down: pieces on the garment, in the order in which they went down.
        carriers_on: pieces whose carrier has not been peeled.
        finished: pieces that had a full press.
        pressed_s: seconds pressed so far, s, by piece.
        above_onset_s: seconds pressed at a setpoint above the film's shrink onset, s, by piece.
        setpoint_c: what the dial says, °C.
        pressure_kpa: what the pressure is set to, kPa on the platen.
        pad: the pad that lies under the print, by id.
        preheated: whether the bare garment has been pressed.
        waited_s: seconds since the platen was last closed, s.
        off_press: whether the garment lies beside the press to cool.
        cover: the sheet that lies over the print, by id, until it is lifted.
        foamed: foam pieces that have risen, because they lay under a full press.
    """

    down: tuple[str, ...] = ()
    carriers_on: tuple[str, ...] = ()
    finished: tuple[str, ...] = ()
    pressed_s: Mapping[str, float] = field(default_factory=dict)
    above_onset_s: Mapping[str, float] = field(default_factory=dict)
    setpoint_c: float | None = None
    pressure_kpa: float | None = None
    pad: str | None = None
    preheated: bool = False
    waited_s: float = 0.0
    off_press: bool = False
    cover: str | None = None
    foamed: tuple[str, ...] = ()


@dataclass(frozen=True)
class Schedule:
    """Films, by piece and bottom first, and the steps that press them onto a fabric.

    Attributes:
        over: which piece lies on which, as (upper, lower) in the order they are pressed.
        size_mm: the largest extent of each piece, mm, for how far a shrink moves its edge.
        trap_mm: the overlap that hides misregistration, mm; 0 where nothing is trapped.
        dial_c: where the garments before left the dial, °C; ``None`` where nobody knows.
    """

    fabric: Fabric
    press: Press
    films: Mapping[str, Film]
    over: tuple[tuple[str, str], ...]
    steps: tuple[Step, ...]
    sheets: Mapping[str, Sheet]
    size_mm: Mapping[str, float] = field(default_factory=dict)
    trap_mm: float = 0.0
    dial_c: float | None = None

    @cached_property
    def states(self) -> tuple[State, ...]:
        """The state before the first step and after each one: one more than there are steps."""
        states = [State(setpoint_c=self.dial_c)]
        for step in self.steps:
            states.append(_after(states[-1], step, self.films))
        return tuple(states)

    @cached_property
    def scheduled(self) -> tuple[ScheduledStep, ...]:
        """Each step with what came before and what follows, ready to be judged."""
        return tuple(
            ScheduledStep(self, step, self.states[i], self.states[i + 1], i)
            for i, step in enumerate(self.steps)
        )

    @cached_property
    def settings(self) -> Mapping[str, Setting]:
        """The hottest and longest that the full presses over each film were set to, by its id."""
        found: dict[str, Setting] = {}
        for piece, setting in settings_of(self.steps, self.dial_c).items():
            if piece in self.films:
                was = found.get(self.films[piece].id, setting)
                found[self.films[piece].id] = Setting(
                    max(was.setpoint_c, setting.setpoint_c), max(was.dwell_s, setting.dwell_s)
                )
        return found

    def lies_on(self, piece: str) -> tuple[str, ...]:
        """The pieces that ``piece`` lies on."""
        return tuple(lower for upper, lower in self.over if upper == piece)

    def lies_under(self, piece: str) -> tuple[str, ...]:
        """The pieces that lie on ``piece``."""
        return tuple(upper for upper, lower in self.over if lower == piece)


@dataclass(frozen=True, slots=True)
class ScheduledStep:
    """One step of a schedule, ``position`` from 0, with the state before and after it."""

    schedule: Schedule
    step: Step
    before: State
    after: State
    position: int

    @property
    def where(self) -> str:
        """Where a finding on it is: the step by its number."""
        return f"{step_name(self.step.n)}"

    @property
    def earlier(self) -> tuple[Step, ...]:
        """The steps before it."""
        return self.schedule.steps[: self.position]

    @property
    def later(self) -> tuple[Step, ...]:
        """The steps after it."""
        return self.schedule.steps[self.position + 1 :]

    @property
    def is_last(self) -> bool:
        """Whether no step follows."""
        return not self.later

    @property
    def finishing(self) -> tuple[str, ...]:
        """The pieces that get their first full press in this step."""
        return self.after.finished[len(self.before.finished) :]

    @property
    def laid_down(self) -> tuple[str, ...]:
        """The pieces that go down in this step."""
        return self.after.down[len(self.before.down) :]

    @property
    def dial_set_c(self) -> float | None:
        """What a step before it set the dial to, °C; a press written otherwise turns nothing."""
        by_hand = (s.setpoint_c for s in reversed(self.earlier) if s.action == "setpoint")
        return next((set_c for set_c in by_hand if set_c is not None), None)

    @property
    def pressure_set_kpa(self) -> float | None:
        """What a step before it set the pressure to, kPa, in the same way."""
        by_hand = (s.pressure_kpa for s in reversed(self.earlier) if s.action == "pressure")
        return next((set_kpa for set_kpa in by_hand if set_kpa is not None), None)

    @property
    def closes_hot(self) -> bool:
        """Whether the platen comes down: a press or a preheat."""
        return self.step.action in {"press", "preheat"}


def films_named(schedule: Schedule, pieces: tuple[str, ...]) -> str:
    """The pieces with their films, as a person would say them.

    An empty tuple gives an empty string.
    """
    known = (piece for piece in pieces if piece in schedule.films)
    return and_list(piece_name(piece, schedule.films[piece].id) for piece in known)


def number(pieces: tuple[str, ...], one: str, several: str) -> str:
    """The form of a verb that goes with so many pieces.

    >>> number(("base",), "bears", "bear"), number(("base", "top"), "bears", "bear")
    ('bears', 'bear')
    """
    return one if len(pieces) == 1 else several


def _after(state: State, step: Step, films: Mapping[str, Film]) -> State:
    known = tuple(dict.fromkeys(piece for piece in step.pieces if piece in films))
    setpoint = step.setpoint_c if step.setpoint_c is not None else state.setpoint_c
    pressure = step.pressure_kpa if step.pressure_kpa is not None else state.pressure_kpa
    if step.action == "setpoint":
        return replace(state, setpoint_c=setpoint)
    if step.action == "pressure":
        return replace(state, pressure_kpa=pressure)
    if step.action == "pad":
        return replace(state, pad=None if step.pad == "out" else step.pad)
    if step.action == "wait":
        waited_s = state.waited_s + (step.dwell_s or 0)
        return replace(state, waited_s=waited_s, off_press=state.off_press or step.off_press)
    if step.action == "peel":
        return replace(
            state,
            carriers_on=tuple(p for p in state.carriers_on if p not in known),
            cover=None if step.cover == state.cover else state.cover,
        )
    if step.action not in {"press", "preheat"}:
        return state
    state = replace(
        state,
        setpoint_c=setpoint,
        pressure_kpa=pressure,
        waited_s=0.0,
        off_press=False,
        cover=step.cover or state.cover,
    )
    if step.action == "preheat":
        return replace(state, preheated=True)
    fresh = tuple(piece for piece in known if piece not in state.down)
    down = state.down + fresh
    dwell = step.dwell_s or 0.0
    pressed = {piece: state.pressed_s.get(piece, 0.0) + dwell for piece in down}
    above = {
        piece: state.above_onset_s.get(piece, 0.0)
        + (dwell if (setpoint or 0) > films[piece].shrink.onset_c else 0.0)
        for piece in down
    }
    full = step.purpose == "full"
    finished = state.finished + tuple(p for p in known if full and p not in state.finished)
    return replace(
        state,
        down=down,
        carriers_on=state.carriers_on + tuple(p for p in fresh if films[p].carrier_um > 0),
        finished=finished,
        pressed_s=MappingProxyType(pressed),
        above_onset_s=MappingProxyType(above),
        foamed=state.foamed
        # A full press heats all that lies under the platen, so a tacked foam rises in it too.
        + tuple(p for p in down if full and films[p].foams and p not in state.foamed),
    )
