"""Evidence: what a shop has seen for itself has a say wherever something is judged."""

from __future__ import annotations

from dataclasses import dataclass, replace

from advisor import check, look, plan
from advisor.job.demo import DEMO_FOLDER
from rules.facts.finding import Finding, Severity
from rules.facts.subjects import FilmOnFilm, Subject
from rules.facts.trial import Occasion
from rules.knowledge import load_knowledge

KNOWN = load_knowledge()
SHELF = KNOWN.catalogue


@dataclass(frozen=True)
class Lifted:
    """A shop that saw one film lift off another, or hold against the rule's word."""

    upper: str
    lower: str
    severity: Severity | None

    def weigh(
        self, subject: Subject, findings: tuple[Finding, ...], at: Occasion
    ) -> tuple[Finding, ...]:
        if not isinstance(subject, FilmOnFilm):
            return findings
        if (subject.upper.id, subject.lower.id) != (self.upper, self.lower):
            return findings
        if self.severity is None:
            return ()
        seen = Finding(
            rule="top-surface",
            severity=self.severity,
            where=f"{self.upper} on {self.lower}",
            message="lifted here in the wash",
            why="seen in this shop",
            instead="take another film",
            basis="practice",
        )
        return (*findings, seen)


def seen(upper: str, lower: str, severity: Severity | None) -> Lifted:
    return Lifted(upper, lower, severity)


def test_what_the_shop_saw_fail_is_stopped_in_a_check_and_left_out_of_a_look() -> None:
    stack = ["matte-smooth", "sparkle-coarse"]
    assert check(fabric="cotton-jersey-tee", stack=stack, knowledge=KNOWN).verdict == "go"
    warned = replace(KNOWN, evidence=(seen("sparkle-coarse", "matte-smooth", "stop"),))
    report = check(fabric="cotton-jersey-tee", stack=stack, knowledge=warned)
    assert report.verdict == "stop"
    assert "lifted here in the wash" in {finding.message for finding in report.findings}
    found = look("matte", "sparkle", fabric="cotton-jersey-tee", knowledge=warned)
    laps = {answer.films for answer in found.answers if answer.meets == ("lap",)}
    assert tuple(stack) not in laps
    assert tuple(stack) in {refused.films for refused in found.refused}


def test_what_the_shop_saw_hold_is_no_longer_refused() -> None:
    stack = ["sparkle-coarse", "matte-smooth"]
    usual = check(fabric="cotton-jersey-tee", stack=stack, knowledge=KNOWN)
    assert "top-surface" in {finding.rule for finding in usual.findings}
    holds = replace(KNOWN, evidence=(seen("matte-smooth", "sparkle-coarse", None),))
    report = check(fabric="cotton-jersey-tee", stack=stack, knowledge=holds)
    assert "top-surface" not in {finding.rule for finding in report.findings}


def test_a_plan_takes_other_films_where_the_shop_saw_these_fail() -> None:
    job = DEMO_FOLDER / "crew-tees.yaml"
    usual = plan(job, knowledge=KNOWN)
    films = {piece.id: piece.film for piece in usual.pieces}
    laps = [joint for joint in usual.joints if joint.meets == "lap"]
    failed = next(j for j in laps if films[j.upper] != films[j.lower])
    upper, lower = films[failed.upper], films[failed.lower]
    warned = replace(KNOWN, evidence=(seen(upper, lower, "stop"),))
    made = plan(job, knowledge=warned)
    assert made.status == "planned"
    now = {piece.id: piece.film for piece in made.pieces}
    assert not any(
        (now[j.upper], now[j.lower]) == (upper, lower) for j in made.joints if j.meets == "lap"
    )
    assert "lifted here in the wash" in {f.message for f in check(usual, knowledge=warned).findings}
