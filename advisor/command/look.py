"""Command look: every way in which the shelf gives a wanted look, best first, and what cannot."""

from __future__ import annotations

from collections.abc import Sequence

import click

from advisor.answers.records import Answer, LookAnswer, Refused
from advisor.command import options
from advisor.command.terminal import Terminal
from advisor.job.records.job import Rates
from advisor.words.answers import look
from advisor.words.verdicts import VERDICTS
from rules.facts.units import Units, show_um

__all__ = ["command"]

EXAMPLES_SHOWN = 3


@click.command("look")
@click.argument("finishes", nargs=-1, required=True, metavar="FINISH…")
@click.option("--fabric", required=True, metavar="ID", help="A fabric, or a garment.")
@options.press
@options.prefer
@click.option("--on-shelf", is_flag=True, help="Only films of which the shelf holds some.")
@click.option(
    "--most",
    type=click.IntRange(1, 10_000),
    help="How many answers to give (10; with --json all).",
)
@click.option("--refused", "all_refused", is_flag=True, help="List every refusal.")
@options.as_json
@options.units
@options.shop
def command(
    finishes: tuple[str, ...],
    fabric: str,
    press: str,
    prefer: str | None,
    on_shelf: bool,
    most: int | None,
    all_refused: bool,
    as_json: bool,
    units: Units,
) -> None:
    """Which films give a look, in every order and way of meeting, best first.

    \b
      presslore look matte sparkle --fabric adult-tee
    """
    answer = look(
        *finishes,
        fabric=fabric,
        press=press,
        prefer=prefer or "durable",  # type: ignore[arg-type]
        on_shelf_only=on_shelf,
        knowledge=options.shop_knowledge(),
    )
    if as_json:
        options.show_json(answer.model_copy(update={"answers": answer.answers[:most]}))
        return
    out = Terminal(units)
    _show_answers(out, answer, most or 10)
    if answer.refused:
        out.heading("Refused")
        (_show_every_refusal if all_refused else _show_refusals)(out, _by_rule(answer.refused))


def _show_answers(out: Terminal, given: LookAnswer, most: int) -> None:
    listed = f"{_count(given.listed, 'way')} listed"
    out.line(
        f"{' + '.join(given.finishes)} on {given.fabric}: {_count(len(given.answers), 'answer')}, "
        f"{_count(len(given.refused), 'refusal')} "
        f"({listed}{'' if given.complete else ', not all there are'}; {given.prefer} first)",
        "bold",
    )
    if not given.answers:
        out.line("No film or films give this look here; see why below.")
        return
    for position, answer in enumerate(given.answers[:most], 1):
        _show_answer(out, position, answer)
    if len(given.answers) > most:
        out.line()
        out.line(f"and {len(given.answers) - most} more; --most N shows more")
    out.line()
    out.line("These verdicts are for a usual press; `presslore check` weighs an unlucky one too.")


def _show_answer(out: Terminal, position: int, answer: Answer) -> None:
    films = [
        f"{film} ({colour})" for film, colour in zip(answer.films, answer.colours, strict=True)
    ]
    verdict = VERDICTS[answer.verdict]
    order = ", then ".join(" with ".join(group) for group in answer.press_order)
    out.line()
    stack = _stack(films, answer.meets)
    out.line(f"{position:>3}  {verdict.shape} {verdict.word}  {stack}", "bold")
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
            for finding in answer.findings
        ],
        indent=5,
        style="dim",
    )


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
            f"{_stack(one.films, one.meets)}: {one.reason}; instead: {one.instead}"
            for one in refusals
        )


def _stack(films: Sequence[str], meets: Sequence[str]) -> str:
    """Films bottom first, each with how it meets the one below: ``a ‹lap› b``."""
    return films[0] + "".join(
        f" ‹{way}› {film}" for way, film in zip(meets, films[1:], strict=False)
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
