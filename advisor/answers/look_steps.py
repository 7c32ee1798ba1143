"""Look steps: what the press steps, and heat at every bond line, have against one way of a look."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from advisor.heat.records import HeatRefusal
from advisor.heat.timed import refused_at_hottest
from advisor.layering.assessment import finding_of_rule
from advisor.layering.meeting import present
from advisor.layering.press_steps import press_steps, usual_timing
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.pressing import Laying
from advisor.layering.records.problem import Problem
from advisor.layering.typed_print import SAMPLE_PRINT_MM
from rules.catalogue import Catalogue
from rules.facts.finding import Finding
from rules.facts.schedule import Schedule

__all__ = ["heat_findings", "stage_findings"]


def stage_findings(
    problem: Problem, found: Assessment, catalogue: Catalogue
) -> tuple[Finding, ...]:
    """What the rules say of the steps where films finish in several stages.

    With one finishing press the steps are the everyday ones and add nothing; a full press before
    the next film is laid shrinks what is down.
    """
    if len(found.stages) < 2:
        return ()
    films, laying = found.choice.films, _laid_out(problem, found, catalogue)
    schedule = Schedule(
        fabric=laying.fabric,
        press=laying.press,
        films=films,
        over=laying.over,
        steps=press_steps(laying, usual_timing(laying.groups, laying.stages)),
        sheets=catalogue.sheets,
        size_mm=dict.fromkeys(films, SAMPLE_PRINT_MM),
    )
    known = {finding.rule for finding in found.findings}
    judged = problem.knowledge.judge(*schedule.scheduled)
    return tuple(f for f in judged if f.severity != "note" and f.rule not in known)


def _laid_out(problem: Problem, found: Assessment, catalogue: Catalogue) -> Laying:
    if found.grouping is None:
        raise ValueError("only what can be pressed is laid")
    return Laying(
        films=found.choice.films,
        groups=found.grouping.groups,
        stages=found.stages,
        over=tuple((contact.upper, contact.lower) for contact in found.contacts),
        fabric=problem.fabrics[0],
        press=problem.limits.press,
        sheets=catalogue.sheets,
        print_mm=(SAMPLE_PRINT_MM, SAMPLE_PRINT_MM),
    )


def heat_findings(
    problem: Problem,
    found: Assessment,
    catalogue: Catalogue,
    followed: dict[tuple[object, ...], HeatRefusal | None],
) -> tuple[Finding, ...]:
    """A stop where films over one another cannot be bonded on any setting that they share.

    They are followed press by press, as ``check`` does, which weighs a close call on an unlucky
    press as well.

    Args:
        followed: what was followed before in this look, which grows.
    """
    laid = max((present(place, found.choice.meets) for place in problem.places), key=len)
    if len(laid) < 2:
        return ()
    asked = _asked(found, laid)
    if asked not in followed:
        laying = _laid_out(problem, found, catalogue)
        followed[asked] = refused_at_hottest(laying, [laid], catalogue.materials)
    refusal = followed[asked]
    if refusal is None:
        return ()
    where = " on ".join(found.choice.films[piece].id for piece in reversed(laid))
    return (finding_of_rule(problem, refusal.rule, "stop", refusal.message, where),)


def _asked(found: Assessment, laid: Sequence[str]) -> tuple[object, ...]:
    """All that heat at one place depends on, whatever lies beside it."""
    if found.grouping is None:
        raise ValueError("only what can be pressed is laid")
    films, at = found.choice.films, {piece: n for n, piece in enumerate(laid)}
    return (
        tuple(films[piece].id for piece in laid),
        tuple(tuple(sorted(at[p] for p in group if p in at)) for group in found.grouping.groups),
        tuple(
            replace(stage, finishes=tuple(str(at[p]) for p in stage.finishes if p in at))
            for stage in found.stages
        ),
    )
