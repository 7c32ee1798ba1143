"""Candidates: the films on the shelf that could give a wish, and what the rules say of each."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.artwork.colour import nearest_colour
from advisor.job.records.job import Rates, Wish
from advisor.job.records.print import PrintPiece
from advisor.layering.cost import film_cost
from advisor.layering.records.problem import Option, ProblemPiece, Refusal
from rules.book.artwork.lost_islands import least_island_mm2
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import distinct, verdict
from rules.facts.subjects import ArtworkPiece, FilmOnFabric
from rules.knowledge import Knowledge

__all__ = [
    "NEAR_ENOUGH_DELTA_E", "artwork_pieces", "candidate_films",
    "piece_with_options",
]  # fmt: skip

NEAR_ENOUGH_DELTA_E = 5.0
"""A shelf colour this much farther (CIEDE2000) than the nearest one is still a candidate: about
the difference that is seen at a glance. Value from memory."""


def candidate_films(wish: Wish, catalogue: Catalogue, *, on_shelf_only: bool) -> list[Film]:
    """The films that show what is wished for, in the catalogue's order.

    Raises:
        BadInputError: no film shows it; the message says what there is.
    """
    open_to = [catalogue.film(wish.film)] if wish.film else catalogue.films.values()
    films = [
        film
        for film in open_to
        if (wish.finish is None or wish.finish in film.finishes)
        and (wish.family is None or wish.family == film.family)
        and (wish.peel is None or wish.peel == film.peel)
        and (wish.most_setpoint_c is None or film.setpoint_c.low <= wish.most_setpoint_c)
    ]
    if not films:
        others = _wish_text(wish.model_copy(update={"film": None}))
        raise BadInputError(
            f"{wish.film} is not {others}; leave out the film or the rest"
            if wish.film
            else f"no film is {others}; loosen the wish or add a film"
        )
    stocked = [film for film in films if film.on_shelf_m > 0]
    if on_shelf_only and not stocked:
        names = ", ".join(film.id for film in films)
        which = wish.film or f"film that is {_wish_text(wish)}"
        raise BadInputError(
            f"no {which} is on the shelf (0 m of {names}); buy some, or set on_shelf_only: false"
        )
    return stocked if on_shelf_only else films


def piece_with_options(
    piece: PrintPiece,
    wish: Wish,
    *,
    fabrics: Sequence[Fabric],
    knowledge: Knowledge,
    rates: Rates,
    on_shelf_only: bool = True,
) -> ProblemPiece:
    """The domain of one piece: each film with its best colour and the findings on it.

    A film that is refused wherever it lies is set aside with the findings that refuse it.

    Raises:
        BadInputError: no film gives the wish at all.
    """
    options: list[Option] = []
    refused: list[Refusal] = []
    films = candidate_films(wish, knowledge.catalogue, on_shelf_only=on_shelf_only)
    for film, colour, delta_e in _coloured(films, wish, piece.fill):
        findings = distinct(
            [
                *(
                    found
                    for fabric in fabrics
                    for found in knowledge.judge(
                        FilmOnFabric(film, fabric, touches=False, colour=colour)
                    )
                ),
                *knowledge.judge(*artwork_pieces(piece, film, delta_e)),
            ]
        )
        touching = distinct(
            found
            for fabric in fabrics
            for found in knowledge.judge(FilmOnFabric(film, fabric, colour=colour))
        )
        largest = max(piece.sizes, key=lambda size: size.extent_mm)
        option = Option(
            film=film,
            colour=colour,
            delta_e=delta_e,
            findings=findings,
            fabric_findings=tuple(found for found in touching if found not in findings),
            film_cost=film_cost(film, largest.width_mm, largest.height_mm, rates),
        )
        if verdict(findings) == "stop":
            refused.append(Refusal(piece.id, film.id, findings, option))
        else:
            options.append(option)
    options.sort(key=lambda option: (_sample_count(option), option.film_cost, option.film.id))
    return ProblemPiece(piece, tuple(options), tuple(refused), _wish_text(wish))


def _sample_count(option: Option) -> int:
    return sum(found.severity == "sample" for found in option.findings)


def artwork_pieces(
    piece: PrintPiece, film: Film, delta_e: float, *, lines: Sequence[int] | None = None
) -> tuple[ArtworkPiece, ...]:
    """The piece cut from ``film`` at each of its sizes, as the rules on artwork look at it.

    Without artwork there is nothing to look at.

    Args:
        lines: the lines of the print whose sizes are meant, from 0; all by default.
    """
    if piece.fill is None:
        return ()
    least_mm2 = least_island_mm2(film)
    return tuple(
        ArtworkPiece(
            piece=piece.id,
            film=film,
            width_mm=size.width_mm,
            height_mm=size.height_mm,
            least_stroke_mm=size.least_stroke_mm,
            least_gap_mm=size.least_gap_mm,
            small_islands=sum(area < least_mm2 for area in size.island_areas_mm2),
            smallest_island_mm2=min(size.island_areas_mm2, default=None),
            mirrored=film.cut_mirrored,
            delta_e=delta_e,
        )
        for size in (piece.sizes if lines is None else [piece.sizes[line] for line in lines])
    )


def _coloured(
    films: Sequence[Film], wish: Wish, fill: str | None
) -> list[tuple[Film, Colour, float]]:
    """Each film in its colour nearest to the one wanted; far ones are left out."""
    named = [
        (film, colour)
        for film in films
        for colour in film.colours
        if wish.colour is not None and colour.name == wish.colour
    ]
    if named:
        return [(film, colour, 0.0) for film, colour in named]
    wanted = _wanted_srgb(wish, films, fill)
    if wanted is None:
        return [(film, film.colours[0], 0.0) for film in films]
    found = [(film, *nearest_colour(wanted, film.colours)) for film in films]
    nearest = min(delta_e for _, _, delta_e in found)
    return [entry for entry in found if entry[2] <= nearest + NEAR_ENOUGH_DELTA_E]


def _wanted_srgb(wish: Wish, films: Sequence[Film], fill: str | None) -> str | None:
    if wish.colour is None:
        return fill
    if wish.colour.startswith("#"):
        return wish.colour
    names = sorted({colour.name for film in films for colour in film.colours})
    raise BadInputError(
        f"no film that is {_wish_text(wish)} comes in {wish.colour}; colours: {', '.join(names)}"
    )


def _wish_text(wish: Wish) -> str:
    parts = [wish.finish, wish.family, f"peeled {wish.peel}" if wish.peel else None, wish.film]
    if wish.most_setpoint_c is not None:
        parts.append(f"pressed at {wish.most_setpoint_c:.0f} °C or less")
    return " and ".join(part for part in parts if part)
