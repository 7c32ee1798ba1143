"""Misspelt: all words of a job file that nothing on the shelf or in its list is called, at once."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from advisor.job.meant import Identified, meant_by
from advisor.job.names_list import list_lines
from rules.catalogue import Catalogue, all_problems
from rules.catalogue.complaints import MISSING, NOT_CALLED
from rules.catalogue.places import place_named
from rules.errors import BadInputError, nearest_names, told_together

__all__ = ["no_column", "read_whole"]

MOST_WRONG = 20
"""So many complaints of one file are told in full."""

MOST_FIELDS = 3
"""So many fields are named of which the same is wrong."""

IN_PRINTS = {
    ("artwork", "artwork"): "the artwork stands in each print, as `artwork`",
    ("names", "names"): "names are lettered: a list under `people`, and a print with `lettering`",
    ("leave_out", "leave_out"): "what is left out stands in each print, as `leave_out`",
    ("joints", "joints"): "ways of meeting stand in each print, as `joints`",
    ("garments", "artwork_width_mm"): "the width stands in each print, as `width_mm`",
    ("garments", "area"): "the place stands in each print, as `at`",
    ("garments", "prints"): "every line lists its own: `prints: [{at: …, artwork: …, …}]`",
}
"""Where what a job with one artwork says stands in one that lists prints, by the part of the file
and the key."""

OF_PRINTS = {
    ("garments", "sizes"): "with one artwork, each size that is printed at a width of its own is a "
    "line under garments; sizes on one line are of garments that list `prints`",
}
"""Why what a job that lists prints says is not for one with one artwork, by the same."""

NUMBER = ("number", "no", "no.", "nr", "nr.", "num", "#")
"""What people head the column with that has the numbers."""

Read = TypeVar("Read", bound=BaseModel)
Problem = tuple[str, str]
"""A field, and what is wrong with it."""


def read_whole(
    model: type[Read], document: Mapping[str, Any], shelf: Catalogue, path: Path
) -> Read:
    """What a job file asks, or all that is wrong with it in one complaint.

    Whoever mends one word after another would else run the command once for each.

    Args:
        document: what the file says, whatever that is.

    Raises:
        BadInputError: each field with its value and limit, or the nearest right word.
    """
    found: list[Problem] = []
    read: Read | None = None
    try:
        read = model.model_validate(document)
    except ValidationError as error:
        found = [_elsewhere(one, model) for one in all_problems(error, model)]
        fields = [field for field, _ in found]
        # A list whose entries are wrong is no shorter for that.
        found = [one for one in found if not any(f.startswith(f"{one[0]}.") for f in fields)]
    told = {field for field, _ in found}
    found += [one for one in _misspelt(document, shelf, path.parent) if one[0] not in told]
    if read is not None and not found:
        return read
    found += _sizes(document, path.parent)
    if len(found) == 1:
        [(field, reason)] = found
        raise BadInputError(reason, source=str(path), field=field)
    alike: dict[tuple[str, str], list[str]] = {}
    for field, reason in found:
        # What is missing is no longer a list than the model has keys.
        alike.setdefault((reason, field if reason == MISSING else ""), []).append(field)
    each = (f"{_fields(fields)}: {reason}" for (reason, _), fields in alike.items())
    raise told_together(each, most=MOST_WRONG).at(source=str(path))


def _elsewhere(problem: Problem, model: type[BaseModel]) -> Problem:
    """A key of a job with one artwork for all, in a file that lists prints, or the other way round:
    where it is there."""
    field, reason = problem
    part = (field.split(".")[0], field.rpartition(".")[2])
    if reason != MISSING and NOT_CALLED not in reason:
        return problem
    if "people" not in model.model_fields:
        return field, OF_PRINTS.get(part, reason)
    return field, f"with prints, {IN_PRINTS[part]}" if part in IN_PRINTS else reason


def _fields(fields: Sequence[str]) -> str:
    """The fields that one thing is wrong with."""
    more = len(fields) - MOST_FIELDS
    return ", ".join(fields[:MOST_FIELDS]) + (f" and {more} more" if more > 0 else "")


def no_column(name: str, columns: Iterable[str]) -> str:
    """What is said of a column that a list lacks.

    >>> no_column("nam", ["name", "number"])
    'has no column called nam; its columns: name, number; nearest: name'
    >>> no_column("number", ["name", "no"])
    'has no column called number; its columns: name, no; nearest: no'
    """
    there = [column for column in columns if column]
    same = [column for column in there if column in NUMBER] if name in NUMBER else None
    near = (nearest_names(name, there) if same is None else same)[:1]
    right = f"; nearest: {near[0]}" if near else ""
    return f"has no column called {name[:40]}; its columns: {', '.join(there)[:120]}{right}"


def _misspelt(document: Mapping[str, Any], shelf: Catalogue, folder: Path) -> Iterator[Problem]:
    for field, said, find in _words(document, shelf):
        try:
            meant_by(said, find, field)
        except BadInputError as error:
            yield field, error.reason
    people, lines = document.get("people"), _table(document, folder)
    if not lines:
        return
    for field, asked in _prints(document):
        lettering = asked.get("lettering")
        column = lettering.get("column") if isinstance(lettering, dict) else None
        if isinstance(column, str) and column.strip().lower() not in lines[0]:
            yield f"{field}.lettering.column", f"{people} {no_column(column, lines[0])}"


Find = Callable[[str], Identified]


def _words(document: Mapping[str, Any], shelf: Catalogue) -> Iterator[tuple[str, str, Find]]:
    """Every word of a file that names a thing of the shelf, with its field and how it is found."""
    named: list[tuple[str, object, Find]] = []
    for field, line in _each(document.get("garments"), "garments"):
        named.append((f"{field}.garment", line.get("garment"), shelf.garment))
        named.append((f"{field}.fabric", line.get("fabric"), shelf.fabric))
        named.append((f"{field}.colour", line.get("colour"), shelf.colour))
        named += _places(field, line, shelf)
    for field, asked in _prints(document):
        named.append((f"{field}.film", asked.get("film"), shelf.film))
        named += _films(f"{field}.looks", asked.get("looks"), shelf)
    named += _films("looks", document.get("looks"), shelf)
    names = document.get("names")
    look = names.get("look") if isinstance(names, dict) else None
    named += _films("names", {"look": look}, shelf)
    yield from ((field, said, find) for field, said, find in named if isinstance(said, str))


def _films(field: str, looks: object, shelf: Catalogue) -> list[tuple[str, object, Find]]:
    wishes = looks.items() if isinstance(looks, dict) else ()
    return [
        (f"{field}.{str(fill).lower()}.film", wish.get("film"), shelf.film)
        for fill, wish in wishes
        if isinstance(wish, dict)
    ]


def _places(
    field: str, line: Mapping[str, Any], shelf: Catalogue
) -> list[tuple[str, object, Find]]:
    """The places of a line's prints, on its garment or on the one that it is nearest to."""
    said = str(line.get("garment"))
    try:
        garment = shelf.garment(said)
    except BadInputError:
        near = nearest_names(said, shelf.garments)
        if not near:
            return []
        garment = shelf.garment(near[0])
    return [
        (f"{at}.at", asked.get("at"), lambda said: place_named(said, garment))
        for at, asked in _each(line.get("prints"), f"{field}.prints")
    ]


def _prints(document: Mapping[str, Any]) -> Iterator[tuple[str, Mapping[str, Any]]]:
    for field, line in _each(document.get("garments"), "garments"):
        yield from _each(line.get("prints"), f"{field}.prints")


def _each(listed: object, field: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The mappings of a list, each with its field."""
    for nth, one in enumerate(listed if isinstance(listed, list) else ()):
        if isinstance(one, dict):
            yield f"{field}.{nth}", one


def _table(document: Mapping[str, Any], folder: Path) -> list[list[str]]:
    """The cells of the list of people, its header in small letters; none if it cannot be read."""
    people = document.get("people")
    if not isinstance(people, str):
        return []
    try:
        lines = list_lines(folder / people)
    except BadInputError:
        return []
    header, *rows = [[" ".join(cell.split()) for cell in line.cells] for line in lines]
    return [[cell.lower() for cell in header], *rows]


def _sizes(document: Mapping[str, Any], folder: Path) -> Iterator[Problem]:
    """Sizes on the list of people that no line has; each once."""
    lines = [line for _, line in _each(document.get("garments"), "garments")]
    sizes = [line["sizes"] for line in lines if isinstance(line.get("sizes"), dict)]
    table = _table(document, folder)
    if len(sizes) < len(lines) or not table or "size" not in table[0]:
        return
    known = {str(size).lower(): str(size) for each in sizes for size in each}
    at = table[0].index("size")
    for said in dict.fromkeys(row[at] for row in table[1:] if at < len(row) and row[at]):
        if said.lower() not in known:
            near = [known[one] for one in nearest_names(said, known)] or list(known.values())
            told = f"the size {said[:20]!r} is none of the order; nearest: {', '.join(near)}"
            yield str(document["people"]), told
