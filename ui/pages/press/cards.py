"""Cards: the steps of a run as the screen at the press shows them, one at a time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from advisor.artwork.reader import Artwork
from advisor.cutting.records.cut import Lettering
from advisor.job.records.plan import Plan, Run
from advisor.words.plan import piece_names, step_title
from rules.catalogue import Catalogue
from rules.facts.step import Step
from rules.facts.units import Units
from ui.drawing.apart import layers_apart
from ui.drawing.ink import data_uri
from ui.pages.plan.layers import looks_of
from ui.pages.plan.steps import StepShown, shown_steps

__all__ = ["Card", "first_of_next_garment", "garments_in_turn", "press_cards"]

Card = dict[str, Any]
_START = {"press": "Close the press", "preheat": "Close the press", "wait": "Start the wait"}
_TAPE = {"under": "Heat-proof tape under its crosses first.", "off": "Then pull the tape off."}
_OVER = {"press": "Open the press.", "preheat": "Open the press.", "wait": "The wait is over."}


def press_cards(
    plan: Plan, run: Run, artwork: Artwork, *, known: Catalogue, units: Units
) -> list[Card]:
    """Every step of a run with its words, seconds and drawings, ready to be sent to the screen."""
    layers = _layers(plan, run, artwork, known)
    shown = shown_steps(plan, run, known=known, units=units)
    return [_card(each, plan, layers, units) for each in shown]


def garments_in_turn(plan: Plan, run: Run, names: Sequence[Lettering], units: Units) -> list[str]:
    """Every garment of a run as it is taken from the pile, with the name that it bears.

    Args:
        names: each with the garment that it goes on, in the order of the list.
    """
    left: dict[str | None, list[str]] = {}
    for one in names:
        left.setdefault(one.size, []).extend([one.name] * one.quantity)
    turns = []
    for n, line in enumerate(plan.print.lines):
        named = left.get(line.garment, [])
        bears, left[line.garment] = named[: line.quantity], named[line.quantity :]
        if n in {garment.line for garment in run.garments}:
            words = f"{line.worn}, {line.area}, {units.length(line.width_mm)} wide"
            turns += [f"{words} · {name}" for name in bears]
            turns += [words] * (line.quantity - len(bears))
    return turns


def first_of_next_garment(steps: Sequence[Step]) -> int:
    """Where the next garment begins, from 0: past the dial and the pressure where both still stand.

    >>> dial = Step(n=1, action="setpoint", setpoint_c=150)
    >>> press = Step(n=2, action="press", purpose="full", setpoint_c=150, dwell_s=15)
    >>> first_of_next_garment([dial, press])
    1
    >>> first_of_next_garment([dial, press, dial.model_copy(update={"setpoint_c": 140})])
    0
    """
    set_up = [step for step in steps if step.action in {"setpoint", "pressure"}]
    if len({step.action for step in set_up}) < len(set_up):
        return 0
    return next((n for n, step in enumerate(steps) if step not in set_up), 0)


def _card(shown: StepShown, plan: Plan, layers: dict[str, str], units: Units) -> Card:
    step, names = shown.step, piece_names(plan)
    counted = shown.title != step_title(step, names)
    timed = step.action in _START and step.dwell_s is not None
    lays_down = step.action == "press" and step.purpose == "tack"
    laid = [piece for piece in plan.pieces if piece.id in step.pieces] if lays_down else []
    return {
        "title": shown.title,
        "lays": [(names[piece.id], piece.srgb) for piece in laid] if counted else [],
        "off": step.action == "wait" and step.off_press,
        "settings": [each for each in shown.settings if not each.startswith("under ")],
        "extras": _extras(step, shown.pad),
        "seconds": step.dwell_s if timed else 0,
        "start": _START.get(step.action, ""),
        "over": _OVER.get(step.action, ""),
        "kind": step.purpose or step.action,
        "why": step.why.shown(units),
        "picture": data_uri(shown.picture),
        "layers": layers.get(",".join(step.pieces), "") if lays_down else "",
    }


def _extras(step: Step, pad: str | None) -> str:
    """Tape, cover and pad of a step, as one line."""
    told = [_TAPE[step.tape]] if step.tape else []
    if step.cover and step.action in {"press", "preheat"}:
        told.append(f"Lay {step.cover} over it.")
    elif step.action == "press":
        told.append("No cover sheet.")
    if pad and step.action in {"press", "preheat"}:
        told.append(f"{pad} lies under the print.")
    return " ".join(told)


def _layers(plan: Plan, run: Run, artwork: Artwork, known: Catalogue) -> dict[str, str]:
    """For each tack, what it lays down over what lies there already."""
    looks = looks_of(plan, known)
    ranks = {piece.id: piece.rank for piece in plan.pieces}
    drawn: dict[str, str] = {}
    for step in plan.steps:
        if step.run == run.run and step.action == "press" and step.pieces:
            highest = max(ranks[piece] for piece in step.pieces)
            drawn[",".join(step.pieces)] = data_uri(
                layers_apart(
                    artwork, plan, looks, fabric=known.fabric(run.fabrics[0]),
                    ranks=[rank for rank in set(ranks.values()) if rank <= highest],
                )
            )  # fmt: skip
    return drawn
