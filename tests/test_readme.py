"""The documents: README's sessions print what it shows, and DEVELOPERS names what is there."""

from __future__ import annotations

import ast
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from advisor.shop.place import STORE
from tests import ROOT

README = (ROOT / "README.md").read_text(encoding="utf-8")
CONSOLE = re.findall(r"^```console\n(.*?)^```$", README, flags=re.M | re.S)
LEFT_OUT = "…"

DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PYTHON = re.findall(r"^```python\n(.*?)^```$", README + DEVELOPERS, flags=re.M | re.S)
SPANS = set(re.findall(r"`([^`\n]+)`", DEVELOPERS))
FILES = [path for top in ("advisor", "rules", "ui", "tests") for path in (ROOT / top).rglob("*")]


def commands(block: str) -> list[tuple[str, str]]:
    """The commands of a session, each with what it shows."""
    found: list[tuple[str, str]] = []
    for line in block.splitlines():
        if line.startswith("$ "):
            found.append((line[2:], ""))
        else:
            command, shown = found[-1]
            found[-1] = (command, f"{shown}{line}\n")
    return found


def matches(shown: str, printed: str) -> bool:
    """Whether output is as shown; a line of its own with ``…`` stands for any lines."""
    parts = [re.escape(part.strip("\n")) for part in re.split(rf"^{LEFT_OUT}$", shown, flags=re.M)]
    return re.fullmatch(r"\n?(?:.*\n)?".join(parts) + r"\n*", printed, flags=re.S) is not None


def test_there_are_sessions_to_run() -> None:
    assert len(CONSOLE) >= 3
    assert PYTHON


@pytest.mark.slow
def test_the_sessions_print_what_the_readme_shows_and_the_python_runs(tmp_path: Path) -> None:
    # One follows the other in one folder, as a reader would type them.
    home = Path(sys.executable).parent
    environment = {
        **os.environ,
        "PATH": f"{home}{os.pathsep}{os.environ['PATH']}",
        STORE: str(tmp_path / "shop.sqlite"),
    }
    for command, shown in (pair for block in CONSOLE for pair in commands(block)):
        ran = subprocess.run(
            command, shell=True, cwd=tmp_path, env=environment, capture_output=True, text=True,
            check=False,
        )  # fmt: skip
        assert ran.returncode == 0, (command, ran.stderr)
        assert matches(shown, ran.stdout), f"{command} printed:\n{ran.stdout}"
    for block in PYTHON:
        ran = subprocess.run(
            [sys.executable, "-c", block], cwd=tmp_path, capture_output=True, text=True, check=False
        )
        assert ran.returncode == 0, (block, ran.stderr)
        assert ran.stdout


@pytest.mark.parametrize(
    "named", sorted(s for s in SPANS if re.fullmatch(r"[\w./-]+(/|\.(py|yaml|toml|lock))", s))
)
def test_a_path_that_contributors_are_sent_to_is_there(named: str) -> None:
    # Within a paragraph or a table, the folder may go without saying.
    tail = f"/{named.rstrip('/')}"
    assert any(f"/{path.relative_to(ROOT)}".endswith(tail) for path in [*FILES, *ROOT.iterdir()])


def test_a_class_that_contributors_are_told_of_is_there() -> None:
    classes = {
        node.name
        for path in FILES
        if path.suffix == ".py"
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
    }
    named = {span for span in SPANS if re.fullmatch(r"(?:[A-Z][a-z]+)+", span)}
    assert named
    assert named <= classes
