"""Whole agrees: the plan file of an order says the same in its whole and in its prints.

The judgement reads films and garments in the prints, and steps in the whole. What the file states
twice must therefore agree, whatever it is, and what it states once must be what the prints need:
else a part of it is pressed that nobody judged.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from advisor.answers.hung import hung
from advisor.answers.whole_order import (
    joints_in_all,
    meetings_in_all,
    pieces_in_all,
    places_in_all,
)
from advisor.job.records.order_plan import LaidRun, LiesOn, OrderPlan, PlannedPrint
from advisor.job.records.people import Person
from rules.catalogue import Catalogue
from rules.catalogue.places import load_places, place_named, spot_at
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fact import Record

__all__ = ["refuse_disagreeing"]


class _Twice(NamedTuple):
    """Something that the file states twice: where, in what words, and what stands there.

    ``told_by`` is what states it beside the whole.
    """

    field: str
    what: str
    in_whole: object
    in_prints: object
    told_by: str = "its prints"


def refuse_disagreeing(plan: OrderPlan, known: Catalogue) -> None:
    """Refuse a file whose whole is not that of its prints.

    Raises:
        BadInputError: two places of it disagree, a print lies where it cannot, nobody gets a
            lettering, or a garment is not turned to a print that it bears.
        UnknownNameError: a step, a run or a place names what the file or the garment lacks.
    """
    _refuse_unknown(plan)
    for twice in _stated_twice(plan):
        if twice.in_whole != twice.in_prints:
            raise BadInputError(
                f"{twice.what} is {_differing(twice.in_whole, twice.in_prints)} in the whole and "
                f"{_differing(twice.in_prints, twice.in_whole)} in {twice.told_by}; say the same "
                "in both",
                field=twice.field,
            )
    _refuse_misplaced(plan, known)
    _refuse_people(plan)
    _refuse_steps(plan)
    for run in plan.laid:
        _refuse_unturned(plan, run)


def _refuse_unknown(plan: OrderPlan) -> None:
    """Refuse names and lines that the file itself lacks."""
    pieces = [piece.id for piece in plan.whole.pieces]
    for step in plan.whole.steps:
        for named in step.pieces:
            if named not in pieces:
                raise UnknownNameError(f"piece (step {step.n})", named, pieces)
    known = [one.id for one in plan.prints]
    for run in plan.laid:
        for name in run.prints:
            if name not in known:
                raise UnknownNameError("print (laid)", name, known)
    for name, times in Counter(known).items():
        if times > 1:
            raise BadInputError(f"{name!r} stands here twice", field="prints")
    lines = range(len(plan.whole.print.lines))
    for number, one in enumerate(plan.prints):
        of = [lies.line for lies in one.lies]
        if len(of) != len(one.plan.print.lines) or not set(of) <= set(lines):
            raise BadInputError(
                f"{one.id} lies on the lines {', '.join(map(str, of)) or 'none'}; its plan has "
                f"{len(one.plan.print.lines)}, and the order the lines 0 to {len(lines) - 1}",
                field=f"prints.{number}.lies",
            )


def _stated_twice(plan: OrderPlan) -> Iterator[_Twice]:
    """All that the whole says of its prints, beside what these say themselves."""
    whole, prints = plan.whole, plan.prints
    for one in prints:
        yield _Twice("press", "the press", whole.press, one.plan.press)
    of_pieces = {piece.id: piece for piece in whole.pieces}
    for piece in pieces_in_all(prints):
        said = of_pieces.get(piece.id)
        yield _Twice("pieces", piece.id, said and said.model_copy(update={"as_cut": ()}), piece)
    yield _Twice(
        "pieces",
        "the list of pieces",
        tuple(of_pieces),
        tuple(piece.id for piece in pieces_in_all(prints)),
    )
    yield _Twice("joints", "the list of joints", whole.joints, joints_in_all(prints))
    yield _Twice("print.meetings", "what meets what", whole.print.meetings, meetings_in_all(prints))
    yield _Twice("print.places", "what lies over what", whole.print.places, places_in_all(prints))
    for number, line in enumerate(whole.print.lines):
        there = [(one, at) for one in prints for at, of in enumerate(one.lies) if of.line == number]
        for one, at in there:
            own = one.plan.print.lines[at]
            yield _Twice(
                f"print.lines.{number}",
                f"what {one.id} is printed on",
                (line.garment, line.fabric, line.quantity),
                (own.garment, own.fabric, own.quantity),
            )
        lies = [one.lies[at] for one, at in there]
        yield _Twice(
            f"print.lines.{number}",
            "how large the print is, mm,",
            (line.area, line.width_mm, line.height_mm),
            (
                ", ".join(dict.fromkeys(one.at for one, _ in there)),
                max((one.width_mm for one in lies), default=0.0),
                max((one.height_mm for one in lies), default=0.0),
            ),
        )
    yield from _runs_stated_twice(plan)


def _runs_stated_twice(plan: OrderPlan) -> Iterator[_Twice]:
    whole = plan.whole
    lines = sorted(garment.line for run in whole.runs for garment in run.garments)
    yield _Twice("runs", "the list of lines pressed", lines, [*range(len(whole.print.lines))])
    yield _Twice(
        "laid",
        "the list of runs",
        [run.run for run in whole.runs],
        [run.run for run in plan.laid],
        told_by="`laid`",
    )
    for run, laid in zip(whole.runs, plan.laid, strict=False):
        of_run = [whole.print.lines[garment.line] for garment in run.garments]
        fabrics = tuple(dict.fromkeys(line.fabric for line in of_run))
        yield _Twice("runs", f"the fabric of run {run.run}", run.fabrics, fabrics)
        for garment in run.garments:
            bears = {
                one.id for one in plan.prints for lies in one.lies if lies.line == garment.line
            }
            yield _Twice("laid", f"what run {run.run} presses", sorted(laid.prints), sorted(bears))


def _differing(one: object, other: object) -> str:
    """What of a thing differs from another, as a person reads it."""
    if isinstance(one, Record) and isinstance(other, Record):
        its = other.model_dump()
        return ", ".join(
            f"{name} {value}" for name, value in one.model_dump().items() if value != its[name]
        )
    if isinstance(one, list | tuple) and isinstance(other, list | tuple):
        if len(one) != len(other):
            return f"of {len(one)}"
        pairs = zip(one, other, strict=True)
        return ", ".join(_differing(mine, theirs) for mine, theirs in pairs if mine != theirs)
    return "missing" if one is None else str(one)


def _refuse_misplaced(plan: OrderPlan, known: Catalogue) -> None:
    """Refuse prints that lie elsewhere than their places are, or are of another size there."""
    worn = [line.garment or "" for line in plan.whole.print.lines]
    as_placed = tuple(
        one.model_copy(
            update={
                "lies": tuple(_as_placed(one, lies, worn[lies.line], known) for lies in one.lies)
            }
        )
        for one in plan.prints
    )
    for number, (said, due) in enumerate(
        zip(plan.prints, hung(worn, as_placed, known), strict=True)
    ):
        place = load_places()[said.at]
        if (said.part, said.side) != (place.part, place.side):
            raise BadInputError(
                f"{said.at} is on the {place.side} of the {place.part}, not on the {said.side} of "
                f"the {said.part}",
                field=f"prints.{number}.side",
            )
        for mine, theirs, line in zip(said.lies, due.lies, said.plan.print.lines, strict=True):
            theirs = theirs.model_copy(
                update={
                    "width_mm": round(line.width_mm, 1), "height_mm": round(line.height_mm, 1)
                }
            )  # fmt: skip
            if mine != theirs:
                raise BadInputError(
                    f"{said.id} is said to lie at {_differing(mine, theirs)}; by its place and its "
                    f"plan it is {_differing(theirs, mine)}",
                    field=f"prints.{number}.lies",
                )


def _as_placed(one: PlannedPrint, lies: LiesOn, worn: str, known: Catalogue) -> LiesOn:
    """A print where its place is, before any other moves it; by its measures, inside its area."""
    garment = known.garment(worn)
    place = place_named(one.at, garment)
    if lies.told:
        spot = spot_at(place, garment)
        return lies.model_copy(
            update={
                "area": spot.area.name, "told": spot.told,
                "top_mm": round(spot.top_mm, 1), "across_mm": round(spot.across_mm, 1),
            }
        )  # fmt: skip
    area = garment.print_area(lies.area)
    beyond_mm = abs(lies.across_mm) + lies.width_mm / 2 - area.width_mm / 2
    if lies.top_mm < 0 or beyond_mm > 0.1:
        raise BadInputError(
            f"{one.id} lies off the {area.name} of {garment.id}, which is {area.width_mm:.0f} × "
            f"{area.height_mm:.0f} mm",
            field="prints",
        )
    return lies


def _refuse_people(plan: OrderPlan) -> None:
    """Refuse people who get other letters than their row says, and letters that nobody gets."""
    bought = Counter[int]()
    got = set[str]()
    for number, gets in enumerate(plan.people):
        person = Person(gets.row, gets.line, gets.quantity, gets.says)
        due = {
            one.id: person.lettered(one.lettering)
            for one in plan.prints
            if one.lettering is not None and any(lies.line == gets.line for lies in one.lies)
        }
        due = {name: said for name, said in due.items() if said}
        if dict(gets.lettered) != due:
            raise BadInputError(
                f"row {gets.row} gets {dict(gets.lettered)}, and its columns say {due}; say the "
                "same in both",
                field=f"people.{number}.lettered",
            )
        bought[gets.line] += gets.quantity
        got |= set(due)
    for line, quantity in bought.items():
        lines = plan.whole.print.lines
        if line >= len(lines) or quantity > lines[line].quantity:
            raise BadInputError(
                f"{quantity} garments of line {line} are for people; the order has "
                f"{lines[line].quantity if line < len(lines) else 'no such line'}",
                field="people",
            )
    for one in plan.prints:
        if one.lettering is not None and one.id not in got:
            raise BadInputError(
                f"{one.id} letters the column {one.lettering!r}, and nobody gets it; keep the "
                "people of the order",
                field="people",
            )


def _refuse_steps(plan: OrderPlan) -> None:
    """Refuse steps in another order than their numbers, and runs without any."""
    for before, step in pairwise(plan.whole.steps):
        if step.n <= before.n:
            raise BadInputError(
                f"step {step.n} stands after step {before.n}; number the steps in the order in "
                "which they are done",
                field="steps",
            )
    runs = {step.run for step in plan.whole.steps}
    laid = {run.run for run in plan.laid}
    if runs != laid:
        raise BadInputError(
            f"the steps are of the runs {', '.join(map(str, sorted(runs)))}, and `laid` says "
            f"{', '.join(map(str, sorted(laid)))}; keep the steps of every run",
            field="steps",
        )


def _refuse_unturned(plan: OrderPlan, laid: LaidRun) -> None:
    """Refuse steps that press a print while another place of the garment lies on the press.

    A garment is loaded with its first place up; each change to another needs the turn that lays
    it.
    """
    places = [
        (first_n, [plan.print(name).at.replace("-", " ") for name in _begin_at(laid, first_n)])
        for first_n in dict.fromkeys(laid.first_n)
    ]
    at_of = {
        name: nth for nth, (first_n, _) in enumerate(places) for name in _begin_at(laid, first_n)
    }
    up = 0
    for step in plan.whole.steps:
        if step.run != laid.run:
            continue
        if step.action == "turn" and step.lays:
            up += 1
        named = {piece.partition("/")[0] for piece in step.pieces}
        elsewhere = [at_of[name] for name in named if at_of.get(name, up) != up]
        if elsewhere:
            raise BadInputError(
                f"step {step.n} presses the {' and '.join(places[elsewhere[0]][1])}, which no turn "
                "has laid on the press; turn the garment to each place before its steps, once",
                field="steps",
            )


def _begin_at(laid: LaidRun, first_n: int) -> Sequence[str]:
    return [name for name, n in zip(laid.prints, laid.first_n, strict=True) if n == first_n]
