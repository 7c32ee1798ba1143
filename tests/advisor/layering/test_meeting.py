"""Meeting: what touches what, once pieces are lapped, inset or butted."""

from __future__ import annotations

from itertools import pairwise, product

import shapely
from hypothesis import given
from hypothesis import strategies as st

from advisor.artwork.overlay import artwork_pairs, artwork_places, close_pairs
from advisor.artwork.reader import read_artwork
from advisor.job.records.print import EVERY_WAY, Contact, Meeting, Pair, Place
from advisor.layering.meeting import contacts, lapping_what_is_covered, pressed_before
from rules.facts.step import Meets

SEA, SUN, WORD = "sea", "sun", "word"
DEEP = (Place((SEA, SUN, WORD), 4.0), Place((SEA, SUN), 9.0), Place((SEA,), 50.0))


def svg(*shapes: str) -> str:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        f'viewBox="0 0 100 100">{"".join(shapes)}</svg>'
    )


def test_lapped_pieces_lie_whole_on_one_another() -> None:
    meets: dict[Pair, Meets] = {(SUN, SEA): "lap", (WORD, SUN): "lap", (WORD, SEA): "lap"}
    touching, on_fabric = contacts(DEEP, meets)
    assert touching == (Contact(SUN, SEA, rim=False), Contact(WORD, SUN, rim=False))
    assert on_fabric == (SEA,)


def test_a_word_in_a_window_lies_on_what_lies_under_the_window() -> None:
    meets: dict[Pair, Meets] = {(SUN, SEA): "lap", (WORD, SUN): "inset-over", (WORD, SEA): "lap"}
    touching, on_fabric = contacts(DEEP, meets)
    assert Contact(WORD, SEA, rim=False) in touching
    assert Contact(WORD, SUN, rim=True) in touching
    assert on_fabric == (SEA,)


def test_an_inset_under_turns_the_press_order_round_at_the_rim() -> None:
    meets: dict[Pair, Meets] = {(SUN, SEA): "lap", (WORD, SUN): "inset-under", (WORD, SEA): "lap"}
    touching, _ = contacts(DEEP, meets)
    assert Contact(SUN, WORD, rim=True) in touching
    assert Contact(WORD, SUN, rim=True) not in touching
    assert (WORD, SUN) in pressed_before(meets)


def test_butted_pieces_do_not_touch_and_may_go_down_in_any_order() -> None:
    meets: dict[Pair, Meets] = {(SUN, SEA): "butt"}
    touching, on_fabric = contacts(DEEP[1:], meets)
    assert touching == ()
    assert on_fabric == (SEA, SUN)
    assert pressed_before(meets) == ()


@given(st.sampled_from(list(product(EVERY_WAY, repeat=3))))
def test_what_lies_at_a_place_is_in_the_artworks_order_and_its_top_piece_stays(
    ways: tuple[Meets, Meets, Meets],
) -> None:
    meets = dict(zip([(SUN, SEA), (WORD, SUN), (WORD, SEA)], ways, strict=True))
    laid = DEEP[0].laid(meets)
    assert laid[-1] == WORD
    assert list(laid) == [piece for piece in DEEP[0].stack if piece in laid]
    for lower, upper in pairwise(laid):
        assert meets[upper, lower] == "lap"


def test_places_partition_the_artwork() -> None:
    art = read_artwork(
        svg(
            '<rect width="80" height="80" fill="#1b3a5c"/>',
            '<circle cx="80" cy="40" r="15" fill="#f2c14e"/>',
            '<rect x="70" y="35" width="20" height="10" fill="#ffffff"/>',
        )
    )
    whole = shapely.union_all([piece.shape for piece in art.pieces])
    places = artwork_places(art)
    assert abs(sum(place.area_mm2 for place in places) - whole.area) < 1e-3 * whole.area
    assert len({place.stack for place in places}) == len(places)
    order = [piece.id for piece in art.pieces]
    assert all(sorted(place.stack, key=order.index) == list(place.stack) for place in places)


def test_pieces_that_only_share_an_edge_are_never_lapped() -> None:
    art = read_artwork(
        svg(
            '<rect width="50" height="50" fill="#1b3a5c"/>',
            '<rect x="50" width="50" height="50" fill="#f2c14e"/>',
        )
    )
    (meeting,) = artwork_pairs(art)
    assert meeting.touching
    assert "lap" not in meeting.ways


def test_a_piece_hidden_under_a_third_stays_whole() -> None:
    art = read_artwork(
        svg(
            '<rect width="90" height="90" fill="#1b3a5c"/>',
            '<rect x="10" y="10" width="70" height="70" fill="#f2c14e"/>',
            '<rect x="20" y="20" width="40" height="40" fill="#ffffff"/>',
        )
    )
    ways = {(m.upper, m.lower): m for m in artwork_pairs(art)}
    hidden = ways["fill-ffffff", "fill-1b3a5c"]
    assert hidden.hidden
    assert hidden.ways == ("lap",)


def test_a_piece_that_shows_nowhere_is_lapped_by_all_that_cover_it() -> None:
    art = read_artwork(
        svg(
            '<rect width="90" height="90" fill="#1b3a5c"/>',
            '<rect x="20" y="20" width="40" height="40" fill="#ffffff"/>',
            '<rect x="10" y="10" width="30" height="60" fill="#f2c14e"/>',
            '<rect x="40" y="10" width="30" height="60" fill="#c8102e"/>',
        )
    )
    meetings = lapping_what_is_covered(artwork_pairs(art), artwork_places(art))
    over = {m.upper: m.ways for m in meetings if m.lower == "fill-ffffff"}
    assert over == {"fill-f2c14e": ("lap",), "fill-c8102e": ("lap",)}
    base = {m.upper: m.ways for m in meetings if m.lower == "fill-1b3a5c"}
    assert base == dict.fromkeys(["fill-f2c14e", "fill-c8102e", "fill-ffffff"], EVERY_WAY)


def test_what_covered_a_piece_may_be_inset_once_the_other_is_left_out() -> None:
    meetings = [Meeting(upper, SEA, 9.0, False, False, EVERY_WAY) for upper in (SUN, WORD)]
    places = [Place((SEA, SUN), 9.0), Place((SEA, WORD), 9.0)]
    covered = lapping_what_is_covered(meetings, places)
    assert [m.ways for m in covered] == [("lap",), ("lap",)]
    shows = lapping_what_is_covered(covered[:1], [Place((SEA, SUN), 9.0), Place((SEA,), 9.0)])
    assert shows[0].ways == EVERY_WAY


def test_carriers_trimmed_apart_need_twice_the_margin_between_pieces() -> None:
    art = read_artwork(
        svg(
            '<rect width="40" height="40" fill="#1b3a5c"/>',
            '<rect x="45" width="40" height="40" fill="#f2c14e"/>',
        )
    )
    assert close_pairs(art, margin_mm=2.4) == frozenset()
    assert len(close_pairs(art, margin_mm=2.6)) == 1


def test_a_piece_in_a_hole_is_too_close_since_scissors_cut_from_outside() -> None:
    art = read_artwork(
        svg(
            '<path d="M0 0H100V100H0Z M20 20V80H80V20Z" fill-rule="evenodd" fill="#1b3a5c"/>',
            '<rect x="40" y="40" width="20" height="20" fill="#f2c14e"/>',
        )
    )
    assert len(close_pairs(art, margin_mm=3)) == 1
