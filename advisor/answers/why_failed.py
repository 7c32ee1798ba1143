"""Why failed: what a fault may come from, worked out from the very plan that was pressed.

Each cause that the trade knows for a fault names the rules whose breach shows as it and the change
that would still them (`rules.book.faults`). The plan is judged as it was pressed, and again with
each change: the more serious what a change stills, the likelier is the slip that it undoes. Where
the rules are content, it is asked how little more it would have taken until one objects, beside
what a press or a hand is off unnoticed.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from advisor.answers.given_steps import fingerprint
from advisor.answers.judge_plan import judge_plan
from advisor.answers.records import LikelyCause, PressMargin, WhyFailed
from advisor.answers.remedies.films import other_films, wider_traps
from advisor.answers.remedies.handling import HANDLING
from advisor.answers.remedies.remedy import Changed, Remedy
from advisor.answers.remedies.settings import SETTINGS
from advisor.job.records.plan import Plan
from rules.book.faults import FAULTS, Cause, Cure
from rules.errors import UnknownNameError
from rules.facts.finding import Finding, Severity, worst_first
from rules.facts.text import Text
from rules.knowledge import Knowledge

__all__ = ["why_failed"]

WEIGHS: Mapping[Severity, float] = {"stop": 9.0, "sample": 3.0, "note": 1.0}
"""How much a finding speaks for the cause that it objects to; generic."""

UNPROVED = 0.5
"""What a cause weighs whose cure cannot be proved, as a share; generic."""

DONE_OR_NOT: frozenset[Cure] = frozenset(("film", "pad", "cover", "reset", "peel-first", "finish"))
"""The cures of what is wrong only where it was left out; a setting is wrong to either side."""

SPREADS = 4.0
"""So many spreads from a rule's limit a cause is no longer likely; generic."""

UNTOLD = 0.5
"""What a cause weighs that no plan tells of: as one that is a spread away from a rule's limit."""


def why_failed(plan: Plan, fault: str, *, knowledge: Knowledge) -> WhyFailed:
    """The likely causes of a fault in what a plan pressed, the likeliest first, each with its cure.

    Args:
        plan: as it was pressed, so with its steps edited where they were done otherwise.
        fault: of `rules.book.faults.FAULTS`.

    Raises:
        BadInputError: the plan has no steps, or its parts do not fit one another.
        UnknownNameError: it is no fault, or the plan names what is not on the shelf.
    """
    if fault not in FAULTS:
        raise UnknownNameError("fault", fault, FAULTS)
    # What the shop has seen fail is what is asked about, and no reason for it.
    pressed = _PressedPlan(plan, replace(knowledge, evidence=()))
    causes = FAULTS[fault].causes
    objected = {cause: pressed.objected(cause) for cause in causes}
    # What a stop explains needs no press that was off unnoticed.
    explained = any(one.cause.severity == "stop" for of in objected.values() for one in of)
    weighed: list[_Weighed] = []
    for cause in causes:
        if cause.cure is None:
            weighed.append(_untold(cause))
        else:
            weighed += objected[cause] or (() if explained else pressed.nearly(cause))
    likeliest = sorted(weighed, key=lambda one: -one.weight)
    return WhyFailed(
        fault=fault,
        seen=Text(FAULTS[fault].seen),
        job=plan.job,
        fabrics=tuple(dict.fromkeys(name for run in plan.runs for name in run.fabrics)),
        press=plan.press,
        causes=tuple(_each_cure_once(one.cause for one in likeliest)),
    )


@dataclass(frozen=True)
class _Weighed:
    weight: float
    cause: LikelyCause


def _untold(cause: Cause) -> _Weighed:
    return _Weighed(
        UNTOLD,
        LikelyCause(
            cause=Text(cause.slip), look_at=Text(cause.look_at), change=Text(cause.instead)
        ),
    )


def _each_cure_once(causes: Iterable[LikelyCause]) -> Iterator[LikelyCause]:
    """Without those whose cure is that of a likelier one: they are the same slip."""
    told = set()
    for cause in causes:
        if not cause.edits or cause.edits not in told:
            told.add(cause.edits)
            yield cause


class _PressedPlan:
    """A plan as it was pressed, and what rules find in it when it is changed."""

    def __init__(self, plan: Plan, knowledge: Knowledge) -> None:
        self.plan, self.knowledge = plan, knowledge
        self._known: dict[str, tuple[Finding, ...]] = {}
        self.found = self._judged(plan)

    def _judged(self, plan: Plan) -> tuple[Finding, ...]:
        key = f"{fingerprint(plan)} {[joint.trap_mm for joint in plan.joints]}"
        if key not in self._known:
            self._known[key] = judge_plan(plan, self.knowledge)[0]
        return self._known[key]

    def objected(self, cause: Cause) -> tuple[_Weighed, ...]:
        """The cause at each place of the plan where one of its rules objects to it."""
        objecting = [one for one in self.found if one.rule in cause.rules]
        if not objecting:
            return ()
        stilling = [self._stilling(cause, remedy) for remedy in self._remedies(cause)]
        found = tuple(one for one in stilling if one is not None)
        serious = any(one.severity != "note" for one in objecting)
        if not found and serious and cause.cure in DONE_OR_NOT:
            # Nothing on the shelf does better; a setting that nothing stills is not to blame.
            return (self._weighed(cause, Remedy(()), None, _weights(objecting)),)
        return found

    def nearly(self, cause: Cause) -> tuple[_Weighed, ...]:
        """The cause at each place where a press or a hand may have been off unnoticed."""
        nearly = (self._nearly(cause, remedy) for remedy in self._remedies(cause))
        return tuple(one for one in nearly if one is not None)

    def _remedies(self, cause: Cause) -> Iterator[Remedy]:
        match cause.cure:
            case "film":
                return other_films(self.plan, self.knowledge)
            case "trap":
                return wider_traps(self.plan)
            case None:
                return iter(())
        return {**SETTINGS, **HANDLING}[cause.cure](self.plan, self.knowledge.catalogue)

    def _stilling(self, cause: Cause, remedy: Remedy) -> _Weighed | None:
        """The cause where a change stills some of what its rules find: the first that stills most.

        One after which some other rule finds more that is worse than a note is no cure.
        """
        best: tuple[bool, float, Changed | None] = (False, 0.0, None)
        for way in remedy.ways:
            found = self._judged(way.plan)
            cures, weight = not self._brings(way), sum(self._stilled(cause, found).values())
            if weight and (cures, weight) > best[:2]:
                best = (cures, weight, way)
        cure = best[2]
        if cure is None:
            return None
        return self._weighed(cause, remedy, cure, self._stilled(cause, self._judged(cure.plan)))

    def _weighed(
        self, cause: Cause, remedy: Remedy, cure: Changed | None, stilled: Mapping[str, float]
    ) -> _Weighed:
        """The cause with the change that stills so much, if there is one."""
        rule = max(cause.rules, key=lambda name: stilled.get(name, 0.0))
        worst = worst_first(one for one in self.found if one.rule == rule)[0]
        brings = self._brings(cure) if cure else ()
        likely = LikelyCause(
            cure=cause.cure or "",
            rule=rule,
            severity=worst.severity,
            message=worst.message,
            margin=_missed_by(cure, remedy) if cure else None,
            look_at=Text(cause.look_at),
            change=Text() if cure else worst.instead,
            edits=cure.edits if cure else (),
            proved=cure is not None and not brings and not self._still_objects(rule, cure),
            brings=brings,
            basis=worst.basis,
        )
        weight = sum(stilled.values()) * (1.0 if cure and not brings else UNPROVED)
        return _Weighed(1.0 + weight + remedy.off / 2, likely)

    def _brings(self, way: Changed) -> tuple[str, ...]:
        """The rules that find more that is worse than a note once it is done so."""
        was, now = (
            _sums(one for one in found if one.severity != "note")
            for found in (self.found, self._judged(way.plan))
        )
        return tuple(rule for rule in now if now[rule] > was[rule])

    def _still_objects(self, rule: str, cure: Changed) -> bool:
        left = self._judged(cure.plan)
        return any(one.rule == rule and one.severity != "note" for one in left)

    def _stilled(self, cause: Cause, found: Iterable[Finding]) -> Mapping[str, float]:
        """What a rule's findings weighed at their worst, by the share of them all that is gone."""
        was, now = _sums(self.found), _sums(found)
        weights = _weights(one for one in self.found if one.rule in cause.rules)
        gone = {rule: weights[rule] * (1 - now[rule] / was[rule]) for rule in weights}
        return {rule: weight for rule, weight in gone.items() if weight > 0}

    def _nearly(self, cause: Cause, remedy: Remedy) -> _Weighed | None:
        """The cause with how far off it may have been before one of its rules objects."""
        if remedy.worse is None or remedy.spread <= 0:
            return None
        much = int(SPREADS * remedy.spread)
        if not self._objects_more(cause, remedy, much):
            return None
        to_spare = 0
        while much - to_spare > 1:
            by = (to_spare + much) // 2
            if self._objects_more(cause, remedy, by):
                much = by
            else:
                to_spare = by
        rule = self._objects_more(cause, remedy, much)
        return _Weighed(
            1 / (1 + to_spare / remedy.spread) + remedy.off / 2,
            LikelyCause(
                cure=cause.cure or "",
                rule=rule,
                margin=PressMargin(amount=to_spare, unit=remedy.unit, spread=remedy.spread),
                look_at=Text(cause.look_at),
                basis=self.knowledge.rules.rule(rule).basis,
            ),
        )

    def _objects_more(self, cause: Cause, remedy: Remedy, by: float) -> str:
        """The first of the cause's rules that objects more if it was off by so much; or nothing."""
        if remedy.worse is None:
            return ""
        was, now = _sums(self.found), _sums(self._judged(remedy.worse(by)))
        return next((rule for rule in cause.rules if now[rule] > was[rule]), "")


def _missed_by(way: Changed, remedy: Remedy) -> PressMargin | None:
    """How far the value that a change sets was amiss."""
    [first, *_] = way.edits
    if not remedy.unit or not isinstance(first.was, float) or not isinstance(first.to, float):
        return None
    return PressMargin(amount=-abs(first.to - first.was), unit=remedy.unit, spread=remedy.spread)


def _weights(found: Iterable[Finding]) -> dict[str, float]:
    """By rule, what the worst of its findings weighs."""
    weights: dict[str, float] = defaultdict(float)
    for one in found:
        weights[one.rule] = max(weights[one.rule], WEIGHS[one.severity])
    return dict(weights)


def _sums(found: Iterable[Finding]) -> Counter[str]:
    """By rule, what its findings weigh together."""
    sums: Counter[str] = Counter()
    for one in found:
        sums[one.rule] += WEIGHS[one.severity]  # type: ignore[assignment]
    return sums
