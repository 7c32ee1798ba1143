"""Plan file: a plan saved as JSON, perhaps edited by hand, read back and checked part by part."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import QUANTITIES, Plan
from rules.catalogue import first_problem
from rules.catalogue.documents import file_text, parse_json, parse_yaml
from rules.errors import BadInputError, UnknownNameError

__all__ = ["read_either_plan", "read_order_plan", "read_plan", "refuse_mismatched_parts"]

LARGEST_PLAN_BYTES = 20_000_000


def read_plan(path: Path) -> Plan:
    """The plan in a JSON file, whose parts belong together.

    Raises:
        BadInputError: it cannot be read, is no plan, or its parts do not fit one another; one
            line names file, field, value and limit.
        UnknownNameError: a joint, stack or step names a piece that the plan does not have.

    >>> read_plan(Path("no-such-plan.json"))
    Traceback (most recent call last):
    rules.errors.BadInputError: no-such-plan.json: cannot be read: no such file or directory, ...
    """
    return _plan(_document(path), str(path))


def read_order_plan(path: Path) -> OrderPlan:
    """The plan in a JSON file of a job with several prints, the parts of each of which fit.

    Raises:
        BadInputError: as `read_plan`, and if it is the plan of a job that has one print.
        UnknownNameError: as `read_plan`.
    """
    return _order_plan(_document(path), str(path))


def read_either_plan(path: Path) -> Plan | OrderPlan:
    """The plan in a JSON file, be it of one print or of several; raises as `read_plan`."""
    document = _document(path)
    of = _order_plan if isinstance(document, dict) and "prints" in document else _plan
    return of(document, str(path))


def _plan(document: Any, source: str) -> Plan:
    if not isinstance(document, dict) or "steps" not in document:
        raise BadInputError(
            "is not a plan; `presslore plan JOB.yaml --out PLAN.json` makes one", source=source
        )
    if "prints" in document:
        raise BadInputError(
            "is the plan of several prints on a garment: check, cut, quote and run done take it; "
            "this asks for the plan of a job that has one print",
            source=source,
        )
    if "job" in document and "print" not in document:
        raise BadInputError(
            "does not say what is printed where; plan the job again", source=source, field="print"
        )
    try:
        plan = Plan.model_validate(document)
    except ValidationError as error:
        raise first_problem(error, source=source) from None
    refuse_mismatched_parts(plan, source=source)
    return _ranked_by_steps(plan)


def _ranked_by_steps(plan: Plan) -> Plan:
    """The plan with its pieces in the order in which its steps lay them, whatever their ranks say.

    What lies over what is judged by the steps, and is cut by the ranks.
    """
    ranks: dict[str, int] = {}
    first_run = [step for step in plan.steps if step.run == 1 and step.action == "press"]
    for step in first_run:
        laid = [piece for piece in step.pieces if piece not in ranks]
        ranks |= dict.fromkeys(laid, len({*ranks.values()}) + 1)
    return plan.model_copy(
        update={
            "pieces": tuple(
                piece.model_copy(update={"rank": ranks.get(piece.id, piece.rank)})
                for piece in plan.pieces
            )
        }
    )


def _order_plan(document: Any, source: str) -> OrderPlan:
    if not isinstance(document, dict) or "prints" not in document:
        raise BadInputError(
            "is no plan of a job with several prints; `presslore plan JOB.yaml --out PLAN.json` "
            "makes one",
            source=source,
        )
    try:
        plan = OrderPlan.from_document(document)
    except ValidationError as error:
        raise first_problem(error, source=source) from None
    except ValueError as error:
        # Of its sentences, which are put together before the rest is read.
        raise BadInputError(f"{error}", source=source, field=QUANTITIES) from None
    for one in plan.prints:
        refuse_mismatched_parts(one.plan, source=source)
    return plan


def _document(path: Path) -> Any:
    source = str(path)
    text = file_text(path, most_bytes=LARGEST_PLAN_BYTES, kind="a plan")
    try:
        document = parse_json(text, source=source)
    except BadInputError:
        if not _is_job(text, source):
            raise
        document = {"garments": ()}
    if isinstance(document, dict) and "garments" in document and "steps" not in document:
        raise BadInputError(
            f"is a job, not a plan; `presslore plan {path.name} --out PLAN.json` makes its plan",
            source=source,
        )
    return document


def _is_job(text: str, source: str) -> bool:
    """Whether a text is a job file: YAML that asks for garments."""
    try:
        document = parse_yaml(text, source=source)
    except BadInputError:
        return False
    return isinstance(document, dict) and "garments" in document


def refuse_mismatched_parts(plan: Plan, *, source: str = "") -> None:
    """Refuse a plan whose parts do not fit one another, so that nothing goes unjudged.

    Raises:
        BadInputError: a name or a number stands twice, a piece lies nowhere, a meeting has no
            joint, a run has no steps, or garments and lines of the print do not match.
        UnknownNameError: a joint, place or step names a piece that is not printed.
    """
    print_ = plan.print
    printed = [piece.id for piece in print_.pieces]
    _refuse_duplicates("print.pieces", printed, source)
    _refuse_duplicates("pieces", [piece.id for piece in plan.pieces], source)
    _refuse_duplicates("runs", [str(run.run) for run in plan.runs], source)
    _refuse_duplicates("steps", [str(step.n) for step in plan.steps], source)
    named = [piece.id for piece in plan.pieces]
    named += [piece for joint in plan.joints for piece in (joint.upper, joint.lower)]
    named += [piece for meeting in print_.meetings for piece in meeting.pair]
    named += [piece for place in print_.places for piece in place.stack]
    named += [piece for step in plan.steps for piece in step.pieces]
    for name in named:
        if name not in printed:
            raise UnknownNameError("piece", name, printed, source=source)
    cut = {piece.id for piece in plan.pieces}
    for name in printed:
        if cut and name not in cut:
            raise BadInputError(f"{name} is printed and has no film", source=source, field="pieces")
    _refuse_unmeasured(plan, source)
    _refuse_unjudged(plan, source)


def _refuse_unmeasured(plan: Plan, source: str) -> None:
    """Refuse pieces, places and garments that do not fit the lines of the print."""
    print_ = plan.print
    for piece in print_.pieces:
        if len(piece.sizes) != len(print_.lines):
            raise BadInputError(
                f"{piece.id} has {len(piece.sizes)} sizes; it needs one for each of the "
                f"{len(print_.lines)} lines",
                source=source,
                field="print.pieces",
            )
    for place in print_.places:
        if not place.stack:
            raise BadInputError("a stack holds no piece", source=source, field="print.places")
        _refuse_duplicates("print.places", place.stack, source)
    stacked = {piece for place in print_.places for piece in place.stack}
    for piece in print_.pieces:
        if piece.id not in stacked:
            raise BadInputError(
                f"{piece.id} lies in none of the places, so nothing says what it lies on",
                source=source,
                field="print.places",
            )
    _refuse_unmet(plan, source)
    pressed = sorted(garment.line for run in plan.runs for garment in run.garments)
    if plan.runs and pressed != list(range(len(print_.lines))):
        raise BadInputError(
            f"the runs press the lines {', '.join(map(str, pressed)) or 'none'}; the print has "
            f"the lines 0 to {len(print_.lines) - 1}, each to be pressed once",
            source=source,
            field="runs",
        )


def _refuse_unmet(plan: Plan, source: str) -> None:
    """Refuse pieces that lie over one another and do not meet, or the other way round."""
    print_ = plan.print
    over = {
        (upper, lower) for place in print_.places for lower, upper in combinations(place.stack, 2)
    }
    met = {meeting.pair: meeting for meeting in print_.meetings}
    for upper, lower in sorted(over - set(met)):
        raise BadInputError(
            f"{upper} lies over {lower} in a place, and no meeting says so",
            source=source,
            field="print.meetings",
        )
    for upper, lower in sorted(set(met) - over):
        if not met[upper, lower].touching:
            raise BadInputError(
                f"{upper} meets {lower} there, and lies over it in no place",
                source=source,
                field="print.places",
            )


def _refuse_unjudged(plan: Plan, source: str) -> None:
    """Refuse joints and steps that would leave a meeting or a run out of the judgement."""
    for joint in plan.joints:
        if joint.upper == joint.lower:
            raise BadInputError(
                f"{joint.upper} is said to meet itself", source=source, field="joints"
            )
    pairs = [f"{joint.upper} over {joint.lower}" for joint in plan.joints]
    _refuse_duplicates("joints", pairs, source)
    meetings = [f"{meeting.upper} over {meeting.lower}" for meeting in plan.print.meetings]
    for pair in pairs:
        if pair not in meetings:
            raise BadInputError(f"{pair}: the two do not meet", source=source, field="joints")
    for meeting in meetings:
        if plan.pieces and meeting not in pairs:
            raise BadInputError(
                f"nothing says how they meet: {meeting}", source=source, field="joints"
            )
    runs = [run.run for run in plan.runs]
    for step in plan.steps:
        if step.run not in runs:
            raise BadInputError(
                f"step {step.n} belongs to run {step.run}; the plan has "
                f"{', '.join(map(str, runs)) or 'none'}",
                source=source,
                field="steps",
            )
    for run in plan.runs:
        fabrics = tuple(dict.fromkeys(line.fabric for line in plan.lines_of(run)))
        if set(run.fabrics) != set(fabrics):
            raise BadInputError(
                f"run {run.run} is on {', '.join(run.fabrics)}; its lines are on "
                f"{', '.join(fabrics)}",
                source=source,
                field="runs",
            )
    pressed = {step.run for step in plan.steps if step.action == "press"}
    for run in plan.runs:
        if plan.steps and run.run not in pressed:
            raise BadInputError(
                f"run {run.run} has no press; every run needs its own steps",
                source=source,
                field="steps",
            )


def _refuse_duplicates(field: str, names: Iterable[str], source: str) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise BadInputError(f"{name!r} stands here twice", source=source, field=field)
        seen.add(name)
