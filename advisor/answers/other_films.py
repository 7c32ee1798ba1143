"""Other films: what a piece could be cut from, were its look not as it is wished."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import suppress

from advisor.job.records.job import Job, Wish
from advisor.layering.candidates import (
    candidate_films,
    every_option,
    least_worry,
    piece_with_options,
)
from advisor.layering.records.prepared import PreparedJob
from advisor.layering.records.problem import Option
from advisor.solver.records import SwapKind
from rules.book.artwork.colour_match import named_alike
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.film import Film
from rules.facts.finding import verdict

__all__ = ["OtherFilms", "films_as_wished"]


def films_as_wished(job: Job, known: Catalogue) -> frozenset[str]:
    """The films that show what a job wishes for some of its pieces."""
    shown: set[str] = set()
    for wish in [*job.looks.values(), *([job.names.look] if job.names else [])]:
        with suppress(BadInputError):
            shown |= {film.id for film in candidate_films(wish, known)}
    return frozenset(shown)


class OtherFilms:
    """The other films of a job's pieces, each worked out when it is first asked for."""

    def __init__(self, prepared: PreparedJob) -> None:
        self.prepared = prepared
        self._every: dict[str, tuple[Option, ...]] = {}

    def beyond(self, piece_id: str) -> tuple[Option, ...]:
        """The films on the shelf that do not show what is wished for a piece."""
        piece = self.prepared.problem.piece(piece_id)
        known = {option.film.id for option in piece.options} | {r.film for r in piece.refused}
        return tuple(
            option
            for option in self.every(piece_id)
            if option.film.id not in known and self._is_there(option)
        )

    def swaps(self, piece_id: str) -> Mapping[SwapKind, tuple[Option, ...]]:
        """Films that may be used instead: of the wished look, to buy, of another look.

        None of them hides a piece that was to be seen on its garment.
        """
        prepared = self.prepared
        wish = prepared.wish(piece_id)
        if wish is None:
            return {}
        shown = candidate_films(wish, prepared.problem.knowledge.catalogue)
        finishes = {finish for film in shown for finish in film.finishes}
        looks = {wish.finish} if wish.finish else finishes
        mine = {option.film.id for option in prepared.problem.piece(piece_id).options}
        found: dict[SwapKind, list[Option]] = {
            "setpoint": self._hotter(wish, shown, piece_id), "film": [], "buy": [], "look": []
        }  # fmt: skip
        nearest = {option.film.id for option in found["setpoint"]}
        for option in self.every(piece_id):
            film = option.film
            if film.id in mine | nearest or verdict(option.findings) == "stop":
                continue
            if not self._is_there(option):
                if film in shown and _meets(film, wish):
                    found["buy"].append(option)
            elif looks & set(film.finishes):
                found["film"].append(option)
            elif film.family != "clear":
                # A clear film shows nothing of a colour that is drawn.
                found["look"].append(option)
        if not mine:
            found["film"] = [*self._in_other_colours(wish, shown, piece_id), *found["film"]]
        seen = {
            how: tuple(option for option in options if not self._hides(option, piece_id))
            for how, options in found.items()
        }
        return {how: options for how, options in seen.items() if options}

    def _hides(self, option: Option, piece_id: str) -> bool:
        """Whether a film is in the colour of a garment from which what is wished stands out."""
        problem = self.prepared.problem
        if all(place.stack != (piece_id,) for place in problem.places):
            return False
        piece = problem.piece(piece_id)
        wished = [*piece.options, *(refused.option for refused in piece.refused)]
        return any(
            named_alike(option.colour.srgb, fabric.colour.srgb)
            and not any(one and named_alike(one.colour.srgb, fabric.colour.srgb) for one in wished)
            for fabric in problem.fabrics
        )

    def _in_other_colours(self, wish: Wish, shown: Sequence[Film], piece_id: str) -> list[Option]:
        """Films as wished but for the colour, where none will do in the colour that is wished.

        One colour of each film comes first, so that the first few are films of every price.
        """
        problem = self.prepared.problem
        if wish.colour is None:
            return []
        options = [
            option
            for film in shown
            if film.on_shelf_m > 0 or not self.prepared.job.on_shelf_only
            for colour in film.colours
            if colour.name != wish.colour and _meets(film, wish)
            for option in piece_with_options(
                self.prepared.print.piece(piece_id),
                Wish(film=film.id, colour=colour.name),
                fabrics=problem.fabrics,
                knowledge=problem.knowledge,
                rates=self.prepared.job.rates,
                on_shelf_only=self.prepared.job.on_shelf_only,
                print_=self.prepared.print,
            ).options
        ]
        before = Counter[str]()
        nth_of_film = []
        for option in sorted(options, key=least_worry):
            nth_of_film.append((before[option.film.id], option))
            before[option.film.id] += 1
        return [option for _, option in sorted(nth_of_film, key=lambda entry: entry[0])]

    def _hotter(self, wish: Wish, shown: Sequence[Film], piece_id: str) -> list[Option]:
        """Films on the shelf, as wished but for the setpoint, that need the least above it."""
        if wish.most_setpoint_c is None:
            return []
        there = [
            option
            for option in self.every(piece_id)
            if option.film in shown
            and self._is_there(option)
            and option.film.setpoint_c.low > wish.most_setpoint_c
            and wish.peel in {None, option.film.peel}
            and verdict(option.findings) != "stop"
        ]
        least_c = min((option.film.setpoint_c.low for option in there), default=0)
        return [option for option in there if option.film.setpoint_c.low == least_c]

    def every(self, piece_id: str) -> tuple[Option, ...]:
        """Every film of the catalogue for a piece."""
        prepared, problem = self.prepared, self.prepared.problem
        piece = prepared.print.piece(piece_id)
        wish = prepared.wish(piece_id)
        if piece_id not in self._every:
            self._every[piece_id] = (
                every_option(
                    piece,
                    wish,
                    fabrics=problem.fabrics,
                    knowledge=problem.knowledge,
                    rates=prepared.job.rates,
                )
                if wish is not None
                else ()
            )
        return self._every[piece_id]

    def _is_there(self, option: Option) -> bool:
        return option.film.on_shelf_m > 0 or not self.prepared.job.on_shelf_only


def _meets(film: Film, wish: Wish) -> bool:
    """Whether a film of the wished look is peeled and pressed as wished too."""
    most_c = wish.most_setpoint_c
    return wish.peel in {None, film.peel} and (most_c is None or film.setpoint_c.low <= most_c)
