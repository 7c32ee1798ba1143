"""Runs: garments pressed alike, with the seconds that heat asks for and what each costs."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypedDict

from advisor.heat.records import HeatRefusal
from advisor.heat.timed import with_seconds
from advisor.job.records.plan import Run, RunGarment
from advisor.job.records.print import PrintPiece
from advisor.layering.cost import garment_seconds, warming_s
from advisor.layering.meeting import columns
from advisor.layering.press_steps import press_steps, usual_timing
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.prepared import OrderLine, PreparedJob
from advisor.layering.records.pressing import Laying, StageConflict, Timing
from advisor.layering.records.problem import Option
from advisor.layering.stages import stages_between
from rules.facts.fabric import Fabric
from rules.facts.material import Material
from rules.facts.practice import ROLL_S
from rules.facts.step import Step

__all__ = ["TimedRun", "late_ms", "steps_of", "summary", "timed_runs", "usual_runs"]


class _Cooling(TypedDict):
    cools_s: float
    cooling: int
    batched: bool


@dataclass(frozen=True, slots=True)
class TimedRun:
    """Garments pressed alike, how they are laid, and the seconds of every press and wait."""

    lines: tuple[OrderLine, ...]
    laying: Laying
    timing: Timing

    @property
    def quantity(self) -> int:
        """Its garments."""
        return sum(line.asked.quantity for line in self.lines)


def timed_runs(prepared: PreparedJob, found: Assessment) -> tuple[TimedRun, ...] | HeatRefusal:
    """The runs of a job under one choice, timed so that heat reaches every bond line.

    Garments share a run when the same steps press them. A run takes the slowest of its fabrics, and
    the setting of the others where its fabrics bear that.

    Returns:
        The runs as the dial goes up, or the first bond line that heat does not reach.
    """
    runs = []
    for lines in _pressed_alike(prepared):
        run = _timed_run(prepared, found, lines, _laying(prepared, found, lines))
        if isinstance(run, HeatRefusal):
            return run
        runs.append(run)
    return _told_once(sorted(_on_one_setting(prepared, found, runs), key=_settings))


def _timed_run(
    prepared: PreparedJob, found: Assessment, lines: tuple[OrderLine, ...], laying: Laying
) -> TimedRun | HeatRefusal:
    problem = prepared.problem
    piles = columns(problem.places, found.choice.meets)
    materials = problem.knowledge.catalogue.materials
    timed = _timed(laying, lines, piles, materials)
    while isinstance(timed, HeatRefusal):
        shorter = _leaving_seconds(laying, timed)
        if shorter is None:
            return timed
        laying = shorter
        timed = _timed(laying, lines, piles, materials)
    if _cut_short(*timed):
        # Tacks that took longer leave less for the presses before: settle these anew.
        stages = stages_between(
            (0, *(stage.last + 1 for stage in found.stages)),
            laying.groups,
            laying.films,
            problem.limits,
            tack_s=timed[1].tack_s,
        )
        if not isinstance(stages, StageConflict):
            timed = _timed(replace(laying, stages=stages), lines, piles, materials)
    return timed if isinstance(timed, HeatRefusal) else TimedRun(lines, *timed)


def _leaving_seconds(laying: Laying, refusal: HeatRefusal) -> Laying | None:
    """The laying with a full press before the refused one shortened by what that one lacks.

    Films bear so many seconds in all: what an earlier press takes beyond what its films want at
    least, a later one may need. ``None`` where nothing can be left to it.
    """
    if refusal.purpose != "full" or refusal.needed_s is None:
        return None
    lacks_s = refusal.needed_s - refusal.longest_s
    if refusal.needed_s > laying.stages[refusal.stage].dwell_window_s[1]:
        return None
    for number in reversed(range(refusal.stage)):
        stage = laying.stages[number]
        spare_s = min(lacks_s, stage.dwell_s - stage.dwell_window_s[0])
        if spare_s >= 1:
            shorter = replace(stage, dwell_s=stage.dwell_s - math.ceil(spare_s))
            stages = (*laying.stages[:number], shorter, *laying.stages[number + 1 :])
            return replace(laying, stages=stages)
    return None


def _settings(run: TimedRun) -> tuple[float, ...]:
    """What the dial is set to, stage by stage, °C."""
    return tuple(stage.setpoint_c for stage in run.laying.stages)


def _on_one_setting(
    prepared: PreparedJob, found: Assessment, runs: Sequence[TimedRun]
) -> list[TimedRun]:
    """The runs at the coolest settings that bond them all, so that the dial is left where it is.

    All share the window that the fabric that bears least leaves. A fabric whose dye wanders keeps
    its own setting all the same, and so does a run that does not bond at that of the others.
    """
    shared = tuple(map(max, zip(*map(_settings, runs), strict=True)))

    def at_shared(run: TimedRun) -> TimedRun:
        laying, own = run.laying, _settings(run)
        if own == shared or any(line.fabric.dye_wanders for line in run.lines):
            return run
        stages = tuple(
            replace(stage, setpoint_c=setpoint_c)
            for stage, setpoint_c in zip(laying.stages, shared, strict=True)
        )
        again = _timed_run(prepared, found, run.lines, replace(laying, stages=stages))
        return run if isinstance(again, HeatRefusal) or _settings(again) != shared else again

    return [at_shared(run) for run in runs]


def _told_once(runs: Sequence[TimedRun]) -> tuple[TimedRun, ...]:
    """Runs of the same steps as one, with the garments of all.

    Runs that turn the dial stay apart: the time for that was reckoned for each of them.
    """
    if len(runs) == 1:
        return tuple(runs)
    alike: dict[tuple[object, ...], TimedRun] = {}
    for number, run in enumerate(runs):
        acts = (_acts(run), number if len(set(_settings(run))) > 1 else None)
        if acts in alike:
            same = alike[acts]
            names = (*same.laying.fabric_names, *run.laying.fabric_names)
            laying = replace(same.laying, fabric_names=tuple(dict.fromkeys(names)))
            run = TimedRun((*same.lines, *run.lines), laying, same.timing)
        alike[acts] = run
    return tuple(alike.values())


def _acts(run: TimedRun) -> tuple[object, ...]:
    """All that a person does in a run; what a garment is opened by is told only in the reason."""
    told = {"n", "run", "why", "reason"}
    return tuple(
        (repr(step.model_dump(exclude=told)), step.reason if step.action == "turn" else None)
        for step in press_steps(run.laying, run.timing)
    )


def usual_runs(prepared: PreparedJob, found: Assessment) -> tuple[TimedRun, ...]:
    """The runs with the seconds that decorators use, for what no seconds bond."""
    layings = [(lines, _laying(prepared, found, lines)) for lines in _pressed_alike(prepared)]
    return tuple(
        TimedRun(lines, laying, usual_timing(laying.groups, laying.stages))
        for lines, laying in layings
    )


def _cut_short(laying: Laying, timing: Timing) -> bool:
    """Whether a full press is shorter than its films take."""
    pressed = zip(timing.dwell_s, laying.stages, strict=True)
    return any(dwell_s < stage.dwell_window_s[0] for dwell_s, stage in pressed)


def _pressed_alike(prepared: PreparedJob) -> list[tuple[OrderLine, ...]]:
    return [
        tuple(prepared.lines[number] for number in run) for run in prepared.problem.average.runs
    ]


def steps_of(runs: Sequence[TimedRun]) -> tuple[Step, ...]:
    """The steps of every run, numbered through; each takes the press as the last one left it."""
    steps: list[Step] = []
    setpoint_now: float | None = None
    pad_now: str | None = None
    for number, run in enumerate(runs, 1):
        made = press_steps(
            run.laying,
            run.timing,
            run=number,
            first_n=len(steps) + 1,
            setpoint_now_c=setpoint_now,
            pad_now=pad_now,
        )
        steps += made
        setpoint_now = run.laying.stages[-1].setpoint_c
        for step in made:
            if step.action == "pad":
                pad_now = None if step.pad == "out" else step.pad
    return tuple(steps)


def late_ms(runs: Sequence[TimedRun], found: Assessment) -> int:
    """How much longer than usual heat lets the average garment take, milliseconds.

    Never less: where a later stage is set hotter, the press has less far to cool, which is left
    out of account, so that no plan is quicker than the tables foresee.
    """
    later_s = sum(
        run.quantity * (_seconds(run, found) - _seconds(run, found, usual=True)) for run in runs
    )
    return max(0, round(1000 * later_s / sum(run.quantity for run in runs)))


def summary(number: int, run: TimedRun, prepared: PreparedJob, found: Assessment) -> Run:
    """A run as the plan shows it: its garments with sizes, minutes and cost."""
    if found.measures is None:
        raise ValueError("only what can be pressed is planned")
    rates, widest = prepared.job.rates, max(line.width_mm for line in prepared.print.lines)
    seconds = _seconds(run, found)
    more_rolls = len({option.roll for option in found.choice.options.values()}) - 1
    garments = []
    for line in run.lines:
        factor = prepared.print.lines[line.number].width_mm / widest
        rolls = more_rolls * ROLL_S / 3600 * rates.rate_per_hour / prepared.problem.quantity
        film = sum(option.film_cost for option in found.choice.options.values()) * factor**2
        spoiled = found.measures.samples * rates.spoiled_per_sample_pct / 100
        time = seconds / 3600 * rates.rate_per_hour
        garments.append(
            RunGarment(
                line=line.number,
                minutes_each=round(seconds / 60, 2),
                cost_each=round(film + rolls + spoiled * line.price_each + time, 2),
            )
        )
    fabrics = tuple(dict.fromkeys(line.fabric.id for line in run.lines))
    return Run(
        run=number,
        fabrics=fabrics,
        garments=tuple(garments),
        **_cooling(press_steps(run.laying, run.timing), seconds, run.quantity),
    )


def _cooling(steps: Sequence[Step], seconds_each: float, quantity: int) -> _Cooling:
    """How long a garment cools off the press, and about how many lie there at a time.

    They come off the press one after another, each time that they lie on it.
    """
    waits = [step for step in steps if step.off_press]
    first, *_, last = [step.n for step in steps if step.action in {"preheat", "press"}]
    turned = [step for step in steps if step.action == "setpoint" and first < step.n < last]
    batched = bool(turned) and quantity > 1
    off = {step.n for step in (*waits, *(turned if batched else ()))}
    presses = [step.n for step in steps if step.action == "press"]
    times_on_press = 1 + sum(
        any(before < n < then for n in off) for before, then in pairwise([first, *presses])
    )
    every_s = seconds_each / times_on_press
    longest_s = max((step.dwell_s or 0.0 for step in waits), default=0.0)
    return {
        "cools_s": sum(step.dwell_s or 0.0 for step in waits),
        "cooling": min(quantity, math.ceil(longest_s / every_s)),
        "batched": batched,
    }


def _seconds(run: TimedRun, found: Assessment, *, usual: bool = False) -> float:
    """Seconds for one garment of a run, as heat times it or as usual, s."""
    stages, timing = run.laying.stages, run.timing
    timed = [replace(s, dwell_s=d) for s, d in zip(stages, timing.dwell_s, strict=True)]
    return garment_seconds(
        run.laying.groups,
        found.stages if usual else timed,
        run.laying.films,
        found.choice.meets,
        carriers=run.laying.carriers,
        press=run.laying.press,
        warming_s=warming_s(run.laying.fabric),
        runs=(run.quantity,),
        tack_s=None if usual else timing.tack_s,
        peel_wait_s=None if usual else timing.peel_wait_s,
    )


def _laying(prepared: PreparedJob, found: Assessment, lines: Sequence[OrderLine]) -> Laying:
    if found.grouping is None:
        raise ValueError("only what can be pressed is laid")
    width = max(line.asked.artwork_width_mm for line in lines)
    return Laying(
        films=found.choice.films,
        groups=found.grouping.groups,
        stages=found.stages,
        over=tuple((contact.upper, contact.lower) for contact in found.contacts),
        fabric=lines[0].fabric,
        press=prepared.problem.limits.press,
        sheets=prepared.problem.knowledge.catalogue.sheets,
        obstructions=lines[0].area.obstructions,
        print_mm=(width, width * prepared.artwork.height_mm / prepared.artwork.width_mm),
        carriers=prepared.problem.carriers(found.choice.options),
        names={
            piece.id: _called(piece, found.choice.options[piece.id])
            for piece in prepared.print.pieces
        },
        fabric_names=tuple(dict.fromkeys(line.fabric.make for line in lines)),
        lined=any(line.garment is not None and line.garment.lined for line in lines),
    )


def _called(piece: PrintPiece, option: Option) -> str:
    """A piece by its film and colour; one that no artwork coloured goes by its own name."""
    return piece.id if piece.fill is None else f"{option.colour.name} {option.film.id}"


def _timed(
    laying: Laying,
    lines: Sequence[OrderLine],
    columns: Sequence[tuple[str, ...]],
    materials: Mapping[str, Material],
) -> tuple[Laying, Timing] | HeatRefusal:
    """The timing that suits every fabric of the run, at the hottest setting that one needs."""
    fabrics: Mapping[str, Fabric] = {line.fabric.id: line.fabric for line in lines}
    timings: dict[str, Timing] = {}
    while len(timings) < len(fabrics):
        for name, fabric in fabrics.items():
            on_it = replace(laying, fabric=fabric)
            timed = with_seconds(on_it, columns, materials)
            if isinstance(timed, HeatRefusal):
                return timed
            if timed[0].stages != laying.stages:
                # One fabric wants it hotter, so the others are pressed hotter too: begin again.
                laying = replace(laying, stages=timed[0].stages)
                timings.clear()
            timings[name] = timed[1]
    return laying, _slowest(tuple(timings.values()))


def _slowest(timings: Sequence[Timing]) -> Timing:
    """The longest of every tack, wait and press; what was seen is told of the slowest fabric."""
    slowest = max(timings, key=lambda t: (sum(t.dwell_s), sum(t.tack_s)))
    return replace(
        slowest,
        tack_s=tuple(max(of_group) for of_group in zip(*(t.tack_s for t in timings), strict=True)),
        dwell_s=tuple(max(of_one) for of_one in zip(*(t.dwell_s for t in timings), strict=True)),
        peel_wait_s=tuple(
            {how: max(wait[how] for wait in of_group) for how in of_group[0]}
            for of_group in zip(*(t.peel_wait_s for t in timings), strict=True)
        ),
    )
