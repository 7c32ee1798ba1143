"""Rule texture-only-on-top: glitter, pile and beads belong at the top of a stack."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFilm

__all__ = ["RULE", "TEXTURES"]

TEXTURES = {"textured": "grains", "fibrous": "pile", "beaded": "beads"}
"""Surfaces that touch a film only at their tips, with what stands up from each."""


def _finds(pair: FilmOnFilm) -> Found | None:
    upper, lower = pair.upper, pair.lower
    stands_up = TEXTURES.get(lower.surface)
    if stands_up is None:
        return None
    listed = lower.takes_film_on_top == "yes"
    bears_it = not upper.foams and upper.takes_film_on_top != "no"
    return Found(
        lambda: (
            f"{upper.id} would touch only the {stands_up} of {lower.id}, a {lower.surface} face"
        ),
        severity="sample" if listed else "stop",
        instead=lambda: (
            f"lay {upper.id} first and put {lower.id} over it, or inset {upper.id} so that "
            f"the rim of {lower.id} laps over its edge"
            if bears_it
            else f"lay {upper.id} and {lower.id} side by side, edge to edge, as neither "
            "takes the other"
        ),
    )


RULE = Rule(
    id="texture-only-on-top",
    judges="film_on_film",
    severity="stop",
    summary="A textured, fibrous or beaded face stays at the top of the stack.",
    why="An adhesive reaches only the tips of grains, pile or beads and cannot fill between them, "
    "and the texture shows through whatever is pressed flat over it.",
    instead="put the textured film on top, or inset the other one under its rim",
    basis="practice",
    source="common practice, no source",
    good={"upper": "sparkle-coarse", "lower": "matte-smooth"},
    bad={"upper": "matte-smooth", "lower": "sparkle-coarse"},
    finds=_finds,
)
