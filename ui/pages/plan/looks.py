"""Looks: the artwork's colours to choose from, and the look wished for the one chosen."""

from __future__ import annotations

from collections.abc import Iterable

import streamlit as st

from advisor.artwork.colour import nearest_colour
from advisor.artwork.reader import Artwork
from advisor.job.records.job import Job, Wish
from rules.facts.film import FINISHES, Film
from ui.drawing.ink import data_uri, rect, sheet_of_paper
from ui.fields import choose, choose_or, temperature_c
from ui.order.visit import generation
from ui.session import catalogue
from ui.show import refusal

__all__ = ["choose_fill", "chosen_fill", "colours_of", "wish_form"]

ANY_FILM = "any suitable"
ANY_COLOUR = "the nearest"
ANY_PEEL = "any"


def wish_form(job: Job, artwork: Artwork) -> Job:
    """The artwork's colours, and the fields for the look of one of them; the job as wished."""
    fill, names = chosen_fill(artwork), fill_names(job, artwork)
    choose_fill(fill)
    st.pills(
        "Choose a colour to wish its look", list(names), required=True,
        format_func=lambda one: _chip(
            one, names[one], left_out=is_left_out(job, artwork, one)
        ),
        wrap=True, key=_chosen_key(),
    )  # fmt: skip
    job = _called(job, fill, names[fill])
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


def fill_names(job: Job, artwork: Artwork) -> dict[str, str]:
    """What each fill of an artwork is called: as the job says, or by a colour that looks like it.

    Fills that look like one colour are numbered.
    """
    shelf = [colour for film in catalogue().films.values() for colour in film.colours]
    names: dict[str, str] = {}
    for fill in dict.fromkeys(piece.fill for piece in artwork.pieces):
        name = job.called.get(fill) or nearest_colour(fill, shelf)[0].name
        times = sum(each == name or each.startswith(f"{name} ") for each in names.values())
        names[fill] = f"{name} {times + 1}" if times else name
    return names


def chosen_fill(artwork: Artwork) -> str:
    """The fill whose look is being wished; the first until another is chosen."""
    fills = list(dict.fromkeys(piece.fill for piece in artwork.pieces))
    chosen = st.session_state.get(_chosen_key())
    return chosen if chosen in fills else fills[0]


def choose_fill(fill: str) -> None:
    """Wish the look of another fill; before the form is drawn."""
    st.session_state[_chosen_key()] = fill


def _chosen_key() -> str:
    return f"fill-{generation()}"


def _called(job: Job, fill: str, name: str) -> Job:
    """A field for what a person calls a fill; the job then."""
    said = st.text_input(
        "Call it", job.called.get(fill, ""), max_chars=24, placeholder=name,
        key=f"called-{fill}-{generation()}",
        help="What you say at the press: kite, muzzle, second line. Every step then says it too.",
    ).strip()  # fmt: skip
    others = {one: called for one, called in job.called.items() if one != fill}
    if said in others.values():
        refusal(f"Another colour is called {said} already; call this one otherwise.")
        return job
    if said == job.called.get(fill, ""):
        return job
    return job.model_copy(update={"called": {**others, fill: said} if said else others})


def _chip(fill: str, name: str, *, left_out: bool) -> str:
    square = sheet_of_paper(
        [rect(1, 1, 18, 18, fill=fill, radius=3, stroke=1.5)], width=20, height=20, title=name
    )
    return f"![]({data_uri(square)}) {name}{' (left out)' if left_out else ''}"


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
