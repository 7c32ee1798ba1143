"""Joint width: how far a rim laps or a butt gapes, so that what hands miss stays hidden."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from advisor.job.records.print import Pair, PieceSize
from rules.facts.film import Film
from rules.facts.practice import TACK_S
from rules.facts.step import Meets
from rules.facts.subjects import Joint

__all__ = [
    "JointWidth", "gap_mm", "joint_width", "joints_to_judge", "shrink_mm", "trap_mm",
    "width_drawn_in",
]  # fmt: skip

EDGE_MM = 0.5
"""Overlap kept beyond what registration and shrink may eat, mm. Common practice, no source."""

UNMEASURED_MM = 1000.0
"""Stands for the narrowest width of a piece that was not measured, mm: nothing is too narrow."""


@dataclass(frozen=True, slots=True)
class JointWidth:
    """How wide a joint is made: the overlap of a rim, or the gap of a butt.

    Attributes:
        shrink_mm: how far an edge is expected to draw in before the other is laid, mm.
    """

    trap_mm: float
    gap_mm: float
    shrink_mm: float


def joint_width(
    upper: Film,
    lower: Film,
    way: Meets,
    *,
    sizes: Sequence[PieceSize],
    registration_mm: float,
) -> JointWidth:
    """The width that suits both pieces at every one of their sizes.

    Args:
        sizes: of both pieces, mm.
        registration_mm: how far hands are expected to miss, mm.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> joint_width(film, film, "inset-over", sizes=[PieceSize(90, 90)], registration_mm=0.5)
    JointWidth(trap_mm=1.0, gap_mm=0.0, shrink_mm=0.0)
    """
    extent_mm = max(size.extent_mm for size in sizes)
    drawn_in = max(shrink_mm(upper, extent_mm), shrink_mm(lower, extent_mm))
    return width_drawn_in(drawn_in, way, registration_mm=registration_mm)


def width_drawn_in(drawn_in: float, way: Meets, *, registration_mm: float) -> JointWidth:
    """The width of a joint whose edges are expected to draw in by so much, mm."""
    return JointWidth(
        trap_mm=trap_mm(registration_mm, drawn_in) if "inset" in way else 0.0,
        gap_mm=gap_mm(registration_mm, drawn_in) if way == "butt" else 0.0,
        shrink_mm=drawn_in,
    )


def joints_to_judge(
    upper: Film,
    lower: Film,
    way: Meets,
    width: JointWidth,
    *,
    upper_sizes: Sequence[PieceSize],
    rims_mm: Sequence[float],
    registration_mm: float,
    pieces: Pair | None = None,
) -> tuple[Joint, ...]:
    """The joint at every size of its upper piece, as the rules look at it.

    Args:
        rims_mm: how wide the lower piece shows along the upper one at these sizes, mm; none where
            that is wide.
    """
    rims = rims_mm or (UNMEASURED_MM,) * len(upper_sizes)
    narrowest = dict.fromkeys(
        (_window_mm(size.least_stroke_mm, way, width.trap_mm), rim_mm)
        for size, rim_mm in zip(upper_sizes, rims, strict=True)
    )
    return tuple(
        Joint(
            upper=upper,
            lower=lower,
            meets=way,
            trap_mm=width.trap_mm,
            gap_mm=width.gap_mm,
            shift_mm=registration_mm,
            shrink_mm=width.shrink_mm,
            narrowest_mm=narrowest_mm,
            rim_mm=rim_mm,
            pieces=pieces,
        )
        for narrowest_mm, rim_mm in narrowest
    )


def shrink_mm(film: Film, extent_mm: float) -> float:
    """How far an edge draws in, mm, over the tack that lays the piece and the one after it."""
    return film.draws_in(2 * TACK_S) * extent_mm


def trap_mm(registration_mm: float, shrink_mm: float) -> float:
    """The overlap that hides what hands miss and films shrink, mm, in tenths.

    >>> trap_mm(0.5, 0.0), trap_mm(0.5, 0.32)
    (1.0, 1.4)
    """
    return _tenths_up(registration_mm + shrink_mm + EDGE_MM)


def gap_mm(registration_mm: float, shrink_mm: float) -> float:
    """The gap that keeps butted pieces from overlapping by accident, mm, in tenths.

    >>> gap_mm(0.5, 0.0)
    0.5
    """
    return _tenths_up(registration_mm + shrink_mm)


def _window_mm(narrowest_mm: float | None, way: Meets, trap_mm: float) -> float:
    """Narrowest width of an inset piece as the rules look at it, mm.

    A rim that goes under is grown out beneath its neighbour, so that the window stays as drawn; a
    rim that goes over is part of the drawing, and the window is narrower by a trap on each side.
    """
    if narrowest_mm is None:
        return UNMEASURED_MM
    return narrowest_mm + 2 * trap_mm if way == "inset-under" else narrowest_mm


def _tenths_up(millimetres: float) -> float:
    tenths = round(millimetres * 10, 6)
    whole = int(tenths)
    return (whole if tenths == whole else whole + 1) / 10
