"""Rule colours-merge: two pieces that differ in the artwork must not come out alike."""

from rules.book.artwork.colour_match import SEEN_DELTA_E
from rules.book.colour_difference import (
    ALIKE_BELOW_DELTA_E,
    colour_difference,
    surely_apart,
)
from rules.book.rule import Found, Rule
from rules.facts.subjects import SeenAgainst
from rules.facts.text import piece_name

__all__ = ["RULE"]


def _finds(seen: SeenAgainst) -> Found | None:
    ground = seen.ground_film
    if seen.letters or ground is None or not seen.drawn_delta_e >= ALIKE_BELOW_DELTA_E:
        return None
    finishes = [finish for finish in seen.film.finishes if finish in ground.finishes]
    if not finishes or "clear" in seen.film.finishes or "clear" in ground.finishes:
        return None
    colours = seen.colour.srgb, seen.ground_colour.srgb
    if surely_apart(*colours):
        return None
    delta_e = colour_difference(*colours)
    if delta_e >= ALIKE_BELOW_DELTA_E:
        return None
    on = piece_name(seen.ground)
    if seen.wished_alike:
        return Found(
            lambda: (
                f"{seen.named} will not be seen on {on}: both are wished in {finishes[0]} "
                f"{seen.colour.name}"
            ),
            severity="note",
            instead="nothing, where that is meant",
        )
    return Found(
        lambda: (
            f"{seen.named} will not be seen on {on}: both come out {finishes[0]} "
            f"{seen.colour.name} (ΔE {delta_e:.0f}), and the artwork draws them apart "
            f"(ΔE {seen.drawn_delta_e:.0f})"
        ),
        severity="sample" if seen.drawn_delta_e >= SEEN_DELTA_E else "note",
        instead=lambda: (
            f"wish for another colour or finish for {seen.named} or {on}, let them butt so that "
            "a line of the garment parts them, or show the customer a sample"
        ),
    )


RULE = Rule(
    id="colours-merge",
    judges="seen",
    severity="sample",
    summary="Two pieces that touch and differ in the artwork differ on the garment.",
    why="Each is cut from the film colour nearest to its own. Where both are nearest to the same "
    "one, the line between them is gone, and with it what the drawing shows there.",
    instead="wish for another colour or finish for one of them",
    basis="memory",
    source="CIEDE2000 (Sharma, Wu & Dalal 2005); the threshold from memory",
    good={
        "piece": "muzzle",
        "film": "matte-smooth",
        "colour": {"name": "white", "srgb": "#fbfbf8"},
        "ground": "face",
        "ground_film": "matte-smooth",
        "ground_colour": {"name": "sky", "srgb": "#7ec0e8"},
        "drawn_delta_e": 12,
    },
    bad={
        "piece": "muzzle",
        "film": "matte-smooth",
        "colour": {"name": "white", "srgb": "#fbfbf8"},
        "ground": "face",
        "ground_film": "matte-thin",
        "ground_colour": {"name": "white", "srgb": "#f9f9f6"},
        "drawn_delta_e": 12,
    },
    finds=_finds,
)
