"""Wish: the artwork's colours to choose from, and the look wished for the one chosen."""

from __future__ import annotations

import streamlit as st

from advisor.artwork.colour import nearest_colour
from advisor.artwork.reader import Artwork
from advisor.job.records.job import Job, Wish
from rules.facts.film import FINISHES, Film
from ui.drawing.apart import artwork_flat
from ui.drawing.ink import data_uri, rect, sheet_of_paper
from ui.order.kept import generation
from ui.pages.plan.fields import temperature_c
from ui.session import catalogue
from ui.show import drawing
from ui.words import plain

__all__ = ["wish_form"]

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
            f"The artwork in {len(artwork.pieces)} pieces; {colour_word(fill)} is pointed out",
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


def colour_word(fill: str) -> str:
    """A fill as a shelf colour that looks like it, with its value: ``navy #1b3a5c``."""
    known = [colour for film in catalogue().films.values() for colour in film.colours]
    return f"{nearest_colour(fill, known)[0].name} {fill}"


def _chip(fill: str, *, left_out: bool) -> str:
    square = sheet_of_paper(
        [rect(1, 1, 18, 18, fill=fill, radius=3, stroke=1.5)], width=20, height=20, title=fill
    )
    return f"![]({data_uri(square)}) {colour_word(fill)}{' (left out)' if left_out else ''}"


def _fields(wish: Wish, fill: str) -> Wish:
    key = f"{fill}-{generation()}"
    shelf = catalogue()
    usual = _finish_of(wish)
    left, right = st.columns(2)
    finish = left.selectbox(
        "Finish", FINISHES, index=FINISHES.index(usual), format_func=plain, key=f"finish-{key}"
    )
    films = [film for film in shelf.films.values() if finish in film.finishes]
    names = [film.id for film in films]
    film = right.selectbox(
        "Film", [ANY_FILM, *names], format_func=plain, key=f"film-{key}-{finish}",
        index=names.index(wish.film) + 1 if wish.film in names else 0,
    )  # fmt: skip
    untouched = finish == usual and film == (wish.film or ANY_FILM)
    colours = _colours([each for each in films if film in {ANY_FILM, each.id}])
    if untouched and wish.colour and wish.colour not in colours:
        colours.append(wish.colour)
    colour = left.selectbox(
        "Colour", [ANY_COLOUR, *colours], format_func=plain, key=f"colour-{key}-{finish}-{film}",
        index=colours.index(wish.colour) + 1 if wish.colour in colours else 0,
    )  # fmt: skip
    peels = [ANY_PEEL, "hot", "warm", "cold"]
    peel = right.selectbox(
        "Peel", peels, format_func=plain, key=f"peel-{key}",
        index=peels.index(wish.peel) if wish.peel else 0,
    )  # fmt: skip
    most_c = temperature_c(
        "Hottest setpoint", wish.most_setpoint_c, key=f"most-{key}", low_c=80, high_c=240
    )
    return Wish.model_validate(
        {
            "finish": wish.finish if untouched else finish,
            "film": None if film == ANY_FILM else film,
            "colour": None if colour == ANY_COLOUR else colour,
            "family": wish.family if untouched else None,
            "peel": None if peel == ANY_PEEL else peel,
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


def _colours(films: list[Film]) -> list[str]:
    return list(dict.fromkeys(colour.name for film in films for colour in film.colours))
