"""Refute: what the heat simulation and the checker have against a candidate plan, as cuts."""

from __future__ import annotations

from advisor.heat.records import HeatRefusal
from advisor.heat.screen import refuses_stack
from advisor.layering.meeting import present
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.proof import Cut
from rules.facts.finding import Finding
from rules.facts.text import Text

__all__ = ["cut_by_finding", "cut_by_heat"]


def cut_by_heat(refusal: HeatRefusal, found: Assessment, problem: Problem) -> Cut:
    """What may not occur again because heat does not reach an adhesive.

    Where the films over one another there could not be bonded on any setting that they share, the
    cut names just them; otherwise it names the whole choice, since another company might let the
    press be hotter or longer.
    """
    films = found.choice.films
    column = refusal.column
    stack = [films[piece] for piece in column]
    limits = problem.limits
    hottest_c = min(
        min(film.setpoint_c.high for film in stack),
        min(film.bears_c for film in stack),
        limits.harmed_c,
        limits.press.setpoint_high_c,
    )
    cover = min(
        (sheet for sheet in problem.knowledge.catalogue.sheets.values() if sheet.kind == "cover"),
        key=lambda sheet: sheet.thickness_um,
        default=None,
    )
    hopeless = refusal.purpose == "full" and any(
        refuses_stack(
            stack,
            fabric=fabric,
            press=limits.press,
            cover=cover,
            setpoint_c=hottest_c,
            longest_s=min(film.dwell_s.high for film in stack),
        )
        is not None
        for fabric in problem.fabrics
    )
    if not hopeless:
        return _whole(found, refusal.message)
    place = next(
        place for place in problem.places if present(place, found.choice.meets) == tuple(column)
    )
    return Cut(
        films=tuple((piece, films[piece].id) for piece in column),
        meets=tuple(
            (pair, way)
            for pair, way in found.choice.meets.items()
            if pair[0] in place.stack and pair[1] in place.stack
        ),
        sentence=refusal.message,
    )


def cut_by_finding(finding: Finding, found: Assessment) -> Cut:
    """What may not occur again because the checker stops the steps of the whole plan."""
    return _whole(found, f"{finding.rule}: " + finding.message)


def _whole(found: Assessment, sentence: Text) -> Cut:
    return Cut(
        films=tuple((piece, film.id) for piece, film in found.choice.films.items()),
        meets=tuple(found.choice.meets.items()),
        sentence=sentence,
    )
