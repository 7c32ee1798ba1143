"""Why failed in words: what went wrong, by how much, and what to do otherwise."""

from __future__ import annotations

from collections.abc import Mapping

from advisor.answers.records import LikelyCause, PlanEdit, WhyFailed
from rules.book.faults import SLIPS
from rules.facts.practice import TACK_S
from rules.facts.press import Press
from rules.facts.text import Text, and_list, piece_name
from rules.facts.units import show_by_c, show_c, show_mm

__all__ = ["why_failed_text"]

_CHECK: Mapping[str, str] = {
    "hotter": "check the platen with temperature strips: {} cooler than its dial says",
    "cooler": "check the platen with temperature strips: {} hotter than its dial says",
    "longer": "time a full press: {} shorter than planned",
    "shorter": "time a full press: {} longer than planned",
    "longer-tack": "time a tack: {} shorter than planned",
    "shorter-tack": "time a tack: {} longer than planned",
    "longer-wait": "time the wait before the peel: {} shorter than planned",
    "longer-preheat": "time the preheat: {} shorter than planned",
    "shorter-preheat": "time the preheat: {} longer than planned",
}
"""What to find out where the plan is not amiss: how far off the press would have to have been."""


def why_failed_text(found: WhyFailed, names: Mapping[str, str], press: Press) -> WhyFailed:
    """The same with its sentences put in, and pieces called by ``names``."""
    causes = tuple(_worded(cause, names, press) for cause in found.causes)
    return found.model_copy(update={"causes": causes})


def _amount(amount: float, unit: str) -> Text:
    """How far off, in the unit that it is read in."""
    return Text(f"{show_by_c(amount)}") if unit == "°C" else Text(f"{amount:g} {unit}")


def _worded(cause: LikelyCause, names: Mapping[str, str], press: Press) -> LikelyCause:
    change, slip = _change(cause, press), next((SLIPS[c] for c in SLIPS if c == cause.cure), None)
    return cause.model_copy(
        update={
            "cause": cause.cause if slip is None else Text(slip),
            "message": cause.message.named(names),
            "change": change.named(names),
        }
    )


def _change(cause: LikelyCause, press: Press) -> Text:
    if cause.edits:
        said = Text(and_list([_edited(one, press) for one in cause.edits]))
        if cause.brings:
            objects = "objects" if len(cause.brings) == 1 else "object"
            return said + f"; but then {and_list(cause.brings)} {objects}"
        return said if cause.proved else said + "; that helps, and is not enough by itself"
    if cause.margin is None:
        return cause.change
    more, unnoticed = (
        _amount(of, cause.margin.unit) for of in (cause.margin.amount, cause.margin.spread)
    )
    explains = _CHECK[cause.cure].format(f"more than {more}")
    return Text(f"{explains} could explain it, and {unnoticed} goes unnoticed")


def _edited(edit: PlanEdit, press: Press) -> str:
    """One change, as it is said to whoever makes it."""
    to, was = edit.to, edit.was
    steps = f"step{'s' if len(edit.steps) > 1 else ''} {and_list(edit.steps)}"
    pieces = and_list([piece_name(piece) for piece in edit.pieces])
    match edit.what, was, to:
        case "setpoint_c", float(), float():
            return f"set the dial to {show_c(to)} instead of {show_c(was)} ({steps})"
        case "dwell_s", float(), float():
            return f"press {to:g} s instead of {was:g} s ({steps})"
        case "tack_s", float(), float():
            return f"tack {to:g} s instead of {was:g} s ({steps})"
        case "preheat_s", float(), float():
            if not was:
                return f"press the bare garment {to:g} s before the first film"
            return f"preheat {to:g} s instead of {was:g} s ({steps})"
        case "wait_s", float(), float():
            if not to:
                return f"peel as soon as the press opens, not after {was:g} s ({steps})"
            return f"wait {to:g} s instead of {was:g} s before the peel ({steps})"
        case "pressure_kpa", float(), float():
            return (
                f"set the pressure to {press.pressure_words(to)} instead of "
                f"{press.pressure_words(was)} ({steps})"
            )
        case "trap_mm", float(), float():
            return f"cut {pieces} anew with a trap of {show_mm(to)} instead of {show_mm(was)}"
        case "cover", None, _:
            return f"lay {to} over the print ({steps})"
        case "cover", _, _:
            return f"lay {to} over the print instead of {was} ({steps})"
        case "pad", None, _:
            return f"put {to} under the print before the preheat, and set the pressure with it"
        case "pad", _, _:
            return f"put {to} under the print instead of {was}"
        case "film", _, _:
            return f"cut {pieces} from {to} instead"
        case "reset", _, _:
            return f"set the pressure again after {steps}, with everything in place"
        case "peel_first", _, _:
            return (
                f"tack {pieces} about {TACK_S:g} s and peel before {steps}, which is then pressed "
                "under a cover sheet"
            )
    return f"end with a full press of {pieces}, {to} s, under a cover sheet"
