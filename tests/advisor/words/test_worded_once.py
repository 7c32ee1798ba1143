"""Each fact is worded in one table, and what a person reads is in their own units throughout."""

from __future__ import annotations

import ast
import re
from pathlib import Path
from typing import get_args

import pytest

from rules.facts.finding import Severity, Verdict
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets
from tests.advisor.command.command_line import run

ROOT = Path(__file__).parents[3]
NO_WORDS = {"advisor/command/terminal.py", "ui/drawing/signs.py"}
"""Their tables hold colours and shapes."""
WORDED = {
    frozenset(get_args(Meets)): "rules/facts/meeting.py",
    frozenset(get_args(Verdict)): "advisor/words/verdicts.py",
    frozenset(get_args(Severity)): "advisor/words/verdicts.py",
}
PRIVATE = re.compile("[\ue000-\uf8ff]")
METRIC = re.compile(r"\d (°C|mm|µm)\b")


def holds_words(value: ast.expr) -> bool:
    """Whether a value is a string, or made of strings."""
    return any(isinstance(n, ast.Constant) and isinstance(n.value, str) for n in ast.walk(value))


def tables() -> list[tuple[str, frozenset[str]]]:
    """Where a dict has words for keys and more than numbers for values, and those keys."""
    found = []
    for wing in ("rules", "advisor", "ui"):
        for path in (ROOT / wing).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Dict) and any(map(holds_words, node.values)):
                    keys = {k.value for k in node.keys if isinstance(k, ast.Constant)}
                    words = frozenset(key for key in keys if isinstance(key, str))
                    found.append((path.relative_to(ROOT).as_posix(), words))
    return found


@pytest.mark.parametrize("names", WORDED, ids=lambda names: " ".join(sorted(names)))
def test_what_has_names_is_worded_in_one_table(names: frozenset[str]) -> None:
    at = {at for at, keys in tables() if names <= keys}
    assert at - NO_WORDS == {WORDED[names]}


def test_pages_show_quantities_in_the_units_that_were_chosen() -> None:
    for path in (ROOT / "ui").rglob("*.py"):
        shown = re.findall(r"\bshow_(?:c|by_c|mm|um|size|s|degrees)\b", path.read_text("utf-8"))
        assert not shown, f"{path.name}: {shown[0]} stays in °C and mm on a page; ask units()"


def test_every_form_of_a_meeting_names_both_pieces() -> None:
    for words in MEETING_WORDS.values():
        for form in (words.clause, words.short, words.advice, words.wish, words.joined):
            said = form.format(upper="gold", lower="navy")
            assert "gold" in said
            assert "navy" in said
        assert "{" not in words.name + words.meaning + words.noun + words.on


@pytest.mark.parametrize(
    "command",
    [
        ("look", "matte", "sparkle", "--fabric", "polyester-jersey", "--most", 3, "--refused"),
        ("check", "--fabric", "polyester-jersey", "--stack", "matte-smooth,sparkle-coarse"),
        ("check", "--fabric", "polypropylene-non-woven", "--stack", "foam-raised"),
    ],
)
def test_a_command_answers_in_the_readers_units_throughout(command: tuple[object, ...]) -> None:
    said = run(*command, "--fahrenheit", "--inches").stdout
    assert "°F" in said
    assert not METRIC.search(said), METRIC.search(said)
    assert not PRIVATE.search(said)
    plain = run(*command, "--json").stdout
    assert "°C" in plain
    assert not PRIVATE.search(plain)
