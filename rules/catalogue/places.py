"""Places: the named places of prints that ship, and how a place that someone names is found."""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from types import MappingProxyType

from pydantic import ValidationError

from rules.catalogue import first_problem
from rules.catalogue.documents import read_yaml
from rules.catalogue.everyday import as_word, load_words
from rules.errors import UnknownNameError, nearest_names
from rules.facts.garment import Garment
from rules.facts.print_place import PlaceSpot, PrintPlace

__all__ = ["area_named", "load_places", "place_named", "spot_at"]

PLACES = Path(__file__).parent / "places.yaml"


@cache
def load_places() -> Mapping[str, PrintPlace]:
    """The named places by id, in the order of the file.

    >>> [place for place in load_places() if place.startswith("chest")]
    ['chest-left', 'chest-right']
    """
    document, found = read_yaml(PLACES), dict[str, PrintPlace]()
    for entry in document["places"]:
        try:
            place = PrintPlace.model_validate({**entry, "basis_default": document["basis"]})
        except ValidationError as error:
            raise first_problem(error, source=PLACES.name) from None
        found[place.id] = place
    return MappingProxyType(found)


def place_named(said: str, garment: Garment) -> PrintPlace:
    """The place that someone means on a garment: by its id, by the print area that it is, or
    by an everyday word.

    Raises:
        UnknownNameError: the garment has no such place; the message tells what it has.

    >>> from rules.catalogue import load_catalogue
    >>> tee = load_catalogue().garment("adult-tee")
    >>> [place_named(said, tee).id for said in ("left-chest", "Back", "upper back")]
    ['chest-left', 'back', 'yoke']
    >>> place_named("hood", tee)
    Traceback (most recent call last):
    rules.errors.UnknownNameError: no place on adult-tee is called 'hood'; it has: centre-front, ...
    """
    word, places = str(as_word(said)), load_places()
    has = [name for name, place in places.items() if place.spot(garment) is not None]
    areas = {area: name for name in reversed(has) for area in places[name].areas}
    called = [name for name in load_words()["places"].get(word, ()) if name in has]
    name = word if word in has else areas.get(word, called[0] if len(called) == 1 else "")
    if not name:
        near = nearest_names(word, has)
        hint = f"it has: {', '.join(has)}" + (f"; nearest: {near[0]}" if near else "")
        raise UnknownNameError(f"place on {garment.id}", said, has, hint=hint)
    return places[name]


def area_named(said: str, garment: Garment) -> str:
    """The print area that someone means, by its own name or by a place that lies in it.

    Raises:
        UnknownNameError: the garment has no such area and no such place.

    >>> from rules.catalogue import load_catalogue
    >>> tee = load_catalogue().garment("adult-tee")
    >>> area_named("left-chest", tee), area_named("chest-left", tee), area_named("yoke", tee)
    ('left-chest', 'left-chest', 'back')
    """
    if said not in {area.name for area in garment.print_areas}:
        with suppress(UnknownNameError):
            return spot_at(place_named(said, garment), garment).area.name
    return garment.print_area(said).name


def spot_at(place: PrintPlace, garment: Garment) -> PlaceSpot:
    """The box of a place on a garment that is known to have it."""
    spot = place.spot(garment)
    if spot is None:
        raise UnknownNameError(f"place on {garment.id}", place.id, ())
    return spot
