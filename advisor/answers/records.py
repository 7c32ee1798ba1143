"""Records of the answers wing: what each question is answered with."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import Field, computed_field

from advisor.job.records.job import Prefer
from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import BondLineResult, Change, Clash, Plan
from rules.facts.basis import Basis
from rules.facts.fact import Record
from rules.facts.finding import Finding, Severity, Verdict
from rules.facts.step import Meets, Step
from rules.facts.text import Text
from rules.facts.trial import SeenHere

__all__ = [
    "GIVEN", "LISTING_LIMIT_S", "LOOK_LIMIT_S", "PROOF_LIMIT_S", "Answer", "Answered",
    "BetterStack", "CheckReport", "LikelyCause", "LookAnswer", "OtherPlan", "OtherWay", "PlanEdit",
    "PressMargin", "Refused", "Reordered", "Since", "WhyFailed",
]  # fmt: skip


GIVEN = 5
"""Choices of films that a look gives unless more are asked for."""

PROOF_LIMIT_S = 20.0
"""How long the best plan is looked for, s, unless more or less is asked for."""

LOOK_LIMIT_S, LISTING_LIMIT_S = 5.0, 60.0
"""How long the best few, or every way, are weighed at most, seconds of the processor, unless asked
otherwise: so the answer is the same whatever else the computer does."""


class CheckReport(Record):
    """A verdict with every finding, and the steps that were judged.

    Attributes:
        colours: the colour that each piece was judged in.
        meets: how each film of a typed stack meets the one below, bottom first.
        steps_given: whether the steps came with the stack; otherwise these are the best that we
            can give it.
        told_anew: whether they are an edited plan's, whose sentences were made for others.
        notes: what is worth a look in a plan file beside what rules find.
    """

    verdict: Verdict
    findings: tuple[Finding, ...]
    bond_lines: tuple[BondLineResult, ...]
    fabric: str
    press: str
    films: tuple[str, ...]
    pieces: tuple[str, ...]
    colours: tuple[str, ...]
    meets: tuple[Meets, ...] = ()
    steps: tuple[Step, ...]
    steps_given: bool = False
    told_anew: bool = Field(default=False, exclude=True)
    notes: tuple[Text, ...] = ()

    @computed_field  # type: ignore[prop-decorator]
    @property
    def evidence(self) -> tuple[SeenHere, ...]:
        """What the shop's own trials say of the bond lines, each once."""
        return tuple(dict.fromkeys(line.tried for line in self.bond_lines if line.tried))


class BetterStack(Record):
    """A stack that fares better than one that was asked about.

    Attributes:
        said: the one change that makes it of the other.
        films: bottom first, each as its id or as ``ID:colour``.
        meets: how each film meets the one below, bottom first.
    """

    said: Text
    films: tuple[str, ...]
    meets: tuple[Meets, ...]
    verdict: Verdict


class OtherWay(Record):
    """Another way of laying the films of an answer.

    Attributes:
        verdict: ``None`` where no rule on films and joints stops it, and heat was not weighed.
    """

    films: tuple[str, ...]
    colours: tuple[str, ...]
    meets: tuple[Meets, ...]
    verdict: Verdict | None = None


class Answer(Record):
    """One choice of films that gives the look, laid as well as it can be.

    Attributes:
        films: bottom first, as the look is seen; with an ``inset-under`` the film in front is
            pressed first and the one behind laps over its edge.
        meets: how each neighbouring pair meets, bottom first.
        press_order: the films in the order in which they go down.
        setpoints_c: the setpoint of each finishing stage, °C; ``finished_together`` the films that
            it finishes.
        reason: how the films lie and what finishes them, in one line.
        others: the same films in other orders and ways, the likeliest first.
    """

    films: tuple[str, ...]
    colours: tuple[str, ...]
    finishes: tuple[str, ...]
    meets: tuple[Meets, ...]
    verdict: Verdict
    reason: Text = Text()
    finished_together: tuple[tuple[str, ...], ...] = Field(exclude=True)
    findings: tuple[Finding, ...]
    press_order: tuple[tuple[str, ...], ...]
    setpoints_c: tuple[float, ...]
    dwells_s: tuple[float, ...]
    thickness_um: int
    minutes: float
    cost: float
    others: tuple[OtherWay, ...] = ()


class Refused(Record):
    """A way that the rules refuse: which rule, and what would change its mind."""

    films: tuple[str, ...]
    meets: tuple[Meets, ...]
    verdict: Verdict = "stop"
    rule: str
    reason: Text
    instead: Text
    findings: tuple[Finding, ...]


class LookAnswer(Record):
    """The best choices of films, best first, and what is refused.

    Attributes:
        size_mm: width and height of the print that is judged; ``size_assumed`` where none was said.
        refused: each pair and way that the rules stop, and what was weighed and has no schedule.
        counted: ways that the rules on films and joints let stand; ``film_sets`` choices of films
            that have one.
        listed: ways that are given here; ``complete`` tells whether all were listed.
        weighed: ways that were weighed to their end, heat and every rule; ``proved`` tells whether
            no other can be better than what is given, or time ran out before that was known.
    """

    finishes: tuple[str, ...]
    fabric: str
    press: str
    size_mm: tuple[float, float]
    size_assumed: bool
    prefer: Prefer
    answers: tuple[Answer, ...]
    refused: tuple[Refused, ...]
    counted: int
    film_sets: int
    listed: int
    complete: bool = Field(description="whether every way was listed")
    weighed: int = 0
    proved: bool = True


class OtherPlan(Record):
    """Another plan, the best of its kind; its sentences are put in by ``advisor.words``.

    Attributes:
        differs: what is different from the plan; ``gains`` and ``loses``: what that brings.
        optimal: proved to be the best that differs so.
    """

    differs: tuple[Text, ...] = ()
    gains: tuple[Text, ...] = ()
    loses: tuple[Text, ...] = ()
    optimal: bool
    plan: Plan


class NextBest(Record):
    """What would be pressed were one piece not of the film that the plan gives it.

    Attributes:
        piece: its id.
        other: the best plan with another film for it; ``None`` where no other can be.
        said: that in a clause about the piece, put in by ``advisor.words``.
    """

    piece: str
    other: OtherPlan | None
    said: Text = Text()


class Answered(Record):
    """The answer to a *why not*.

    Attributes:
        possible: whether it can be; ``None`` where time ran out first.
        said: the answer in plain sentences.
        stands_against: the rules and wishes that forbid it, none to spare.
        repair: the smallest change with which it could be.
        gains: what the best plan with it has over the plan; ``loses``: what it costs.
        plan: that plan, where it can be.
    """

    question: str
    possible: bool | None
    said: Text = Text()
    stands_against: tuple[Clash, ...] = ()
    repair: tuple[Change, ...] = ()
    differs: tuple[Text, ...] = ()
    gains: tuple[Text, ...] = ()
    loses: tuple[Text, ...] = ()
    plan: Plan | None = None


class Since(Record):
    """One thing that is not as it was when a job was pressed.

    Attributes:
        kind: ``gone`` (a film, a fabric, a garment or a press that the shelf has no more, or a
            film's colour), ``anew`` (a print whose films are gone, planned in others), ``unread``
            (the plan, of an older Presslore), ``quantity`` (garments then and now, where the job
            is planned in the same films), ``price``, ``value`` (any other of a thing's values),
            ``rule`` (what a rule says now and did not then) or ``silent`` (what a rule said then
            and says no more).
        what: the thing by id, or the rule.
        field: the value by name.
        was, now: the value as it was and as it is, as plain data.
        severity: of what the rule says.
        where: the place that the rule speaks of.
        message: it all in a sentence, put in by ``advisor.words``.
    """

    kind: Literal["gone", "anew", "unread", "quantity", "price", "value", "rule", "silent"]
    what: str
    field: str = ""
    was: Any = None
    now: Any = None
    severity: Severity | None = None
    where: Text = Text()
    message: Text = Text()


class Reordered(Record):
    """A job that was pressed before, planned as it was.

    Attributes:
        pressed_on: the day, as it is told.
        plan: as it was pressed, judged by what is known now; ``None`` where something that it
            needs is gone. ``order`` the whole of it where a garment has several prints.
        since: what is not as it was.
        said: what is done with it, in a sentence, put in by ``advisor.words``.
    """

    pressed_on: str
    said: Text = Text()
    plan: Plan | None
    order: OrderPlan | None = None
    since: tuple[Since, ...]


class PlanEdit(Record):
    """One thing of a plan done otherwise.

    Attributes:
        what: a value by its name, ``tack_s``, ``preheat_s`` and ``wait_s`` (before a peel) told
            apart from the ``dwell_s`` of a full press; ``reset`` (the pressure set again),
            ``peel_first`` (tacked and peeled before the long press) or ``finish`` (a full press
            added).
        steps: as they are numbered in the plan that was asked about.
        was: the value as it was, if there was one.
    """

    what: Literal[
        "setpoint_c", "dwell_s", "tack_s", "wait_s", "preheat_s", "pressure_kpa", "trap_mm",
        "cover", "pad", "film", "reset", "peel_first", "finish",
    ]  # fmt: skip
    steps: tuple[int, ...] = ()
    pieces: tuple[str, ...] = ()
    was: float | str | None = None
    to: float | str | None = None


class PressMargin(Record):
    """How far one thing of a plan is from where a rule begins to object.

    Attributes:
        amount: to spare; below nought, so much amiss.
        spread: by how much a press or a hand is off unnoticed, in the same unit.
    """

    amount: float
    unit: str
    spread: float


class LikelyCause(Record):
    """One thing that a fault may come from, as far as a plan tells.

    Attributes:
        cause: what went wrong, put in by ``advisor.words`` like ``change``.
        cure: the kind of change that undoes it; empty where no plan says what went wrong.
        rule: that objects, or would first; empty where it is practice alone.
        severity: of what the rule finds in the plan as it was pressed; ``None`` where it is content
            and only has little to spare.
        message: what it finds.
        look_at: what tells this cause from the others.
        change: what to do otherwise; ``edits`` are the same as values.
        proved: the plan so changed was judged: the rule no longer objects, and no other does more.
        brings: the rules that object more to the plan so changed, by id.
    """

    cause: Text = Text()
    cure: str = ""
    rule: str = ""
    severity: Severity | None = None
    message: Text = Text()
    margin: PressMargin | None = None
    look_at: Text
    change: Text = Text()
    edits: tuple[PlanEdit, ...] = ()
    proved: bool = False
    brings: tuple[str, ...] = ()
    basis: Basis = "practice"


class WhyFailed(Record):
    """What a fault may come from, the likeliest first.

    Attributes:
        seen: the fault as a person sees it.
        job, fabrics, press: what was asked about.
    """

    fault: str
    seen: Text
    job: str
    fabrics: tuple[str, ...]
    press: str
    causes: tuple[LikelyCause, ...]
