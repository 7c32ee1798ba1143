"""Order: cycles are named, the order is kept, and no fewer presses would do."""

from __future__ import annotations

from itertools import product

import networkx as nx
from hypothesis import given, settings
from hypothesis import strategies as st

from advisor.layering.order import find_cycle, group_presses, precedences
from advisor.layering.records.pressing import Precedence
from rules.catalogue import load_catalogue

SHELF = load_catalogue()
Links = list[tuple[str, str]]


@st.composite
def layings(draw: st.DrawFn) -> tuple[tuple[str, ...], Links, frozenset[frozenset[str]]]:
    """Up to five pieces, an order without cycles among them, and pairs that lie close."""
    pieces = tuple("abcde"[: draw(st.integers(1, 5))])
    pairs = [(a, b) for i, a in enumerate(pieces) for b in pieces[i + 1 :]]
    order = [pair for pair in pairs if draw(st.booleans()) and draw(st.booleans())]
    close = frozenset(frozenset(pair) for pair in pairs if draw(st.booleans()))
    return draw(st.permutations(pieces).map(tuple)), order, close


def links(order: Links) -> list[Precedence]:
    return [Precedence(first, then, "it lies so") for first, then in order]


def fewest_by_trying_everything(
    pieces: tuple[str, ...], order: Links, close: frozenset[frozenset[str]]
) -> int:
    for presses in range(1, len(pieces) + 1):
        for places in product(range(presses), repeat=len(pieces)):
            at = dict(zip(pieces, places, strict=True))
            if all(at[a] < at[b] for a, b in order) and all(
                len({at[piece] for piece in pair}) == 2 for pair in close
            ):
                return presses
    raise AssertionError("one piece a press always works")


@settings(max_examples=150, deadline=None)
@given(layings())
def test_presses_are_as_few_as_the_order_and_the_carriers_allow(
    laying: tuple[tuple[str, ...], Links, frozenset[frozenset[str]]],
) -> None:
    pieces, order, close = laying
    grouping = group_presses(pieces, links(order), close)
    assert grouping.fewest
    assert len(grouping.groups) == fewest_by_trying_everything(pieces, order, close)
    at = {piece: i for i, group in enumerate(grouping.groups) for piece in group}
    assert sorted(at) == sorted(pieces)
    assert all(at[a] < at[b] for a, b in order)
    assert all(len({at[piece] for piece in pair}) == 2 for pair in close)


@settings(max_examples=100, deadline=None)
@given(layings())
def test_the_press_order_is_a_topological_order_of_the_pieces(
    laying: tuple[tuple[str, ...], Links, frozenset[frozenset[str]]],
) -> None:
    pieces, order, close = laying
    flat = [p for group in group_presses(pieces, links(order), close).groups for p in group]
    graph: nx.DiGraph[str] = nx.DiGraph(order)
    graph.add_nodes_from(pieces)
    assert flat in [list(found) for found in nx.all_topological_sorts(graph)]


@given(st.lists(st.tuples(st.sampled_from("abcd"), st.sampled_from("abcd")), max_size=8))
def test_a_cycle_is_found_exactly_when_there_is_one(order: Links) -> None:
    order = [(a, b) for a, b in order if a != b]
    cycle = find_cycle(links(order))
    assert (cycle is None) == nx.is_directed_acyclic_graph(nx.DiGraph(order))
    if cycle is not None:
        assert {(link.first, link.then) for link in cycle.links} <= set(order)
        assert [link.then for link in cycle.links[:-1]] == [link.first for link in cycle.links[1:]]
        assert cycle.links[-1].then == cycle.links[0].first


def test_a_refusal_names_the_cycle_and_what_each_link_rests_on() -> None:
    films = {"base": SHELF.film("matte-low-temperature"), "top": SHELF.film("matte-smooth")}
    cycle = find_cycle(precedences(films, [("base", "top")]))
    assert str(cycle) == (
        "no order is possible: base before top (top lies on base); top before base "
        f"(matte-smooth needs 150 °C and matte-low-temperature bears "
        f"{films['base'].bears_c:.0f} °C)"
    )


def test_a_foam_goes_down_after_everything_else() -> None:
    films = {"puff": SHELF.film("foam-raised"), "name": SHELF.film("matte-smooth")}
    (link,) = precedences(films, [])
    assert (link.first, link.then) == ("name", "puff")
    assert "foams" in link.because
