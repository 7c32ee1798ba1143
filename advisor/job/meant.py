"""Meant: a job with every everyday word in it read as the id on this shelf that is meant."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import TYPE_CHECKING, Protocol

from rules.catalogue import Catalogue
from rules.errors import BadInputError, UnknownNameError

if TYPE_CHECKING:  # The job file's reader calls this.
    from advisor.job.records.job import GarmentLine, Job, Wish
    from advisor.job.records.order import OrderedGarment

__all__ = ["job_in_ids", "line_in_ids", "looks_in_ids", "meant_by", "wish_in_ids"]


class Identified(Protocol):
    """A thing of the shelf."""

    @property
    def id(self) -> str:
        """What it is called on the shelf."""


def job_in_ids(job: Job, known: Catalogue) -> Job:
    """The job with its garments, fabrics and films by their ids, and colours by their names.

    Raises:
        UnknownNameError: one of them is not on the shelf, or may mean several; the message names
            the field and offers the nearest.

    >>> from advisor.job.demo import demo_job
    >>> from advisor.job.records.job import GarmentLine
    >>> from rules.catalogue import load_catalogue
    >>> line = GarmentLine(garment="T-Shirt", colour="Navy Blue", artwork_width_mm=200)
    >>> job = job_in_ids(demo_job().model_copy(update={"garments": (line,)}), load_catalogue())
    >>> job.garments[0].garment, job.garments[0].colour
    ('adult-tee', 'navy')
    """
    lines = tuple(
        line.model_copy(update=line_in_ids(line, known, f"garments.{n}"))
        for n, line in enumerate(job.garments)
    )
    looks = looks_in_ids(job.looks, known, "looks")
    names = job.names
    if names is not None:
        look = wish_in_ids(names.look, known, "names.look")
        names = names.model_copy(update={"look": look})
    return job.model_copy(update={"garments": lines, "looks": looks, "names": names})


def line_in_ids(
    line: GarmentLine | OrderedGarment, known: Catalogue, field: str
) -> dict[str, object]:
    """What garment, fabric and colour of a line are called on the shelf, as an update of it."""
    update: dict[str, object] = {
        "garment": meant_by(line.garment, known.garment, f"{field}.garment")
    }
    if line.fabric is not None:
        update["fabric"] = meant_by(line.fabric, known.fabric, f"{field}.fabric")
    if line.colour is not None:
        update["colour"] = meant_by(line.colour, known.colour, f"{field}.colour")
    return update


def looks_in_ids(looks: Mapping[str, Wish], known: Catalogue, field: str) -> dict[str, Wish]:
    """Looks with films and colours as the shelf calls them, by fill."""
    return {fill: wish_in_ids(wish, known, f"{field}.{fill}") for fill, wish in looks.items()}


def wish_in_ids(wish: Wish, known: Catalogue, field: str) -> Wish:
    """A wish with its film by its id and its colour by its name."""
    update: dict[str, object] = {}
    if wish.film is not None:
        update["film"] = meant_by(wish.film, known.film, f"{field}.film")
    if wish.colour is not None:
        # One that no film has is told where it is known which films are meant.
        with suppress(UnknownNameError):
            update["colour"] = known.film_colour(wish.colour)
    return wish.model_copy(update=update) if update else wish


def meant_by(said: str, find: Callable[[str], Identified], field: str) -> str:
    """The id of what someone means, or a complaint that names the field.

    Raises:
        UnknownNameError: nothing there is called so.
    """
    try:
        return find(said).id
    except BadInputError as error:
        raise error.at(field=field) from None
