"""Pictogram: one press step seen from the side: platen, cover, film, garment, pad, table."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from rules.facts.step import Step
from ui.drawing import ink

__all__ = ["pictogram", "pictograms"]

_WIDTH, _HEIGHT = 176.0, 132.0
_LEFT, _ACROSS = 26.0, 112.0
_TABLE_Y = 112.0
_GARMENT, _PAD, _FILM, _SHEET = 9.0, 9.0, 7.0, 4.0


def pictogram(
    step: Step,
    *,
    laid: Sequence[str] = (),
    down: Sequence[str] = (),
    fabric: str = "#d9d4c7",
    pad_in: bool = False,
) -> str:
    """One step as a small picture.

    Args:
        laid: sRGB of the films that this step lays down, presses or peels, bottom first.
        down: sRGB of the films that lie there already, bottom first.
        fabric: sRGB of the garment.
        pad_in: whether a pad lies under the garment during this step.

    >>> from rules.facts.step import Step
    >>> drawn = pictogram(Step(n=1, action="press", purpose="tack", dwell_s=2), laid=["#d4a017"])
    >>> drawn.count("#d4a017"), "Tack" in drawn
    (1, True)
    """
    draw = {
        "preheat": _pressed, "press": _pressed, "peel": _peeled, "wait": _wait, "pad": _pad,
        "pressure": _pressure, "setpoint": _setpoint, "turn": _turn,
    }[step.action]  # fmt: skip
    top, stack = _stack(step, laid, down, fabric, pad_in)
    marks = [*_table(), *stack, *draw(step, top)]
    title = "Tack" if step.purpose == "tack" else step.action.capitalize()
    return ink.sheet_of_paper(marks, width=_WIDTH, height=_HEIGHT, title=title)


def pictograms(
    steps: Iterable[Step], colours: Mapping[str, str], *, fabric: str
) -> Iterator[tuple[str, str | None]]:
    """Each step drawn over what lies there by then, with the pad under the print meanwhile.

    Args:
        colours: sRGB of each piece's film.
        fabric: sRGB of the garment.
    """
    down: list[str] = []
    pad: str | None = None
    for step in steps:
        if step.action == "pad":
            pad = None if step.pad == "out" else step.pad
        laid = [colours[piece] for piece in step.pieces if piece in colours]
        below = [colours[piece] for piece in down if piece not in step.pieces]
        yield pictogram(step, laid=laid, down=below, fabric=fabric, pad_in=pad is not None), pad
        if step.action == "press":
            down += [piece for piece in step.pieces if piece in colours and piece not in down]


def _table() -> list[str]:
    return [
        ink.rect(_LEFT - 12, _TABLE_Y, _ACROSS + 24, 8, kind="tool", radius=2, stroke=1.2),
        ink.rect(_LEFT + 34, _TABLE_Y + 8, 44, 8, kind="tool", radius=2, stroke=1.2),
    ]


def _stack(
    step: Step, laid: Sequence[str], down: Sequence[str], fabric: str, pad_in: bool
) -> tuple[float, list[str]]:
    """What lies on the table, and the height of its top."""
    y, marks = _TABLE_Y, []
    if pad_in and step.action != "pad":
        y -= _PAD
        marks.append(ink.rect(_LEFT + 14, y, _ACROSS - 28, _PAD, kind="soft", radius=4, stroke=1))
    y -= _GARMENT
    marks.append(ink.rect(_LEFT, y, _ACROSS, _GARMENT, fill=fabric, radius=3, stroke=1.2))
    if step.action in {"preheat", "setpoint", "pressure"} and not down:
        return y, marks
    for place, colour in enumerate([*down, *laid] if step.action in {"press", "peel"} else down):
        y -= _FILM
        inset = min(10 + 8 * place, 34)
        marks.append(ink.rect(_LEFT + inset, y, _ACROSS - 2 * inset, _FILM, fill=colour, stroke=1))
    if step.action == "press" and step.cover:
        y -= _SHEET + 1
        marks.append(ink.rect(_LEFT - 6, y, _ACROSS + 12, _SHEET, kind="cover", stroke=1))
    elif step.action == "press" and laid:
        y -= _SHEET
        marks.append(ink.rect(_LEFT + 6, y, _ACROSS - 12, _SHEET, kind="clear", stroke=1))
    return y, marks


def _platen(bottom: float, *, hot: bool = True) -> list[str]:
    marks = [
        ink.rect(_LEFT - 12, bottom - 20, _ACROSS + 24, 20, kind="tool", radius=3, stroke=1.4),
        ink.rect(_LEFT + 42, bottom - 31, 28, 11, kind="tool", radius=2, stroke=1.4),
    ]
    if hot:
        marks.append(
            ink.line(
                [(_LEFT - 8, bottom - 4), (_LEFT + _ACROSS + 8, bottom - 4)], kind="hotline",
                width=3,
            )
        )  # fmt: skip
    return marks


def _pressed(step: Step, top: float) -> list[str]:
    marks = _platen(top - 1)
    x = _LEFT + _ACROSS + 24
    # Two arrows for a full press, one for a tack or a preheat.
    for n in range(2 if step.purpose == "full" else 1):
        marks += _arrow(x, top - 44 + 26 * n, 0, 20)
    return marks


def _peeled(step: Step, top: float) -> list[str]:
    marks = _platen(34, hot=False)
    cover = bool(step.cover) and not step.pieces
    kind = "cover" if cover else "clear"
    left, right = (_LEFT - 6, _LEFT + _ACROSS + 6) if cover else (_LEFT + 6, _LEFT + _ACROSS - 6)
    y = top - 3
    marks.append(
        ink.path(
            f"M{left} {y}H{right - 52}Q{right - 16} {y} {right - 2} {y - 34}l5 2"
            f"Q{right - 12} {y + 4} {right - 52} {y + 4}H{left}z",
            kind=kind, stroke=1.1,
        )
    )  # fmt: skip
    marks += _arrow(right + 14, y - 14, -8, -22)
    if step.peel == "hot":
        marks += _waves(_LEFT + 6, y - 8)
    elif step.peel == "cold":
        marks += _flake(_LEFT + 16, y - 18)
    elif step.peel == "warm":
        marks += _waves(_LEFT + 6, y - 8)[:1]
    return marks


def _wait(step: Step, top: float) -> list[str]:
    x, y = _LEFT + _ACROSS / 2, 46.0
    return [
        ink.circle(x, y, 30, kind="sheet", stroke=2.4),
        ink.line([(x, y - 22), (x, y), (x + 15, y + 9)], width=3),
        ink.line([(x, y - 34), (x, y - 30)], width=4),
    ]


def _pad(step: Step, top: float) -> list[str]:
    right, y = _LEFT + _ACROSS, _TABLE_Y - _PAD
    x, by = (right + 6, 26) if step.pad == "out" else (right + 24, -26)
    pad = ink.rect(_LEFT + 60, y - 12, 64, _PAD, kind="soft", radius=4, stroke=1.2)
    return [*_platen(34, hot=False), pad, *_arrow(x, y - 30, by, 0)]


def _pressure(step: Step, top: float) -> list[str]:
    x, y = _LEFT + _ACROSS / 2, 50.0
    ticks = [(-21, 10), (-22, -6), (-12, -20), (4, -23), (19, -14), (23, 2)]
    return [
        ink.circle(x, y, 34, kind="sheet", stroke=2.4),
        *(
            ink.line([(x + dx, y + dy), (x + dx * 1.2, y + dy * 1.2)], width=2.4)
            for dx, dy in ticks
        ),
        ink.line([(x, y + 4), (x + 14, y - 14)], width=3),
        ink.circle(x, y + 4, 4, kind="ink"),
        ink.text(x, y + 24, "kPa", size=12, anchor="middle", weight=600),
    ]


def _setpoint(step: Step, top: float) -> list[str]:
    x = _LEFT + _ACROSS / 2
    return [
        ink.rect(x - 9, 12, 18, 62, kind="sheet", radius=9, stroke=2.2),
        ink.circle(x, 80, 15, kind="hot", stroke=2.2),
        ink.rect(x - 4, 36, 8, 40, kind="hot"),
        *(ink.line([(x + 13, y), (x + 22, y)], width=2) for y in (22, 34, 46, 58)),
    ]


def _turn(step: Step, top: float) -> list[str]:
    x, y = _LEFT + _ACROSS / 2, 62.0
    return [
        ink.path(f"M{x - 34} {y + 8}A34 26 0 1 1 {x + 30} {y + 12}", fill="none", stroke=3),
        *_arrow(x + 32, y + 2, -3, 18),
    ]


def _arrow(x: float, y: float, dx: float, dy: float) -> list[str]:
    length = (dx * dx + dy * dy) ** 0.5
    ux, uy = dx / length, dy / length
    end = (x + dx, y + dy)
    back = (end[0] - 9 * ux, end[1] - 9 * uy)
    head = [end, (back[0] - 6 * uy, back[1] + 6 * ux), (back[0] + 6 * uy, back[1] - 6 * ux)]
    return [ink.line([(x, y), back], width=3), ink.polygon(head, kind="ink")]


def _waves(x: float, y: float) -> list[str]:
    return [
        ink.path(f"M{x + 14 * n} {y}c-6-6 6-10 0-16s6-10 0-16", kind="hotline", stroke_width=2.6)
        for n in range(3)
    ]


def _flake(x: float, y: float) -> list[str]:
    arms = [(11, 0), (5.5, 9.5), (-5.5, 9.5)]
    return [ink.line([(x - dx, y - dy), (x + dx, y + dy)], width=2.6) for dx, dy in arms]
