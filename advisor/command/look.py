"""Command look: the best few choices of films that give a wanted look, and what cannot."""

from __future__ import annotations

from collections.abc import Sequence

import click

from advisor.answers.records import (
    GIVEN,
    LISTING_LIMIT_S,
    LOOK_LIMIT_S,
    Answer,
    LookAnswer,
    OtherWay,
    Refused,
)
from advisor.command import options
from advisor.command.terminal import Terminal, stack_line
from advisor.job.records.job import Rates
from advisor.words.answers import look
from advisor.words.plan import cautions_last
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets
from rules.facts.units import Units, show_size, show_um

__all__ = ["command"]

EXAMPLES_SHOWN = 3


@click.command("look")
@click.argument("finishes", nargs=-1, required=True, metavar="FINISH…")
@click.option("--fabric", required=True, metavar="ID", help="A fabric, or a garment.")
@options.garment_colour
@options.size
@options.area
@options.press
@options.prefer
@click.option("--on-shelf", is_flag=True, help="Only films of which the shelf holds some.")
@click.option(
    "--laid",
    type=click.Choice([*MEETING_WORDS]),
    help="Only what is laid so somewhere.",
)
@click.option(
    "--most",
    type=click.IntRange(1, 10_000),
    help=f"How many choices of films to give ({GIVEN}).",
)
@click.option(
    "--all", "every", is_flag=True, help="Give all of them, with every other way of laying each."
)
@click.option(
    "--seconds",
    type=options.Number(min=0.01),
    help="Weigh for at most so long; what is left is only counted "
    f"({LOOK_LIMIT_S:g}, with --all {LISTING_LIMIT_S:g}).",
)
@click.option("--refused", "all_refused", is_flag=True, help="List every refusal.")
@options.as_json
@options.units
@options.shop
def command(
    finishes: tuple[str, ...],
    fabric: str,
    colour: str | None,
    size_mm: tuple[float, float] | None,
    area: str | None,
    press: str,
    prefer: str | None,
    on_shelf: bool,
    laid: Meets | None,
    most: int | None,
    every: bool,
    seconds: float | None,
    all_refused: bool,
    as_json: bool,
    units: Units,
) -> None:
    """Which films give a look, laid in the order and way that is best, the best few first.

    A finish may say its colour, as matte:white, and a film by its id stands for itself. What is
    given was planned, heat on an unlucky press and all; `presslore check --meets` plans
    the same again with its steps.

    \b
      presslore look matte sparkle --fabric adult-tee
      presslore look matte:white sparkle:gold --fabric adult-tee --colour navy
    """
    answer = look(
        *finishes,
        fabric=fabric,
        colour=colour,
        size_mm=size_mm,
        area=area,
        press=press,
        prefer=prefer or "durable",  # type: ignore[arg-type]
        on_shelf_only=on_shelf,
        laid=laid,
        most=None if every else most or GIVEN,
        time_limit_s=seconds,
        knowledge=options.shop_knowledge(),
    )
    if as_json:
        options.show_json(answer)
        return
    out = Terminal(units)
    _show_answers(out, answer, every=every)
    if answer.refused:
        out.heading("Refused")
        (_show_every_refusal if all_refused else _show_refusals)(out, _by_rule(answer.refused))


def _show_answers(out: Terminal, given: LookAnswer, *, every: bool) -> None:
    asked = f"{' + '.join(given.finishes)} on {given.fabric}"
    refusals = _count(len(given.refused), "refusal")
    if not given.answers and given.proved:
        out.line(f"{asked}: no film or films give this look here, {refusals}", "bold")
        return
    many = f"{len(given.answers)} of {_count(given.film_sets, 'choice')} of films"
    best = f"the best {many}" if given.proved else many
    out.line(
        f"{asked}: {best}, {_count(given.counted, 'way')} of laying them in all, "
        f"{refusals} ({given.prefer} first)",
        "bold",
    )
    if not given.proved:
        out.line(
            f"time ran out: {_count(given.weighed, 'way')} weighed, the rest counted only, and "
            "better may be among them; --seconds N weighs for longer"
        )
    for position, answer in enumerate(given.answers, 1):
        _show_answer(out, position, answer, every=every)
    out.line()
    if given.size_assumed:
        out.line(
            f"judged for a print of {show_size(*given.size_mm)}, since no size was said "
            "(--size WxH, --area NAME)"
        )
    if not every and len(given.answers) < given.film_sets:
        out.line("--most N gives more, --all every one of them with all other ways of laying it")


def _show_answer(out: Terminal, position: int, answer: Answer, *, every: bool) -> None:
    order = ", then ".join(" with ".join(group) for group in answer.press_order)
    out.line()
    stack = stack_line(_films(answer), answer.meets)
    out.line(f"{position:>3}  {out.mark(answer.verdict)}  {stack}", "bold")
    out.lines(
        [
            answer.reason,
            f"press {order} · {answer.minutes:.1f} min · {answer.cost:.2f} {Rates().currency} · "
            f"{show_um(answer.thickness_um)} thick",
        ],
        indent=5,
    )
    out.lines(
        [
            f"{finding.severity}: {finding.message} ({finding.rule}); instead: {finding.instead}"
            for finding in cautions_last(answer.findings)[0]
        ],
        indent=5,
        style="dim",
    )
    if every:
        out.lines([f"or {_other(out, other)}" for other in answer.others], indent=5)
    elif answer.others:
        out.lines([f"the same films in {_count(len(answer.others), 'other way')}"], indent=5)


def _other(out: Terminal, other: OtherWay) -> str:
    found = "heat not weighed" if other.verdict is None else out.mark(other.verdict).lower()
    return f"{stack_line(_films(other), other.meets)} ({found})"


def _films(laid: Answer | OtherWay) -> list[str]:
    return [f"{film} ({colour})" for film, colour in zip(laid.films, laid.colours, strict=True)]


def _by_rule(refused: Sequence[Refused]) -> dict[str, list[Refused]]:
    by_rule: dict[str, list[Refused]] = {}
    for refusal in sorted(refused, key=lambda refusal: refusal.rule):
        by_rule.setdefault(refusal.rule, []).append(refusal)
    return by_rule


def _show_refusals(out: Terminal, by_rule: dict[str, list[Refused]]) -> None:
    """Each rule once, with how often it refused, a few examples and what would change its mind."""
    for rule, refusals in sorted(by_rule.items(), key=lambda entry: -len(entry[1])):
        out.line(f"■ {rule}  {_count(len(refusals), 'way')}", "bold")
        reasons = list(dict.fromkeys(f"e.g. {one.reason}" for one in refusals))
        out.lines(reasons[:EXAMPLES_SHOWN])
        advice = list(dict.fromkeys(f"instead: {one.instead}" for one in refusals))
        out.lines(advice[:EXAMPLES_SHOWN], style="dim")
    out.line("--refused lists them all; `presslore rules ID` says why")


def _show_every_refusal(out: Terminal, by_rule: dict[str, list[Refused]]) -> None:
    for rule, refusals in by_rule.items():
        out.line(f"■ {rule}", "bold")
        out.lines(
            f"{stack_line(one.films, one.meets)}: {one.reason}; instead: {one.instead}"
            for one in refusals
        )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
