"""Lying: what of an artwork lies where, at every size of a print."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from advisor.artwork.overlay import artwork_pairs, artwork_places, close_pairs, faces_of
from advisor.artwork.records import Artwork
from advisor.artwork.rims import thin_rims
from advisor.job.records.print import Meeting, Pair, Place

__all__ = ["Lying", "lying"]


@dataclass(frozen=True, slots=True)
class Lying:
    """How the pieces of an artwork lie.

    Attributes:
        meetings: every two that overlap or touch, with the ways in which they may meet.
        places: the distinct stacks of pieces, each with its area at the artwork's size.
        close: pairs whose carriers cannot be trimmed apart, each pair in alphabetical order.
    """

    meetings: tuple[Meeting, ...]
    places: tuple[Place, ...]
    close: tuple[Pair, ...]


def lying(
    artwork: Artwork, *, widths_mm: Sequence[float], margin_mm: float, misses_mm: float
) -> Lying:
    """How the pieces lie where the artwork is printed at these widths.

    Args:
        margin_mm: how far outside a piece its carrier is trimmed, mm.
        misses_mm: how far hands are expected to miss, mm; wider rims are not measured.

    >>> from advisor.artwork.reader import read_artwork
    >>> ring = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="40mm" height="40mm"
    ...     viewBox="0 0 40 40"><circle cx="20" cy="20" r="20" fill="#1b2a49"/>
    ...     <circle cx="20" cy="20" r="19.6" fill="#d4a017"/></svg>''')
    >>> found = lying(ring, widths_mm=[40, 20], margin_mm=3, misses_mm=0.5)
    >>> [round(mm, 1) for mm in found.meetings[0].rims_mm], found.close
    ([0.4, 0.2], (('fill-1b2a49', 'fill-d4a017'),))
    """
    factors = [width_mm / artwork.width_mm for width_mm in widths_mm]
    faces = faces_of(artwork)
    pairs = artwork_pairs(artwork, faces=faces)
    rims = thin_rims(artwork, pairs, below_mm=misses_mm / min(factors))
    close = close_pairs(artwork, margin_mm=margin_mm / min(factors))
    return Lying(
        meetings=tuple(
            replace(meeting, rims_mm=tuple(rims[meeting.pair] * factor for factor in factors))
            if meeting.pair in rims
            else meeting
            for meeting in pairs
        ),
        places=artwork_places(artwork, faces=faces),
        close=tuple(sorted((min(pair), max(pair)) for pair in close)),
    )
