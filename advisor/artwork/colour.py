"""Colour: in which of its colours a film comes nearest to the artwork's."""

from __future__ import annotations

from collections.abc import Iterable

from rules.book.colour_difference import colour_difference
from rules.facts.fact import Colour
from rules.facts.film import Film

__all__ = ["film_colour", "nearest_colour", "nearest_colours"]


def nearest_colours(wanted: str, colours: Iterable[Colour]) -> list[tuple[Colour, float]]:
    """The colours by how far they are from an sRGB value, ΔE (CIEDE2000), the nearest first.

    To a hundredth, as a plan file keeps it: what is weighed and what is judged are one number.

    >>> navy, gold = Colour(name="navy", srgb="#1c3557"), Colour(name="gold", srgb="#d4a94a")
    >>> [colour.name for colour, _ in nearest_colours("#1b3a5c", [gold, navy])]
    ['navy', 'gold']
    >>> nearest_colours("#1b3a5c", [])
    []
    """
    found = [(colour, round(colour_difference(wanted, colour.srgb), 2)) for colour in colours]
    return sorted(found, key=lambda one: one[1])


def nearest_colour(wanted: str, colours: Iterable[Colour]) -> tuple[Colour, float]:
    """The nearest of `nearest_colours`. Raises ``IndexError`` when there are no colours.

    >>> navy, gold = Colour(name="navy", srgb="#1c3557"), Colour(name="gold", srgb="#d4a94a")
    >>> nearest_colour("#1b3a5c", [navy, gold])[0].name
    'navy'
    """
    return nearest_colours(wanted, colours)[0]


def film_colour(film: Film, wanted: str) -> tuple[Colour, float]:
    """A film in its colour nearest to the one wanted; a printable film is printed in that one.

    It is called by the film that it is printed on: that is what lies on the shelf.

    >>> from rules.catalogue import load_catalogue
    >>> colour, delta_e = film_colour(load_catalogue().film("printable-matte"), "#1b3a5c")
    >>> colour.name, colour.srgb, delta_e
    ('white', '#1b3a5c', 0.0)
    """
    if film.printed:
        return Colour(name=film.colours[0].name, srgb=wanted), 0.0
    return nearest_colour(wanted, film.colours)
