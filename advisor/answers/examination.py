"""Examination: what heat and every rule have against a drafted plan, as cuts for the solver.

A cut names no more than what a finding rests on. Where some of the pieces alone, pressed in any
stages, draw it as well, it names these with their films and ways; otherwise the whole plan, its
presses and stages included, so that it forbids nothing that another schedule could do.
"""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from advisor.answers.plan_of_choice import plan_of_choice, priced
from advisor.answers.runs import TimedRun, late_ms, timed_runs
from advisor.heat.records import HeatRefusal
from advisor.job.records.plan import Plan
from advisor.layering.assessment import assess, finding_of_rule
from advisor.layering.flaking_last import flaking_last
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.prepared import PreparedJob
from advisor.layering.records.pressing import Arrangement
from advisor.layering.records.problem import Choice, Problem
from advisor.solver.draft import (
    late_cut,
    of_heat,
    part_cut,
    shape_cut,
    whole_cut,
    with_late,
)
from advisor.solver.leaving_out import only
from advisor.solver.records import Cut, Examine
from rules.facts.film import Film
from rules.facts.finding import Finding, seriousness

__all__ = ["Drafts"]

MOST_WEIGHED = 60
"""Pieces weighed again, all drafts together, to find fewer that draw a finding: beyond, planning
again tells more."""

Drawing = dict[str, tuple[Finding, ...]]
"""What finished steps show beyond what was weighed before: by rule, the most serious first."""


@dataclass(frozen=True, slots=True)
class Drafts:
    """Every plan that was drafted on the way to the best, with its steps and all findings.

    Attributes:
        plans: by what tells them apart, at what they come to with all that was found.
        alone: what some of the pieces draw by themselves, so that it is asked once.
        columns: the pieces over one another where heat refuses a bond line, by its finding.
        spoilt: by piece, the films that a fabric was found to spoil in some press.
        always: what every plan was found to draw, before any was drafted.
        deadline: of ``time.monotonic``; past it cuts name the whole plan, which is also enough
            where nothing but its schedule is open.
    """

    prepared: PreparedJob
    plans: dict[object, Plan] = field(default_factory=dict)
    alone: dict[object, Drawing] = field(default_factory=dict)
    columns: dict[object, tuple[str, ...]] = field(default_factory=dict)
    spoilt: dict[str, set[str]] = field(default_factory=dict)
    always: tuple[Cut, ...] = ()
    deadline: float = math.inf

    def examine(self, found: Assessment) -> tuple[Cut, ...]:
        """What heat and the rules have against a plan beyond what was weighed before."""
        drafted, drawing = self._draft(self.prepared, found)
        cuts: list[Cut] = []
        for findings in drawing.values():
            if findings[0].severity == "stop":
                cuts += self._stop_cuts(findings[0], found)
            else:
                cuts += self._sample_cuts(findings, found)
        if drafted is not None:
            plan, runs = drafted
            ms = late_ms(runs, found)
            if ms:
                cuts.append(late_cut(found, ms))
            counted = with_late(self.prepared.problem, found, cuts)
            self.plans[_key(found)] = priced(plan, self.prepared, counted, runs)
        return tuple(cuts)

    def examine_of(self, repaired: Problem) -> Examine:
        """What examines the plans of the same job with its problem changed."""
        prepared = replace(self.prepared, problem=repaired)
        return Drafts(prepared, always=self.always, deadline=self.deadline).examine

    def of(self, found: Assessment) -> Plan:
        """The draft of a choice that was examined and may be pressed."""
        return self.plans[_key(found)]

    def _draft(
        self, prepared: PreparedJob, found: Assessment, *, as_cut: bool = True
    ) -> tuple[tuple[Plan, tuple[TimedRun, ...]] | None, Drawing]:
        last = flaking_last(prepared.problem, found)
        runs = timed_runs(prepared, last)
        if isinstance(runs, HeatRefusal):
            where = f"{runs.film.id} on {runs.below}"
            refusal = finding_of_rule(prepared.problem, runs.rule, "stop", runs.message, where)
            self.columns[refusal.said] = tuple(runs.column)
            return None, {refusal.rule: (refusal,)}
        plan = plan_of_choice(prepared, last, runs, as_cut=as_cut)
        return (plan, runs), _unforeseen(found, plan)

    def _stop_cuts(self, finding: Finding, found: Assessment) -> tuple[Cut, ...]:
        """The plan itself, and what it seems to rest on: presses of other pieces warm a line too.

        So what some pieces draw by themselves is a guess where the order of the presses counts; and
        what a fabric does to a film pressed on it may well be the same in every press, as long as
        another film is left to take.
        """
        cut = self._spoilt_anywhere(finding, found) or self._cut(finding, found)
        if cut.certain and (cut.presses or not cut.stages):
            return (cut,)
        whole = whole_cut(finding, found)
        by_heat = finding.said in self.columns
        return (replace(cut, certain=False), of_heat(whole, found) if by_heat else whole)

    def _spoilt_anywhere(self, finding: Finding, found: Assessment) -> Cut | None:
        """A guess that the films which a finding names suit the fabric in no press."""
        if self._judges(finding) != "film_on_fabric":
            return None
        named = [p for p in self._named(finding, found) if p in found.on_fabric]
        for piece in named:
            spoilt = self.spoilt.setdefault(piece, set())
            spoilt.add(found.choice.options[piece].name)
            if spoilt >= {one.name for one in self.prepared.problem.piece(piece).options}:
                return None
        return replace(part_cut(finding, found, named, anywhere=True), certain=False)

    def _cut(self, finding: Finding, found: Assessment) -> Cut:
        """The finding, named by as few pieces as draw it by themselves."""
        if time.monotonic() > self.deadline:
            return whole_cut(finding, found)
        if finding.drawn_by:
            cut = part_cut(finding, found, finding.drawn_by, coloured=False)
            return replace(cut, meets=(), followed=True)
        if self._judges(finding) == "schedule":
            # Steps may show it in one order only, so the order is named unless one film will do.
            for piece in found.choice.options:
                if self._draws(finding, found, (piece,), anywhere=True):
                    return part_cut(finding, found, (piece,), anywhere=True)
            return whole_cut(finding, found)
        if self._judges(finding) == "artwork":
            # What windows and gaps leave of a piece is the same in whatever press it goes down.
            named = found.choice.options.keys() & finding.where.split()
            return shape_cut(self.prepared.problem, finding, found, named)
        if self._judges(finding) == "bond_line" and finding.severity == "sample":
            # Every tack of other pieces warms a bond line too, so other presses may not want it.
            return of_heat(whole_cut(finding, found), found)
        kept = self._rests_on(finding, found)
        if self._judges(finding) == "film_on_fabric":
            kept = self._with_what_lies_between(kept)
        if len(kept) == len(found.choice.options):
            return whole_cut(finding, found)
        return part_cut(finding, found, kept, coloured=self._judges(finding) != "bond_line")

    def _sample_cuts(self, findings: Sequence[Finding], found: Assessment) -> list[Cut]:
        """A cut for each of a rule's findings, each with a cause of its own, so that all count.

        What some pieces draw by themselves every plan with them draws as often in the same place;
        steps are no places that stay, so for these only how often counts. What is left over counts
        in this plan alone.
        """
        said = {finding.said for finding in findings}
        cuts = {cut.cause: cut for cut in self.always if cut.cause in said}
        guesses: list[Cut] = []
        for finding in findings:
            if finding.said in cuts:
                continue
            cut = self._cut(finding, found)
            where = "" if self._judges(finding) == "schedule" else finding.where
            often = 0 if cut.presses else self._draws_often(finding, findings, found, cut)
            causes = [(finding.rule, where, str(n)) for n in range(often)]
            free = next((cause for cause in causes if cause not in cuts), None)
            if free is None:
                cut = cut if cut.presses else whole_cut(finding, found)
                free = ("this plan", finding.rule, str(len(cuts)))
            cuts[free] = replace(cut, cause=free)
            guess = self._sampled_anywhere(finding, found, cut) or self._too_deep(finding, found)
            if guess is not None:
                guesses.append(replace(guess, cause=free))
        return [*cuts.values(), *guesses]

    def _sampled_anywhere(self, finding: Finding, found: Assessment, cut: Cut) -> Cut | None:
        """A guess that what a fabric does to a film it does in every plan, and to hotter films."""
        if self._judges(finding) != "film_on_fabric" or len(cut.pieces) < 2:
            return None
        named = [piece for piece in cut.pieces if piece in self._named(finding, found)]
        if not named:
            return None
        piece, taken = named[-1], found.choice.films[named[-1]]

        def as_hot(film: Film) -> bool:
            cooler = film.setpoint_c.low < taken.setpoint_c.low
            return not cooler and film.blocks_dye == taken.blocks_dye

        return self._guess(finding, found, {piece: as_hot})

    def _too_deep(self, finding: Finding, found: Assessment) -> Cut | None:
        """A guess that what lies so deep under a film wants a full press before that film's own."""
        if self._judges(finding) != "bond_line":
            return None
        films = found.choice.films
        stage = {piece: k for k, one in enumerate(found.stages) for piece in one.finishes}
        named = set(self._named(finding, found))
        over = [
            (films[above].thickness_um, piece, above)
            for (above, piece), way in found.choice.meets.items()
            if piece in named and way == "lap"
            and stage[piece] == stage[above] == len(found.stages) - 1
        ]  # fmt: skip
        if not over:
            return None
        thick_um, piece, above = max(over)
        alike = {
            piece: lambda film: film.setpoint_c.low >= films[piece].setpoint_c.low,
            above: lambda film: film.thickness_um >= thick_um,
        }
        guess = self._guess(finding, found, alike)
        return replace(guess, stages=((piece, 0), (above, 0)))

    def _guess(
        self, finding: Finding, found: Assessment, alike: Mapping[str, Callable[[Film], bool]]
    ) -> Cut:
        """A guess that a finding is drawn whatever is chosen, of what is like the films here."""
        named = []
        for piece, like in alike.items():
            options = self.prepared.problem.piece(piece).options
            films = (found.choice.films[piece], *(option.film for option in options))
            named.append((piece, tuple(dict.fromkeys(film.id for film in films if like(film)))))
        return replace(
            part_cut(finding, found, (), anywhere=True), alike=tuple(named), certain=False
        )

    def _draws_often(
        self, finding: Finding, findings: Sequence[Finding], found: Assessment, cut: Cut
    ) -> int:
        """How often the pieces of a cut draw a finding of these by themselves."""
        if self._judges(finding) == "artwork":
            return sum(one.where == finding.where for one in findings)
        pieces = cut.pieces
        drawing = self._drawing(found, pieces, anywhere=not cut.stages or cut.followed)
        return sum(self._same(one, finding) for one in drawing.get(finding.rule, ()))

    def _same(self, one: Finding, finding: Finding) -> bool:
        """Whether a finding of the same rule is as bad as another, and no other than that one."""
        return seriousness(one.severity) <= seriousness(finding.severity) and (
            finding.severity == "stop"
            or self._judges(finding) == "schedule"
            or one.where == finding.where
        )

    def _judges(self, finding: Finding) -> str:
        """What a finding is about; what evidence says in its own name, the finished plan."""
        rule = self.prepared.problem.knowledge.rules.by_id.get(finding.rule)
        return rule.judges if rule is not None else "schedule"

    def _rests_on(self, finding: Finding, found: Assessment) -> tuple[str, ...]:
        """Pieces left once all that are not needed were dropped, many at once and then one by one.

        What drops out could only make it worse: more films narrow what the press may be set to and
        keep heat away, and what is pressed later than these is no part of such a cut. The pieces
        under a refused bond line, or those of the films that are named, most often do by
        themselves.
        """
        kept, named = tuple(found.choice.options), set(self._named(finding, found))
        there = set(self.columns.get(finding.said, named))
        suspected = tuple(piece for piece in kept if piece in there)
        if 0 < len(suspected) < len(kept) and self._draws(finding, found, suspected):
            kept = suspected
        size, weighed = max(1, len(kept) // 2), 0
        while weighed < MOST_WEIGHED and time.monotonic() < self.deadline:
            for start in range(0, len(kept), size):
                dropped = set(kept[start : start + size])
                rest = tuple(piece for piece in kept if piece not in dropped)
                if not rest or (named and named <= dropped):
                    continue
                weighed += len(rest)
                if weighed > MOST_WEIGHED:
                    break
                if self._draws(finding, found, rest):
                    kept = rest
                    break
            else:
                if size == 1:
                    return kept
                size //= 2
        return kept

    def _named(self, finding: Finding, found: Assessment) -> list[str]:
        """The pieces that a finding names, by themselves or by their films."""
        said = set(finding.where.split())
        return [p for p, film in found.choice.films.items() if said & {p, film.id}]

    def _with_what_lies_between(self, kept: tuple[str, ...]) -> tuple[str, ...]:
        """Pieces over one another with all that may lie under the top one where least does.

        What is knocked out between them in one plan may block a dye in another.
        """
        piles = [
            place.stack[: max(map(place.stack.index, kept)) + 1]
            for place in self.prepared.problem.print.places
            if len(kept) > 1 and set(kept) <= set(place.stack)
        ]
        needed = {*kept, *min(piles, key=len, default=())}
        order = (piece.piece.id for piece in self.prepared.problem.pieces)
        return tuple(piece for piece in order if piece in needed)

    def _draws(
        self,
        finding: Finding,
        found: Assessment,
        pieces: tuple[str, ...],
        *,
        anywhere: bool = False,
    ) -> bool:
        """Whether some pieces draw a finding by themselves, as `_drawing` has them."""
        drawing = self._drawing(found, pieces, anywhere=anywhere)
        return any(self._same(one, finding) for one in drawing.get(finding.rule, ()))

    def _drawing(
        self, found: Assessment, pieces: tuple[str, ...], *, anywhere: bool = False
    ) -> Drawing:
        """What some pieces draw by themselves, pressed in the stages that they have.

        Args:
            anywhere: ask it also of pieces after which others are finished.
        """
        arrangement = _arrangement_of(found, pieces, anywhere=anywhere)
        if arrangement is None:
            return {}
        key = (tuple((p, found.choice.options[p].name) for p in pieces), arrangement,
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
            self.alone[key] = (
                self._draft(prepared, by_itself, as_cut=False)[1] if by_itself.measures else {}
            )
        return self.alone[key]


def _unforeseen(found: Assessment, plan: Plan) -> Drawing:
    """What a finished plan says that was not among what was weighed, by rule."""
    said = {finding.said for finding in plan.findings}
    weighed = {finding.said: seriousness(finding.severity) for finding in found.findings}
    # A stack, or a stage's one pressure, may be weighed under the same rule in other words.
    otherwise = [one for one in found.findings if one.said not in said and one.severity != "note"]
    drawing: Drawing = {}
    for finding in plan.findings:
        as_weighed = weighed.get(finding.said)
        if finding.severity == "note" or (
            as_weighed is not None and as_weighed <= seriousness(finding.severity)
        ):
            continue
        reworded = next((one for one in otherwise if _is_as_bad(one, finding)), None)
        if reworded is not None:
            otherwise.remove(reworded)
        else:
            drawing[finding.rule] = (*drawing.get(finding.rule, ()), finding)
    return drawing


def _is_as_bad(one: Finding, finding: Finding) -> bool:
    """Whether a finding is of the same rule as another and no less serious."""
    return one.rule == finding.rule and seriousness(one.severity) <= seriousness(finding.severity)


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
    films = tuple(option.name for option in found.choice.options.values())
    return (
        films,
        tuple(found.choice.meets.items()),
        groups,
        tuple(stage.last for stage in found.stages),
    )
