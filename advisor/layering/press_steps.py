"""Press steps: the steps of a run, from the first preheat to the cover coming off, with why."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.layering.records.pressing import Laying, Stage, Timing
from advisor.layering.records.reasons import (
    FullReason,
    LiftReason,
    OpenReason,
    PadInReason,
    PadOutReason,
    PeelReason,
    PreheatReason,
    PressureReason,
    Reason,
    SetpointReason,
    TackReason,
    WaitReason,
)
from rules.errors import PressloreError
from rules.facts.film import Film, Peel
from rules.facts.garment import Obstruction
from rules.facts.moisture import preheat_s
from rules.facts.practice import COOLS_OFF_PRESS, PEEL_WAIT_S, PROUD_MM, TACK_S
from rules.facts.press import Press
from rules.facts.sheet import Sheet, cover_for
from rules.facts.step import Action, Inside, Purpose, Step

__all__ = ["in_the_way", "pad_for", "press_steps", "usual_timing"]

PEEL_ORDER: tuple[Peel, ...] = ("hot", "warm", "cold")


def usual_timing(groups: Sequence[Sequence[str]], stages: Sequence[Stage]) -> Timing:
    """The seconds that decorators use where nothing is computed (common practice, no source)."""
    unknown = (None,) * len(groups)
    return Timing(
        tack_s=(TACK_S,) * len(groups),
        peel_wait_s=tuple(PEEL_WAIT_S for _ in groups),
        dwell_s=tuple(stage.dwell_s for stage in stages),
        grabs_s=unknown,
        tack_peak_c=unknown,
        needed_s=(None,) * len(stages),
        bond_lines=((),) * len(stages),
        cools_to_c=unknown,
    )


def pad_for(
    obstructions: Sequence[Obstruction],
    sheets: Mapping[str, Sheet],
    *,
    print_mm: tuple[float, float],
    press: Press,
    setpoint_c: float,
) -> Sheet | None:
    """The thinnest pad on the shelf that what stands proud sinks into, or ``None`` if none is due.

    It fits the press's bed, curved or flat, and lies under the whole print. A garment that opens is
    padded too once it is laid flat: its seams and facings lie there still.

    Raises:
        PressloreError: a pad is called for and the shelf has none at all.
    """
    proud = in_the_way(obstructions)
    if not proud:
        return None
    pads = [sheet for sheet in sheets.values() if sheet.kind == "pad"]
    if not pads:
        raise PressloreError("the print area has something hard in it and the shelf has no pad")
    height = max(obstruction.height_mm for obstruction in proud)

    def unsuited(pad: Sheet) -> tuple[object, ...]:
        return (
            pad.highest_c < setpoint_c,
            pad.curved != press.curved,
            not pad.lies_on(press.platen_width_mm, press.platen_depth_mm),
            not pad.covers(*print_mm),
            pad.takes_up_mm < height,
            pad.takes_up_mm if pad.takes_up_mm >= height else -pad.takes_up_mm,
            pad.id,
        )

    return min(pads, key=unsuited)


def press_steps(
    laying: Laying,
    timing: Timing,
    *,
    run: int = 1,
    first_n: int = 1,
    setpoint_now_c: float | None = None,
    pad_now: str | None = None,
) -> tuple[Step, ...]:
    """Every step of a run, numbered from ``first_n``, each with the facts that are its reason.

    Args:
        run: number of the run that the steps belong to.
        setpoint_now_c: what the dial says already, °C; ``None`` at the start of the day.
        pad_now: the pad that lies on the press already, by id.

    Raises:
        PressloreError: a cover or a pad is called for and the shelf has none.
    """
    sheet = _Sheet(laying, timing, run, first_n)
    first = laying.stages[0]
    pad = pad_for(
        laying.obstructions,
        laying.sheets,
        print_mm=laying.print_mm,
        press=laying.press,
        setpoint_c=max(stage.setpoint_c for stage in laying.stages),
    )
    if setpoint_now_c != first.setpoint_c:
        sheet.set_to(first, None)
    opens = tuple(o for o in in_the_way(laying.obstructions) if o.opens)
    if opens:
        sheet.add("turn", OpenReason(opens))
    if pad_now is not None and (pad is None or pad.id != pad_now):
        sheet.add("pad", PadOutReason(pad_now), pad="out")
    if pad is not None and pad.id != pad_now:
        still = tuple(o for o in in_the_way(laying.obstructions) if not _moved_away(o))
        sheet.add("pad", PadInReason(pad, still), pad=pad.id)
    changed = pad.id if pad is not None else ("out" if pad_now else None)
    sheet.set_pressure(first, changed, again=setpoint_now_c is not None)
    sheet.preheat(first)
    for number, stage in enumerate(laying.stages):
        if number:
            if stage.setpoint_c != laying.stages[number - 1].setpoint_c:
                sheet.set_to(stage, laying.stages[number - 1])
            if stage.pressure_kpa != laying.stages[number - 1].pressure_kpa:
                sheet.set_pressure(stage, None, again=True)
        for index in range(stage.first, stage.last + 1):
            if not (stage.direct and index == stage.last):
                sheet.tack(index, stage)
                sheet.peel(index)
        sheet.finish(number)
    return tuple(sheet.steps)


def in_the_way(obstructions: Sequence[Obstruction]) -> tuple[Obstruction, ...]:
    """What stands proud in or under a print, so that its press is padded."""
    return tuple(o for o in obstructions if o.place != "beside" and o.height_mm > PROUD_MM)


def _moved_away(obstruction: Obstruction) -> bool:
    """Whether it no longer lies under the print once the garment is opened and laid flat."""
    return obstruction.opens and obstruction.place == "under"


class _Sheet:
    """The list of steps being written, top to bottom."""

    def __init__(self, laying: Laying, timing: Timing, run: int, first_n: int) -> None:
        self.laying, self.timing, self.run, self.first_n = laying, timing, run, first_n
        self.steps: list[Step] = []

    def add(
        self,
        action: Action,
        reason: Reason,
        *,
        purpose: Purpose | None = None,
        pieces: tuple[str, ...] = (),
        setpoint_c: float | None = None,
        dwell_s: float | None = None,
        pressure_kpa: float | None = None,
        cover: str | None = None,
        pad: str | None = None,
        peel: Peel | None = None,
        off_press: bool = False,
        inside: tuple[Inside, ...] = (),
    ) -> None:
        self.steps.append(
            Step(
                n=self.first_n + len(self.steps),
                run=self.run,
                action=action,
                purpose=purpose,
                pieces=pieces,
                setpoint_c=setpoint_c,
                dwell_s=dwell_s,
                pressure_kpa=pressure_kpa,
                cover=cover,
                pad=pad,
                peel=peel,
                off_press=off_press,
                inside=inside,
                reason=reason,
            )
        )

    def _names(self, pieces: Sequence[str]) -> tuple[str, ...]:
        names, films = self.laying.names, self.laying.films
        return tuple(names.get(piece, films[piece].id) for piece in pieces)

    def _films(self, pieces: Sequence[str]) -> tuple[Film, ...]:
        return tuple(self.laying.films[piece] for piece in pieces)

    def set_to(self, stage: Stage, earlier: Stage | None) -> None:
        laying, films = self.laying, self._films(stage.finishes)
        own = [film for film in films if film.setpoint_c.best == stage.setpoint_c]
        down = [p for group in laying.groups[: stage.first] for p in group]
        change_s = 0.0
        if earlier is not None:
            change_s = laying.press.change_seconds(earlier.setpoint_c, stage.setpoint_c)
        self.add(
            "setpoint",
            SetpointReason(
                setpoint_c=stage.setpoint_c,
                window_c=stage.setpoint_window_c,
                films=films,
                full_application=own[0] if own else None,
                careful_c=laying.fabric.iron_fibre.iron_c,
                careful_fibre=laying.fabric.iron_fibre.name,
                from_c=earlier.setpoint_c if earlier else None,
                change_s=change_s,
                down_bears_c=min((laying.films[p].bears_c for p in down), default=None),
            ),
            setpoint_c=stage.setpoint_c,
        )

    def set_pressure(self, stage: Stage, pad: str | None, *, again: bool) -> None:
        films = self._films(stage.finishes)
        self.add(
            "pressure",
            PressureReason(
                pressure_kpa=stage.pressure_kpa,
                words=self.laying.press.pressure_told(stage.pressure_kpa),
                low_kpa=max(film.pressure_kpa.low for film in films),
                high_kpa=min(film.pressure_kpa.high for film in films),
                suits=stage.pressure_suits,
                pad=pad,
                press=self.laying.press,
                again=again,
                spares=self.spares,
            ),
            pressure_kpa=stage.pressure_kpa,
        )

    @property
    def spares(self) -> str:
        """The fabric that a bare platen would mark, by id; empty where it marks none."""
        fabric = self.laying.fabric
        return fabric.make if fabric.platen_marks else ""

    def cover(self, stage: Stage) -> Sheet:
        return cover_for(self.laying.sheets, self.laying.print_mm, stage.setpoint_c)

    def preheat(self, stage: Stage) -> None:
        fabric = self.laying.fabric
        dwell_s, cover = preheat_s(fabric), self.cover(stage) if self.spares else None
        names, leaves_gsm = self.laying.fabric_names or (fabric.id,), self.timing.preheated_gsm
        lined: tuple[Inside, ...] = ("lining",) if self.laying.lined else ()
        inside = (*lined, "sheet") if fabric.surface == "open" else lined
        self.add(
            "preheat",
            PreheatReason(dwell_s, names, fabric.water_gsm, leaves_gsm, inside, self.spares),
            setpoint_c=stage.setpoint_c,
            dwell_s=dwell_s,
            pressure_kpa=stage.pressure_kpa,
            inside=inside,
            cover=cover.id if cover else None,
        )
        if cover is not None:
            self.add("peel", LiftReason(cover, bare=True), cover=cover.id)

    def tack(self, index: int, stage: Stage) -> None:
        laying = self.laying
        pieces = laying.groups[index]
        waiting = [p for group in laying.groups[index + 1 :] for p in group]
        self.add(
            "press",
            TackReason(
                films=self._films(pieces),
                dwell_s=self.timing.tack_s[index],
                setpoint_c=stage.setpoint_c,
                names=self._names(pieces),
                waiting=self._names(waiting),
                trimmed=len({laying.carriers.get(piece, piece) for piece in pieces}) > 1,
                grabs_s=self.timing.grabs_s[index],
                bond_line_c=self.timing.tack_peak_c[index],
            ),
            purpose="tack",
            pieces=pieces,
            setpoint_c=stage.setpoint_c,
            dwell_s=self.timing.tack_s[index],
            pressure_kpa=stage.pressure_kpa,
        )

    def peel(self, index: int) -> None:
        """Peel the carriers of a group: the hot ones at once, the others after their waits."""
        laying, waited_s = self.laying, 0.0
        waits = self.timing.peel_wait_s[index]
        under = {lower for upper, lower in laying.over if upper in laying.groups[index]}
        marked = tuple(
            laying.films[p]
            for p in laying.films
            if p in under and laying.films[p].marked_by_carriers
        )
        for how in PEEL_ORDER:
            pieces = tuple(
                p
                for p in laying.groups[index]
                if laying.films[p].peel == how and laying.films[p].carrier_um > 0
            )
            if not pieces:
                continue
            more_s = waits[how] - waited_s
            if more_s > 0:
                off_press = how in COOLS_OFF_PRESS
                cools = self.timing.cools_to_c[index] if off_press else None
                self.add(
                    "wait",
                    WaitReason(self._names(pieces), how, more_s, cools, off_press),
                    dwell_s=more_s,
                    off_press=off_press,
                )
                waited_s += more_s
            self.add(
                "peel",
                PeelReason(self._names(pieces), how, self._films(pieces), marked),
                pieces=pieces,
                peel=how,
            )

    def finish(self, number: int) -> None:
        laying, stage = self.laying, self.laying.stages[number]
        direct = laying.groups[stage.last] if stage.direct else ()
        cover = None if stage.bare else self.cover(stage)
        films = self._films(stage.finishes)
        own = [film for film in films if film.setpoint_c.best == stage.setpoint_c]
        dwell_s = self.timing.dwell_s[number]
        whole = next((film for film in own if film.dwell_s.best == dwell_s), None)
        heavy = any(laying.films[p].carrier_marks for p in stage.finishes if p not in direct)
        marked = any(laying.films[p].marked_by_carriers for p in laying.films)
        self.add(
            "press",
            FullReason(
                films=films,
                setpoint_c=stage.setpoint_c,
                dwell_s=dwell_s,
                dwell_window_s=stage.dwell_window_s,
                full_application=whole,
                cover=cover,
                lines_press_out=heavy and marked,
                direct=self._films(direct),
                direct_names=self._names(direct),
                later_stages=len(laying.stages) - 1 - number,
                bond_lines=self.timing.bond_lines[number],
                needed_s=self.timing.needed_s[number],
                open_faces=any(
                    piece not in direct or not laying.films[piece].carrier_um
                    for group in laying.groups[: stage.last + 1]
                    for piece in group
                ),
                spares=self.spares,
            ),
            purpose="full",
            pieces=stage.finishes,
            setpoint_c=stage.setpoint_c,
            dwell_s=dwell_s,
            pressure_kpa=stage.pressure_kpa,
            cover=cover.id if cover else None,
        )
        if cover is not None:
            self.add("peel", LiftReason(cover), cover=cover.id)
        if direct:
            self.peel(stage.last)
