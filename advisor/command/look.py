"""Command look: every way in which the shelf gives a wanted look, best first, and what cannot."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby
from typing import TYPE_CHECKING

import click

from advisor.answers.look import Answer, LookAnswer, Refused, look
from advisor.command.options import (
    json_option,
    prefer_option,
    press_option,
    shop_catalogue,
    shop_option,
    show_json,
    unit_options,
)
from advisor.job.records.job import Rates
from advisor.words.phrases import VERDICT_WORDS, Units

if TYPE_CHECKING:
    from rich.console import Console

__all__ = ["command"]

EXAMPLES_SHOWN = 3


@click.command("look")
@click.argument("finishes", nargs=-1, required=True, metavar="FINISH…")
@click.option("--fabric", required=True, metavar="ID", help="A fabric, or a garment.")
@press_option
@prefer_option
@click.option("--on-shelf", is_flag=True, help="Only films of which the shelf holds some.")
@click.option(
    "--most",
    type=click.IntRange(1, 10_000),
    help="How many answers to give (10; with --json all).",
)
@click.option("--refused", "all_refused", is_flag=True, help="List every refusal.")
@json_option
@unit_options
@shop_option
def command(
    finishes: tuple[str, ...],
    fabric: str,
    press: str,
    prefer: str | None,
    on_shelf: bool,
    most: int | None,
    all_refused: bool,
    as_json: bool,
    fahrenheit: bool,
    inches: bool,
) -> None:
    """Which films give a look, in every order and way of meeting, best first.

    \b
      presslore look matte sparkle --fabric adult-tee
    """
    found = look(
        *finishes,
        fabric=fabric,
        press=press,
        prefer=prefer or "durable",  # type: ignore[arg-type]
        on_shelf_only=on_shelf,
        catalogue=shop_catalogue(),
    )
    if as_json:
        if most is not None:
            found = found.model_copy(update={"answers": found.answers[:most]})
        show_json(found.model_dump_json(indent=2))
        return
    _show(found, most or 10, all_refused, Units(fahrenheit=fahrenheit, inches=inches))


def _show(found: LookAnswer, most: int, all_refused: bool, units: Units) -> None:
    from advisor.command import terminal

    console = terminal.make_console()
    wanted = " + ".join(found.finishes)
    shown = found.answers[:most]
    listed = f"{_count(found.listed, 'way')} listed" + (
        "" if found.complete else ", not all there are"
    )
    console.print(
        terminal.words(
            f"{wanted} on {found.fabric}: {_count(len(found.answers), 'answer')}, "
            f"{_count(len(found.refused), 'refusal')} ({listed}; {found.prefer} first)",
            "bold",
        )
    )
    if not shown:
        console.print(terminal.words("No film or films give this look here; see why below."))
    for position, answer in enumerate(shown, 1):
        _show_answer(console, position, answer, units)
    if len(found.answers) > len(shown):
        console.print()
        console.print(
            terminal.words(f"and {len(found.answers) - len(shown)} more; --most N shows more")
        )
    if shown:
        console.print()
        console.print(
            terminal.words(
                "These verdicts are for a usual press; `presslore check` weighs an unlucky one too."
            )
        )
    if found.refused:
        terminal.show_heading(console, "Refused")
        if all_refused:
            _show_every_refusal(console, found.refused, units)
        else:
            _show_refusals_by_rule(console, found.refused, units)


def _show_answer(console: Console, position: int, answer: Answer, units: Units) -> None:
    from advisor.command import terminal

    films = [
        f"{film} ({colour})" for film, colour in zip(answer.films, answer.colours, strict=True)
    ]
    verdict = VERDICT_WORDS[answer.verdict]
    order = ", then ".join(" with ".join(group) for group in answer.press_order)
    console.print()
    console.print(
        terminal.words(
            f"{position:>3}  {verdict.shape} {verdict.word}  {_stack(films, answer.meets)}", "bold"
        )
    )
    terminal.show_lines(
        console,
        [
            units.sentence(answer.reason),
            f"press {order} · {answer.minutes:.1f} min · {answer.cost:.2f} {Rates().currency} · "
            f"{answer.thickness_um} µm thick",
        ],
        indent=5,
    )
    terminal.show_lines(
        console,
        [
            f"{f.severity}: {units.sentence(f.message)} ({f.rule}); instead: "
            f"{units.sentence(f.instead)}"
            for f in answer.findings
        ],
        indent=5,
        style="dim",
    )


def _show_refusals_by_rule(console: Console, refused: Sequence[Refused], units: Units) -> None:
    """Each rule once, with how often it refused, a few examples and what would change its mind."""
    from advisor.command import terminal

    by_rule: dict[str, list[Refused]] = {}
    for refusal in refused:
        by_rule.setdefault(refusal.rule, []).append(refusal)
    ranked = sorted(by_rule.items(), key=lambda entry: (-len(entry[1]), entry[0]))
    for rule, refusals in ranked:
        console.print(terminal.words(f"■ {rule}  {_count(len(refusals), 'way')}", "bold"))
        reasons = dict.fromkeys(units.sentence(refusal.reason) for refusal in refusals)
        shown = list(reasons)[:EXAMPLES_SHOWN]
        terminal.show_lines(console, [f"e.g. {reason}" for reason in shown])
        instead = dict.fromkeys(units.sentence(refusal.instead) for refusal in refusals)
        terminal.show_lines(
            console,
            [f"instead: {line}" for line in list(instead)[:EXAMPLES_SHOWN]],
            style="dim",
        )
    console.print(terminal.words("--refused lists them all; `presslore rules ID` says why"))


def _show_every_refusal(console: Console, refused: Sequence[Refused], units: Units) -> None:
    from advisor.command import terminal

    ordered = sorted(refused, key=lambda refusal: refusal.rule)
    for rule, refusals in groupby(ordered, key=lambda refusal: refusal.rule):
        console.print(terminal.words(f"■ {rule}", "bold"))
        terminal.show_lines(
            console,
            [
                f"{_stack(refusal.films, refusal.meets)}: {units.sentence(refusal.reason)}; "
                f"instead: {units.sentence(refusal.instead)}"
                for refusal in refusals
            ],
        )


def _stack(films: Sequence[str], meets: Sequence[str]) -> str:
    """Films bottom first with how each meets the one below: ``a < lap < b``."""
    said = films[0]
    for way, film in zip(meets, films[1:], strict=False):
        said += f" ‹{way}› {film}"
    return said


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
