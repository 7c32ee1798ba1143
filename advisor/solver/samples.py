"""Optimise samples: how many different findings want a sample first, as constraints."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import cpmpy as cp

from advisor.solver.model import PlanModel
from rules.facts.finding import Finding

__all__ = ["sample_count"]

Key = tuple[str, str, str]


def sample_count(model: PlanModel, unsuited: Sequence[Any]) -> Any:
    """The number of different findings of kind sample, as the assessment counts them.

    The same finding on the same films counts once, wherever it arises.

    Args:
        unsuited: literals, one for each stage that no pressure suits.
    """
    drawn: dict[Key, list[tuple[Any, ...]]] = {}
    _of_options(model, drawn)
    _of_contacts(model, drawn)
    _of_joints(model, drawn)
    literals = []
    for triggers in drawn.values():
        wanted = cp.boolvar()
        for trigger in triggers:
            model.never(("sample",), *trigger, ~wanted)
        literals.append(wanted)
    literals += _of_stacks(model)
    return cp.sum([0, *literals, *unsuited])


def _keys(findings: Sequence[Finding]) -> list[Key]:
    return [f.said for f in findings if f.severity == "sample"]


def _of_options(model: PlanModel, drawn: dict[Key, list[tuple[Any, ...]]]) -> None:
    for piece, options in model.options.items():
        on_fabric = model.on_fabric.get(piece, False)
        for i, option in enumerate(options):
            literal = model.among(piece, [i])
            for key in _keys(option.findings):
                drawn.setdefault(key, []).append((literal,))
            if on_fabric is not False:
                for key in _keys(option.fabric_findings):
                    drawn.setdefault(key, []).append((literal, on_fabric))


def _of_contacts(model: PlanModel, drawn: dict[Key, list[tuple[Any, ...]]]) -> None:
    for (upper, lower, rim), touching in model.touching.items():
        if not model.judges(("film", upper, lower, str(rim))):
            continue
        for i, above in enumerate(model.options[upper]):
            for j, below in enumerate(model.options[lower]):
                for key in _keys(model.problem.on_film(above.film, below.film, rim=rim)):
                    trigger = (touching, model.among(upper, [i]), model.among(lower, [j]))
                    drawn.setdefault(key, []).append(trigger)


def _of_joints(model: PlanModel, drawn: dict[Key, list[tuple[Any, ...]]]) -> None:
    for meeting in model.problem.meetings:
        if meeting.hidden:
            continue
        for way, literal in model.way[meeting.pair].items():
            if not model.judges(("joint", *meeting.pair, way)):
                continue
            for i, above in enumerate(model.options[meeting.upper]):
                for j, below in enumerate(model.options[meeting.lower]):
                    found = model.problem.at_joint(meeting, above.film, below.film, way)
                    for key in _keys(found):
                        trigger = (
                            literal,
                            model.among(meeting.upper, [i]),
                            model.among(meeting.lower, [j]),
                        )
                        drawn.setdefault(key, []).append(trigger)


def _of_stacks(model: PlanModel) -> list[Any]:
    """One literal for each rule on stacks that wants a sample, whatever it objects to."""
    rules: dict[str, list[Any]] = {}
    for limit in model.stack_limits():
        if limit.finding.severity == "sample":
            rules.setdefault(limit.finding.rule, []).append(model.beyond(limit))
    literals = []
    for reasons in rules.values():
        wanted = cp.boolvar()
        for reason in reasons:
            model.never(("sample",), reason, ~wanted)
        literals.append(wanted)
    return literals
