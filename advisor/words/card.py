"""Press card: a plan in the ten lines that one reads at the press."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby

from advisor.job.records.plan import Plan, PlannedPiece, Run
from advisor.words.plan import INSIDE_WORDS, capital_words, piece_names
from rules.facts.press import Press
from rules.facts.step import Step
from rules.facts.text import Text, and_list
from rules.facts.units import show_c, show_s

__all__ = ["CardLine", "PressCard", "card_text", "press_cards"]

MOST_LINES = 10


@dataclass(frozen=True, slots=True)
class CardLine:
    """A line of a card.

    Attributes:
        what: the dial, the garment, or the films that a press lays down.
        do: seconds, peel, cover.
    """

    what: Text
    do: Text


@dataclass(frozen=True, slots=True)
class PressCard:
    """What one does for each garment of the runs that are pressed alike."""

    runs: tuple[Run, ...]
    lines: tuple[CardLine, ...]


@dataclass(frozen=True, slots=True)
class _CardPart:
    """What becomes a line: acts that belong together, each in a few words."""

    what: str
    acts: tuple[str, ...]
    kind: str

    @property
    def line(self) -> CardLine:
        return CardLine(Text(self.what), Text(", ".join(self.acts)))


def press_cards(plan: Plan, press: Press) -> tuple[PressCard, ...]:
    """A card for all runs that are pressed alike, in at most ten lines where that can be.

    Args:
        plan: as planned or as edited; one that is impossible has no card.
        press: how its pressure is set.
    """
    runs: dict[tuple[CardLine, ...], list[Run]] = {}
    for run in plan.runs:
        steps = [*_standing(plan.steps, run), *(s for s in plan.steps if s.run == run.run)]
        runs.setdefault(_lines(plan, steps, press), []).append(run)
    return tuple(PressCard(tuple(alike), lines) for lines, alike in runs.items())


def card_text(cards: Sequence[PressCard]) -> tuple[Text, ...]:
    """The lines of cards as sentences, for a document."""
    return tuple(
        Text(f"{line.what}: {line.do}" if line.do else f"{line.what}")
        for card in cards
        for line in card.lines
    )


def _standing(steps: Sequence[Step], run: Run) -> list[Step]:
    """What a run leaves as the runs before set it, so that its card can be read by itself."""
    found = []
    for action in ("setpoint", "pressure"):
        own = [step.action for step in steps if step.run == run.run]
        pressed = next((n for n, each in enumerate(own) if each in {"preheat", "press"}), 0)
        before = [step for step in steps if step.run < run.run and step.action == action]
        if before and action not in own[:pressed]:
            found.append(before[-1])
    return found


def _lines(plan: Plan, steps: Sequence[Step], press: Press) -> tuple[CardLine, ...]:
    parts = _parts(plan, steps, press)
    if len(parts) > MOST_LINES:
        parts = _layers_together(parts)
    return tuple(part.line for part in parts)


def _parts(plan: Plan, steps: Sequence[Step], press: Press) -> list[_CardPart]:
    """The steps of one run gathered into parts, each begun by a setting, a pad or a press."""
    names = piece_names(plan)
    pieces = {piece.id: piece for piece in plan.pieces}
    parts: list[_CardPart] = []
    down: set[str] = set()
    layer = 0
    dialled: float | None = None
    pressed = False
    for step in steps:
        act = _act(step, press)
        if step.action == "setpoint":
            # Without it one reads the card for each garment, and turns to and fro at each.
            if pressed and dialled is not None:
                act += f" once every garment of the run is done at {show_c(dialled)}"
            dialled = step.setpoint_c
        pressed = pressed or step.action in {"preheat", "press"}
        if step.action in {"wait", "peel"} and parts:
            act = _peel_of_others(step, steps, names) or act
            parts[-1] = _and(parts[-1], act)
        elif step.action == "press":
            new = [piece for piece in step.pieces if piece not in down]
            down |= set(new)
            layer += bool(new)
            if new:
                what = f"{layer} {_films([pieces[piece] for piece in new], names)}"
                high = capital_words(mm for piece in new for mm in pieces[piece].capitals_mm)
                what += f", {high}" if high else ""
            else:
                every = set(step.pieces) == set(pieces)
                what = "Final" if every else f"Final of {_named(step.pieces, names)}"
            acts = ("tape under its crosses", act) if step.tape == "under" else (act,)
            parts.append(_CardPart(what, acts, "layer" if new else "final"))
        elif step.inside:
            parts.append(_CardPart("Garment", _inside(step), "inside"))
            parts.append(_CardPart(_kind(step), (act,), _kind(step)))
        elif parts and (parts[-1].kind == _kind(step) or _sets_after(parts[-1], step)):
            parts[-1] = _and(parts[-1], act)
        else:
            parts.append(_CardPart(_kind(step), (act,), _kind(step)))
        if step.tape == "off":
            parts[-1] = _and(parts[-1], "tape off")
    return parts


def _inside(step: Step) -> tuple[str, ...]:
    """What is done inside the garment before it is preheated, and when the sheet comes out."""
    acts = tuple(INSIDE_WORDS[one] for one in step.inside)
    return (*acts, "peel that sheet off warm") if "sheet" in step.inside else acts


def _kind(step: Step) -> str:
    kinds = {"setpoint": "Dial", "pressure": "Pressure", "preheat": "Preheat"}
    return kinds.get(step.action, "Garment")


def _sets_after(part: _CardPart, step: Step) -> bool:
    """Whether a step sets the pressure right after the dial, which is one line."""
    return part.kind == "Dial" and step.action == "pressure"


def _and(part: _CardPart, act: str) -> _CardPart:
    return replace(part, acts=(*part.acts, act))


def _act(step: Step, press: Press) -> str:
    """What is done in a step, in a few words."""
    seconds = "" if step.dwell_s is None else f"{show_s(step.dwell_s)}"
    match step.action:
        case "setpoint":
            return "" if step.setpoint_c is None else f"{show_c(step.setpoint_c)}"
        case "pressure" if step.pressure_kpa is not None:
            words = press.pressure_words(step.pressure_kpa)
            return f"{words} ({step.pressure_kpa:.0f} kPa)"
        case "preheat" | "press":
            return f"{seconds} under {step.cover}" if step.cover else seconds
        case "wait":
            return f"off the press {seconds}" if step.off_press else f"wait {seconds}"
        case "peel" if not step.pieces:
            return f"lift {step.cover or 'the cover'}"
        case "peel":
            return f"peel {step.peel or ''}".rstrip()
        case "pad":
            return "pad out" if step.pad == "out" else f"{step.pad} under the print"
        case "turn" if step.lays:
            return f"{step.lays} up" + (f", {step.cover} under it" if step.cover else "")
        case "turn":
            return "open it and lay it flat"
    return ""


def _peel_of_others(step: Step, steps: Sequence[Step], names: Mapping[str, str]) -> str:
    """The words for a peel of something else than what was pressed last; nothing otherwise."""
    pressed = [each for each in steps if each.action == "press" and each.n < step.n]
    if step.action != "peel" or not step.pieces or not pressed:
        return ""
    if set(step.pieces) == set(pressed[-1].pieces):
        return ""
    return f"peel {_named(step.pieces, names)} {step.peel or ''}".rstrip()


def _named(pieces: Sequence[str], names: Mapping[str, str]) -> str:
    return and_list([names.get(piece, piece) for piece in pieces])


def _films(pieces: Sequence[PlannedPiece], names: Mapping[str, str]) -> str:
    """The films of pieces, with the colours of each: ``sea-green and coral matte-smooth``."""
    said = []
    for film, group in groupby(pieces, key=lambda piece: piece.film):
        own = list(group)
        if all(names[piece.id] == f"{piece.colour} {film}" for piece in own):
            said.append(f"{and_list([piece.colour for piece in own])} {film}")
        else:
            said.append(_named([piece.id for piece in own], names))
    return and_list(said)


def _layers_together(parts: Sequence[_CardPart]) -> list[_CardPart]:
    """Layers in a row that are pressed and peeled alike, as one line."""
    together: list[_CardPart] = []
    for (kind, acts), group in groupby(parts, key=lambda part: (part.kind, part.acts)):
        alike = list(group)
        if kind != "layer" or len(alike) == 1:
            together += alike
        else:
            what = "; ".join(part.what for part in alike)
            together.append(_CardPart(what, (f"each {acts[0]}", *acts[1:]), kind))
    return together
