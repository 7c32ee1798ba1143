"""Order: what goes down before what, and which pieces share a press."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import networkx as nx

from advisor.layering.records.pressing import Cycle, Grouping, Precedence
from rules.facts.film import Film
from rules.facts.text import piece_name
from rules.facts.units import show_c

__all__ = ["find_cycle", "group_presses", "precedences"]

MOST_STEPS_TRIED = 20_000
"""Search steps after which the fewest presses found so far are given, said as such."""


def precedences(
    films: Mapping[str, Film], laid: Iterable[tuple[str, str]]
) -> tuple[Precedence, ...]:
    """What must go down before what: as the pieces lie, as the films bear heat, foam last.

    Args:
        films: the film of each piece.
        laid: (first, then) pairs that the ways of meeting ask for.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film
    >>> films = {"base": film("matte-smooth"), "top": film("sparkle-coarse")}
    >>> [(p.first, p.then) for p in precedences(films, [("base", "top")])]
    [('base', 'top')]
    """
    found = {
        (first, then): Precedence(first, then, f"{piece_name(then)} lies on {piece_name(first)}")
        for first, then in laid
    }
    for first, hot in films.items():
        for then, cool in films.items():
            if first == then or (first, then) in found:
                continue
            if hot.setpoint_c.low > cool.bears_c:
                found[first, then] = Precedence(
                    first,
                    then,
                    f"{hot.id} needs {show_c(hot.setpoint_c.low)} and {cool.id} bears "
                    f"{show_c(cool.bears_c)}",
                )
            elif cool.foams and not hot.foams:
                found[first, then] = Precedence(
                    first, then, f"{cool.id} foams, so nothing is pressed after it"
                )
    return tuple(found.values())


def find_cycle(order: Iterable[Precedence]) -> Cycle | None:
    """The shortest cycle in an order, or ``None`` when it can be followed.

    >>> str(find_cycle([Precedence("a", "b", "b lies on a"), Precedence("b", "a", "a is hotter")]))
    'no order is possible: a before b (b lies on a); b before a (a is hotter)'
    """
    links = {(link.first, link.then): link for link in order}
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_edges_from(links)
    if nx.is_directed_acyclic_graph(graph):
        return None
    shortest: list[str] = min(
        (
            [*nx.shortest_path(graph, then, first)]
            for first, then in links
            if nx.has_path(graph, then, first)
        ),
        key=lambda path: (len(path), path),
    )
    start = shortest.index(min(shortest))
    around = shortest[start:] + shortest[:start]
    return Cycle(tuple(links[a, b] for a, b in zip(around, around[1:] + around[:1], strict=True)))


def group_presses(
    pieces: tuple[str, ...],
    order: Iterable[Precedence],
    close: frozenset[frozenset[str]],
    *,
    hotter_first: Mapping[str, float] | None = None,
) -> Grouping:
    """Share presses among pieces that may go down together, in as few presses as the order allows.

    Two pieces may share a press when neither must precede the other and their carriers, trimmed
    apart, do not overlap. The search is exact up to ``MOST_STEPS_TRIED`` steps.

    Args:
        pieces: piece ids; earlier ones are preferred where there is a choice.
        order: must be free of cycles (see `find_cycle`).
        close: pairs whose carriers would overlap.
        hotter_first: a temperature for each piece, °C; the hotter goes down first where free.

    >>> order = [Precedence("base", "sun", ""), Precedence("base", "name", "")]
    >>> group_presses(("base", "sun", "name"), order, frozenset()).groups
    (('base',), ('sun', 'name'))
    >>> group_presses((), [], frozenset()).groups
    ()
    """
    before: dict[str, set[str]] = {piece: set() for piece in pieces}
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(pieces)
    for link in order:
        if link.first in before and link.then in before:
            before[link.then].add(link.first)
            graph.add_edge(link.first, link.then)
    tail: dict[str, int] = {}
    for piece in reversed(list(nx.topological_sort(graph))):
        tail[piece] = 1 + max((tail[later] for later in graph.successors(piece)), default=0)
    heat = hotter_first or {}
    place = {piece: i for i, piece in enumerate(pieces)}
    ranked = sorted(pieces, key=lambda p: (-tail[p], -heat.get(p, 0.0), place[p]))
    search = _PressSearch(tuple(ranked), before, tail, close)
    groups = search.fewest()
    in_order = tuple(tuple(sorted(group, key=place.__getitem__)) for group in groups)
    return Grouping(in_order, fewest=search.tried <= MOST_STEPS_TRIED)


class _PressSearch:
    """Iterative deepening over the number of presses; each press takes a maximal set of pieces.

    Maximal sets suffice: taking a free piece into an earlier press never lengthens what is left.
    """

    def __init__(
        self,
        ranked: tuple[str, ...],
        before: Mapping[str, set[str]],
        tail: Mapping[str, int],
        close: frozenset[frozenset[str]],
    ) -> None:
        self.ranked, self.before, self.tail, self.close = ranked, before, tail, close
        self.tried = 0

    def fewest(self) -> list[tuple[str, ...]]:
        if not self.ranked:
            return []
        least = max(self.tail.values())
        quick = self._first_fit()
        for presses in range(least, len(quick)):
            self._dead: set[tuple[frozenset[str], int]] = set()
            found = self._within(frozenset(), presses)
            if found is not None:
                return found
            if self.tried > MOST_STEPS_TRIED:
                break
        return quick

    def _free(self, done: frozenset[str]) -> list[str]:
        return [p for p in self.ranked if p not in done and self.before[p] <= done]

    def _apart(self, piece: str, group: Iterable[str]) -> bool:
        return all(frozenset((piece, other)) not in self.close for other in group)

    def _first_fit(self) -> list[tuple[str, ...]]:
        done: frozenset[str] = frozenset()
        groups = []
        while len(done) < len(self.ranked):
            group: list[str] = []
            for piece in self._free(done):
                if self._apart(piece, group):
                    group.append(piece)
            groups.append(tuple(group))
            done |= set(group)
        return groups

    def _within(self, done: frozenset[str], presses: int) -> list[tuple[str, ...]] | None:
        if len(done) == len(self.ranked):
            return []
        if presses == 0 or (done, presses) in self._dead:
            return None
        if max(self.tail[p] for p in self.ranked if p not in done) > presses:
            return None
        for group in self._maximal_groups(self._free(done), ()):
            self.tried += 1
            if self.tried > MOST_STEPS_TRIED:
                return None
            rest = self._within(done | set(group), presses - 1)
            if rest is not None:
                return [group, *rest]
        self._dead.add((done, presses))
        return None

    def _maximal_groups(self, free: list[str], taken: tuple[str, ...]) -> Iterable[tuple[str, ...]]:
        """Every set of free pieces that lie apart and to which no other free piece can be added."""
        open_to = [p for p in free if p not in taken and self._apart(p, taken)]
        if not open_to:
            yield taken
            return
        first = open_to[0]
        rivals = [p for p in open_to if frozenset((first, p)) in self.close]
        for choice in (first, *rivals):
            later = [p for p in open_to if p != choice]
            if choice != first:
                later = [p for p in later if p != first]
            for group in self._maximal_groups(later, (*taken, choice)):
                if all(not self._apart(p, group) for p in free if p not in group):
                    yield group
