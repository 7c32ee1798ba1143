"""Everyday questions of the trade, answered as a decorator would: common practice, no source.

Each row of the tables beside this file names a fabric (or a garment) and the films on it, bottom
first, the verdict (or the verdicts that would do), perhaps a rule that must be among the findings,
and why in a clause. Where a row has ``dial_c``, the best steps are judged with the dial turned
there by hand. Where it has ``not_yet``, the program is wrong, and what it should do is said: such a
row must disagree, and loses the mark when it agrees.
"""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import Literal

import pytest
import yaml

from advisor import check
from advisor.answers.records import CheckReport
from rules.facts.fact import Record
from rules.facts.step import Meets

MOST_NOT_YET = 1
"""Rows that the program is known to answer wrongly; may only fall."""

TABLES = sorted(Path(__file__).parent.glob("*.yaml"))


class Question(Record):
    """One row of a table."""

    fabric: str
    stack: tuple[str, ...]
    verdict: Literal["go", "sample", "stop", "go|sample", "sample|stop"]
    why: str
    press: str = "clamshell-38x38"
    meets: tuple[Meets, ...] | None = None
    dial_c: float | None = None
    rule: str | None = None
    not_yet: str | None = None

    def asked(self) -> CheckReport:
        """What the program answers."""
        asked = {"fabric": self.fabric, "stack": self.stack, "press": self.press}
        report = check(**asked, meets=self.meets)  # type: ignore[arg-type]
        if self.dial_c is None:
            return report
        steps = [
            step.model_copy(update={"setpoint_c": self.dial_c}) if step.setpoint_c else step
            for step in report.steps
        ]
        return check(**asked, meets=self.meets, steps=steps)  # type: ignore[arg-type]

    def disagrees(self, report: CheckReport) -> str | None:
        """How the answer differs from what a decorator says, in a line."""
        rules = {finding.rule for finding in report.findings}
        right = report.verdict in self.verdict.split("|") and self.rule in {None, *rules}
        if right:
            return None
        serious = [f"{f.severity}: {f.rule}" for f in report.findings if f.severity != "note"]
        return (
            f"{self.fabric}: {' + '.join(self.stack)} ({self.why}) is {report.verdict} "
            f"({', '.join(serious) or 'nothing serious'}), a decorator says {self.verdict} "
            f"{self.rule or ''}"
        )


def questions(table: Path) -> list[Question]:
    return [Question.model_validate(row) for row in yaml.safe_load(table.read_text())]


def test_the_program_answers_as_a_decorator_would() -> None:
    wrong = [
        said
        for table in TABLES
        for row in questions(table)
        if row.not_yet is None and (said := row.disagrees(row.asked()))
    ]
    assert not wrong, "\n".join(wrong)


def test_what_the_program_is_known_to_get_wrong_it_still_does() -> None:
    marked = [row for table in TABLES for row in questions(table) if row.not_yet is not None]
    mended = [row for row in marked if not row.disagrees(row.asked())]
    assert not mended, "take away not_yet: these agree now"
    assert len(marked) <= MOST_NOT_YET


def test_the_tables_hold_what_they_promise() -> None:
    rows = [row for table in TABLES for row in questions(table)]
    asked = Counter(
        (row.fabric, row.stack, row.press, row.meets, row.dial_c) for row in rows
    ).most_common(1)
    assert asked[0][1] == 1, asked
    assert len(rows) >= 500


@pytest.mark.parametrize("verdict", ["go", "sample", "stop"])
def test_no_verdict_is_rare_among_the_questions(verdict: str) -> None:
    rows = [row for table in TABLES for row in questions(table)]
    assert sum(row.verdict == verdict for row in rows) >= 60
