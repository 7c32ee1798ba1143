"""Rule least-stroke: no part of a piece is thinner than the film can be weeded."""

from rules.book.artwork.larger_print import if_larger
from rules.book.rule import Found, Rule
from rules.facts.subjects import LET_IT_LAP, ArtworkPiece
from rules.facts.units import show_mm

__all__ = ["RULE"]

LOST_BELOW = 1 / 3
"""Strokes that are finer in the mean than this share of what the film weeds come away with the
waste, all of them. Common practice, no source."""

UNSEEN_MM = 0.1
"""Finer than this no eye tells from a distance of 35 cm: a minute of arc, the letters' limbs of
visual acuity 1.0 (value from memory)."""

WEEDED_WITH_CARE = 2 / 3
"""A spot no thinner than this share of it is weeded with care, where strokes are broad enough in
the mean. Common practice, no source."""


def _finds(piece: ArtworkPiece) -> Found | None:
    thinnest_mm, least_mm = piece.least_stroke_mm, piece.film.least_stroke_mm
    if thinnest_mm is None or thinnest_mm >= least_mm:
        return None
    if piece.as_cut:
        return Found(
            f"where it meets other pieces, {piece.named} is {show_mm(thinnest_mm):.2g} at its "
            f"thinnest as it is cut; {piece.film.id} weeds from {show_mm(least_mm):g}",
            severity="sample",
            instead=LET_IT_LAP,
        )
    larger = if_larger(piece, least_mm / max(thinnest_mm, 1e-9))
    mean_mm, thicken = piece.mean_stroke_mm, "thicken the artwork"
    if piece.letters:
        thicken = "take a bolder font"
    if mean_mm is not None and mean_mm < UNSEEN_MM:
        return Found(
            f"the strokes of {piece.named} are {show_mm(mean_mm):.2g} wide in the mean: nothing of "
            "it would stay, and no one would see it",
            severity="sample",
            instead="leave it out",
        )
    if mean_mm is not None and mean_mm < LOST_BELOW * least_mm:
        return Found(
            f"the strokes of {piece.named} are {show_mm(mean_mm):.2g} wide in the mean; "
            f"{piece.film.id} weeds from {show_mm(least_mm):g}: nothing of it would stay",
            severity="stop",
            instead=f"{larger}{thicken}, leave it out, or take a film that weeds finer",
        )
    thin = (
        f"{piece.named} is {show_mm(thinnest_mm):.2g} at its thinnest"
        + (f", {piece.stroke_in}" if piece.stroke_in else "")
        + f"; {piece.film.id} weeds from {show_mm(least_mm):g}"
    )
    spot = mean_mm is not None and mean_mm >= least_mm
    if spot and thinnest_mm >= WEEDED_WITH_CARE * least_mm:
        return Found(thin, severity="note", instead=f"weed it slowly there; {larger}{thicken}")
    return Found(
        thin,
        severity="sample",
        instead=f"{larger}{thicken}, or take a film that weeds finer",
    )


_WAVE = {"piece": "wave", "film": "matte-smooth", "width_mm": 100, "height_mm": 40}

RULE = Rule(
    id="least-stroke",
    judges="artwork",
    severity="stop",
    summary="No part of a piece is thinner than its film weeds.",
    why="Thinner strokes tear or lift off with the waste, and have too little adhesive to hold.",
    instead="enlarge or thicken the artwork, or take a film that weeds finer",
    basis="practice",
    source="common practice, no source; the film's own least stroke",
    good={**_WAVE, "least_stroke_mm": 2},
    bad={**_WAVE, "least_stroke_mm": 0.2},
    finds=_finds,
)
