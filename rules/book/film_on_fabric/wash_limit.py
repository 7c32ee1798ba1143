"""Rule wash-limit: the film must bear the wash that the garment's care label asks for."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric
from rules.facts.units import show_c

__all__ = ["RULE"]


def _finds(pair: FilmOnFabric) -> Found | None:
    film, fabric = pair.film, pair.fabric
    if film.wash_limit_c >= fabric.wash_c:
        return None
    return Found(
        f"{film.id} is washed at {show_c(film.wash_limit_c)} at most, and {fabric.id} asks for "
        f"{show_c(fabric.wash_c)}",
        instead=f"write on the care card: wash at {show_c(film.wash_limit_c)} at most, inside out; "
        f"or take a film washable at {show_c(fabric.wash_c)}",
    )


RULE = Rule(
    id="wash-limit",
    judges="film_on_fabric",
    severity="note",
    summary="The film bears the wash that the fabric's care label asks for.",
    why="People wash by the label. Above the film's limit its adhesive softens in the drum and "
    "the print creeps, curls or comes off.",
    instead="write the lower wash on the care card, or take a film with a higher wash limit",
    basis="practice",
    source="common practice, no source; the wash limits of the film and of the care label",
    good={
        "film": {"like": "matte-smooth", "wash_limit_c": 60},
        "fabric": {"like": "cotton-jersey-tee", "wash_c": 40},
    },
    bad={
        "film": {"like": "matte-smooth", "wash_limit_c": 30},
        "fabric": {"like": "cotton-jersey-tee", "wash_c": 60},
    },
    finds=_finds,
)
