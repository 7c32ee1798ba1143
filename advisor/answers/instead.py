"""Instead: one change of a risky stack that makes it a better one, each judged as it would be."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from advisor.answers.check import FROM_WORST, check
from advisor.answers.records import BetterStack
from rules.catalogue import Catalogue
from rules.facts.film import Film
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets
from rules.facts.text import Text
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["better_stacks"]

GIVEN = 5
"""How many better stacks are offered at most."""
MOST_FILMS_TRIED = 4
"""So many films of the same finishes are tried in place of each."""

Change = tuple[Text, tuple[str, ...], tuple[Meets, ...]]


def better_stacks(
    stack: Sequence[str],
    *,
    fabric: str,
    meets: Sequence[Meets] | None = None,
    area: str | None = None,
    size_mm: tuple[float, float] | None = None,
    press: str = "clamshell-38x38",
    knowledge: Knowledge | None = None,
) -> tuple[BetterStack, ...]:
    """What one change makes of a stack that is a stop or a sample, the best verdict first.

    Of equal verdicts, what keeps the films comes before what changes them: another way of meeting,
    another order, another film of the same finishes, a film less. The arguments are those of
    :func:`advisor.answers.check.check`.

    >>> tee = "cotton-jersey-tee"
    >>> for better in better_stacks(["sparkle-coarse", "matte-smooth"], fabric=tee)[:2]:
    ...     print(better.said, better.verdict)
    inset matte-smooth in sparkle-coarse, sparkle-coarse's rim over its edge go
    butt matte-smooth against sparkle-coarse go
    >>> better_stacks(["matte-smooth"], fabric=tee)
    ()
    """
    known = knowledge or load_knowledge()

    def rank(films: Sequence[str], ways: Sequence[Meets]) -> int:
        report = check(
            fabric=fabric, stack=films, meets=ways, area=area, size_mm=size_mm, press=press,
            knowledge=known,
        )  # fmt: skip
        return FROM_WORST.index(report.verdict)

    films = tuple(stack)
    laps: list[Meets] = ["lap"] * (len(films) - 1)
    ways = tuple(laps if meets is None else meets)
    now = rank(films, ways)
    if FROM_WORST[now] == "go":
        return ()
    judged = [
        (rank(others, laid), said, others, laid)
        for said, others, laid in _changes(films, ways, known.catalogue)
    ]
    best_first = sorted(judged, key=lambda one: -one[0])
    return tuple(
        BetterStack(said=said, films=others, meets=laid, verdict=FROM_WORST[at])
        for at, said, others, laid in best_first
        if at > now
    )[:GIVEN]


def _changes(
    films: tuple[str, ...], ways: tuple[Meets, ...], catalogue: Catalogue
) -> Iterator[Change]:
    ids = [name.partition(":")[0] for name in films]
    for at, (lower, upper) in enumerate(pairwise(ids)):
        for way, words in MEETING_WORDS.items():
            if way != ways[at]:
                said = Text(words.advice.format(upper=upper, lower=lower))
                yield said, films, (*ways[:at], way, *ways[at + 1 :])
    for at, (lower, upper) in enumerate(pairwise(ids)):
        swapped = (*films[:at], films[at + 1], films[at], *films[at + 2 :])
        yield Text(f"lay {lower} over {upper}"), swapped, ways
    for at, name in enumerate(films):
        for other in _alike(catalogue.film(ids[at]), catalogue):
            colour = name.partition(":")[2]
            keeps = colour in [one.name for one in other.colours]
            film = f"{other.id}:{colour}" if keeps else other.id
            said = Text(f"take {other.id} in place of {ids[at]}")
            yield said, (*films[:at], film, *films[at + 1 :]), ways
    if len(films) > 1:
        for at, film in enumerate(ids):
            joined = max(at - 1, 0)
            fewer = (*ways[:joined], *ways[joined + 1 :])
            yield Text(f"leave {film} out"), (*films[:at], *films[at + 1 :]), fewer


def _alike(film: Film, catalogue: Catalogue) -> list[Film]:
    """Films that show all finishes of one, those of its family first."""
    shown = set(film.finishes)
    alike = [
        other
        for other in catalogue.films.values()
        if other.id != film.id and shown <= set(other.finishes)
    ]
    return sorted(alike, key=lambda other: other.family != film.family)[:MOST_FILMS_TRIED]
