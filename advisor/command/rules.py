"""Command rules: the rulebook as a list, one rule in full, or the whole reference."""

from __future__ import annotations

from typing import Any

import click

from advisor.command import options
from advisor.command.terminal import Terminal, severities
from advisor.words.reference import JUDGED, reference_markdown, reference_text, said
from rules.book.rule import Rule
from rules.rulebook import Rulebook, rulebook

__all__ = ["command"]


@click.command("rules")
@click.argument("rule_id", required=False, metavar="[ID]")
@click.option("--markdown", is_flag=True, help="The whole reference as Markdown.")
@options.as_json
def command(rule_id: str | None, markdown: bool, as_json: bool) -> None:
    """List every rule, or say one in full: what it asks, why, what instead, on what it rests.

    \b
      presslore rules top-surface
    """
    if markdown and (rule_id or as_json):
        raise click.UsageError("--markdown is the whole reference; it takes no ID and no --json")
    book = rulebook()
    if markdown:
        click.echo(reference_markdown().rstrip("\n"))
    elif rule_id is not None:
        rule = book.rule(rule_id)
        if as_json:
            options.show_json(_plain(rule))
        else:
            _show_rule(Terminal(), rule)
    elif as_json:
        options.show_json({"rules": [_plain(rule) for rule in book.by_id.values()]})
    else:
        _show_list(Terminal(), book)


def _plain(rule: Rule[Any]) -> dict[str, str]:
    as_they_are = ("id", "judges", "severity", "summary", "why", "instead", "basis", "source")
    plain: dict[str, str] = {name: getattr(rule, name) for name in as_they_are}
    return plain | {"good": said(rule.good), "bad": said(rule.bad)}


def _show_rule(out: Terminal, rule: Rule[Any]) -> None:
    head, *rest = reference_text(rule).splitlines()
    out.line(head, "bold")
    out.lines((line.strip() for line in rest), indent=2)


def _show_list(out: Terminal, book: Rulebook) -> None:
    out.line(f"{len(book.by_id)} rules, each with its worst ({severities()})")
    for judged, rules in book.by_judged.items():
        out.heading(JUDGED[judged])
        rows = [(rule.id, rule.severity, rule.summary) for rule in rules]
        out.table(("rule", "at worst", "what it asks for"), rows, whole=2)
