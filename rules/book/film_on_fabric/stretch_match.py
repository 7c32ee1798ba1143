"""Rule stretch-match: on a stretchy fabric the film must stretch a fair share of it."""

from rules.book.film_on_fabric.instead import take_instead
from rules.book.rule import Found, Rule
from rules.facts.subjects import FilmOnFabric

__all__ = ["FAIR_SHARE", "RULE", "STRETCHY_FROM_PCT", "TIGHT_BEYOND_PCT", "TIGHT_SHARE"]

STRETCHY_FROM_PCT = 40.0
"""A fabric that stretches this much is worn stretched. Common practice, no source."""

FAIR_SHARE = 0.4
"""Share of the fabric's stretch that its film should follow. Common practice, no source."""

TIGHT_BEYOND_PCT = 100.0
"""A fabric that more than doubles its length is worn tight, as leggings are, and pulled further
each time it is put on. Common practice, no source."""

TIGHT_SHARE = 0.5
"""Share of such a fabric's stretch that its film should follow. Common practice, no source."""

OTHERWISE = (
    "split a large solid area into smaller ones that the fabric can stretch between, and press a "
    "sample and stretch it"
)


def _finds(pair: FilmOnFabric) -> Found | None:
    film, fabric = pair.film, pair.fabric
    share = TIGHT_SHARE if fabric.stretch_pct > TIGHT_BEYOND_PCT else FAIR_SHARE
    wanted_pct = share * fabric.stretch_pct
    if fabric.stretch_pct < STRETCHY_FROM_PCT or film.stretch_pct >= wanted_pct:
        return None
    return Found(
        f"{fabric.id} stretches {fabric.stretch_pct:g} % and {film.id} only "
        f"{film.stretch_pct:g} %; {wanted_pct:g} % would follow it",
        instead=lambda: take_instead(
            pair,
            f"a film that stretches at least {wanted_pct:g} %",
            OTHERWISE,
            lambda other: other.stretch_pct >= wanted_pct,
        ),
    )


RULE = Rule(
    id="stretch-match",
    judges="film_on_fabric",
    severity="sample",
    summary="On a stretchy fabric the film stretches a fair share of what the fabric does.",
    why="A film that cannot follow cracks across, or holds the fabric back until its edge lifts.",
    instead=f"take a stretch film, or {OTHERWISE}",
    basis="practice",
    source="common practice, no source",
    good={
        "film": {"like": "matte-smooth", "stretch_pct": 80},
        "fabric": {"like": "polyester-jersey", "stretch_pct": 100},
    },
    bad={
        "film": {"like": "matte-smooth", "stretch_pct": 10},
        "fabric": {"like": "polyester-jersey", "stretch_pct": 100},
    },
    finds=_finds,
)
