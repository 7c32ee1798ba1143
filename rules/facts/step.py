"""Step: one thing that the person does at the press, with its settings."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from rules.facts.fact import Record
from rules.facts.film import Peel
from rules.facts.text import Text

__all__ = ["Action", "Inside", "Meets", "Purpose", "Step", "Tape"]

Action = Literal["preheat", "press", "peel", "wait", "pad", "pressure", "setpoint", "turn"]
Purpose = Literal["tack", "full"]
Tape = Literal["under", "off"]
Inside = Literal["sheet", "lining"]
Meets = Literal["lap", "inset-under", "inset-over", "butt"]


class Step(Record):
    """One step at the press, numbered from 1.

    Attributes:
        pieces: what is laid down and pressed (a tack), finished (a full press) or peeled.
            A preheat, pad, pressure, setpoint or turn step has none.
        dwell_s: seconds pressed, or seconds waited, s.
        cover: the sheet laid over the print, by id; on a peel step, the sheet that is lifted; on a
            turn, the sheet under the prints that now lie face down.
        pad: the pad put under the print by this step, by id; ``"out"`` takes it out.
        peel: how the carrier (or cover) comes off.
        off_press: whether the garment is off the press for a wait, and the press free for the next.
        lays: the place of a garment with several prints that a turn brings up; left out of a file
            where there is none.
        tape: whether tape goes under the crosses of what this step lays first, or comes off after
            it; left out of a file where the cut sheets bear none.
        inside: what is done inside the garment before this step: a sheet is laid in, which an open
            fabric wants, or a loose lining is drawn off the platen; left out of a file where there
            is neither.
        run: which run of garments the step belongs to, from 1; a run is pressed alike.
        why: the reasons in plain sentences.
        reason: the facts behind it, for whoever puts them into sentences; no file holds them.
    """

    n: int = Field(ge=1)
    run: int = Field(default=1, ge=1)
    action: Action
    purpose: Purpose | None = None
    pieces: tuple[str, ...] = ()
    setpoint_c: float | None = Field(default=None, ge=20, le=260)
    dwell_s: float | None = Field(default=None, ge=0, le=3600)
    pressure_kpa: float | None = Field(default=None, ge=0, le=300)
    cover: str | None = None
    pad: str | None = None
    peel: Peel | None = None
    off_press: bool = False
    lays: str | None = Field(default=None, exclude_if=lambda lays: lays is None)
    tape: Tape | None = Field(default=None, exclude_if=lambda tape: tape is None)
    inside: tuple[Inside, ...] = Field(default=(), exclude_if=lambda inside: not inside)
    why: Text = Text()
    reason: object | None = Field(default=None, exclude=True, repr=False)
