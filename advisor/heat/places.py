"""All places of a print, followed together through the steps of a press schedule.

Wherever the same pieces are down, the same happens, so that each such stack is followed once. What
was followed is kept by content for as long as the program runs: the same films in the same steps
are asked about again by the next draft, the check of it and the next look.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

from advisor.heat.conduction import AIR_W_M2K, METAL, ROOM_C, Configuration, configure
from advisor.heat.curve import Curve, above
from advisor.heat.layers import Boundary, FloatArray, Layer, cell_shares
from advisor.heat.moments import moments_of
from advisor.heat.press_layers import BED, Materials, bond_lines_in
from advisor.heat.records import Column, Moment
from advisor.heat.walk import Course, Leg, horizon_s
from rules.facts.schedule import ScheduledStep

__all__ = [
    "COLD", "Lying", "Places", "bond_curves", "bonding_s", "cells_of", "ended", "entered",
    "lying_at",
]  # fmt: skip

Lying = tuple[tuple[int, str], ...]
"""The pieces that are down at a place, bottom first, each with its number in the column."""

COLD = Course()
"""What has been through nothing yet."""


def lying_at(column: Column, down: Collection[str]) -> Lying:
    """What of a column is down.

    >>> lying_at(("sea", "sun", "word"), {"sea", "word"})
    ((0, 'sea'), (2, 'word'))
    """
    return tuple((number, piece) for number, piece in enumerate(column) if piece in down)


@dataclass(slots=True)
class Places:
    """The places of a print as far as they have been pressed.

    Attributes:
        columns: the places, by piece, bottom first.
        materials: thermal materials by id.
        contact_w_m2k: the press's contact, W/(m²·K).
        courses: what each stack has been through that lies somewhere now.
        column_of: a column that has that stack.
        presses: every closing of the platen, with the leg of each stack under it.
    """

    columns: Sequence[Column]
    materials: Materials
    contact_w_m2k: float
    courses: dict[Lying, Course] = field(default_factory=lambda: {(): COLD})
    column_of: dict[Lying, Column] = field(default_factory=dict)
    presses: list[tuple[ScheduledStep, dict[Lying, Leg]]] = field(default_factory=list)

    def handle(self, at: ScheduledStep) -> dict[Lying, Moment]:
        """Let what a step does with the press open happen; what is then to come is returned.

        That is the press of a step that closes it, the waiting of a wait, and nothing else.
        """
        moments = self._moments(at)
        to_come = {}
        for lying, happens in moments.items():
            last = at.closes_hot or at.step.action == "wait"
            for moment in happens[: len(happens) - last]:
                leg = self._entered(lying, moment)
                self.courses[lying] = ended(self.courses[lying], leg, moment.seconds)
            if last and happens:
                to_come[lying] = happens[-1]
        return to_come

    def enter(self, moments: Mapping[Lying, Moment]) -> dict[Lying, Leg]:
        """The legs of a moment as it begins."""
        return {lying: self._entered(lying, moment) for lying, moment in moments.items()}

    def end(self, at: ScheduledStep, legs: Mapping[Lying, Leg], seconds: float) -> dict[Lying, Leg]:
        """Let a moment last for so many seconds: its legs when it is over."""
        over = {}
        for lying, leg in legs.items():
            self.courses[lying] = ended(self.courses[lying], leg, seconds)
            over[lying] = self.courses[lying].legs[-1]
        if at.closes_hot:
            self.presses.append((at, over))
        return over

    def _moments(self, at: ScheduledStep) -> dict[Lying, tuple[Moment, ...]]:
        before, courses, moments = self.courses, {}, {}
        for column in self.columns:
            lying = lying_at(column, at.after.down)
            if lying not in courses:
                courses[lying] = before[lying_at(column, at.before.down)]
                self.column_of[lying] = column
                moments[lying] = moments_of(at, column, self.materials)
        self.courses = courses
        return moments

    def _entered(self, lying: Lying, moment: Moment) -> Leg:
        return entered(self.courses[lying], moment.layers, moment.platen_c, self.contact_w_m2k)


# Courses, legs and layers are compared by identity: a course leads to one leg for each stack that
# may follow, and a leg to one course for each number of seconds.
@lru_cache(maxsize=4096)
def entered(
    course: Course, layers: tuple[Layer, ...], platen_c: float | None, contact_w_m2k: float
) -> Leg:
    """The leg of layers that lie there next, under a platen or, with ``None``, under air."""
    leg = course.enter(_under(layers, platen_c, contact_w_m2k))
    return replace(leg, closed=platen_c is not None)


@lru_cache(maxsize=4096)
def ended(course: Course, leg: Leg, seconds: float) -> Course:
    """The course when its next leg has lasted for so many seconds."""
    return course.then(leg.lasting(seconds))


def bond_curves(leg: Leg, seconds: float) -> Mapping[int, Curve]:
    """The curve of every bond line in a stack, by its film's number, over so many seconds."""
    return _bond_curves(leg.lasting(seconds))


@lru_cache(maxsize=1024)
def _bond_curves(leg: Leg) -> Mapping[int, Curve]:
    until_s = leg.lasts_s[1]
    long = _long_curves(leg.lasting(horizon_s(leg.seconds)))
    return {number: curve.until(until_s) for number, curve in long.items()}


# A curve of five minutes takes ten kilobytes.
@lru_cache(maxsize=512)
def _long_curves(leg: Leg) -> Mapping[int, Curve]:
    places = bond_lines_in(leg.stack.layers)
    return dict(zip(places, leg.curves(list(places.values())), strict=True))


@lru_cache(maxsize=4096)
def bonding_s(leg: Leg, number: int, bonds_c: float) -> float:
    """Seconds of a press in which the bond line of a film is hot enough; 0 where it is not laid."""
    curve = bond_curves(leg, leg.seconds).get(number)
    return float(above(curve, bonds_c).seconds) if curve else 0.0


@lru_cache(maxsize=1024)
def _under(
    layers: tuple[Layer, ...], platen_c: float | None, contact_w_m2k: float
) -> Configuration:
    """Layers under a closed platen, or under air where it is open."""
    if platen_c is None:
        return _solved(layers, AIR_W_M2K)
    stack = _solved(layers, contact_w_m2k)
    return stack.between(Boundary(platen_c, contact_w_m2k), METAL)


# The costly part, shared between columns, plans and settings.
@lru_cache(maxsize=512)
def _solved(layers: tuple[Layer, ...], conductance_w_m2k: float) -> Configuration:
    front = Boundary(ROOM_C, conductance_w_m2k)
    return configure(layers, front=front, back=METAL, shares=cells_of(layers))


def cells_of(layers: Sequence[Layer]) -> list[FloatArray]:
    """The cells of the layers in a press, which lie on a bed."""
    # The bed lies on metal as cold as itself: nothing sudden comes from there.
    return [cell_shares(layer, fine_back=layer.name != BED) for layer in layers]
