"""Examples: turns plain data (a rule's own examples, a case file) into things to judge."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from rules.book.rule import Example, Judges
from rules.catalogue import Catalogue, first_problem
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.garment import Garment
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.sheet import Sheet
from rules.facts.step import Step
from rules.facts.subjects import (
    ArtworkPiece,
    AsDrawn,
    AsPressed,
    BondLine,
    FilmOnFabric,
    FilmOnFilm,
    GarmentOnPress,
    Joint,
    Pressing,
    SeenAgainst,
    Stack,
    Subject,
)

__all__ = ["USUAL_FABRIC", "USUAL_PRESS", "subjects_from"]

Known = TypeVar("Known", bound=BaseModel)
USUAL_FABRIC, USUAL_PRESS = "cotton-jersey-tee", "clamshell-38x38"
"""What an example lies on and is pressed in where it does not say."""


def subjects_from(judges: Judges, example: Example, catalogue: Catalogue) -> tuple[Subject, ...]:
    """The things that ``example`` describes: one, or for a schedule one for each step.

    Films, fabrics, garments, presses and sheets are named by id; ``{like: ID, field: value}``
    stands for one that differs from the catalogue's in those fields. Steps number themselves.

    Raises:
        BadInputError: a key or a value does not belong there.
        UnknownNameError: an id is not in the catalogue.
    """
    reader = _ExampleReader(dict(example), catalogue)
    match judges:
        case "film_on_fabric":
            made: tuple[Subject, ...] = (reader.film_on_fabric(),)
        case "film_on_film":
            made = (reader.film_on_film(),)
        case "joint":
            made = (reader.fill(Joint, films=("upper", "lower")),)
        case "stack":
            films = tuple(reader.film(name) for name in reader.take("films"))
            made = (Stack(reader.fabric(), films),)
        case "bond_line":
            made = (reader.fill(BondLine, films=("film",)),)
        case "artwork":
            made = (reader.fill(ArtworkPiece, films=("film",)),)
        case "seen":
            made = (reader.seen_against(),)
        case "drawn":
            made = (reader.fill(AsDrawn, films=()),)
        case "schedule":
            made = reader.schedule().scheduled
        case "garment":
            made = (reader.garment_on_press(),)
        case "safety":
            made = (reader.pressing(),)
    reader.refuse_what_is_left()
    return made


class _ExampleReader:
    """Takes keys out of an example one by one, so that what is left over is a mistake."""

    def __init__(self, example: dict[str, Any], catalogue: Catalogue) -> None:
        self._left, self._catalogue = example, catalogue

    def take(self, key: str, *default: Any) -> Any:
        if key not in self._left and not default:
            raise BadInputError("is missing", field=key)
        return self._left.pop(key, *default)

    def refuse_what_is_left(self) -> None:
        if self._left:
            raise BadInputError("does not belong in this example", field=next(iter(self._left)))

    def film(self, given: Any) -> Film:
        return _like(given, self._catalogue.film, Film)

    def fabric(self) -> Fabric:
        return _like(self.take("fabric", USUAL_FABRIC), self._catalogue.fabric, Fabric)

    def press(self) -> Press:
        return _like(self.take("press", USUAL_PRESS), self._catalogue.press, Press)

    def sheet(self, given: Any) -> Sheet:
        return _like(given, self._catalogue.sheet, Sheet)

    def steps(self) -> tuple[Step, ...]:
        return tuple(
            _validated(Step, {"n": n, **step}, f"steps.{n}")
            for n, step in enumerate(self.take("steps"), 1)
        )

    def fill(self, kind: type[Any], *, films: tuple[str, ...]) -> Any:
        names = {field.name for field in fields(kind)}
        given = {name: self.take(name) for name in list(self._left) if name in names}
        for name in films:
            given[name] = self.film(given[name])
        try:
            return kind(**given)
        except TypeError as error:
            raise BadInputError(str(error)) from None

    def film_on_film(self) -> FilmOnFilm:
        for name in ("upper_colour", "lower_colour"):
            if name in self._left:
                self._left[name] = _validated(Colour, self.take(name), name)
        made: FilmOnFilm = self.fill(FilmOnFilm, films=("upper", "lower"))
        return made

    def seen_against(self) -> SeenAgainst:
        for name in ("colour", "ground_colour"):
            self._left[name] = _validated(Colour, self.take(name), name)
        films = ("film", "ground_film") if "ground_film" in self._left else ("film",)
        made: SeenAgainst = self.fill(SeenAgainst, films=films)
        return made

    def schedule(self) -> Schedule:
        films = {piece: self.film(name) for piece, name in self.take("films").items()}
        return Schedule(
            fabric=self.fabric(),
            press=self.press(),
            films=films,
            over=tuple((upper, lower) for upper, lower in self.take("over", [])),
            steps=self.steps(),
            sheets=self._catalogue.sheets,
            size_mm=self.take("size_mm", {}),
            trap_mm=self.take("trap_mm", 0.0),
            dial_c=self.take("dial_c", None),
        )

    def film_on_fabric(self) -> FilmOnFabric:
        film, fabric, colour = (
            self.film(self.take("film")),
            self.fabric(),
            self.take("colour", None),
        )
        pressed = self.take("pressed", None)
        return FilmOnFabric(
            film,
            fabric,
            touches=self.take("touches", True),
            over=tuple(self.film(name) for name in self.take("over", [])),
            colour=next((one for one in film.colours if one.name == colour), None),
            pressed=AsPressed(**pressed) if pressed else None,
            shelf=tuple(self._catalogue.films.values()),
        )

    def garment_on_press(self) -> GarmentOnPress:
        garment = _like(self.take("garment"), self._catalogue.garment, Garment)
        return GarmentOnPress(
            garment=garment,
            area=garment.print_area(self.take("area", None)),
            press=self.press(),
            width_mm=self.take("width_mm", 200.0),
            height_mm=self.take("height_mm", 200.0),
            steps=self.steps(),
            sheets=tuple(self._catalogue.sheets.values()),
        )

    def pressing(self) -> Pressing:
        return Pressing(
            fabric=self.fabric(),
            wearer=self.take("wearer", "adult"),
            nightwear=self.take("nightwear", False),
            films=tuple(self.film(name) for name in self.take("films")),
            sheets=tuple(self.sheet(name) for name in self.take("sheets", [])),
            steps=self.steps(),
        )


def _like(given: Any, find: Any, kind: type[Known]) -> Known:
    if isinstance(given, str):
        return find(given)  # type: ignore[no-any-return]
    if not isinstance(given, Mapping) or "like" not in given:
        raise BadInputError(f"{given!r} is neither an id nor {{like: ID, …}}")
    changes = {key: value for key, value in given.items() if key != "like"}
    return _validated(kind, find(given["like"]).model_dump() | changes, given["like"])


def _validated(kind: type[Known], document: Any, source: str) -> Known:
    try:
        return kind.model_validate(document)
    except ValidationError as error:
        raise first_problem(error, source=source) from None
