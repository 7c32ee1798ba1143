"""Curves to points: plane transforms, and flattening within a tolerance at the final size."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import astuple, dataclass

import numpy as np
from numpy.typing import NDArray
from svgelements import Arc, Close, CubicBezier, Move, PathSegment, QuadraticBezier

from advisor.artwork.records import ArtworkError

__all__ = ["FARTHEST_MM", "MOST_POINTS", "Affine", "Points", "Subpath", "flatten"]

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

        Raises:
            ArtworkError: it enlarges, shrinks or shifts beyond anything drawn.

        >>> Affine(a=1e200).within_reason()
        Traceback (most recent call last):
        advisor.artwork.records.ArtworkError: its size or transform is beyond reason; draw it ...
        """
        if all(abs(value) <= 1e12 for value in astuple(self)) and (
            not self.determinant or abs(self.determinant) >= 1e-18
        ):
            return self
        raise ArtworkError("its size or transform is beyond reason; draw it at its real size")

    def on_points(self, points: Points) -> Points:
        """Transform an array of shape (n, 2)."""
        linear = np.array([[self.a, self.b], [self.c, self.d]])
        moved: Points = points @ linear + np.array([self.e, self.f])
        return moved

    def on_complex(self, z: Complex) -> Complex:
        """Transform points held as complex numbers."""
        turn, flip = self._turn_and_flip()
        moved: Complex = turn * z + flip * np.conj(z) + complex(self.e, self.f)
        return moved


@dataclass(frozen=True, slots=True)
class Subpath:
    """One run of a path, flattened.

    Attributes:
        points: the vertices, shape (n, 2); the first is not repeated at the end of a closed run.
        corner: shape (n,); true where two segments of the drawing meet, false inside a curve.
        closed: whether the drawing closes the run.
    """

    points: Points
    corner: NDArray[np.bool_]
    closed: bool

    @property
    def length(self) -> float:
        """The way along it, the closing edge included."""
        ends = self.points[:1] if self.closed else self.points[-1:]
        steps = np.diff(np.vstack([self.points, ends]), axis=0)
        return float(np.hypot(*steps.T).sum())

    @property
    def gapes(self) -> bool:
        """Whether filling the run closes it with an edge that is not drawn."""
        ends_apart = bool((self.points[0] != self.points[-1]).any())
        return not self.closed and len(self.points) > 2 and ends_apart


def flatten(
    segments: Iterable[PathSegment],
    *,
    onto: Affine,
    tolerance: float,
    most_points: int = MOST_POINTS,
) -> tuple[Subpath, ...]:
    """Turn the path segments of svgelements into vertices within a tolerance of the curve.

    Bézier curves take ``n = sqrt(d (d - 1) M / (8 tolerance))`` chords, ``M`` being the greatest
    second difference of the control points (G. Wang, 1984, as given from memory); arcs take
    chords of ``2 acos(1 - tolerance / R)``, the sagitta of a circle of radius ``R``.

    Args:
        onto: applied before flattening, so that the tolerance holds at the final size.
        tolerance: greatest distance between curve and chord, in the units after ``onto``.
        most_points: more vertices than this are refused.

    Raises:
        ArtworkError: a coordinate is not a number or is absurdly far off, or there are too many
            points.

    >>> from svgelements import Path
    >>> (run,) = flatten(Path("M0,0 H10 V10 z"), onto=Affine(), tolerance=0.05)
    >>> run.points.tolist(), run.closed
    ([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0]], True)
    """
    drawn = _Drawn(segments)
    if not drawn.kinds:
        return ()
    kind = np.array(drawn.kinds, dtype=np.int8)
    control = np.array(drawn.control, dtype=np.complex128).reshape(-1, 4)
    # Beyond this a transform could overflow before the distance is judged.
    if not (np.abs(control.view(np.float64)) < 1e100).all():
        _refuse_far(np.array([np.inf]))
    z = onto.on_complex(control)
    _refuse_far(z)
    chords = np.ones(len(kind), dtype=np.int64)
    curved, turned = kind == _CURVE, kind == _ARC
    if curved.any():
        bend = np.abs(z[curved, :2] - 2 * z[curved, 1:3] + z[curved, 2:]).max(axis=1)
        chords[curved] = np.maximum(1, np.ceil(np.sqrt(0.75 * bend / tolerance)))
    if turned.any():
        centre, sweep = np.array(drawn.centres), np.array(drawn.sweeps)
        # To the start and to the ends of the half-axes, square on each other before ``onto``.
        spokes = control[turned, :3] - centre[:, None]
        start, axes = spokes[:, :1], spokes[:, 1:]
        share = (start * np.conj(axes)).real / np.maximum(np.abs(axes) ** 2, 1e-300)
        begin = np.arctan2(share[:, 1], share[:, 0])
        centre = onto.on_complex(centre)
        across, down = (z[turned, 1:3] - centre[:, None]).T
        radius = np.hypot(np.abs(across), np.abs(down))
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
    if turned.any():
        on_arc = inside & turned[segment]
        arc = (np.cumsum(turned) - 1)[segment[on_arc]]
        angle = begin[arc] + sweep[arc] * t[on_arc]
        out[on_arc] = centre[arc] + across[arc] * np.cos(angle) + down[arc] * np.sin(angle)
    corner = ~inside
    first = np.searchsorted(np.array(drawn.owner)[segment], np.arange(len(drawn.closed) + 1))
    points = np.column_stack([out.real, out.imag])
    return tuple(
        _without_repeats(points[begins:ends], corner[begins:ends], shut)
        for begins, ends, shut in zip(first, first[1:], drawn.closed, strict=False)
    )


class _Drawn:
    """The segments of a path by kind, each with four points; a Move is a line of no length.

    A curve has its control points; an arc its start, the ends of its half-axes, and its end.
    """

    def __init__(self, segments: Iterable[PathSegment]) -> None:
        self.kinds: list[int] = []
        self.control: list[complex] = []
        self.owner: list[int] = []
        self.closed: list[bool] = []
        self.centres: list[complex] = []
        self.sweeps: list[float] = []
        here = start = complex(0, 0)
        ended = True
        for segment in segments:
            if isinstance(segment, Close):
                if not ended:
                    self._add(_LINE, here, start, start, start)
                    self.closed[-1] = True
                here, ended = start, True
                continue
            end = complex(segment.end.x, segment.end.y)
            if isinstance(segment, Move):
                here = start = end
                self._begin(end)
                ended = False
                continue
            if ended:
                # After a close the next run begins where the last one began (SVG 1.1 §8.3.3).
                if not self.closed:
                    break
                here = start
                self._begin(here)
                ended = False
            if isinstance(segment, CubicBezier):
                one, two = segment.control1, segment.control2
                self._add(_CURVE, here, complex(one.x, one.y), complex(two.x, two.y), end)
            elif isinstance(segment, QuadraticBezier):
                mid = complex(segment.control.x, segment.control.y)
                one, two = here + (mid - here) * 2 / 3, end + (mid - end) * 2 / 3
                self._add(_CURVE, here, one, two, end)
            elif isinstance(segment, Arc) and segment.sweep:
                across, down = segment.prx, segment.pry
                self._add(_ARC, here, complex(across.x, across.y), complex(down.x, down.y), end)
                self.centres.append(complex(segment.center.x, segment.center.y))
                self.sweeps.append(float(segment.sweep))
            else:
                self._add(_LINE, here, here, end, end)
            here = end

    def _begin(self, here: complex) -> None:
        self.closed.append(False)
        self._add(_LINE, here, here, here, here)

    def _add(self, kind: int, *control: complex) -> None:
        self.kinds.append(kind)
        self.owner.append(len(self.closed) - 1)
        self.control.extend(control)


def _refuse_far(z: Complex | Points) -> None:
    """Refuse coordinates that are not finite or lie beyond any garment."""
    if not np.isfinite(z).all() or (z.size and float(np.abs(z).max()) > FARTHEST_MM):
        raise ArtworkError(
            "a coordinate is not a number or lies more than 1 km away; "
            "move the shape onto the artboard and save again"
        )


def _without_repeats(points: Points, corner: NDArray[np.bool_], closed: bool) -> Subpath:
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
