"""Look rows: the films that give each finish, in every order in which they may lie, as problems."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from advisor.job.records.job import Prefer, Wish
from advisor.job.records.print import EVERY_WAY
from advisor.layering.candidates import BY_COLOUR, candidate_films
from advisor.layering.records.asked import RuleAnswers
from advisor.layering.records.prepared import ANYWHERE, PrintedAt
from advisor.layering.records.problem import Problem, ProblemPiece
from advisor.layering.typed_print import stack_print, stained_first, typed_job, typed_piece
from rules.book.artwork.colour_match import named_alike
from rules.catalogue import Catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.film import FINISHES, Film
from rules.facts.finding import Finding
from rules.facts.step import Meets
from rules.facts.subjects import FilmOnFabric
from rules.knowledge import Knowledge

__all__ = [
    "Looked",
    "laid_nowhere",
    "laid_somewhere",
    "last_colours",
    "pieces_of",
    "rows_of"
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Looked:
    """What is asked."""

    wanted: tuple[str, ...]
    fabric: str
    press: str
    prefer: Prefer
    laid: Meets | None
    knowledge: Knowledge
    at: PrintedAt = ANYWHERE


def pieces_of(asked: Looked, *, on_shelf_only: bool) -> dict[str, ProblemPiece]:
    """For each finish the films that give it, on a sample print."""
    catalogue = asked.knowledge.catalogue
    cloth, garment = catalogue.fabric(asked.fabric), catalogue.garment_of(asked.fabric)
    press = catalogue.press(asked.press)
    knowledge = asked.knowledge.pressed_at(press, cloth)
    sample = stack_print(asked.wanted, fabric=cloth, garment=garment, press=press, at=asked.at)
    return {
        piece.id: typed_piece(
            piece,
            [
                (film, piece.id.partition(":")[2] or _colours(film, cloth, knowledge)[0])
                for film in _films(piece.id, catalogue, on_shelf_only=on_shelf_only)
            ],
            fabric=cloth,
            knowledge=knowledge,
        )
        for piece in sample.pieces
    }


def _colours(film: Film, fabric: Fabric, knowledge: Knowledge) -> tuple[str, str]:
    """The colours that a film is shown in where nobody said one, by name: at first, and at last.

    At first its usual one, in which it is not promised too soon; at last, and at once where the
    rules stop it in that one, the one in which the fabric does it the least harm, and in which it
    is seen.
    """
    usual = stained_first(film)
    seen = (one for one in film.colours if not named_alike(one.srgb, fabric.colour.srgb))
    worst = {
        colour.name: _worst(knowledge.judge(FilmOnFabric(film, fabric, colour=colour)))
        for colour in (usual, *seen)
    }
    least = min(worst, key=lambda name: worst[name])
    return least if worst[usual.name][0] else usual.name, least


def _worst(findings: Sequence[Finding]) -> tuple[int, ...]:
    """How many findings there are of each severity, the most serious first."""
    found = [finding.severity for finding in findings]
    return tuple(found.count(severity) for severity in ("stop", "sample", "note"))


def last_colours(
    asked: Looked, finishes: Sequence[str], films: Sequence[str], stops: Sequence[Finding]
) -> tuple[str, ...] | None:
    """The colours in which films that are stopped for theirs might do, where nobody said them."""
    if not BY_COLOUR & {stop.rule for stop in stops}:
        return None
    catalogue = asked.knowledge.catalogue
    cloth = catalogue.fabric(asked.fabric)
    return tuple(
        finish.partition(":")[2] or _colours(catalogue.film(film), cloth, asked.knowledge)[1]
        for finish, film in zip(finishes, films, strict=True)
    )


def _films(wanted: str, catalogue: Catalogue, *, on_shelf_only: bool) -> list[Film]:
    """The films that show a finish, or the one film named, in the colour that is asked for."""
    word, _, colour = wanted.partition(":")
    wish = Wish(finish=word) if word in FINISHES else Wish(film=word)  # type: ignore[arg-type]
    shown = candidate_films(wish, catalogue)
    films = [film for film in shown if not colour or _comes_in(film, colour)]
    if not films:
        come_in = dict.fromkeys(one.name for film in shown for one in film.colours)
        raise UnknownNameError(f"colour of {word} films", colour, come_in)
    stocked = [film for film in films if film.on_shelf_m > 0]
    if on_shelf_only and not stocked:
        names = ", ".join(film.id for film in films)
        raise BadInputError(
            f"no film that is {wanted} is on the shelf (0 m of {names}); buy some, or look among "
            "all films"
        )
    return stocked if on_shelf_only else films


def _comes_in(film: Film, colour: str) -> bool:
    """Whether a film has a colour of that name, or one that people call the same as that value."""
    if not colour.startswith("#"):
        return any(one.name == colour for one in film.colours)
    return film.printed or any(named_alike(colour, one.srgb) for one in film.colours)


def rows_of(asked: Looked, pieces: Mapping[str, ProblemPiece]) -> list[Problem]:
    """Every order in which the finishes may lie over one another, as a problem each."""
    catalogue = asked.knowledge.catalogue
    garment = catalogue.garment_of(asked.fabric)
    cloth, press = catalogue.fabric(asked.fabric), catalogue.press(asked.press)
    answers, rows = RuleAnswers(), []
    for order in permutations(asked.wanted):
        row = typed_job(
            stack_print(order, fabric=cloth, garment=garment, press=press, at=asked.at),
            [pieces[finish] for finish in order],
            fabric=cloth,
            press=press,
            garment=garment,
            knowledge=asked.knowledge.pressed_at(press, cloth),
            prefer=asked.prefer,
        ).problem
        rows.append(replace(row, rule_answers=answers))
    return rows


def laid_somewhere(rows: Sequence[Problem], laid: Meets) -> list[Problem]:
    """The rows, one neighbouring pair of each laid so: every way with such a pair is in one."""
    return [
        _with_ways(row, {at: (laid,)})
        for row in rows
        for at, meeting in enumerate(row.meetings)
        if not meeting.hidden
    ]


def laid_nowhere(rows: Sequence[Problem], laid: Meets) -> list[Problem]:
    """The rows with no two neighbours laid so."""
    rest = tuple(way for way in EVERY_WAY if way != laid)
    return [
        _with_ways(row, {at: rest for at, meeting in enumerate(row.meetings) if not meeting.hidden})
        for row in rows
    ]


def _with_ways(row: Problem, ways: Mapping[int, tuple[Meets, ...]]) -> Problem:
    meetings = tuple(
        replace(meeting, ways=ways.get(at, meeting.ways)) for at, meeting in enumerate(row.meetings)
    )
    return replace(row, print=replace(row.print, meetings=meetings))
