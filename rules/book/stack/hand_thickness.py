"""Rule hand-thickness: how thick the print is at its thickest place, and so how it feels."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import Stack
from rules.facts.units import show_um

__all__ = ["BOARD_UM", "FELT_UM", "RULE"]

FELT_UM = 450.0
"""From here on the wearer feels the print. Generic."""

BOARD_UM = 600.0
"""From here on it bends like card and its edge catches. Common practice, no source."""


def _finds(stack: Stack) -> Found | None:
    total_um = sum(film.thickness_um for film in stack.films)
    if total_um < FELT_UM:
        return None
    passed_um = BOARD_UM if total_um >= BOARD_UM else FELT_UM
    hand = "is a board" if passed_um == BOARD_UM else "is felt"
    thickest = max(stack.films, key=lambda film: film.thickness_um)
    return Found(
        f"the films add up to {show_um(total_um)}, and a print {hand} from {show_um(passed_um)} "
        f"on; {thickest.id} alone is {show_um(thickest.thickness_um)}",
        severity="sample" if passed_um == BOARD_UM else "note",
        instead=f"take a thinner film than {thickest.id}, knock out what lies hidden, or inset "
        "pieces instead of lapping them"
        if len(stack.films) > 1
        else f"take a thinner film than {thickest.id}, or keep the piece small",
    )


RULE = Rule(
    id="hand-thickness",
    judges="stack",
    severity="sample",
    summary="The films at the thickest place stay thin enough to wear.",
    why="A thick print is stiff and hot on the skin, does not drape, and lifts at its edge where "
    "it is flexed and rubbed.",
    instead="take thinner films, knock out what lies hidden, or inset pieces",
    basis="generic",
    source=f"both thresholds, {show_um(FELT_UM, BOARD_UM, between=' and ')}",
    good={"fabric": "cotton-jersey-tee", "films": ["matte-smooth", "matte-thin"]},
    bad={
        "fabric": "cotton-jersey-tee",
        "films": ["matte-smooth", {"like": "sparkle-coarse", "face_um": 700}],
    },
    finds=_finds,
)
