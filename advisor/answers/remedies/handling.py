"""Remedies of the hand: peels, covers, pads, and presses that were left out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import partial

from advisor.answers.records import PlanEdit
from advisor.answers.remedies.remedy import Changed, Remedy, edit, films_of, with_set, with_steps
from advisor.job.records.plan import Plan
from rules.book.faults import Cure
from rules.catalogue import Catalogue
from rules.facts.film import Film, Peel
from rules.facts.practice import COOLS_OFF_PRESS, LONGEST_TACK_S, PEEL_WAIT_S, TACK_S
from rules.facts.sheet import cover_for
from rules.facts.step import Step

__all__ = ["HANDLING", "peels_in_time"]

MISSED_WAIT_S = 5.0
"""By how much a wait is off, s. Common practice, no source."""


def _waits(plan: Plan, known: Catalogue, *, up: bool) -> Iterator[Remedy]:
    """The wait before each peel, as long as the carriers that come off want."""
    films = films_of(plan, known)
    for at, step in enumerate(plan.steps):
        how = _peels(step, films)
        if how is None:
            continue
        now_s = _waited_s(plan, at)
        helps = _is_early(plan, at, how) if up else now_s > PEEL_WAIT_S[how] == 0
        way = Changed(_waited(plan, at, how), (_wait_told(plan, at, how),))
        worse = partial(_cut_short, plan, at, how) if up and now_s > 0 else None
        yield Remedy((way,) if helps else (), worse, unit="s", spread=MISSED_WAIT_S)


def _is_early(plan: Plan, at: int, how: Peel) -> bool:
    """Whether a peel comes before its carrier has cooled, or is told to be another."""
    return _waited_s(plan, at) < PEEL_WAIT_S[how] or (plan.steps[at].peel or how) != how


def _wait_told(plan: Plan, at: int, how: Peel) -> PlanEdit:
    return edit(plan, "wait_s", [at], _waited_s(plan, at), PEEL_WAIT_S[how])


def _peels(step: Step, films: Mapping[str, Film]) -> Peel | None:
    """How the carriers that a step peels want it: as the slowest of them."""
    hows = [films[piece].peel for piece in step.pieces if films[piece].carrier_um > 0]
    if step.action != "peel" or not hows:
        return None
    return max(hows, key=lambda how: PEEL_WAIT_S[how])


def _waited_s(plan: Plan, at: int) -> float:
    """Seconds since the press opened before the step at that position, s."""
    waited_s = 0.0
    for step in reversed(plan.steps[:at]):
        if step.action in {"press", "preheat"}:
            break
        waited_s += (step.dwell_s or 0.0) if step.action == "wait" else 0.0
    return waited_s


def _cut_short(plan: Plan, at: int, how: Peel, by_s: float) -> Plan:
    return _waited(plan, at, how, to_s=max(0.0, _waited_s(plan, at) - by_s))


def _waited(plan: Plan, at: int, how: Peel, *, to_s: float | None = None) -> Plan:
    """The plan with so long a wait before a peel, or as long as that peel wants."""
    peel, before = plan.steps[at], list(plan.steps[:at])
    more_s = (PEEL_WAIT_S[how] if to_s is None else to_s) - _waited_s(plan, at)
    if before and before[-1].action == "wait":
        more_s += before.pop().dwell_s or 0.0
    if more_s > 0:
        off = how in COOLS_OFF_PRESS
        before.append(Step(n=1, run=peel.run, action="wait", dwell_s=more_s, off_press=off))
    return with_steps(plan, (*before, peel.model_copy(update={"peel": how}), *plan.steps[at + 1 :]))


def peels_in_time(changed: Changed, known: Catalogue) -> Changed:
    """The same with each carrier that would come off too early peeled as its film wants."""
    films = films_of(changed.plan, known)
    # From the last step on, so that a wait that is put in moves none that is still to come.
    for at in reversed(range(len(changed.plan.steps))):
        how = _peels(changed.plan.steps[at], films)
        if how is not None and _is_early(changed.plan, at, how):
            told = _wait_told(changed.plan, at, how)
            changed = Changed(_waited(changed.plan, at, how), (*changed.edits, told))
    return changed


def _resets(plan: Plan, known: Catalogue) -> Iterator[Remedy]:
    """The pressure set again after each pad that goes in or comes out."""
    steps: list[Step] = []
    moved: Step | None = None
    told: list[int] = []
    for step in plan.steps:
        if step.action == "pad":
            moved = step
        elif step.action == "pressure":
            moved = None
        elif step.action in {"press", "preheat"} and moved is not None:
            steps.append(_pressure_for(step))
            told.append(moved.n)
            moved = None
        steps.append(step)
    if told:
        way = Changed(with_steps(plan, steps), (PlanEdit(what="reset", steps=tuple(told)),))
        yield Remedy((way,))


def _pressure_for(press: Step) -> Step:
    return Step(n=1, run=press.run, action="pressure", pressure_kpa=press.pressure_kpa)


def _covers(plan: Plan, known: Catalogue) -> Iterator[Remedy]:
    """The cover sheet that suits best, in every press longer than a tack.

    Where a bare platen marks the fabric, the preheat is covered too.
    """
    marked = any(known.fabric(name).platen_marks for run in plan.runs for name in run.fabrics)
    at = [
        n
        for n, step in enumerate(plan.steps)
        if _is_long(step) or (marked and step.action == "preheat")
    ]
    if not at or not plan.print.lines:
        return
    hottest_c = max(plan.steps[n].setpoint_c or 0.0 for n in at)
    sizes = [line.size_mm for line in plan.print.lines]
    largest = (max(width for width, _ in sizes), max(height for _, height in sizes))
    best = cover_for(known.sheets, largest, hottest_c)
    yield Remedy(_other_cover(plan, at, best.id))


def _thinner_covers(plan: Plan, known: Catalogue) -> Iterator[Remedy]:
    """Thinner cover sheets where one lies, the least thinner first."""
    at = [n for n, step in enumerate(plan.steps) if _is_long(step) and step.cover in known.sheets]
    now_um = max((known.sheets[f"{plan.steps[n].cover}"].thickness_um for n in at), default=0.0)
    covers = [sheet for sheet in known.sheets.values() if sheet.kind == "cover"]
    thinner = [sheet for sheet in covers if sheet.thickness_um < now_um]
    thinner.sort(key=lambda sheet: -sheet.thickness_um)
    yield Remedy(tuple(way for sheet in thinner for way in _other_cover(plan, at, sheet.id)))


def _is_long(step: Step) -> bool:
    return step.action == "press" and (step.dwell_s or 0) > LONGEST_TACK_S


def _other_cover(plan: Plan, at: Sequence[int], cover: str) -> tuple[Changed, ...]:
    changed = [n for n in at if plan.steps[n].cover != cover]
    if not changed:
        return ()
    told = edit(plan, "cover", changed, plan.steps[changed[0]].cover, cover)
    return (Changed(_covered(plan, changed, cover), (told,)),)


def _covered(plan: Plan, at: Sequence[int], cover: str) -> Plan:
    """The plan with that cover in these steps, and lifted after them."""
    steps: list[Step] = []
    lying: str | None = None
    for n, step in enumerate(plan.steps):
        if lying is not None and step.action == "peel" and step.cover == lying:
            step, lying = step.model_copy(update={"cover": cover}), None
        if n not in at:
            steps.append(step)
            continue
        lying = step.cover
        steps.append(step.model_copy(update={"cover": cover}))
        if lying is None:
            steps.append(Step(n=1, run=step.run, action="peel", cover=cover))
    return with_steps(plan, steps)


def _pads(plan: Plan, known: Catalogue) -> Iterator[Remedy]:
    """Each pad of the shelf under the print from the start, the thinnest first."""
    pads = [sheet for sheet in known.sheets.values() if sheet.kind == "pad"]
    at = [n for n, step in enumerate(plan.steps) if step.action == "pad" and step.pad != "out"]
    was = plan.steps[at[0]].pad if at else None
    yield Remedy(
        tuple(
            Changed(
                with_set(plan, at, pad=pad.id) if at else _padded(plan, pad.id),
                (PlanEdit(what="pad", was=was, to=pad.id),),
            )
            for pad in sorted(pads, key=lambda sheet: sheet.takes_up_mm)
            if pad.id != was
        )
    )


def _padded(plan: Plan, pad: str) -> Plan:
    """The plan with a pad put in before each run's first press, and the pressure set with it."""
    steps: list[Step] = []
    begun: set[int] = set()
    for step in plan.steps:
        if step.run not in begun and step.action in {"preheat", "press"}:
            begun.add(step.run)
            steps += [Step(n=1, run=step.run, action="pad", pad=pad), _pressure_for(step)]
        steps.append(step)
    return with_steps(plan, steps)


def _peeled_first(plan: Plan, known: Catalogue) -> Iterator[Remedy]:
    """What is laid in a long press with a heavy or flaking carrier is tacked and peeled first."""
    films, down = films_of(plan, known), set[str]()
    for at, step in enumerate(plan.steps):
        laid = [piece for piece in step.pieces if step.action == "press" and piece not in down]
        down |= set(laid)
        heavy = tuple(p for p in laid if films[p].carrier_marks or films[p].sheds)
        if step.purpose != "full" or not heavy:
            continue
        tack = {"purpose": "tack", "pieces": heavy, "dwell_s": TACK_S, "cover": None}
        peel = Step(n=1, run=step.run, action="peel", pieces=heavy)
        later = [_without(one, heavy) for one in plan.steps[at + 1 :]]
        steps = (
            *plan.steps[:at],
            step.model_copy(update=tack),
            peel,
            step,
            *(one for one in later if one.action != "peel" or one.pieces or one.cover),
        )
        told = PlanEdit(what="peel_first", steps=(step.n,), pieces=heavy)
        made = peels_in_time(Changed(with_steps(plan, steps), ()), known).plan
        yield Remedy((Changed(_all_covered(made, known), (told,)),))


def _without(step: Step, pieces: Sequence[str]) -> Step:
    if step.action != "peel":
        return step
    return step.model_copy(update={"pieces": tuple(p for p in step.pieces if p not in pieces)})


def _all_covered(plan: Plan, known: Catalogue) -> Plan:
    """The plan with a cover sheet in every full press, as it is where each has one."""
    if all(step.cover for step in plan.steps if step.purpose == "full"):
        return plan
    ways = [way.plan for remedy in _covers(plan, known) for way in remedy.ways]
    return ways[0] if ways else plan


def _finished(plan: Plan, known: Catalogue) -> Iterator[Remedy]:
    """A full press, at the end of each run, of what never had one."""
    films = films_of(plan, known)
    full = {piece for step in plan.steps if step.purpose == "full" for piece in step.pieces}
    missing = tuple(piece for piece in films if piece not in full)
    pressed = [step for step in plan.steps if step.action == "press"]
    if not missing or not pressed:
        return
    windows = [films[piece].dwell_s for piece in missing]
    dwell_s = min(max(one.best for one in windows), min(one.high for one in windows))
    press = {"purpose": "full", "pieces": missing, "dwell_s": dwell_s, "cover": None}
    steps: list[Step] = []
    for run in plan.runs:
        steps += [step for step in plan.steps if step.run == run.run]
        last = [step for step in pressed if step.run == run.run][-1:]
        steps += [step.model_copy(update=press) for step in last]
    told = PlanEdit(what="finish", steps=(pressed[-1].n,), pieces=missing, to=dwell_s)
    yield Remedy((Changed(_all_covered(with_steps(plan, steps), known), (told,)),))


HANDLING: Mapping[Cure, Callable[[Plan, Catalogue], Iterator[Remedy]]] = {
    "longer-wait": partial(_waits, up=True),
    "shorter-wait": partial(_waits, up=False),
    "reset": _resets,
    "cover": _covers,
    "thinner-cover": _thinner_covers,
    "pad": _pads,
    "peel-first": _peeled_first,
    "finish": _finished,
}
"""What hands can do otherwise at the press, by the change that it is."""
