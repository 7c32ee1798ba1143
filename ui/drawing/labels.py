"""Labels: words beside a drawing, each led to what it names, none over another."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from ui.drawing import ink

__all__ = ["Label", "labelled", "spread"]

_TITLE, _DETAIL, _GAP = 15.5, 14.5, 9.0
_LETTERS, _TOP = 21, 10.0


@dataclass(frozen=True, slots=True)
class Label:
    """What is said of one thing in a drawing.

    Attributes:
        at: the point that the leader touches.
        number: a number in a ring before the words, such as the order at the press.
    """

    at: ink.Point
    title: str
    detail: str = ""
    number: int | None = None

    @property
    def height(self) -> float:
        """How much room the words take, in drawing units."""
        lines = len(ink.wrap(self.title, _LETTERS)) * _TITLE
        return lines + (len(ink.wrap(self.detail, _LETTERS + 6)) * _DETAIL if self.detail else 0)


def spread(wished: Sequence[float], heights: Sequence[float], *, top: float) -> list[float]:
    """Tops for boxes of ``heights``, in order, none over another, as near the wished middles as
    together they can be, and none above ``top``.

    >>> spread([50, 52, 100], [20, 20, 20], top=0)
    [26.5, 55.5, 90.0]
    >>> spread([0], [20], top=5.0)
    [5.0]
    """
    # Boxes that would overlap are pooled and stand together about their mean (pool adjacent
    # violators, on the tops less the room that the boxes above them take).
    taken = [sum(heights[:n]) + n * _GAP for n in range(len(heights))]
    pools: list[tuple[float, int]] = []
    for middle, height, room in zip(wished, heights, taken, strict=True):
        mean, count = middle - height / 2 - room, 1
        while pools and pools[-1][0] > mean:
            earlier, number = pools.pop()
            mean = (earlier * number + mean * count) / (number + count)
            count += number
        pools.append((mean, count))
    starts = [mean for mean, count in pools for _ in range(count)]
    return [max(start, top) + room for start, room in zip(starts, taken, strict=True)]


def labelled(
    marks: Iterable[str],
    labels: Iterable[Label],
    *,
    left: float,
    bend: float,
    width: float,
    bottom: float,
    title: str,
    alt: str,
    defs: Iterable[str] = (),
    foot: Iterable[str] = (),
) -> str:
    """A drawing with its labels beside it, as an SVG document.

    Args:
        left: where the words start; ``bend``: where the leaders leave the drawing.
        bottom: how far down the document reaches at least.
        foot: further marks, drawn last.
        title, alt, defs: as in :func:`ui.drawing.ink.sheet_of_paper`.
    """
    down = sorted(labels, key=lambda each: each.at[1])
    tops = spread([each.at[1] for each in down], [each.height for each in down], top=_TOP)
    everything, reach = [*marks], 0.0
    for label, y in zip(down, tops, strict=True):
        everything += _one(label, y, left=left, bend=bend)
        reach = y + label.height + 10
    everything += foot
    return ink.sheet_of_paper(
        everything, width=width, height=max(bottom, reach), title=title, alt=alt, defs=defs
    )


def _one(label: Label, y: float, *, left: float, bend: float) -> list[str]:
    middle = y + _TITLE / 2
    marks = [
        ink.line([label.at, (bend, label.at[1]), (left - 5, middle)], kind="faint", width=1),
        ink.circle(*label.at, 3.6, kind="sheet"),
        ink.circle(*label.at, 2.3, kind="ink"),
    ]
    words = left
    if label.number is not None:
        marks += [
            ink.circle(left + 8, middle, 8.5, kind="ink"),
            ink.text(
                left + 8, middle + 4.2, str(label.number), size=12, kind="sheet", anchor="middle",
                weight=700,
            ),
        ]  # fmt: skip
        words += 22
    baseline = y + 12
    for line in ink.wrap(label.title, _LETTERS):
        marks.append(ink.text(words, baseline, line, size=14, weight=650))
        baseline += _TITLE
    for line in ink.wrap(label.detail, _LETTERS + 6) if label.detail else ():
        marks.append(ink.text(words, baseline - 0.5, line, size=12.5, kind="soft figure"))
        baseline += _DETAIL
    return marks
