"""The command line as tests call it: in this process, or as a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from click.testing import CliRunner, Result

from advisor.cli import cli
from rules.facts.units import MARK_CLOSES, MARK_OPENS, MARK_PARTS

KITE = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="20 10 160 180">
<path d="M100 10 L180 90 L100 190 L20 90 Z" fill="#1b3a5c"/>
<path d="M100 40 L150 90 L100 150 L50 90 Z" fill="#f2c14e"/>
</svg>"""
"""A sparkling kite on a navy one: the smallest artwork in which order counts."""

JOB = """job: kite
artwork: kite.svg
looks:
  "#1b3a5c": {film: matte-smooth, colour: navy}
  "#f2c14e": {film: sparkle-coarse, colour: gold}
garments:
  - {garment: adult-tee, quantity: 3, artwork_width_mm: 200}
"""


def write_job(folder: Path, *, job: str = JOB, artwork: str = KITE) -> Path:
    """The job and its artwork in a folder; the path of the job."""
    (folder / "kite.svg").write_text(artwork, encoding="utf-8")
    path = folder / "job.yaml"
    path.write_text(job, encoding="utf-8")
    return path


def run(*arguments: object, env: dict[str, str] | None = None) -> Result:
    """The command line in this process, which never shows how a sentence is held inside."""
    result = CliRunner().invoke(cli, [str(argument) for argument in arguments], env=env)
    assert not {MARK_OPENS, MARK_PARTS, MARK_CLOSES} & {*result.output}
    return result


def run_json(*arguments: object) -> dict[str, Any]:
    """The one JSON object that a command prints."""
    result = run(*arguments, "--json")
    assert result.exit_code == 0, result.stderr
    assert result.stderr == ""
    answer = json.loads(result.stdout)
    assert isinstance(answer, dict)
    return answer


def run_process(
    *arguments: object, cwd: Path | None = None, **environment: str
) -> subprocess.CompletedProcess[str]:
    """The command line as a process of its own."""
    code = "from advisor.cli import main; main()"
    return subprocess.run(
        [sys.executable, "-c", code, *(str(argument) for argument in arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        cwd=cwd,
        env={**os.environ, **environment},
        check=False,
    )


def refusal(result: Result | subprocess.CompletedProcess[str]) -> str:
    """The one line with which bad input is refused."""
    code = result.exit_code if isinstance(result, Result) else result.returncode
    assert code == 2, (code, result.stdout, result.stderr)
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    assert result.stderr.endswith("\n")
    (line,) = result.stderr.splitlines()
    assert line.startswith("presslore")
    assert len(line) < 700
    return line
