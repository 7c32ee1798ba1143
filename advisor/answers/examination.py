"""Examination: what heat and every rule have against a drafted plan, as cuts for the solver.

A cut names no more than what a finding rests on. Where some of the pieces alone, pressed in any
stages, draw it as well, it names these with their films and ways; otherwise the whole plan, its
presses and stages included, so that it forbids nothing that another schedule could do.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from advisor.answers.plan_of_choice import plan_of_choice
from advisor.answers.runs import timed_runs
from advisor.heat.records import HeatRefusal
from advisor.job.records.plan import Plan
from advisor.layering.assessment import assess, finding_of_rule
from advisor.layering.flaking_last import flaking_last
from advisor.layering.preparation import PreparedJob
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.pressing import Arrangement
from advisor.layering.records.problem import Choice
from advisor.solver.draft import part_cut, whole_cut, with_samples
from advisor.solver.leaving_out import only
from advisor.solver.records import Cut
from rules.facts.finding import Finding, seriousness

__all__ = ["Drafts"]

Drawing = dict[str, Finding]
"""What finished steps show beyond what was weighed before: by rule, its most serious finding."""


@dataclass(frozen=True, slots=True)
class Drafts:
    """Every plan that was drafted on the way to the best, with its steps and all findings.

    Attributes:
        plans: by what tells them apart.
        alone: what some of the pieces draw by themselves, so that it is asked once.
    """

    prepared: PreparedJob
    plans: dict[object, Plan] = field(default_factory=dict)
    alone: dict[object, Drawing] = field(default_factory=dict)

    def examine(self, found: Assessment) -> tuple[Cut, ...]:
        """What heat and the rules have against a plan beyond what was weighed before."""
        drafted, drawing = self._draft(self.prepared, found)
        cuts = [self._cut(finding, found) for finding in drawing.values()]
        if drafted is not None:
            late = {cut.cause for cut in cuts if cut.severity == "sample"}
            if late:
                drafted, _ = self._draft(self.prepared, found, len(late))
            if drafted is not None:
                self.plans[_key(found)] = drafted
        return tuple(cuts)

    def of(self, found: Assessment) -> Plan:
        """The draft of a choice that was examined and may be pressed."""
        return self.plans[_key(found)]

    def _draft(
        self, prepared: PreparedJob, found: Assessment, more_samples: int = 0
    ) -> tuple[Plan | None, Drawing]:
        last = with_samples(prepared.problem, flaking_last(prepared.problem, found), more_samples)
        runs = timed_runs(prepared, last)
        if isinstance(runs, HeatRefusal):
            where = f"{runs.film.id} on {runs.below}"
            refusal = finding_of_rule(prepared.problem, runs.rule, "stop", runs.message, where)
            return None, {refusal.rule: refusal}
        plan = plan_of_choice(prepared, last, runs)
        return plan, _unforeseen(prepared, found, plan)

    def _cut(self, finding: Finding, found: Assessment) -> Cut:
        """The finding, named by as few pieces as draw it by themselves."""
        if self._judges(finding) == "schedule":
            # Steps may show it in one order only, so the order is named unless one film will do.
            for piece in found.choice.options:
                if self._draws(finding, found, (piece,), anywhere=True):
                    return part_cut(finding, found, (piece,), anywhere=True)
            return whole_cut(finding, found)
        kept = self._rests_on(finding, found)
        if len(kept) == len(found.choice.options):
            return whole_cut(finding, found)
        return part_cut(finding, found, kept)

    def _judges(self, finding: Finding) -> str:
        return self.prepared.problem.knowledge.rules.rule(finding.rule).judges

    def _rests_on(self, finding: Finding, found: Assessment) -> tuple[str, ...]:
        """Pieces left once all that are not needed were dropped, many at once and then one by one.

        What drops out could only make it worse: more films narrow what the press may be set to and
        keep heat away, and what is pressed later than these is no part of such a cut.
        """
        kept = tuple(found.choice.options)
        named = {p for p in kept if found.choice.films[p].id in finding.where.split()}
        size = max(1, len(kept) // 2)
        while True:
            for start in range(0, len(kept), size):
                dropped = set(kept[start : start + size])
                rest = tuple(piece for piece in kept if piece not in dropped)
                if rest and not (named and named <= dropped) and self._draws(finding, found, rest):
                    kept = rest
                    break
            else:
                if size == 1:
                    return kept
                size //= 2

    def _draws(
        self,
        finding: Finding,
        found: Assessment,
        pieces: tuple[str, ...],
        *,
        anywhere: bool = False,
    ) -> bool:
        """Whether some pieces draw a finding by themselves, pressed in the stages they have.

        Args:
            anywhere: ask it also of pieces after which others are finished.
        """
        arrangement = _arrangement_of(found, pieces, anywhere=anywhere)
        if arrangement is None:
            return False
        key = (tuple((p, found.choice.options[p].film.id) for p in pieces), arrangement,
               tuple((pair, way) for pair, way in found.choice.meets.items()
                     if set(pair) <= set(pieces)))  # fmt: skip
        if key not in self.alone:
            problem = only(self.prepared.problem, pieces)
            choice = Choice(
                {piece: found.choice.options[piece] for piece in pieces},
                {meeting.pair: found.choice.meets[meeting.pair] for meeting in problem.meetings},
            )
            by_itself = assess(problem, choice, arrangement=arrangement)
            prepared = replace(self.prepared, problem=problem)
            self.alone[key] = self._draft(prepared, by_itself)[1] if by_itself.measures else {}
        return _says(self.alone[key], finding)


def _unforeseen(prepared: PreparedJob, found: Assessment, plan: Plan) -> Drawing:
    """What a finished plan says that was not among what was weighed, by rule."""
    weighed = {finding.said for finding in found.findings}
    rules = {finding.rule for finding in found.findings}
    drawing: Drawing = {}
    for finding in plan.findings:
        judges = prepared.problem.knowledge.rules.rule(finding.rule).judges
        # A stack, or a stage's one pressure, was weighed under the same rule in other words.
        same = judges in {"stack", "schedule"} and finding.rule in rules
        if finding.severity != "note" and finding.said not in weighed and not same:
            known = drawing.get(finding.rule)
            if known is None or seriousness(finding.severity) < seriousness(known.severity):
                drawing[finding.rule] = finding
    return drawing


def _says(drawing: Drawing, finding: Finding) -> bool:
    known = drawing.get(finding.rule)
    return known is not None and seriousness(known.severity) <= seriousness(finding.severity)


def _arrangement_of(
    found: Assessment, pieces: Sequence[str], *, anywhere: bool
) -> Arrangement | None:
    """Some pieces in the presses and stages that they have, if one of them finishes last."""
    if found.grouping is None:
        return None
    groups: list[tuple[str, ...]] = []
    edges = [0]
    for stage in found.stages:
        before = len(groups)
        pressed = found.grouping.groups[stage.first : stage.last + 1]
        laid = (tuple(piece for piece in group if piece in pieces) for group in pressed)
        groups += [group for group in laid if group]
        if len(groups) > before:
            edges.append(len(groups))
        elif stage is found.stages[-1] and not anywhere:
            return None
    return Arrangement(tuple(groups), tuple(edges), fewest=False)


def _key(found: Assessment) -> object:
    """What tells one plan from another: films, ways, presses and stages."""
    groups = found.grouping.groups if found.grouping is not None else ()
    films = tuple(option.film.id for option in found.choice.options.values())
    return (
        films,
        tuple(found.choice.meets.items()),
        groups,
        tuple(stage.last for stage in found.stages),
    )
