"""Curves to points: plane transforms, and flattening within a tolerance at the final size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from svgelements import Arc, Close, CubicBezier, Line, Move, PathSegment, QuadraticBezier

from advisor.artwork.records import ArtworkError

__all__ = [
    "FARTHEST_MM",
    "MOST_POINTS",
    "Affine",
    "Subpath",
    "flatten",
]

# Limits that keep any file within bounded time and memory.
MOST_POINTS = 1_000_000
# A coordinate beyond this (1 km) is a slip or an attack, and costs the geometry its precision.
FARTHEST_MM = 1e6

_LINE, _CURVE, _ARC = 0, 1, 2

Complex = NDArray[np.complex128]
Points = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Affine:
    """A plane transform as SVG writes it: x' = a·x + c·y + e, y' = b·x + d·y + f.

    >>> shift = Affine(e=10.0)
    >>> (shift @ Affine(a=2.0, d=2.0)).e
    10.0
    """

    a: float = 1.0
    b: float = 0.0
    c: float = 0.0
    d: float = 1.0
    e: float = 0.0
    f: float = 0.0

    def __matmul__(self, inner: Affine) -> Affine:
        """Return the transform that applies ``inner`` first."""
        return Affine(
            self.a * inner.a + self.c * inner.b,
            self.b * inner.a + self.d * inner.b,
            self.a * inner.c + self.c * inner.d,
            self.b * inner.c + self.d * inner.d,
            self.a * inner.e + self.c * inner.f + self.e,
            self.b * inner.e + self.d * inner.f + self.f,
        )

    @property
    def determinant(self) -> float:
        """How much areas grow; negative when the transform mirrors."""
        return self.a * self.d - self.b * self.c

    @property
    def greatest_stretch(self) -> float:
        """The most that any length grows (the larger singular value)."""
        turn, flip = self._turn_and_flip()
        return abs(turn) + abs(flip)

    def _turn_and_flip(self) -> tuple[complex, complex]:
        """The linear part as z' = turn · z + flip · conj(z)."""
        return (
            complex(self.a + self.d, self.b - self.c) / 2,
            complex(self.a - self.d, self.b + self.c) / 2,
        )

    def within_reason(self) -> Affine:
        """Return the transform itself.

        Raises
        ------
        ArtworkError
            When it enlarges, shrinks or shifts beyond anything drawn.

        Examples
        --------
        >>> Affine(a=1e200).within_reason()
        Traceback (most recent call last):
        advisor.artwork.records.ArtworkError: its size or transform is beyond reason; draw it ...
        """
        values = (self.a, self.b, self.c, self.d, self.e, self.f)
        if all(abs(value) <= 1e12 for value in values) and (
            not self.determinant or abs(self.determinant) >= 1e-18
        ):
            return self
        raise ArtworkError("its size or transform is beyond reason; draw it at its real size")

    def on_points(self, points: Points) -> Points:
        """Transform an array of shape (n, 2)."""
        linear = np.array([[self.a, self.b], [self.c, self.d]])
        moved: Points = points @ linear + np.array([self.e, self.f])
        return moved

    def on_complex(self, z: Complex, *, vectors: bool = False) -> Complex:
        """Transform points (or, without the shift, vectors) held as complex numbers."""
        turn, flip = self._turn_and_flip()
        moved: Complex = turn * z + flip * np.conj(z)
        return moved if vectors else moved + complex(self.e, self.f)


@dataclass(frozen=True, slots=True)
class Subpath:
    """One run of a path, flattened.

    Attributes
    ----------
    points : array, shape (n, 2)
        The vertices; the first is not repeated at the end of a closed run.
    corner : array of bool, shape (n,)
        True where two segments of the drawing meet, False inside a flattened curve.
    closed : bool
        Whether the drawing closes the run.
    """

    points: Points
    corner: NDArray[np.bool_]
    closed: bool


def flatten(
    segments: Iterable[PathSegment],
    *,
    onto: Affine,
    tolerance: float,
    most_points: int = MOST_POINTS,
) -> tuple[Subpath, ...]:
    """Turn path segments into vertices that stay within a tolerance of the curve.

    Parameters
    ----------
    segments : iterable of svgelements.PathSegment
    onto : Affine
        Applied before flattening, so that the tolerance holds at the final size.
    tolerance : float
        Greatest distance between curve and chord, in the units after ``onto``.
    most_points : int
        Refuse more vertices than this.

    Raises
    ------
    ArtworkError
        When a coordinate is not a number or is absurdly far off, or there are too many points.

    Notes
    -----
    Bézier curves take ``n = sqrt(d (d - 1) M / (8 tolerance))`` chords, ``M`` being the greatest
    second difference of the control points (G. Wang, 1984, as given from memory); arcs take
    chords of ``2 acos(1 - tolerance / R)``, the sagitta of a circle of radius ``R``.

    Examples
    --------
    >>> from svgelements import Path
    >>> (run,) = flatten(Path("M0,0 H10 V10 z"), onto=Affine(), tolerance=0.05)
    >>> run.points.tolist(), run.closed
    ([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]], True)
    """
    kinds, control, owner, closed, arcs = _collect(segments)
    if not kinds:
        return ()
    kind = np.array(kinds, dtype=np.int8)
    drawn = np.array(control, dtype=np.complex128).reshape(-1, 4)
    # Beyond this a transform could overflow before the distance is judged.
    if not (np.abs(drawn.view(np.float64)) < 1e100).all():
        _refuse_far(np.array([np.inf]))
    z = onto.on_complex(drawn)
    chords = np.ones(len(kind), dtype=np.int64)
    curved = kind == _CURVE
    if curved.any():
        bend = np.maximum(
            np.abs(z[curved, 0] - 2 * z[curved, 1] + z[curved, 2]),
            np.abs(z[curved, 1] - 2 * z[curved, 2] + z[curved, 3]),
        )
        _refuse_far(bend)
        chords[curved] = np.maximum(1, np.ceil(np.sqrt(0.75 * bend / tolerance)))
    _refuse_far(z)
    turned = np.flatnonzero(kind == _ARC)
    centre, across, down, begin, sweep = _arcs_onto(arcs, onto)
    if turned.size:
        radius = np.sqrt(np.abs(across) ** 2 + np.abs(down) ** 2)
        _refuse_far(radius)
        step = 2 * np.arccos(np.clip(1 - tolerance / np.maximum(radius, tolerance), -1, 1))
        chords[turned] = np.maximum(1, np.ceil(np.abs(sweep) / np.minimum(step, np.pi / 2)))
    total = int(chords.sum())
    if total > most_points:
        raise ArtworkError(
            f"the curves need more than {most_points:,} points at this size; "
            "simplify the paths or give a larger tolerance_mm"
        )
    segment = np.repeat(np.arange(len(kind)), chords)
    step_no = np.arange(total) - np.repeat(np.cumsum(chords) - chords, chords) + 1
    t = step_no / chords[segment]
    out = z[segment, 3]
    inside = step_no < chords[segment]
    on_curve = inside & curved[segment]
    s, c, u = 1 - t[on_curve], z[segment[on_curve]], t[on_curve]
    out[on_curve] = (
        s**3 * c[:, 0] + 3 * s**2 * u * c[:, 1] + 3 * s * u**2 * c[:, 2] + u**3 * c[:, 3]
    )
    if turned.size:
        on_arc = inside & (kind == _ARC)[segment]
        arc = np.searchsorted(turned, segment[on_arc])
        angle = begin[arc] + sweep[arc] * t[on_arc]
        out[on_arc] = centre[arc] + across[arc] * np.cos(angle) + down[arc] * np.sin(angle)
    corner = ~inside
    first = np.searchsorted(np.array(owner)[segment], np.arange(len(closed) + 1))
    points = np.column_stack([out.real, out.imag])
    return tuple(
        _tidy(points[first[at] : first[at + 1]], corner[first[at] : first[at + 1]], shut)
        for at, shut in enumerate(closed)
    )


def _collect(
    segments: Iterable[PathSegment],
) -> tuple[list[int], list[complex], list[int], list[bool], list[Arc]]:
    """Sort segments into kinds and control points; a Move is a line of no length."""
    kinds: list[int] = []
    control: list[complex] = []
    owner: list[int] = []
    closed: list[bool] = []
    arcs: list[Arc] = []
    here = start = complex(0, 0)
    ended = True

    def add(kind: int, one: complex, two: complex, end: complex) -> None:
        kinds.append(kind)
        owner.append(len(closed) - 1)
        control.extend((here, one, two, end))

    for segment in segments:
        if isinstance(segment, Close):
            if not ended:
                add(_LINE, start, start, start)
                closed[-1] = True
            here, ended = start, True
            continue
        end = complex(segment.end.x, segment.end.y)
        if isinstance(segment, Move):
            here = start = end
            closed.append(False)
            add(_LINE, end, end, end)
            ended = False
            continue
        if ended:
            # After a close the next run begins where the last one began (SVG 1.1 §8.3.3).
            if not closed:
                break
            here = start
            closed.append(False)
            add(_LINE, here, here, here)
            ended = False
        if isinstance(segment, Line):
            add(_LINE, here, end, end)
        elif isinstance(segment, CubicBezier):
            one, two = segment.control1, segment.control2
            add(_CURVE, complex(one.x, one.y), complex(two.x, two.y), end)
        elif isinstance(segment, QuadraticBezier):
            mid = complex(segment.control.x, segment.control.y)
            add(_CURVE, here + (mid - here) * 2 / 3, end + (mid - end) * 2 / 3, end)
        elif isinstance(segment, Arc) and segment.sweep:
            arcs.append(segment)
            add(_ARC, end, end, end)
        else:
            add(_LINE, here, end, end)
        here = end
    return kinds, control, owner, closed, arcs


def _arcs_onto(arcs: list[Arc], onto: Affine) -> tuple[Complex, Complex, Complex, Points, Points]:
    """Centres, the two half-axes, start parameters and sweeps of arcs after a transform."""
    centre = np.array([complex(arc.center.x, arc.center.y) for arc in arcs], dtype=np.complex128)
    across = np.array([complex(arc.prx.x, arc.prx.y) for arc in arcs], dtype=np.complex128) - centre
    down = np.array([complex(arc.pry.x, arc.pry.y) for arc in arcs], dtype=np.complex128) - centre
    start = np.array([complex(arc.start.x, arc.start.y) for arc in arcs], dtype=np.complex128)
    # The half-axes stand square on each other before the transform.
    begin = np.arctan2(_along(start - centre, down), _along(start - centre, across))
    sweep = np.array([float(arc.sweep) for arc in arcs])
    return (
        onto.on_complex(centre),
        onto.on_complex(across, vectors=True),
        onto.on_complex(down, vectors=True),
        begin,
        sweep,
    )


def _along(vectors: Complex, axes: Complex) -> Points:
    """How far vectors reach along axes, as a share of the axes."""
    share: Points = (vectors * np.conj(axes)).real / np.maximum(np.abs(axes) ** 2, 1e-300)
    return share


def _refuse_far(z: Complex | Points) -> None:
    """Refuse coordinates that are not finite or lie beyond any garment."""
    if not np.isfinite(z).all() or (z.size and float(np.abs(z).max()) > FARTHEST_MM):
        raise ArtworkError(
            "a coordinate is not a number or lies more than 1 km away; "
            "move the shape onto the artboard and save again"
        )


def _tidy(points: Points, corner: NDArray[np.bool_], closed: bool) -> Subpath:
    """Drop repeated vertices; a repeat of a corner stays a corner."""
    keep = np.ones(len(points), dtype=bool)
    keep[1:] = (points[1:] != points[:-1]).any(axis=1)
    group = np.cumsum(keep) - 1
    sharp = np.zeros(int(group[-1]) + 1, dtype=bool)
    sharp[group[corner]] = True
    points = points[keep]
    if closed and len(points) > 1 and (points[0] == points[-1]).all():
        points, sharp = points[:-1], sharp[:-1]
    return Subpath(points=points, corner=sharp, closed=closed)
