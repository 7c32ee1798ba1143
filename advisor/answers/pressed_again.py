"""Pressed again: what the presses of a print do to the prints that the garment bears already."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from advisor.answers.place_steps import Laid, PlacePart, more_than_a_tack
from advisor.heat.face_down import Felt, felt_face_down
from rules.facts.film import Film
from rules.facts.finding import Finding
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.step import Step
from rules.facts.text import Text, and_list
from rules.knowledge import Knowledge

__all__ = ["BY_CONTACT", "pressed_again", "pressed_as_one"]

BY_CONTACT = frozenset({"carrier-line", "flake-transfer"})
"""Rules on what a carrier does to a face that it lies on: the carriers of one place lie on no face
of another, and a sheet is between what lies under the platen together."""

BY_DIAL = frozenset({"setpoint-change", "press-range"})
"""Rules on what the dial is set to, which is not the heat that comes through a garment.

They are asked of the steps as they are dialled, also of those that others felt face down."""

FACE_DOWN = ", of those face down only as long as it is as hot as where it bonds"


def pressed_again(
    part: Laid, before: Sequence[Laid], knowledge: Knowledge, *, press: Press
) -> tuple[Finding, ...]:
    """What the presses of a print do to the prints that the garment bears already there.

    Whatever lies under the platen is judged by the rules on schedules as if it were pressed with
    it: its seconds, its heat, its foam. What lies face down feels the press through the garment,
    and is judged by the heat that reaches it. A preheat counts as a press of what is down. What
    the rules find of the print by itself is left out.
    """
    found: list[Finding] = []
    lying = [one for one in before if one.part.side[0] == part.part.side[0]]
    for side in dict.fromkeys(one.part.side for one in lying):
        beside = side == part.part.side
        on_side = [one for one in lying if one.part.side == side]
        felt = _felt_by(side, [*before, part], knowledge, press)
        steps = [step for one in lying for step in felt[one.part.id]]
        last, own = felt[part.part.id], dict(part.part.films) if beside else {}
        films = {piece: film for one in on_side for piece, film in one.part.films.items()} | own
        alone = _found_in(_schedule(part.part, own, last, press, knowledge), last, knowledge)
        whole = _schedule(part.part, films, (*steps, *last), press, knowledge)
        both = _found_in(whole, last, knowledge)
        known = {finding.said for finding in alone}
        if beside:
            dialled = [step for one in lying for step in _under_sheets(one.steps)]
            as_dialled = _schedule(part.part, films, (*dialled, *last), press, knowledge)
            both = (
                *(finding for finding in both if finding.rule not in BY_DIAL),
                *(f for f in _found_in(as_dialled, last, knowledge) if f.rule in BY_DIAL),
            )
        aside = BY_CONTACT if beside else BY_CONTACT | BY_DIAL
        new = [f for f in both if f.said not in known and f.rule not in aside]
        if not beside and not _foams(on_side):
            new = [_told_face_down(finding, on_side, part) for finding in new]
        found += new
    return tuple(found)


def pressed_as_one(part: Laid, knowledge: Knowledge, *, press: Press) -> tuple[Finding, ...]:
    """What the rules on schedules find of prints that are pressed together, all films at once."""
    steps = _under_sheets(part.own)
    schedule = _schedule(part.part, part.part.films, steps, press, knowledge)
    return _found_in(schedule, steps, knowledge)


def _found_in(
    schedule: Schedule, last: Sequence[Step], knowledge: Knowledge
) -> tuple[Finding, ...]:
    return knowledge.judge(*schedule.scheduled[len(schedule.steps) - len(last) :])


def _schedule(
    part: PlacePart,
    films: Mapping[str, Film],
    steps: Sequence[Step],
    press: Press,
    knowledge: Knowledge,
) -> Schedule:
    print_, run = part.bears[0]
    line = print_.plan.print.lines[run.garments[0].line]
    return Schedule(
        fabric=knowledge.catalogue.fabric(line.fabric),
        press=press,
        films=films,
        over=(),
        steps=tuple(steps),
        sheets=knowledge.catalogue.sheets,
    )


def _felt_by(
    side: tuple[str, str], laid: Sequence[Laid], knowledge: Knowledge, press: Press
) -> dict[str, tuple[Step, ...]]:
    """The steps of every part as what lies on that side feels them, by the part's id."""
    felt: dict[str, tuple[Step, ...]] = {}
    down: list[Laid] = []
    for before, one in zip((None, *laid[:-1]), laid, strict=True):
        steps = one.steps
        if one.part.side == side:
            down.append(one)
        elif down and one.part.side[0] == side[0]:
            steps = _face_down(one, before, down, knowledge, press)
        felt[one.part.id] = _under_sheets(steps)
    return felt


def _face_down(
    one: Laid, before: Laid | None, down: Sequence[Laid], knowledge: Knowledge, press: Press
) -> tuple[Step, ...]:
    """The steps of a part as the films that lie face down under it feel the heat of them.

    A tack of it is no tack of theirs, but a press of what is down.
    Foam that has risen is flattened by the pressure alone: it feels all of every press.
    """
    if _foams(down):
        return one.steps
    known = knowledge.catalogue
    pressed = _schedule(one.part, one.part.films, one.steps, press, knowledge)
    under = next((step.cover for step in one.steps if step.action == "turn"), None)
    felt: list[tuple[Felt | None, ...]] = []
    for lies in down:
        own = _schedule(lies.part, lies.part.films, lies.own, press, knowledge)
        hot = one.stays and lies is before
        felt += (
            felt_face_down(
                film, pressed, sheet=known.sheets[under] if under else None,
                straight_after=(piece, own) if hot else None, materials=known.materials,
            )
            for piece, film in lies.part.films.items()
        )  # fmt: skip
    return tuple(
        step
        if not any(of_step)
        else step.model_copy(
            update={
                "purpose": "full",
                "pieces": (),
                "dwell_s": max(each.seconds for each in of_step if each),
                "setpoint_c": float(math.ceil(max(each.peak_c for each in of_step if each))),
            }
        )
        for step, of_step in zip(one.steps, zip(*felt, strict=True), strict=True)
    )


def _foams(laid: Sequence[Laid]) -> bool:
    return any(film.foams for one in laid for film in one.part.films.values())


def _told_face_down(finding: Finding, down: Sequence[Laid], part: Laid) -> Finding:
    """A finding on what lies face down, whose seconds are those that it feels through a garment."""
    if finding.rule == "pressed-seconds":
        return finding.model_copy(update={"message": finding.message + FACE_DOWN})
    if finding.rule == "cover-exposed-face":
        places = and_list(one.part.at for one in down)
        message = f"the {places} would lie face down on the bare press under the {part.part.at}"
        instead = "lay a cover sheet under the garment when it is turned"
        return finding.model_copy(update={"message": Text(message), "instead": Text(instead)})
    return finding


def _under_sheets(steps: Sequence[Step]) -> tuple[Step, ...]:
    """Steps as what is down already feels them: each longer press is one under a sheet."""
    sheet = next((step.cover for step in steps if step.cover), None)
    made: list[Step] = []
    for step in steps:
        if step.action == "preheat":
            step = step.model_copy(update={"action": "press", "purpose": "full"})
        if more_than_a_tack(step) and not step.cover and sheet is not None:
            made.append(step.model_copy(update={"cover": sheet}))
            made.append(Step(n=step.n, run=step.run, action="peel", cover=sheet))
        else:
            made.append(step)
    return tuple(made)
