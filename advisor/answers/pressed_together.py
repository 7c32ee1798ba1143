"""Pressed together: prints on one side of a garment that share one full press."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from advisor.answers.place_steps import PlacePart, box_mm, sheet_over
from advisor.answers.step_seconds import part_seconds
from rules.facts.practice import PLATEN_EDGE_MM
from rules.facts.press import Press
from rules.facts.sheet import Sheet
from rules.facts.step import Step
from rules.facts.text import Text, and_list
from rules.facts.units import show_c, show_s

__all__ = ["together"]


def together(
    parts: Sequence[PlacePart], press: Press, sheets: Mapping[str, Sheet]
) -> PlacePart | None:
    """Prints of one side as one: all tacked in turn, one full press, then all are peeled.

    A name and a number go down in one press at one setting that suits the films of both, with the
    seconds of the slower. Whether heat and rules agree, the caller judges.

    Returns:
        ``None`` where they take more than one full press, another pressure or pad, or have no
        setting in common, or do not lie together where the platen presses evenly.
    """
    first, films = parts[0], [film for part in parts for film in part.films.values()]
    fulls = [[step for step in part.presses if step.purpose == "full"] for part in parts]
    alike = {(part.side, part.pressure.pressure_kpa, part.pad_id) for part in parts}
    if len(alike) > 1 or any(len(own) != 1 for own in fulls):
        return None
    if not all(_is_one_visit(part) for part in parts):
        return None
    shared_c = [
        part.dial.setpoint_c
        for part in parts
        if part.dial.setpoint_c is not None
        and all(film.setpoint_c.holds(part.dial.setpoint_c) for film in films)
    ]
    dwell_s = max(own[0].dwell_s or 0.0 for own in fulls)
    width_mm, height_mm = box_mm(parts)
    even_mm = (side - 2 * PLATEN_EDGE_MM for side in (press.platen_width_mm, press.platen_depth_mm))
    fits = all(mm <= most_mm for mm, most_mm in zip((width_mm, height_mm), even_mm, strict=True))
    if not shared_c or not fits or dwell_s > min(film.dwell_s.high for film in films):
        return None
    setpoint_c = max(shared_c)
    covered = any(own[0].cover for own in fulls)
    cover = sheet_over(parts, setpoint_c, sheets).id if covered else None
    before = [step for part in parts for step in part.presses[: part.full_at]]
    at = max(
        range(len(parts)),
        key=lambda n: (parts[n].dial.setpoint_c == setpoint_c, fulls[n][0].dwell_s == dwell_s),
    )
    rest = and_list(part.at for n, part in enumerate(parts) if n != at)
    why = (
        f"{fulls[at][0].why} The {rest} goes down in the same press, whose films take "
        f"{show_c(setpoint_c)} for {show_s(dwell_s)} as well."
    )
    full = fulls[0][0].model_copy(
        update={
            "pieces": tuple(piece for own in fulls for piece in own[0].pieces),
            "setpoint_c": setpoint_c,
            "dwell_s": dwell_s,
            "cover": cover,
            "tape": next((own[0].tape for own in fulls if own[0].tape), None),
            "why": Text(why),
        }
    )
    lifts = [step for own in parts for step in own.presses if step.cover and step.action == "peel"]
    lifted = [lifts[0].model_copy(update={"cover": cover})] if cover and lifts else []
    hotter = next(part for part in parts if part.dial.setpoint_c == setpoint_c)
    preheat = max((part.preheat for part in parts), key=lambda step: step.dwell_s or 0.0)
    one = replace(
        first,
        bears=tuple(of_part for part in parts for of_part in part.bears),
        dial=hotter.dial,
        opening=next((part.opening for part in parts if part.opening), None),
        preheat=preheat.model_copy(update={"setpoint_c": setpoint_c}),
        presses=(
            *(step.model_copy(update=_at(step, setpoint_c)) for step in before),
            full,
            *lifted,
            *_peeled([part.presses[part.full_at + 1 :] for part in parts]),
        ),
        films={piece: film for part in parts for piece, film in part.films.items()},
    )
    return replace(one, seconds=part_seconds(one, one.presses))


def _is_one_visit(part: PlacePart) -> bool:
    """Whether the garment stays on the press at one setting until its full press is over."""
    until_full = part.presses[: part.full_at]
    turned_up = any(step.action == "setpoint" for step in part.presses)
    return not turned_up and not any(step.off_press for step in until_full)


def _at(step: Step, setpoint_c: float) -> dict[str, float]:
    return {"setpoint_c": setpoint_c} if step.action == "press" else {}


def _peeled(after: Sequence[Sequence[Step]]) -> list[Step]:
    """What is peeled after the full press, the hot ones first, each wait counted from the press."""
    peels: list[tuple[float, Step | None, Step]] = []
    for steps in after:
        waited_s, wait = 0.0, None
        for step in steps:
            if step.action == "wait":
                waited_s, wait = waited_s + (step.dwell_s or 0.0), step
            elif step.action == "peel" and step.pieces:
                peels.append((waited_s, wait, step))
    made: list[Step] = []
    so_far_s = 0.0
    for waited_s, wait, peel in sorted(peels, key=lambda entry: entry[0]):
        if wait is not None and waited_s > so_far_s:
            made.append(wait.model_copy(update={"dwell_s": waited_s - so_far_s}))
            so_far_s = waited_s
        made.append(peel)
    return made
