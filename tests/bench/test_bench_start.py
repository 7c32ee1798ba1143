"""How fast the command line starts: whole processes, beside what they cannot do without."""

from __future__ import annotations

import subprocess
import sys
import time
from statistics import median

import pytest
from pytest_benchmark.fixture import BenchmarkFixture

ROUNDS = 5
PRESSLORE = "from advisor.cli import main; main()"


def process(code: str, *arguments: str) -> None:
    """One whole Python process, its start included."""
    subprocess.run([sys.executable, "-c", code, *arguments], capture_output=True, check=True)


def median_s(code: str) -> float:
    taken = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        process(code)
        taken.append(time.perf_counter() - began)
    return median(taken)


@pytest.mark.parametrize(
    ("arguments", "beside"),
    [
        (["--help"], "import click"),
        (["rules"], "import click, pydantic, yaml, rich.console, rich.table"),
        (
            ["check", "--fabric", "adult-tee", "--stack", "matte-smooth,sparkle-coarse"],
            "import click, pydantic, yaml, numpy, scipy.linalg, rich.console, rich.table",
        ),
        (
            ["look", "matte", "sparkle", "--fabric", "adult-tee"],
            "import click, pydantic, yaml, numpy, scipy.linalg, rich.console, rich.table",
        ),
    ],
    ids=["help", "rules", "check", "look"],
)
def test_start(benchmark: BenchmarkFixture, arguments: list[str], beside: str) -> None:
    """A command as a process, as a ratio to a process that only loads the libraries it needs."""
    benchmark(process, PRESSLORE, *arguments)
    if benchmark.stats is None:  # benchmarks are switched off: it has run once, which will do
        return
    libraries_s = median_s(beside)
    benchmark.extra_info["beside"] = beside
    benchmark.extra_info["libraries_s"] = libraries_s
    benchmark.extra_info["ratio"] = benchmark.stats.stats.median / libraries_s
