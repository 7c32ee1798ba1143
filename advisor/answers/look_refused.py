"""Look refused: what the rules refuse of a look whatever lies beside it, each pair and way once."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.answers.records import Refused
from advisor.job.records.print import Meeting
from advisor.layering.records.problem import Problem, ProblemPiece
from rules.facts.film import Film
from rules.facts.finding import Finding, worst_first
from rules.facts.step import Meets

__all__ = ["refused_films", "refused_pairs", "refused_way"]


def refused_way(
    films: tuple[str, ...], meets: tuple[Meets, ...], findings: Sequence[Finding]
) -> Refused:
    """A way with what stands against it, the most serious first."""
    found = worst_first(findings)
    return Refused(
        films=films,
        meets=meets,
        rule=found[0].rule,
        reason=found[0].message,
        instead=found[0].instead,
        findings=found,
    )


def refused_films(pieces: Sequence[ProblemPiece]) -> list[Refused]:
    """Each film that is refused by itself, whatever lies beside it, or straight on the fabric."""
    anywhere = [
        refused_way((refusal.film,), (), refusal.findings)
        for piece in pieces
        for refusal in piece.refused
    ]
    on_fabric = [
        refused_way((option.film.id,), (), stops)
        for piece in pieces
        for option in piece.options
        if (stops := _stops(option.fabric_findings))
    ]
    return anywhere + on_fabric


def refused_pairs(problems: Sequence[Problem]) -> list[Refused]:
    """Every two neighbouring films, in every way of meeting, that the rules stop."""
    refused: dict[tuple[str, str, Meets], Refused] = {}
    for problem in problems:
        for meeting in problem.meetings:
            for way in () if meeting.hidden else meeting.ways:
                for upper, lower in _stopped(problem, meeting, way):
                    if (lower.id, upper.id, way) not in refused:
                        found = _found(problem, meeting, upper, lower, way)
                        made = refused_way((lower.id, upper.id), (way,), _stops(found))
                        refused[lower.id, upper.id, way] = made
    return list(refused.values())


def _stopped(problem: Problem, meeting: Meeting, way: Meets) -> list[tuple[Film, Film]]:
    """The films (upper, lower) of two pieces that the rules let not meet so, by their options."""
    above = [option.film for option in problem.piece(meeting.upper).options]
    below = [option.film for option in problem.piece(meeting.lower).options]
    drawn = [problem.at_joint_pairs(meeting, above, below, way)]
    if way in {"lap", "inset-over"}:
        drawn.append(problem.on_film_pairs(above, below, rim=way != "lap"))
    elif way == "inset-under":
        under = problem.on_film_pairs(below, above, rim=True)
        drawn.append({said: [(i, j) for j, i in pairs] for said, pairs in under.items()})
    stopped = {
        (j, i)
        for found in drawn
        for (_, severity), pairs in found.items()
        if severity == "stop"
        for i, j in pairs
    }
    return [(above[i], below[j]) for j, i in sorted(stopped)]


def _found(
    problem: Problem, meeting: Meeting, upper: Film, lower: Film, way: Meets
) -> tuple[Finding, ...]:
    found = problem.at_joint(meeting, upper, lower, way)
    if way in {"lap", "inset-over"}:
        found += problem.on_film(upper, lower, rim=way != "lap")
    elif way == "inset-under":
        found += problem.on_film(lower, upper, rim=True)
    return found


def _stops(findings: Sequence[Finding]) -> tuple[Finding, ...]:
    return tuple(finding for finding in findings if finding.severity == "stop")
