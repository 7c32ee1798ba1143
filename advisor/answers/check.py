"""Check: a verdict on a stack that someone typed, or on a plan whose steps someone edited."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from advisor.answers.judge import PressedPrint, judge_plan, judge_print, refuse_unknown_pieces
from advisor.answers.records import CheckReport
from advisor.heat.records import HeatRefusal
from advisor.heat.timed import with_seconds
from advisor.job.records.plan import Plan
from advisor.job.records.print import Pair, Print
from advisor.layering.arrangement import SecondsBasis, best_arrangement
from advisor.layering.press_steps import press_steps, usual_timing
from advisor.layering.records.pressing import Laying, Precedence, StageConflict
from advisor.layering.stages import compromise, heat_limits
from advisor.layering.typed_print import stack_print
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.finding import verdict
from rules.facts.garment import Garment
from rules.facts.practice import preheat_s
from rules.facts.press import Press
from rules.facts.step import Meets, Step
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["check"]

MOST_FILMS = 12


def check(
    plan: Plan | None = None,
    *,
    fabric: str | None = None,
    stack: Sequence[str] = (),
    steps: Sequence[Step] | None = None,
    press: str = "clamshell-38x38",
    knowledge: Knowledge | None = None,
) -> CheckReport:
    """Judge a stack of films (bottom first) on a fabric, or a whole plan with its steps.

    A stack without steps is judged under the best schedule that we can give it.

    Args:
        plan: a plan, perhaps edited by hand; the other arguments are then left out.
        fabric: a fabric, or a garment, whose print area is then judged as well.
        stack: film ids, bottom first.
        steps: the press steps for the stack; pieces are named as in the report's ``pieces``.

    Raises:
        BadInputError: no film or too many, no fabric, or a step names a piece that is not there.
        UnknownNameError: a film, fabric or press is not known; the nearest names are offered.

    >>> check(fabric="cotton-jersey-tee", stack=["matte-smooth", "sparkle-coarse"]).verdict
    'go'
    >>> report = check(fabric="cotton-jersey-tee", stack=["sparkle-coarse", "matte-smooth"])
    >>> report.verdict, report.findings[0].rule
    ('stop', 'top-surface')
    """
    known = knowledge or load_knowledge()
    if plan is not None:
        findings, lines = judge_plan(plan, known)
        return CheckReport(
            verdict=verdict(findings),
            findings=findings,
            bond_lines=lines,
            fabric=", ".join(dict.fromkeys(name for run in plan.runs for name in run.fabrics)),
            press=plan.press,
            films=tuple(dict.fromkeys(piece.film for piece in plan.pieces)),
            pieces=tuple(piece.id for piece in plan.pieces),
            steps=plan.steps,
            steps_given=True,
        )
    if fabric is None:
        raise BadInputError("name the fabric, or a garment, that the stack lies on")
    return _check_stack(fabric, tuple(stack), steps, press, known)


def _check_stack(
    fabric_name: str,
    stack: tuple[str, ...],
    steps: Sequence[Step] | None,
    press_name: str,
    knowledge: Knowledge,
) -> CheckReport:
    if not 1 <= len(stack) <= MOST_FILMS:
        raise BadInputError(
            f"a stack has 1 to {MOST_FILMS} films, bottom first; {len(stack)} were given"
        )
    catalogue = knowledge.catalogue
    fabric, press = catalogue.fabric(fabric_name), catalogue.press(press_name)
    garment = catalogue.garments.get(fabric_name)
    films = _named_pieces([catalogue.film(name) for name in stack])
    print_ = stack_print(tuple(films), fabric=fabric, garment=garment)
    meets: dict[Pair, Meets] = {meeting.pair: "lap" for meeting in print_.meetings}
    judged = (
        tuple(steps)
        if steps is not None
        else _best_steps(print_, films, meets, fabric, press, garment, knowledge)
    )
    refuse_unknown_pieces(judged, tuple(films))
    pressed = PressedPrint(
        print=print_,
        films=films,
        colours={},
        delta_e={},
        meets=meets,
        widths={},
        lines=(0,),
        fabric=fabric,
        press=press,
        sheets=catalogue.sheets,
        steps=judged,
    )
    findings, lines = judge_print(pressed, knowledge)
    return CheckReport(
        verdict=verdict(findings),
        findings=findings,
        bond_lines=lines,
        fabric=fabric.id,
        press=press.id,
        films=stack,
        pieces=tuple(films),
        steps=judged,
        steps_given=steps is not None,
    )


def _best_steps(
    print_: Print,
    films: Mapping[str, Film],
    meets: Mapping[Pair, Meets],
    fabric: Fabric,
    press: Press,
    garment: Garment | None,
    knowledge: Knowledge,
) -> tuple[Step, ...]:
    """The steps of the best schedule that a stack can be given, or of the least harmful one."""
    limits = heat_limits([fabric], press)
    pressing = SecondsBasis(films, meets, limits, preheat_s(fabric.holds_water_pct), quantity=1)
    over = tuple((upper, lower) for lower, upper in pairwise(films))
    order = [Precedence(lower, upper, f"{upper} lies on {lower}") for upper, lower in over]
    close = frozenset(frozenset(pair) for pair in over)
    grouping, made = best_arrangement(pressing, order, close)
    groups = grouping.groups
    stages = compromise(groups, films, limits) if isinstance(made, StageConflict) else made
    line = print_.lines[0]
    laying = Laying(
        films=films,
        groups=groups,
        stages=stages,
        over=over,
        fabric=fabric,
        press=press,
        sheets=knowledge.catalogue.sheets,
        obstructions=garment.print_area().obstructions if garment else (),
        print_mm=(line.width_mm, line.height_mm),
        names={piece: piece for piece in films},
    )
    timed = with_seconds(laying, [tuple(films)], knowledge.catalogue.materials)
    if isinstance(timed, HeatRefusal):
        return press_steps(laying, usual_timing(groups, stages))
    return press_steps(*timed)


def _named_pieces(films: Sequence[Film]) -> dict[str, Film]:
    """A piece for each film, named as the film; a film that comes again is numbered."""
    named: dict[str, Film] = {}
    for film in films:
        count = sum(known.id == film.id for known in named.values())
        named[film.id if not count else f"{film.id}-{count + 1}"] = film
    return named
