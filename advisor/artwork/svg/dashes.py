"""Dashes: a line parted into the runs that its dash pattern draws (SVG 2 §13.5.6)."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Sequence
from itertools import cycle

import numpy as np

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.outline import Subpath
from advisor.artwork.svg.shapes import length_px

__all__ = ["dash_lengths", "dashed"]

MOST_DASHES = 20_000
_DOT = 1e-6
"""A dash without length has a direction all the same, which its caps need."""


_ROUNDING = 1e-6
"""What is left of a dash at the end of a line is none if it is so small a share of the dash."""


def dash_lengths(text: str, *, relative_px: float) -> tuple[float, ...]:
    """The lengths of dashes and gaps in turn, in px; none where the line is drawn whole.

    >>> dash_lengths("4, 2 1", relative_px=0)
    (4.0, 2.0, 1.0, 4.0, 2.0, 1.0)
    >>> dash_lengths("none", relative_px=0), dash_lengths("4 -2", relative_px=0)
    ((), ())
    """
    given = [length_px(part, relative_px=relative_px) for part in re.split(r"[\s,]+", text.strip())]
    lengths = [length for length in given if length is not None]
    if len(lengths) < len(given) or min(lengths) < 0 or not sum(lengths) > 0:
        return ()
    return tuple(lengths * (1 + len(lengths) % 2))


def dashed(
    runs: Iterable[Subpath], lengths: Sequence[float], *, offset: float = 0.0
) -> list[Subpath]:
    """The dashes of a line; the pattern begins anew with every run.

    Args:
        lengths: dashes and gaps in turn, in the units of the runs; not all of them 0.
        offset: where in the pattern each run begins.

    Raises:
        ArtworkError: there are more dashes than anyone weeds.

    >>> from svgelements import Path
    >>> from advisor.artwork.svg.outline import Affine, flatten
    >>> line = flatten(Path("M0,0 H10"), onto=Affine(), tolerance=0.05)
    >>> [dash.points[:, 0].tolist() for dash in dashed(line, (4, 2), offset=1)]
    [[0.0, 3.0], [5.0, 9.0]]
    """
    found: list[Subpath] = []
    for run in runs:
        points = np.vstack([run.points, run.points[:1]]) if run.closed else run.points
        corner = np.append(run.corner, True) if run.closed else run.corner
        along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        if len(points) < 2:
            found.append(run)
            continue
        if len(found) + along[-1] / sum(lengths) * len(lengths) / 2 > MOST_DASHES:
            raise ArtworkError(
                f"its line has more than {MOST_DASHES:,} dashes; make it a solid line"
            )
        for begin, end in _spans(float(along[-1]), lengths, offset):
            inside = (along > begin) & (along < end)
            at = np.concatenate([[begin], along[inside], [end]])
            places = np.column_stack([np.interp(at, along, side) for side in points.T])
            if end == begin:
                ahead = min(int(np.searchsorted(along, begin, side="right")), len(along) - 1)
                step = points[ahead] - points[ahead - 1]
                places[1] += _DOT * step / math.hypot(*step)
            sharp = np.concatenate([[True], corner[inside], [True]])
            found.append(Subpath(places, sharp, closed=False))
    return found


def _spans(length: float, lengths: Sequence[float], offset: float) -> Iterable[tuple[float, float]]:
    """Where the dashes of one run begin and end."""
    at, shown = -(offset % sum(lengths)), True
    for part in cycle(lengths):
        if at > length:
            return
        if shown and at + part >= 0 and (part or at >= 0):
            begin, end = max(at, 0.0), min(at + part, length)
            if end - begin > _ROUNDING * part or not part:
                yield begin, end
        at, shown = at + part, not shown
