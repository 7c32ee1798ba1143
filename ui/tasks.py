"""Tasks: every heavy question that a page asks, as the workers take it."""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple

from advisor.answers.heat import heat_report
from advisor.answers.instead import better_stacks
from advisor.answers.judge_plan import pressed_prints
from advisor.answers.line_by_line import line_by_line
from advisor.answers.plan import Solved
from advisor.answers.records import (
    GIVEN,
    Answered,
    BetterStack,
    CheckReport,
    LookAnswer,
    NextBest,
    OtherPlan,
)
from advisor.artwork.records import Artwork
from advisor.cutting.cutting import LIST_JSON, cut_job
from advisor.cutting.lettering import letter_names
from advisor.cutting.records.cut import Lettering
from advisor.cutting.records.rolls import OrderTaken
from advisor.cutting.taken import order_taken
from advisor.heat.records import HeatReport
from advisor.job.records.job import Prefer
from advisor.job.records.plan import Plan, Run
from advisor.job.records.print import NAMES_PIECE
from advisor.shop.knowledge import store_stamp
from advisor.shop.pressed import taken_as_cut
from advisor.shop.pricing import Figures, Quote, kept_figures, quote
from advisor.words.answers import check, look, next_best, other_plans, solve, why_not_this
from rules.facts.step import Meets, Step
from rules.facts.text import Text
from ui.order.record import CustomerOrder, folder_of
from ui.session import catalogue, knowledge
from ui.workers import Answer, Task

__all__ = [
    "LookQuestion", "Priced", "StackQuestion", "check_stack", "cut_task", "heat_task",
    "instead_task", "look_task", "next_best_task", "other_plans_task", "plan_task", "quote_task",
    "taken_task", "why_not_task",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class LookQuestion:
    """What *What can give this look?* asks; as it stands, the question that it opens with."""

    finishes: tuple[str, ...] = ("matte", "sparkle")
    fabric: str = "adult-tee"
    press: str = "clamshell-38x38"
    prefer: Prefer = "durable"
    on_shelf_only: bool = False
    laid: Meets | None = None
    most: int = GIVEN


def look_task(question: LookQuestion) -> Task[LookAnswer]:
    """The best choices of films for a look; see :func:`advisor.answers.look.look`."""
    doing = "Weighing the best ways"
    key = f"look {question} {store_stamp()}"
    return Task(key, _look, (question,), doing, for_everyone=True)


def plan_task(order: CustomerOrder) -> Task[Plan]:
    """The plan of an order."""
    return _of(order, "plan", "Planning the job", _plan, order)


def other_plans_task(order: CustomerOrder) -> Task[tuple[OtherPlan, ...]]:
    """The best plans that differ from that of the order."""
    return _of(order, "others", "Looking for plans that differ", _others, order)


def next_best_task(order: CustomerOrder) -> Task[tuple[NextBest, ...]]:
    """What the next film of each piece costs; see :func:`advisor.answers.questions.next_best`."""
    doing = "Seeing what the next film of each piece would cost"
    return _of(order, "next best", doing, _next_best, order)


def why_not_task(order: CustomerOrder, wish: str) -> Task[Answered]:
    """What stands against a wish; see :func:`advisor.answers.questions.why_not_this`."""
    return _of(order, f"why not {wish}", "Finding out", _why_not, order, wish)


def heat_task(order: CustomerOrder, plan: Plan, run: Run) -> Task[HeatReport]:
    """What heat has to say of a run: the bond lines at the place with least to spare."""
    return _of(order, f"heat {run.run}", "Following the heat through the layers", _heat, plan, run)


def cut_task(order: CustomerOrder, plan: Plan, artwork: Artwork) -> Task[bytes]:
    """The cut files of a plan in one zip."""
    return _of(order, "cut", "Making the cut files", _cut_zip, order, plan, artwork)


def taken_task(order: CustomerOrder, plan: Plan, artwork: Artwork) -> Task[OrderTaken]:
    """What the order takes of film, as it was cut or else as an estimate by rectangles."""
    return _of(order, "taken", "Measuring the film", _taken, order, plan, artwork)


class Priced(NamedTuple):
    """What an order is to cost, and what of its films the shop has to buy first, in sentences."""

    quote: Quote
    to_buy: tuple[Text, ...]


def quote_task(order: CustomerOrder, plan: Plan, artwork: Artwork) -> Task[Priced]:
    """What the order is to cost; see :func:`advisor.shop.quote.quote`."""
    figures = kept_figures()
    what = f"quote {figures!r}"
    return _of(order, what, "Working out the price", _quote, order, plan, artwork, figures)


def _of(
    order: CustomerOrder, what: str, doing: str, work: Callable[..., Answer], *given: object
) -> Task[Answer]:
    # What was answered for another state of the shelf answers nothing now.
    key = f"{what} {order.key} {store_stamp()}"
    return Task(key, work, given, doing, for_everyone=order.is_ready_made)


@dataclass(frozen=True, slots=True)
class StackQuestion:
    """What *Is this risky?* asks; the fields are those of :func:`advisor.answers.check.check`."""

    stack: tuple[str, ...]
    fabric: str
    press: str
    meets: tuple[Meets, ...]
    area: str | None = None
    size_mm: tuple[float, float] | None = None


def check_stack(asked: StackQuestion, steps: tuple[Step, ...] | None = None) -> CheckReport:
    """A verdict on a stack, at once; see :func:`advisor.answers.check.check`."""
    return _checked(store_stamp(), asked, steps)


def instead_task(asked: StackQuestion) -> Task[tuple[BetterStack, ...]]:
    """What to lay instead of a stack; see :func:`advisor.answers.instead.better_stacks`."""
    key = f"instead {asked} {store_stamp()}"
    return Task(key, _instead, (asked,), "Trying what would be better", for_everyone=True)


@lru_cache(maxsize=512)
def _checked(stamp: object, asked: StackQuestion, steps: tuple[Step, ...] | None) -> CheckReport:
    return check(**_stated(asked), steps=steps, knowledge=knowledge())


def _instead(asked: StackQuestion) -> tuple[BetterStack, ...]:
    return better_stacks(**_stated(asked), knowledge=knowledge())


def _stated(asked: StackQuestion) -> dict[str, Any]:
    return {field.name: getattr(asked, field.name) for field in fields(asked)}


def _look(question: LookQuestion) -> LookAnswer:
    return look(
        *question.finishes,
        fabric=question.fabric,
        press=question.press,
        prefer=question.prefer,
        on_shelf_only=question.on_shelf_only,
        laid=question.laid,
        most=question.most,
        knowledge=knowledge(),
    )


def _solved(order: CustomerOrder) -> Solved:
    return _solved_at(store_stamp(), order)


@lru_cache(maxsize=1)
def _solved_at(stamp: object, order: CustomerOrder) -> Solved:
    # Kept by its worker, so that more can be asked of it.
    with folder_of(order) as folder:
        return solve(order.job, folder=folder, svg=order.svg, knowledge=knowledge())


def _plan(order: CustomerOrder) -> Plan:
    return _solved(order).plan


def _others(order: CustomerOrder) -> tuple[OtherPlan, ...]:
    return other_plans(_solved(order))


def _next_best(order: CustomerOrder) -> tuple[NextBest, ...]:
    return next_best(_solved(order))


def _why_not(order: CustomerOrder, wish: str) -> Answered:
    return why_not_this(_solved(order), wish)


def _heat(plan: Plan, run: Run) -> HeatReport:
    pressed = pressed_prints(plan, run, catalogue())[0]
    return heat_report(pressed.schedule, pressed.columns, knowledge=knowledge(), uncertain=False)


def _quote(order: CustomerOrder, plan: Plan, artwork: Artwork, figures: Figures) -> Priced:
    taken, known = _taken(order, plan, artwork), catalogue()
    asked = line_by_line(plan, knowledge())
    made = quote(asked, taken, rates=order.job.rates, figures=figures, catalogue=known)
    return Priced(made, taken.to_buy(known))


def _taken(order: CustomerOrder, plan: Plan, artwork: Artwork) -> OrderTaken:
    films = {(piece.film, piece.colour) for piece in plan.pieces}
    cut = taken_as_cut(order.key, films, catalogue=catalogue(), store=None)
    if cut is not None:
        return cut
    plain, names = _plain_and_names(order, artwork)
    return order_taken(plan, plain, catalogue=catalogue(), names=names, rates=order.job.rates)


def _plain_and_names(
    order: CustomerOrder, artwork: Artwork
) -> tuple[Artwork, tuple[Lettering, ...]]:
    """The artwork without the piece that stands for the names, and the names set on it."""
    plain = replace(artwork, pieces=tuple(p for p in artwork.pieces if p.id != NAMES_PIECE))
    if not order.job.names:
        return plain, ()
    with folder_of(order) as folder:
        return plain, letter_names(order.job.names, plain, folder=folder)


def _cut_zip(order: CustomerOrder, plan: Plan, artwork: Artwork) -> bytes:
    packed = io.BytesIO()
    plain, names = _plain_and_names(order, artwork)
    with tempfile.TemporaryDirectory(prefix="presslore-") as made:
        out = Path(made) / "cut"
        cut_job(plan, plain, out=out, names=names, catalogue=catalogue(), rates=order.job.rates)
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in sorted(each for each in out.rglob("*") if each.is_file()):
                content = path.read_bytes()
                if path.name == LIST_JSON:
                    # Where this machine had put them for a moment is nobody's concern.
                    told = {**json.loads(content), "folder": "."}
                    content = json.dumps(told, ensure_ascii=False, indent=2).encode()
                archive.writestr(path.relative_to(out).as_posix(), content)
    return packed.getvalue()
