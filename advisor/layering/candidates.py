"""Candidates: the films on the shelf that could give a wish, and what the rules say of each."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from advisor.artwork.colour import film_colour, nearest_colour, nearest_colours
from advisor.job.records.job import Rates, Wish
from advisor.job.records.print import NAMES_PIECE, Print, PrintPiece
from advisor.layering.cost import film_cost
from advisor.layering.judged import (
    InColour,
    artwork_pieces,
    merged_into,
    names_are_on_garment,
    names_on_garment,
)
from advisor.layering.records.problem import NEAR_ENOUGH_DELTA_E, Option, ProblemPiece, Refusal
from rules.book.film_on_fabric.dye_bleed import RULE as DYE_BLEED
from rules.book.lightness import darkest, palest
from rules.book.seen.legible_names import RULE as LEGIBLE_NAMES
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import Finding, beyond, distinct, verdict
from rules.facts.subjects import FilmOnFabric, SeenAgainst
from rules.facts.text import Text
from rules.facts.units import show_c
from rules.knowledge import Knowledge

__all__ = [
    "BY_COLOUR", "candidate_films", "every_option", "least_worry", "piece_with_options",
    "with_other_colours",
]  # fmt: skip

WHITE = "#ffffff"
STILL_NEAR_DELTA_E = 10.0
"""A film's colour within this (CIEDE2000) of the one wanted stands in for the nearest where that
one would merge with a neighbour: another shade, but not yet another colour. Value from memory."""

MOST_OTHERS = 2
"""Other colours of a film that stand in for its nearest: more keep no more pieces apart."""


def candidate_films(wish: Wish, catalogue: Catalogue) -> list[Film]:
    """The films that show what is wished for, in the catalogue's order.

    Raises:
        BadInputError: there is no such film; the message says what there is.
    """
    open_to = [catalogue.film(wish.film)] if wish.film else catalogue.films.values()
    films = [
        film
        for film in open_to
        if (wish.finish is None or wish.finish in film.finishes)
        and (wish.family is None or wish.family == film.family)
    ]
    if not films:
        others = _wish_text(wish.model_copy(update={"film": None}))
        raise BadInputError(
            f"{wish.film} is not {others}; leave out the film or the rest"
            if wish.film
            else f"no film is {others}; loosen the wish or add a film"
        )
    return films


BY_COLOUR = frozenset({DYE_BLEED.id, LEGIBLE_NAMES.id})
"""Rules that refuse a film for its colour: another colour of the same film might do."""


def piece_with_options(
    piece: PrintPiece,
    wish: Wish,
    *,
    fabrics: Sequence[Fabric],
    knowledge: Knowledge,
    rates: Rates,
    on_shelf_only: bool = True,
    print_: Print | None = None,
    colour_said: bool = True,
) -> ProblemPiece:
    """The domain of one piece: each film with its best colour and the findings on it.

    A film that is refused wherever it lies is set aside with the findings that refuse it; and so
    are all that show the wish where none of them is as it is to be pressed, or on the shelf.

    Args:
        print_: what it is part of, where that is known.
        colour_said: somebody wishes for the colour; otherwise it stands for any.

    Raises:
        BadInputError: no film shows the wish at all.
    """
    shown = candidate_films(wish, knowledge.catalogue)
    if piece.fill is not None and colour_said and not _clear_wanted(wish):
        # It has no colour of its own, whatever its sheen.
        shown = [film for film in shown if "clear" not in film.finishes] or shown
    unmet = {film.id: _unmet(film, wish, on_shelf_only=on_shelf_only) for film in shown}
    films = [film for film in shown if not unmet[film.id]] or shown
    options: list[Option] = []
    refused: list[Refusal] = []
    any_colour = piece.id == NAMES_PIECE and wish.colour is None
    coloured = _coloured(films, wish, piece.fill, any_colour=any_colour)
    if not colour_said:
        coloured = [(film, _assumed(film, colour), far) for film, colour, far in coloured]
    for option in _options(
        piece, coloured, fabrics=fabrics, knowledge=knowledge, rates=rates, print_=print_
    ):
        if against := unmet[option.film.id]:
            stopped = replace(option, findings=(*against, *option.findings))
            refused.append(Refusal(piece.id, option.film.id, against, stopped))
        elif verdict(option.findings) == "stop":
            refused.append(Refusal(piece.id, option.film.id, option.findings, option))
        else:
            options.append(replace(option, film=_pressed_within(option.film, wish)))
    options.sort(key=least_worry)
    # What comes nearest to the wish is named first.
    refused.sort(
        key=lambda r: (
            len(unmet[r.film]),
            r.option.film.setpoint_c.low if unmet[r.film] and r.option else 0,
        )
    )
    by_colour = not options and all(
        BY_COLOUR & {found.rule for found in one.findings if found.severity == "stop"}
        for one in refused
    )
    said = f" in {wish.colour}" if wish.colour and by_colour else ""
    return ProblemPiece(piece, tuple(options), tuple(refused), f"{_wish_text(wish)}{said}")


def _clear_wanted(wish: Wish) -> bool:
    return bool(wish.film or wish.family == "clear" or wish.finish == "clear")


def with_other_colours(
    known: ProblemPiece,
    wish: Wish,
    *,
    fabrics: Sequence[Fabric],
    knowledge: Knowledge,
    rates: Rates,
    print_: Print,
) -> ProblemPiece:
    """A piece whose films may also come in other colours near the one wanted; these come last."""
    named = {colour.name for option in known.options for colour in option.film.colours}
    wanted = known.piece.fill if wish.colour is None else wish.colour
    if wanted is None or wanted in named:
        return known
    others = [
        (option.film, colour, delta_e)
        for option in known.options
        if not option.film.printed
        for colour, delta_e in nearest_colours(wanted, option.film.colours)[: 1 + MOST_OTHERS]
        if colour != option.colour and delta_e < STILL_NEAR_DELTA_E
    ]
    found = _options(
        known.piece, others, fabrics=fabrics, knowledge=knowledge, rates=rates, print_=print_
    )
    spare = [option for option in found if verdict(option.findings) != "stop"]
    return replace(known, options=(*known.options, *sorted(spare, key=least_worry)))


def _assumed(film: Film, colour: Colour) -> Colour:
    """A colour that stands for whatever is meant; a film of one colour is meant in that."""
    return colour.model_copy(update={"assumed": len(film.colours) > 1})


def _pressed_within(film: Film, wish: Wish) -> Film:
    """The film as it may be pressed where the wish says how hot at most."""
    most_c = wish.most_setpoint_c
    if most_c is None or max(film.setpoint_c.high, film.bears_c) <= most_c:
        return film
    window = film.setpoint_c
    cooler = {"best": min(window.best, most_c), "high": min(window.high, most_c)}
    return film.model_copy(
        update={
            "setpoint_c": window.model_copy(update=cooler),
            "bears_c": min(film.bears_c, most_c),
        }
    )


def every_option(
    piece: PrintPiece,
    wish: Wish,
    *,
    fabrics: Sequence[Fabric],
    knowledge: Knowledge,
    rates: Rates,
) -> tuple[Option, ...]:
    """Every film of the catalogue for a piece, in its colour nearest to the one wanted."""
    films = knowledge.catalogue.films.values()
    named = {f.id: [c for c in f.colours if c.name == wish.colour] for f in films}
    wanted = wish.colour if wish.colour and wish.colour.startswith("#") else piece.fill
    coloured = [
        (film, named[film.id][0], 0.0)
        if named[film.id]
        else (film, *film_colour(film, wanted))
        if wanted is not None
        else (film, film.colours[0], 0.0)
        for film in films
    ]
    options = _options(piece, coloured, fabrics=fabrics, knowledge=knowledge, rates=rates)
    return tuple(sorted(options, key=least_worry))


def _options(
    piece: PrintPiece,
    coloured: Sequence[tuple[Film, Colour, float]],
    *,
    fabrics: Sequence[Fabric],
    knowledge: Knowledge,
    rates: Rates,
    print_: Print | None = None,
) -> Iterator[Option]:
    """Each film with its colour, what the rules say of it, and its cost."""
    largest = max(piece.sizes, key=lambda size: size.extent_mm)
    for film, colour, delta_e in coloured:
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
                *knowledge.judge(*_seen(print_, piece, (film, colour), fabrics)),
            ]
        )
        touching = distinct(
            found
            for fabric in fabrics
            for found in knowledge.judge(FilmOnFabric(film, fabric, colour=colour))
        )
        yield Option(
            film=film,
            colour=colour,
            delta_e=delta_e,
            findings=findings,
            fabric_findings=beyond(findings, touching),
            film_cost=film_cost(film, largest.width_mm, largest.height_mm, rates),
        )


def _seen(
    print_: Print | None, piece: PrintPiece, in_colour: InColour, fabrics: Sequence[Fabric]
) -> list[SeenAgainst]:
    """What the eye makes of a piece, whatever the pieces beside it are cut from."""
    if print_ is None:
        return []
    found = list(merged_into(print_, piece.id, in_colour))
    if piece.id == NAMES_PIECE and names_are_on_garment(print_):
        found += [names_on_garment(in_colour, fabric) for fabric in fabrics]
    return found


def _unmet(film: Film, wish: Wish, *, on_shelf_only: bool) -> tuple[Finding, ...]:
    """What keeps a film that shows a wish from being what is wished."""
    found = []
    if wish.peel is not None and wish.peel != film.peel:
        found.append(_stop("wish-peel", film, "peel", f"{film.id} is peeled {film.peel}"))
    most_c, low_c = wish.most_setpoint_c, film.setpoint_c.low
    if most_c is not None and low_c > most_c:
        said = f"{film.id} is pressed at {show_c(low_c)} or more"
        found.append(_stop("wish-setpoint", film, "setpoint_c", said))
    if on_shelf_only and film.on_shelf_m <= 0:
        said = f"there is no {film.id} on the shelf"
        found.append(_stop("on-shelf", film, "on_shelf_m", said))
    return tuple(found)


def _stop(rule: str, film: Film, value: str, said: str) -> Finding:
    return Finding(
        rule=rule,
        severity="stop",
        where=Text(film.id),
        message=Text(said),
        why=Text("it is not as it was wished"),
        instead=Text("loosen the wish, or buy another film"),
        basis=film.basis_of(value),
    )


def least_worry(option: Option) -> tuple[int, float, str]:
    """What a film is taken by before anything else is known: fewest samples, then its cost."""
    return (_sample_count(option), option.film_cost, option.film.id)


def _sample_count(option: Option) -> int:
    return sum(found.severity == "sample" for found in option.findings)


def _coloured(
    films: Sequence[Film], wish: Wish, fill: str | None, *, any_colour: bool
) -> list[tuple[Film, Colour, float]]:
    """Each film in its colour nearest to the one wanted; far ones are left out.

    Args:
        any_colour: none is wanted; each film's darkest and palest colours stand for all.
    """
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
    if all(film.printed for film in films):
        inks = [wanted, WHITE] if any_colour else [wanted]
        return [(film, *film_colour(film, ink)) for ink in inks for film in films]
    # Nobody lays a blank printable film for its own white where another film will do.
    films = [film for film in films if not film.printed]
    if any_colour:
        dark, pale = ([(f, of(f.colours), 0.0) for f in films] for of in (darkest, palest))
        return [*dark, *(entry for entry in pale if entry not in dark)]
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
