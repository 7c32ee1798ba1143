"""Looks: the artwork's colours to choose from, and the look wished for the one chosen."""

from __future__ import annotations

from collections.abc import Iterable

import streamlit as st

from advisor.artwork.colour import nearest_colour
from advisor.artwork.reader import Artwork
from advisor.job.records.job import Job, Wish
from rules.facts.film import FINISHES, Film
from ui.drawing.apart import artwork_flat
from ui.drawing.ink import data_uri, rect, sheet_of_paper
from ui.fields import choose, choose_or, temperature_c
from ui.order.visit import generation
from ui.session import catalogue
from ui.show import drawing

__all__ = ["colours_of", "wish_form"]

ANY_FILM = "any film that gives it"
ANY_COLOUR = "nearest to the artwork"
ANY_PEEL = "any"


def wish_form(job: Job, artwork: Artwork) -> Job:
    """The artwork with its pieces, and the fields for one colour's look; the job as wished."""
    fills = list(dict.fromkeys(piece.fill for piece in artwork.pieces))
    place = st.container()
    chosen = st.pills(
        "Choose a colour to wish its look", fills, default=fills[0], required=True,
        format_func=lambda fill: _chip(fill, left_out=is_left_out(job, artwork, fill)),
        wrap=True, key=f"fill-{generation()}",
    )  # fmt: skip
    fill = chosen if chosen in fills else fills[0]
    first = next(piece for piece in artwork.pieces if piece.fill == fill)
    with place:
        drawing(
            artwork_flat(artwork, chosen=first.id),
            f"The artwork in {len(artwork.pieces)} pieces; {_colour_words(fill)} is pointed out",
            most_px=400,
        )
    job = _leaving_out(job, artwork, fill)
    if is_left_out(job, artwork, fill):
        return job
    wish = job.wish_for(fill) or Wish(finish="matte")
    wished = _fields(wish, fill)
    if wished == job.wish_for(fill):
        return job
    return job.model_copy(update={"looks": {**job.looks, fill: wished}})


def is_left_out(job: Job, artwork: Artwork, fill: str) -> bool:
    """Whether no piece of that colour is cut."""
    pieces = {piece.id for piece in artwork.pieces if piece.fill == fill}
    return fill in job.leave_out or pieces <= set(job.leave_out)


def _leaving_out(job: Job, artwork: Artwork, fill: str) -> Job:
    """A box to leave the colour out of the print, unless nothing would be left; the job then."""
    fills = dict.fromkeys(piece.fill for piece in artwork.pieces)
    left_out = is_left_out(job, artwork, fill)
    last = not left_out and all(
        other == fill or is_left_out(job, artwork, other) for other in fills
    )
    leave = st.checkbox(
        "Leave this colour out of the print", value=left_out, disabled=last,
        key=f"leave-{fill}-{generation()}",
        help="It is not cut, and what lies under it in the drawing shows.",
    )  # fmt: skip
    if leave == left_out:
        return job
    mine = {fill, *(piece.id for piece in artwork.pieces if piece.fill == fill)}
    others = tuple(name for name in job.leave_out if name not in mine)
    return job.model_copy(update={"leave_out": (*others, fill) if leave else others})


def _colour_words(fill: str) -> str:
    """A fill as a shelf colour that looks like it, with its value: ``navy #1b3a5c``."""
    known = [colour for film in catalogue().films.values() for colour in film.colours]
    return f"{nearest_colour(fill, known)[0].name} {fill}"


def _chip(fill: str, *, left_out: bool) -> str:
    square = sheet_of_paper(
        [rect(1, 1, 18, 18, fill=fill, radius=3, stroke=1.5)], width=20, height=20, title=fill
    )
    return f"![]({data_uri(square)}) {_colour_words(fill)}{' (left out)' if left_out else ''}"


def _fields(wish: Wish, fill: str) -> Wish:
    key, shelf = f"{fill}-{generation()}", catalogue().films.values()
    usual = _finish_of(wish)
    left, right = st.columns(2)
    finish = choose("Finish", FINISHES, usual, key=f"finish-{key}", at=left)
    films = [each for each in shelf if finish in each.finishes]
    names = [each.id for each in films]
    film = choose_or(ANY_FILM, "Film", names, wish.film, key=f"film-{key}-{finish}", at=right)
    untouched = finish == usual and film == wish.film
    colours = colours_of([each for each in films if film in {None, each.id}])
    if untouched and wish.colour and wish.colour not in colours:
        colours.append(wish.colour)
    colour = choose_or(
        ANY_COLOUR, "Colour", colours, wish.colour, key=f"colour-{key}-{finish}-{film}", at=left
    )
    peel = choose_or(
        ANY_PEEL, "Peel", ("hot", "warm", "cold"), wish.peel, key=f"peel-{key}", at=right
    )
    most_c = temperature_c(
        "Hottest setpoint", wish.most_setpoint_c, key=f"most-{key}", low_c=80, high_c=240
    )
    return Wish.model_validate(
        {
            "finish": wish.finish if untouched else finish,
            "film": film,
            "colour": colour,
            "family": wish.family if untouched else None,
            "peel": peel,
            "most_setpoint_c": most_c,
        }
    )


def _finish_of(wish: Wish) -> str:
    """The finish wished for, or the first that the wished film or family shows."""
    if wish.finish:
        return wish.finish
    for film in catalogue().films.values():
        if wish.film == film.id or (wish.film is None and wish.family == film.family):
            return film.finishes[0]
    return FINISHES[0]


def colours_of(films: Iterable[Film]) -> list[str]:
    """The colours that any of the films comes in, each once."""
    return list(dict.fromkeys(colour.name for film in films for colour in film.colours))
