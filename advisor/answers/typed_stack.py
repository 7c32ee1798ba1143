"""Typed stack: films that someone named, bottom first, and the best plan that presses them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from advisor.answers.best_schedule import BestSchedule, Weighing
from advisor.job.records.job import Prefer
from advisor.layering.records.prepared import ANYWHERE, PreparedJob, PrintedAt
from advisor.layering.records.problem import Choice, Problem
from advisor.layering.typed_print import stack_print, typed_job, typed_piece
from rules.catalogue import Catalogue
from rules.catalogue.places import area_named
from rules.errors import BadInputError
from rules.facts.film import Film
from rules.facts.step import Meets
from rules.knowledge import Knowledge

__all__ = [
    "LEAST_PRINT_MM",
    "MOST_PRINT_MM",
    "TypedStack",
    "best_of_stack",
    "job_of_stack",
    "named_film",
    "printed_at",
    "typed_stack",
    "weighing_of",
]


LEAST_PRINT_MM, MOST_PRINT_MM = 10.0, 1500.0
"""How small and how large a print may be said to be, mm."""


@dataclass(frozen=True, slots=True)
class TypedStack:
    """Films over one another, bottom first; two of the same words and knowledge are one.

    Attributes:
        fabric: a fabric, or a garment, by id.
        films: by id, or as ``ID:colour``.
        meets: how each film meets the one below, bottom first.
        at: where on a garment the print lies, and how large it is.
        known_by: what the knowledge consists of, which ``knowledge`` holds while this is kept.
    """

    fabric: str
    films: tuple[str, ...]
    meets: tuple[Meets, ...]
    press: str
    prefer: Prefer
    at: PrintedAt
    known_by: tuple[int, ...]
    knowledge: Knowledge = field(compare=False, repr=False)


def typed_stack(
    films: Sequence[str],
    meets: Sequence[Meets],
    *,
    fabric: str,
    press: str,
    knowledge: Knowledge,
    prefer: Prefer = "durable",
    at: PrintedAt = ANYWHERE,
) -> TypedStack:
    """Films that someone named, as one thing to be asked about."""
    parts = (knowledge.rules, knowledge.catalogue, *knowledge.evidence)
    known_by = tuple(map(id, parts))
    return TypedStack(fabric, tuple(films), tuple(meets), press, prefer, at, known_by, knowledge)


def printed_at(
    fabric: str, area: str | None, size_mm: tuple[float, float] | None, catalogue: Catalogue
) -> PrintedAt:
    """Where somebody says that a print lies, and how large it is.

    Raises:
        BadInputError: a fabric has no print area, or nothing is that large or small.
        UnknownNameError: the garment has no such area; what it has is offered.

    >>> from rules.catalogue import load_catalogue
    >>> printed_at("adult-tee", "back", (90, 60), load_catalogue())
    PrintedAt(area='back', size_mm=(90, 60))
    """
    garment = catalogue.garment_of(fabric)
    if area is not None and garment is None:
        raise BadInputError(
            f"{fabric} is a fabric and has no print areas; name a garment, such as adult-tee",
            field="area",
        )
    if area is not None and garment is not None:
        area = area_named(area, garment)
    for side, length_mm in zip(("width", "height"), size_mm or (), strict=False):
        if not LEAST_PRINT_MM <= length_mm <= MOST_PRINT_MM:
            raise BadInputError(
                f"a {side} of {length_mm:g} mm; give {LEAST_PRINT_MM:g} to {MOST_PRINT_MM:g} mm",
                field="size",
            )
    return PrintedAt(area, size_mm)


@lru_cache(maxsize=1024)
def weighing_of(stack: TypedStack) -> Weighing:
    """The search for the best plan of a stack, kept for as long as the program runs.

    Raises:
        UnknownNameError: a film, fabric or press is not known.
    """
    return Weighing(*job_of_stack(stack))


def best_of_stack(stack: TypedStack) -> BestSchedule:
    """The best plan of a stack, or that it has none.

    Raises:
        UnknownNameError: a film, fabric or press is not known.
    """
    return weighing_of(stack).to_the_end()


def job_of_stack(stack: TypedStack) -> tuple[PreparedJob, Choice]:
    """The stack as a job that leaves its schedule open, and the choice that it states.

    Raises:
        UnknownNameError: a film, a colour of it, a fabric or a press is not known.
    """
    catalogue = stack.knowledge.catalogue
    fabric, press = catalogue.fabric(stack.fabric), catalogue.press(stack.press)
    garment = catalogue.garment_of(stack.fabric)
    knowledge = stack.knowledge.pressed_at(press, fabric)
    named = [named_film(name, catalogue) for name in stack.films]
    films = _pieces([film for film, _ in named])
    colours = dict(zip(films, (colour for _, colour in named), strict=True))
    print_ = stack_print(
        tuple(films),
        fabric=fabric,
        garment=garment,
        press=press,
        meets=stack.meets,
        at=stack.at,
    )
    pieces = [
        typed_piece(
            piece,
            [(films[piece.id], colours[piece.id])],
            fabric=fabric,
            knowledge=knowledge,
        )
        for piece in print_.pieces
    ]
    prepared = typed_job(
        print_,
        pieces,
        fabric=fabric,
        press=press,
        garment=garment,
        knowledge=knowledge,
        prefer=stack.prefer,
    )
    return prepared, _choice(prepared.problem)


def _choice(problem: Problem) -> Choice:
    """The one choice of a problem that leaves none, in films refused wherever they lie too."""
    options = {
        piece.id: next(
            option
            for option in (*piece.options, *(refusal.option for refusal in piece.refused))
            if option is not None
        )
        for piece in problem.pieces
    }
    return Choice(options, {meeting.pair: meeting.ways[0] for meeting in problem.meetings})


def named_film(name: str, catalogue: Catalogue) -> tuple[Film, str | None]:
    """The film, and its colour by name or as a hex value, of ``ID`` or ``ID:colour``.

    Raises:
        UnknownNameError: there is no such film, or it does not come in that colour.

    >>> from rules.catalogue import load_catalogue
    >>> film, colour = named_film("matte-smooth:white", load_catalogue())
    >>> film.id, colour
    ('matte-smooth', 'white')
    """
    film_id, colon, colour = name.partition(":")
    film = catalogue.film(film_id)
    return film, catalogue.film_colour(colour, film) if colon else None


def _pieces(films: Sequence[Film]) -> dict[str, Film]:
    """A piece for each film, named as the film; a film that comes again is numbered."""
    named: dict[str, Film] = {}
    for film in films:
        count = sum(known.id == film.id for known in named.values())
        named[film.id if not count else f"{film.id}-{count + 1}"] = film
    return named
