"""The house: what lies where, which way imports run, and what every file must have."""

from __future__ import annotations

import ast
import subprocess
import sys
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
    "constraint": ("advisor/solver/listing.py",),
    "cpmpy": SOLVERS,
    "ortools": SOLVERS,
}


def imported(path: Path) -> set[str]:
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name.split(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names.add(node.module.split(".")[0])
    return names


def test_the_top_level_holds_what_the_house_has_and_nothing_else() -> None:
    listed = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    if listed.returncode:
        pytest.skip("not a git checkout, so what belongs to it is not known")
    top = {name.split("/")[0] for name in listed.stdout.split()}
    assert {name for name in top if not name.startswith(".")} == TOP_LEVEL | {LOCK}


def test_imports_run_one_way() -> None:
    linted = subprocess.run(
        [str(Path(sys.executable).parent / "lint-imports"), "--no-cache"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert linted.returncode == 0, linted.stdout


@pytest.mark.parametrize("path", SOURCES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_file_names_its_subject_and_keeps_libraries_in_their_place(path: Path) -> None:
    docstring = ast.get_docstring(ast.parse(path.read_text(encoding="utf-8")))
    assert docstring, "the first line names the file's one subject"
    place = str(path.relative_to(ROOT))
    for library in imported(path) & set(KEPT_TO):
        assert place.startswith(KEPT_TO[library]), f"{library} does not belong in {place}"


def test_the_command_line_starts_without_the_heavy_libraries() -> None:
    heavy = "numpy, scipy, shapely, pydantic, networkx, streamlit, cpmpy, ortools, rich, matplotlib"
    code = f"import sys, advisor.cli; print(sorted(set({heavy.split(', ')!r}) & set(sys.modules)))"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert ran.stdout.strip() == "[]"
