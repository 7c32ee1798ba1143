"""Look: the best few choices of films that give a wanted look on a fabric, and what was refused."""

from __future__ import annotations

import heapq
import time
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice

from advisor.answers.best_schedule import BestSchedule
from advisor.answers.look_refused import refused_films, refused_pairs, refused_way
from advisor.answers.look_rows import (
    Looked,
    laid_nowhere,
    laid_somewhere,
    last_colours,
    pieces_of,
    rows_of,
)
from advisor.answers.records import (
    GIVEN,
    LISTING_LIMIT_S,
    LOOK_LIMIT_S,
    Answer,
    LookAnswer,
    OtherWay,
    Refused,
)
from advisor.answers.typed_stack import printed_at, typed_stack, weighing_of
from advisor.job.records.job import Prefer
from advisor.layering.assessment import assess, objective, unpressable_finding
from advisor.layering.records.problem import Problem
from advisor.solver.listing import list_choices
from advisor.solver.ways import Way, best_ways
from advisor.solver.ways_counted import count_ways
from rules.catalogue import Catalogue
from rules.errors import BadInputError, UnknownNameError
from rules.facts.film import FINISHES
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets
from rules.knowledge import Knowledge, load_knowledge

__all__ = ["look"]

MOST_FINISHES = 4

OTHERS_GIVEN = 8
"""Other ways of laying the same films that are told with each."""

PROVING_SHARE = 0.6
"""Of that time for what is proved best; in the rest, the likeliest are weighed to their end."""


def look(
    *finishes: str,
    fabric: str,
    colour: str | None = None,
    area: str | None = None,
    size_mm: tuple[float, float] | None = None,
    press: str = "clamshell-38x38",
    prefer: Prefer = "durable",
    on_shelf_only: bool = False,
    laid: Meets | None = None,
    most: int | None = GIVEN,
    time_limit_s: float | None = None,
    knowledge: Knowledge | None = None,
) -> LookAnswer:
    """The best choices of films that give ``finishes`` together, each laid as well as it can be.

    Each finish may lie in front of or behind the others, and each pair may be lapped, inset
    (rim under or over) or butted. What is given was planned, heat on an unlucky press and all, as
    ``check`` plans it, in the colours that it is shown in: a film's usual one where nobody said
    one, another where it would be stopped in that. The rest is counted.

    Args:
        finishes: two or more finishes (or one, for the films that give it alone), each alone or
            with its colour, as ``matte:white``; a film by its id stands for itself.
        fabric: a fabric, or a garment whose fabric is meant.
        colour: of the garment, by name or as a hex value; its fabric's usual colour by default.
        area: of the garment, by name; its usual print area by default.
        size_mm: the print's width and height; one that fits by default.
        on_shelf_only: leave out films of which the shelf holds nothing.
        laid: only what is laid so somewhere.
        most: how many choices of films to give; ``None`` for all, every way listed.
        time_limit_s: after so many seconds of the processor what was weighed is given, best first,
            and the rest is only counted; by default `LOOK_LIMIT_S`, or `LISTING_LIMIT_S` where
            all are wanted.

    Raises:
        BadInputError: no finish, an unknown one, or more than four.
        UnknownNameError: the fabric, press, way or a colour is not known; the nearest names are
            offered.

    >>> found = look("matte", "sparkle", fabric="cotton-jersey-tee")
    >>> found.answers[0].meets, found.answers[0].verdict
    (('lap',), 'go')
    >>> behind = [r for r in found.refused if r.films == ("sparkle-coarse", "matte-smooth")]
    >>> [(refused.meets, refused.rule) for refused in behind if refused.meets == ("lap",)]
    [(('lap',), 'top-surface')]
    """
    if time_limit_s is None:
        time_limit_s = LISTING_LIMIT_S if most is None else LOOK_LIMIT_S
    begun_s = time.process_time()
    known = knowledge or load_knowledge()
    asked = Looked(
        wanted=_checked(finishes, laid, known.catalogue),
        fabric=fabric if colour is None else f"{fabric}:{colour}",
        press=press,
        prefer=prefer,
        laid=laid,
        at=printed_at(fabric, area, size_mm, known.catalogue),
        knowledge=known,
    )
    pieces = pieces_of(asked, on_shelf_only=on_shelf_only)
    every = rows_of(asked, pieces)
    rows = every if laid is None else laid_somewhere(every, laid)
    counted = count_ways(every, without=[] if laid is None else laid_nowhere(every, laid))
    found = _Found(asked, most, begun_s, time_limit_s)
    found.search(rows)
    told = None if most is None else OTHERS_GIVEN
    answers = tuple(
        _answer(entry, islice(found.others(films, every), told))
        for films, entry in sorted(found.given.items(), key=lambda given: _reached(given[1]))
    )
    listed = sum(1 + len(answer.others) for answer in answers)
    return LookAnswer(
        finishes=asked.wanted,
        fabric=every[0].fabrics[0].id,
        press=press,
        size_mm=every[0].print.lines[0].size_mm,
        size_assumed=size_mm is None,
        prefer=prefer,
        answers=answers,
        refused=(
            *found.refused.values(),
            *refused_pairs(every),
            *refused_films([*pieces.values()]),
        ),
        counted=counted.ways,
        film_sets=counted.film_sets,
        listed=listed,
        complete=found.complete,
        weighed=found.weighed,
        proved=found.proved,
    )


def _checked(finishes: Sequence[str], laid: str | None, known: Catalogue) -> tuple[str, ...]:
    wanted = tuple(dict.fromkeys(_word(finish, known) for finish in finishes))
    if not wanted:
        raise BadInputError(f"name a finish, or several: {', '.join(FINISHES)}")
    if len(wanted) > MOST_FINISHES:
        raise BadInputError(
            f"{len(wanted)} finishes at once; a look is judged for at most {MOST_FINISHES}, a "
            "larger design as a job"
        )
    if laid is not None and laid not in MEETING_WORDS:
        raise UnknownNameError("way of meeting", laid, tuple(MEETING_WORDS))
    return wanted


def _word(said: str, known: Catalogue) -> str:
    """A finish, or a film, by its id, with the colour that is wanted after a colon."""
    word, colon, colour = said.partition(":")
    name = word.lower() if word.lower() in known.films else known.finish(word)
    return f"{name}:{known.film_colour(colour)}" if colon else name


@dataclass(frozen=True, slots=True, order=True)
class _Entry:
    """A way in the queue, by the least objective that it can have.

    Attributes:
        colours: that its films are judged and shown in.
        steps: how often it was weighed; ``weighed`` is its best schedule, once that is known: then
            the objective is its own.
    """

    objective: tuple[int, ...]
    films: tuple[str, ...]
    meets: tuple[Meets, ...]
    finishes: tuple[str, ...]
    colours: tuple[str, ...]
    steps: int = field(compare=False, default=0)
    weighed: BestSchedule | None = field(compare=False, default=None)


Laid = tuple[tuple[str, ...], tuple[Meets, ...]]
"""Films, bottom first, and how each meets the one below."""


class _Found:
    """The search for the best choices of films, and what it has found."""

    def __init__(
        self, asked: Looked, most: int | None, begun_s: float, time_limit_s: float
    ) -> None:
        self.asked, self.most, self.complete = asked, most, False
        self.proving_until_s = begun_s + PROVING_SHARE * time_limit_s
        self.deadline_s = begun_s + time_limit_s
        self.weighed, self.proved = 0, False
        self.taken: set[Laid] = set()
        self.given: dict[tuple[str, ...], _Entry] = {}
        self.refused: dict[Laid, Refused] = {}
        self.known: dict[Laid, OtherWay] = {}

    def search(self, rows: Sequence[Problem]) -> None:
        """Take ways by their bound, weigh the least of them, until enough are known for the best.

        What got worse as it was weighed goes back into the queue, so that whatever comes out of
        it weighed is no worse than anything that is left.
        """
        coming = self._coming(rows)
        queue: list[_Entry] = []
        next_way = next(coming, None)
        while self.most is None or len(self.given) < self.most:
            if time.process_time() > self.proving_until_s:
                self._weigh_likeliest(queue)
                return
            while next_way is not None and (not queue or next_way.bound <= queue[0].objective):
                self._take_in(next_way, queue)
                next_way = next(coming, None)
            if not queue:
                break
            best = heapq.heappop(queue)
            films = tuple(sorted(best.films))
            # Where all are wanted, every way is weighed, so that each is told with its verdict.
            if films in self.given and self.most is not None:
                continue
            if best.weighed is not None:
                self.given.setdefault(films, best)
            elif (further := self._weigh(best)) is not None:
                heapq.heappush(queue, further)
        self.proved = True

    def _weigh_likeliest(self, queue: list[_Entry]) -> None:
        """Weigh what is left to its end, what is nearest to it first, while there is time."""
        ends: dict[tuple[str, ...], _Entry] = {}
        for entry in sorted(queue, key=lambda entry: (-entry.steps, entry)):
            left: _Entry | None
            films, left = tuple(sorted(entry.films)), entry
            while films not in ends and left is not None:
                if left.weighed is not None:
                    ends[films] = left
                elif time.process_time() < self.deadline_s:
                    left = self._weigh(left)
                else:
                    break
        for films, entry in sorted(ends.items(), key=lambda end: end[1]):
            if self.most is None or len(self.given) < self.most:
                self.given.setdefault(films, entry)

    def _coming(self, rows: Sequence[Problem]) -> Iterator[Way]:
        """The ways of the rows by rising bound; where all are wanted, listed one by one."""
        if self.most is not None:
            return best_ways(rows)
        listings = [(row, list_choices(row)) for row in rows]
        self.complete = all(listing.complete for _, listing in listings)
        for row, listing in listings:
            for found in listing.unpressable:
                way = Way((), row, found.choice)
                stop = unpressable_finding(row, found)
                self.refused[way.films, way.meets] = refused_way(way.films, way.meets, [stop])
        return iter(
            sorted(
                (
                    Way(objective(found.measures, row.prefer), row, found.choice)
                    for row, listing in listings
                    for found in listing.assessments
                    if found.measures is not None
                ),
                key=lambda way: (way.bound, way.films, way.meets),
            )
        )

    def _take_in(self, way: Way, queue: list[_Entry]) -> None:
        """Put a way into the queue with what its best presses cost, or set it aside."""
        key = (way.films, way.meets)
        if key in self.taken:
            return
        self.taken.add(key)
        found = assess(way.problem, way.choice)
        if found.measures is None:
            self.refused[key] = refused_way(*key, [unpressable_finding(way.problem, found)])
        else:
            least = max(way.bound, objective(found.measures, self.asked.prefer))
            finishes = tuple(piece.id for piece in way.problem.pieces)
            heapq.heappush(queue, _Entry(least, *key, finishes, _colours(way)))

    def _weigh(self, entry: _Entry) -> _Entry | None:
        """A way with one schedule more weighed, heat and every rule; ``None`` if it has none."""
        films = zip(entry.films, entry.colours, strict=True)
        stack = typed_stack(
            tuple(f"{film}:{colour}" for film, colour in films),
            entry.meets,
            fabric=self.asked.fabric,
            press=self.asked.press,
            knowledge=self.asked.knowledge,
            prefer=self.asked.prefer,
            at=self.asked.at,
        )
        best, key = weighing_of(stack).step(entry.steps), (entry.films, entry.meets)
        if not isinstance(best, BestSchedule):
            bound = max(entry.objective, best)
            return replace(entry, objective=bound, steps=entry.steps + 1)
        self.weighed += 1
        if best.plan is None:
            last = last_colours(self.asked, entry.finishes, entry.films, best.stops)
            if last not in {None, entry.colours}:
                # It ranks no better than in the colours that it was shown in at first.
                return replace(entry, colours=last, steps=0)
            self.refused[key] = refused_way(*key, best.stops)
            return None
        self.known[key] = OtherWay(
            films=entry.films,
            colours=entry.colours,
            meets=entry.meets,
            verdict=best.plan.verdict,
        )
        return replace(entry, objective=max(entry.objective, best.objective), weighed=best)

    def others(self, films: tuple[str, ...], rows: Sequence[Problem]) -> Iterator[OtherWay]:
        """The other ways of laying films that are given, best first as far as is known."""
        best = self.given[films]
        of_these = [_cut_from(row, set(films)) for row in rows]
        told = {(best.films, best.meets), *self.refused}
        for way in best_ways(of_these):
            key = (way.films, way.meets)
            if key in told or tuple(sorted(way.films)) != films:
                continue
            told.add(key)
            if assess(way.problem, way.choice).possible:
                laid = OtherWay(films=way.films, colours=_colours(way), meets=way.meets)
                yield self.known.get(key, laid)


def _reached(entry: _Entry) -> tuple[int, ...]:
    """The objective of a way as it is given, also where it ranked by colours that are stopped."""
    return entry.objective if entry.weighed is None else entry.weighed.objective


def _colours(way: Way) -> tuple[str, ...]:
    """The colours that a way's films are shown in; what somebody said, in their words."""
    return tuple(
        piece.id.partition(":")[2] or way.choice.options[piece.id].colour.name
        for piece in way.problem.pieces
    )


def _cut_from(row: Problem, films: set[str]) -> Problem:
    """A row whose pieces are cut from these films only."""
    pieces = tuple(
        replace(piece, options=tuple(o for o in piece.options if o.film.id in films))
        for piece in row.pieces
    )
    return replace(row, pieces=pieces)


def _answer(entry: _Entry, others: Iterable[OtherWay]) -> Answer:
    """A way as its best plan presses it."""
    plan = None if entry.weighed is None else entry.weighed.plan
    measures = None if entry.weighed is None else entry.weighed.found.measures
    if plan is None or measures is None:
        raise ValueError("only what is planned is an answer")
    films = {piece.id: piece.film for piece in plan.pieces}
    fulls = [step for step in plan.steps if step.purpose == "full"]
    laid: dict[str, None] = {}
    groups = []
    for step in plan.steps:
        new = [piece for piece in step.pieces if step.action == "press" and piece not in laid]
        laid.update(dict.fromkeys(new))
        groups += [tuple(films[piece] for piece in new)] if new else []
    return Answer(
        films=entry.films,
        colours=tuple(piece.colour for piece in plan.pieces),
        finishes=entry.finishes,
        meets=entry.meets,
        verdict=plan.verdict,
        finished_together=tuple(tuple(films[piece] for piece in step.pieces) for step in fulls),
        findings=plan.findings,
        press_order=tuple(groups),
        setpoints_c=tuple(step.setpoint_c or 0.0 for step in fulls),
        dwells_s=tuple(step.dwell_s or 0.0 for step in fulls),
        thickness_um=measures.thickness_um,
        minutes=plan.minutes,
        cost=plan.cost,
        others=tuple(others),
    )
