"""Place steps: one print of a garment as it is pressed where other prints lie on it already."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from advisor.answers.hung import GAP_MM
from advisor.job.records.order_plan import PlannedPrint
from advisor.job.records.plan import Run
from advisor.layering.records.reasons import LiftReason, PadOutReason, TurnReason
from rules.facts.film import Film
from rules.facts.practice import CLOSE_S, COVER_S, LOAD_S, LONGEST_TACK_S, SET_UP_S, TURN_S
from rules.facts.press import Press
from rules.facts.sheet import Sheet, cover_for
from rules.facts.step import Step
from rules.facts.text import and_list

__all__ = [
    "Laid", "PlacePart", "PressState", "box_mm", "laid_steps", "more_than_a_tack", "needs",
    "part_of", "sheet_over",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlacePart:
    """A print, or several of one side that are pressed together, and what they need of the press.

    Attributes:
        bears: each print with the run of its plan that presses these garments.
        dial: the step that sets the dial; ``pressure``, ``pad`` and ``opening`` likewise, the last
            two where they are due.
        lifted: the step that takes the preheat's own cover off, where it has one.
        presses: all that follows, its pieces called ``print/piece``.
        films: by such pieces.
        seconds: at the press for one garment, with loading and preheating it, s.
    """

    bears: tuple[tuple[PlannedPrint, Run], ...]
    dial: Step
    pressure: Step
    pad: Step | None
    opening: Step | None
    preheat: Step
    presses: tuple[Step, ...]
    films: Mapping[str, Film]
    seconds: float
    lifted: tuple[Step, ...] = ()

    @property
    def id(self) -> str:
        """Its prints."""
        return "+".join(print_.id for print_, _ in self.bears)

    @property
    def at(self) -> str:
        """Its places in words."""
        return and_list(print_.at.replace("-", " ") for print_, _ in self.bears)

    @property
    def side(self) -> tuple[str, str]:
        """The part of the garment and which side of it is up."""
        return (self.bears[0][0].part, self.bears[0][0].side)

    @property
    def pad_id(self) -> str | None:
        """The pad under it."""
        return None if self.pad is None else self.pad.pad

    @property
    def one_setting(self) -> bool:
        """Whether the garment stays on the press at one setting from its first film to its last."""
        return not any(step.off_press or step.action == "setpoint" for step in self.presses)

    @property
    def full_at(self) -> int:
        """Where its first full press stands among its presses."""
        return next(n for n, step in enumerate(self.presses) if step.purpose == "full")

    @property
    def work_s(self) -> float:
        """Its seconds without loading and preheating, s."""
        return self.seconds - LOAD_S - CLOSE_S - self.warming_s

    @property
    def warming_s(self) -> float:
        """Seconds of its preheat, with the cover that its cloth asks for, s."""
        print_, run = self.bears[0]
        steps = (step for step in print_.plan.steps if step.run == run.run)
        covered = any(step.cover for step in steps if step.action == "preheat")
        return (self.preheat.dwell_s or 0.0) + (COVER_S if covered else 0.0)

    @property
    def size_mm(self) -> tuple[float, float]:
        """A box that holds its prints one under another on every garment of their runs, mm."""
        lies = [[print_.lies[one.line] for one in run.garments] for print_, run in self.bears]
        return (
            max(one.width_mm for of_print in lies for one in of_print),
            sum(max(one.height_mm for one in of_print) for of_print in lies),
        )


@dataclass(frozen=True, slots=True)
class PressState:
    """How the press stands, and what lies on it: before anything, nothing is known."""

    dial_c: float | None = None
    pressure_kpa: float | None = None
    pad: str | None = None


@dataclass(frozen=True, slots=True)
class Laid:
    """A part as it is pressed after others.

    Attributes:
        steps: all of them, numbered; ``own`` the same with the settings and the preheat that it
            shares with a place before, as its print is judged.
        after: how the press stands then.
        seconds: at the press for one garment, s.
        covered: whether a press got a cover that its own plan has not.
        stays: whether the garment stayed on the press since the part before.
    """

    part: PlacePart
    steps: tuple[Step, ...]
    own: tuple[Step, ...]
    after: PressState
    seconds: float
    covered: bool
    stays: bool = False


def more_than_a_tack(step: Step) -> bool:
    """Whether a step presses for longer than a tack, which leaves open faces as they are."""
    full = step.purpose == "full" or (step.dwell_s or 0.0) > LONGEST_TACK_S
    return step.action == "press" and full


def part_of(print_: PlannedPrint, run: Run, films: Mapping[str, Film]) -> PlacePart:
    """A print in one of its runs, with what the runs before leave to it spelled out."""
    steps, pad = print_.plan.steps, None
    for step in steps:
        if step.run <= run.run and step.action == "pad":
            pad = None if step.pad == "out" else step
    own = tuple(step for step in steps if step.run == run.run)
    at = next(n for n, step in enumerate(own) if step.action == "preheat")
    preheat, before = own[at], own[:at]
    so_far = [step for step in steps if step.run <= run.run and step.n <= preheat.n]
    dial = [s for s in so_far if s.action == "setpoint" and s.setpoint_c == preheat.setpoint_c]
    pressure = [
        s for s in so_far if s.action == "pressure" and s.pressure_kpa == preheat.pressure_kpa
    ]
    after = own[at + 1 :]
    lifted = after[:1] if preheat.cover else ()
    return PlacePart(
        bears=((print_, run),),
        dial=dial[-1],
        pressure=pressure[-1],
        pad=pad,
        opening=next((step for step in before if step.action == "turn"), None),
        preheat=preheat,
        presses=tuple(
            step.model_copy(update={"pieces": tuple(f"{print_.id}/{p}" for p in step.pieces)})
            for step in after[len(lifted) :]
        ),
        lifted=lifted,
        films={f"{print_.id}/{piece}": film for piece, film in films.items()},
        seconds=60 * run.garments[0].minutes_each,
    )


def needs(
    part: PlacePart, before: PlacePart | None, *, press: Press, quantity: int
) -> tuple[bool, float]:
    """Whether a garment stays on the press since the place before, and the seconds in between.

    Where it does not, every garment of the run is finished at the place before: a change of the
    dial, the pressure or the pad is then shared by all of them.
    """
    if before is None:
        return False, LOAD_S
    left = [s for s in (before.dial, *before.presses) if s.setpoint_c is not None]
    pressed = [s for s in (before.pressure, *before.presses) if s.pressure_kpa is not None]
    from_c, to_c = left[-1].setpoint_c or 0.0, part.dial.setpoint_c or 0.0
    same_press = (
        pressed[-1].pressure_kpa == part.pressure.pressure_kpa and before.pad_id == part.pad_id
    )
    if from_c == to_c and same_press and before.one_setting and part.one_setting:
        if before.side == part.side:
            return True, 0.0
        return True, TURN_S if before.side[0] == part.side[0] else LOAD_S
    change_s = press.change_seconds(from_c, to_c) if from_c != to_c else 0.0
    return False, LOAD_S + (change_s + (0.0 if same_press else SET_UP_S)) / quantity


def laid_steps(
    part: PlacePart,
    before: Sequence[PlacePart],
    now: PressState,
    *,
    first_n: int,
    run: int,
    quantity: int,
    press: Press,
    sheets: Mapping[str, Sheet],
) -> Laid:
    """The steps of a part after those before it on the same garment, and what it then takes.

    Args:
        before: the parts that the garment bears already, in the order in which they were pressed.
        now: how the press stands.
    """
    stays, seconds = needs(part, before[-1] if before else None, press=press, quantity=quantity)
    visit: list[PlacePart] = []
    for one, following in zip(before, [*before, part][1:], strict=True):
        visit.append(one)
        if not needs(following, one, press=press, quantity=quantity)[0]:
            visit.clear()
    preheated = stays and any(one.side == part.side for one in visit)
    beside = [one for one in before if one.side == part.side]
    under = [one for one in before if one.side != part.side and one.side[0] == part.side[0]]
    hottest_c = max(s.setpoint_c or 0.0 for s in (part.dial, *part.presses))
    cover = sheet_over([*beside, part], hottest_c, sheets) if beside else None
    sheet = sheet_over(under, hottest_c, sheets) if under else None
    set_up: list[Step] = []
    if now.dial_c != part.dial.setpoint_c:
        set_up.append(part.dial)
    if before:
        reason = TurnReason(
            place=part.at,
            before=before[-1].at,
            turned=part.side[0] == "body",
            stays=stays and before[-1].side == part.side,
            batch=not stays,
            down=tuple(dict.fromkeys(one.at for one in under)),
            sheet=sheet.id if sheet else None,
            beside=tuple(dict.fromkeys(one.at for one in beside)),
            cover=cover.id if cover else None,
        )
        set_up.append(
            Step(
                n=1,
                action="turn",
                lays=part.at,
                cover=sheet.id if sheet else None,
                reason=reason,
            )
        )
    if part.opening is not None:
        set_up.append(part.opening)
    if now.pad is not None and now.pad != part.pad_id:
        set_up.append(Step(n=1, action="pad", pad="out", reason=PadOutReason(now.pad)))
    if part.pad is not None and now.pad != part.pad_id:
        set_up.append(part.pad)
    if now.pressure_kpa != part.pressure.pressure_kpa or now.pad != part.pad_id:
        # With another pad the same knob presses otherwise.
        set_up.append(part.pressure)
    dried = [part.preheat, *part.lifted]
    if not preheated:
        dried = _covered(dried, cover)
        seconds += CLOSE_S + part.warming_s
        set_up += dried
    presses = _covered(part.presses, cover)
    covered = presses != list(part.presses)
    steps = tuple(
        step.model_copy(update={"n": first_n + at, "run": run})
        for at, step in enumerate([*set_up, *presses])
    )
    shared = [step for step in (part.dial, part.opening, part.pad, part.pressure) if step]
    own = (
        *(step.model_copy(update={"n": first_n, "run": run}) for step in shared),
        *(step.model_copy(update={"n": first_n, "run": run}) for step in dried),
        *(
            plain.model_copy(update={"n": numbered.n, "run": run})
            for plain, numbered in zip(presses, steps[len(set_up) :], strict=True)
        ),
    )
    return Laid(part, steps, own, _stands(now, steps), seconds + part.work_s, covered, stays)


def sheet_over(parts: Sequence[PlacePart], setpoint_c: float, sheets: Mapping[str, Sheet]) -> Sheet:
    """A cover sheet that lies over these prints at once and bears that heat."""
    return cover_for(sheets, box_mm(parts), setpoint_c)


def box_mm(parts: Sequence[PlacePart]) -> tuple[float, float]:
    """A box that holds parts of one side under one another and apart, mm."""
    apart_mm = GAP_MM * (len(parts) - 1)
    return max(part.size_mm[0] for part in parts), apart_mm + sum(p.size_mm[1] for p in parts)


def _covered(steps: Sequence[Step], cover: Sheet | None) -> list[Step]:
    """Steps whose longer presses have a cover each, lifted right after."""
    made: list[Step] = []
    for step in steps:
        closes = step.action == "preheat" or more_than_a_tack(step)
        if cover is None or not closes or step.cover:
            made.append(step)
            continue
        made.append(step.model_copy(update={"cover": cover.id}))
        made.append(Step(n=step.n, action="peel", cover=cover.id, reason=LiftReason(cover)))
    return made


def _stands(now: PressState, steps: Sequence[Step]) -> PressState:
    for step in steps:
        if step.action == "setpoint":
            now = replace(now, dial_c=step.setpoint_c)
        elif step.action == "pressure":
            now = replace(now, pressure_kpa=step.pressure_kpa)
        elif step.action == "pad":
            now = replace(now, pad=None if step.pad == "out" else step.pad)
    return now
