"""Command rules: the rulebook as a list, one rule in full, or the whole reference."""

from __future__ import annotations

import json
from typing import Any

import click

from advisor.command.options import json_option, show_json
from advisor.words.examples import said
from advisor.words.reference import JUDGED, SEVERITY_MEANING, reference_markdown, reference_text
from rules.book.rule import Rule
from rules.rulebook import rulebook

__all__ = ["command"]


@click.command("rules")
@click.argument("rule_id", required=False, metavar="[ID]")
@click.option("--markdown", is_flag=True, help="The whole reference as Markdown.")
@json_option
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
            show_json(json.dumps(_plain(rule), ensure_ascii=False, indent=2))
        else:
            _show_rule(rule)
    elif as_json:
        listed = [_plain(rule) for rule in book.by_id.values()]
        show_json(json.dumps({"rules": listed}, ensure_ascii=False, indent=2))
    else:
        _show_list()


def _plain(rule: Rule[Any]) -> dict[str, str]:
    return {
        "id": rule.id,
        "judges": rule.judges,
        "severity": rule.severity,
        "summary": rule.summary,
        "why": rule.why,
        "instead": rule.instead,
        "basis": rule.basis,
        "source": rule.source,
        "good": said(rule.good),
        "bad": said(rule.bad),
    }


def _show_rule(rule: Rule[Any]) -> None:
    from advisor.command import terminal

    console = terminal.make_console()
    head, *rest = reference_text(rule).splitlines()
    console.print(terminal.words(head, "bold"))
    terminal.show_lines(console, [line.strip() for line in rest], indent=2)


def _show_list() -> None:
    from advisor.command import terminal

    console = terminal.make_console()
    meanings = ", ".join(f"{name}: {meaning}" for name, meaning in SEVERITY_MEANING.items())
    console.print(
        terminal.words(f"{len(rulebook().by_id)} rules, each with its worst ({meanings})")
    )
    for judged, rules in rulebook().by_judged.items():
        terminal.show_heading(console, JUDGED[judged])
        terminal.show_table(
            console,
            ("rule", "at worst", "what it asks for"),
            [(rule.id, rule.severity, rule.summary) for rule in rules],
            whole=2,
        )
