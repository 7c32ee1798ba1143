"""The house: what lies where, which way imports run, and what every file must have."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from tests import ROOT

TOP_LEVEL = {"README.md", "DEVELOPERS.md", "pyproject.toml", "advisor", "rules", "ui", "tests"}
LOCK = "requirements.lock"
PACKAGES = ("advisor", "rules", "ui")
SOURCES = sorted(path for name in PACKAGES for path in (ROOT / name).rglob("*.py"))
SOLVERS = ("advisor/solver/",)
KEPT_TO: dict[str, tuple[str, ...]] = {
    "streamlit": ("ui/",),
    "pebble": ("ui/workers.py",),
    "constraint": ("advisor/solver/listing.py",),
    "ortools": SOLVERS,
}
LOOSE_IN_ADVISOR = {"__init__.py", "cli.py", "door.py", "py.typed"}
MOST_LINES = 450
MOST_CROSSINGS = 132
"""Imports from wing to wing other than of records. It may only fall; 10 is wanted."""

STILL_UNUSED: set[str] = set()
"""Names that only tests or nobody uses and that are still to go: only fewer, and then none."""

CALLED_BY_LIBRARIES = {
    "_with_the_print_shown", "down_revision", "format_commands", "model_config", "on_broken_pipe",
    "revision", "upgrade",
}  # fmt: skip
"""Names that alembic, click, pydantic and rich look up in what we hand them."""


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def place(path: Path) -> str:
    return path.relative_to(ROOT).as_posix()


def imported(path: Path) -> Iterator[str]:
    """The modules that a file imports, by their full names."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module


def test_the_top_level_holds_what_the_house_has_and_nothing_else() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git checkout, so what belongs to it is not known")
    top = {name.split("/")[0] for name in listed.stdout.split()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL | {LOCK}


def test_the_advisor_is_made_of_wings() -> None:
    loose = {path.name for path in (ROOT / "advisor").iterdir() if path.is_file()}
    assert loose == LOOSE_IN_ADVISOR


def test_imports_run_one_way() -> None:
    linted = subprocess.run(
        [str(Path(sys.executable).parent / "lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert linted.returncode == 0, linted.stdout


def test_wings_meet_in_records() -> None:
    crossings = [
        f"{place(path)} imports {name}"
        for path in sorted((ROOT / "advisor").rglob("*.py"))
        for name in imported(path)
        if name.startswith("advisor.") and "records" not in name.split(".")
        if wing(place(path).replace("/", ".")) not in {None, wing(name)}
    ]
    assert len(crossings) <= MOST_CROSSINGS, "\n".join(crossings)


def wing(module: str) -> str | None:
    """The wing of a module; the package itself and the command line's door are none."""
    parts = module.removesuffix(".py").split(".")
    return None if parts[1] in {"__init__", "cli", "door"} else parts[1]


@pytest.mark.parametrize("path", SOURCES, ids=place)
def test_a_file_names_its_subject_and_keeps_libraries_in_their_place(path: Path) -> None:
    assert ast.get_docstring(tree(path)), "the first line names the file's one subject"
    for library in {name.split(".")[0] for name in imported(path)} & set(KEPT_TO):
        assert place(path).startswith(KEPT_TO[library]), f"{library} does not belong here"
    lines = len(path.read_text(encoding="utf-8").splitlines())
    assert lines <= MOST_LINES, f"{lines} lines: who needs a map inside a file splits it"


def test_no_two_classes_have_one_name() -> None:
    homes = defaultdict(list)
    for path in SOURCES:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.ClassDef):
                homes[node.name].append(place(path))
    twice = {name: paths for name, paths in homes.items() if len(paths) > 1}
    assert twice == {}


def test_nothing_stands_there_that_nothing_uses() -> None:
    """Every function, class, constant and field of a dataclass is used by the product itself.

    That a name is exported, tested or used by an example in its own docstring is no use of it.
    """
    made = {name: where for path in SOURCES for name, where in defined(path)}
    templates = (ROOT / "advisor").rglob("*.html*")
    used = Counter(re.findall(r"\w+", " ".join(path.read_text("utf-8") for path in templates)))
    for path in SOURCES:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Load):
                used[node.id] += 1
            elif isinstance(node, ast.Attribute):
                used[node.attr] += 1
    unused = {name: where for name, where in made.items() if not used[name]}
    known = CALLED_BY_LIBRARIES | STILL_UNUSED
    assert {name: at for name, at in unused.items() if name not in known} == {}


def defined(path: Path) -> Iterator[tuple[str, str]]:
    """What a file defines, with its line, but for what a decorator hands to a library."""
    for node in ast.walk(tree(path)):
        names: list[str] = []
        if isinstance(node, ast.FunctionDef | ast.ClassDef):
            decorators = " ".join(ast.unparse(one) for one in node.decorator_list)
            if not re.search(r"validator|\.command\b|\.group\b", decorators):
                names = [node.name]
            if isinstance(node, ast.ClassDef) and "dataclass" in decorators:
                names += [
                    item.target.id
                    for item in node.body
                    if isinstance(item, ast.AnnAssign) and isinstance(item.target, ast.Name)
                ]
        elif isinstance(node, ast.Assign):
            names = [target.id for target in node.targets if isinstance(target, ast.Name)]
        for name in names:
            if not name.startswith("__") and name != "_":
                yield name, f"{place(path)}:{node.lineno}"


def test_the_command_line_starts_without_the_heavy_libraries() -> None:
    heavy = (
        "numpy, scipy, shapely, pydantic, networkx, streamlit, ortools, rich, matplotlib, "
        "sqlalchemy, alembic, platformdirs"
    )
    code = f"import sys, advisor.cli; print(sorted(set({heavy.split(', ')!r}) & set(sys.modules)))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
