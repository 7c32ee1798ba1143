"""Forty real designs keep their look when they are read, cut into pieces and laid again."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import shapely
import svgelements

from advisor.artwork.overlay import artwork_places, overlaps
from advisor.artwork.reader import Artwork, ArtworkError, read_artwork
from tests import DRAWINGS

GRADIENT = ("eleven-oclock", "phoenix-bird", "violin")
FILTER = ("teacher-dark",)
REFUSED = GRADIENT + FILTER
WIDTH_MM = 120.0
# What the plain oracle below does not draw.
BEYOND_ORACLE = ("clip-path", "stroke=", "<use", "<filter", "Gradient", "opacity")


@pytest.fixture(params=DRAWINGS, ids=lambda path: path.stem)
def design(request: pytest.FixtureRequest) -> tuple[Path, Artwork]:
    return request.param, read_artwork(request.param, width_mm=WIDTH_MM, flatten=True)


@pytest.mark.slow
def test_there_are_forty_designs_and_only_four_need_flattening() -> None:
    refused = []
    for path in DRAWINGS:
        try:
            read_artwork(path, width_mm=WIDTH_MM)
        except ArtworkError:
            refused.append(path.stem)
    assert len(DRAWINGS) == 40
    assert tuple(sorted(refused)) == tuple(sorted(REFUSED))


@pytest.mark.parametrize("name", GRADIENT)
def test_a_gradient_is_refused_by_name_and_flattened_on_request(name: str) -> None:
    path = DRAWINGS[0].parent / f"{name}.svg"
    with pytest.raises(ArtworkError, match=r"<path> number \d+: .*Gradient id=.*flatten: true"):
        read_artwork(path)
    flat = read_artwork(path, flatten=True)
    assert any("became its mean colour #" in note for note in flat.notes)


def test_opaque_pieces_share_no_visible_area_and_lose_none(design: tuple[Path, Artwork]) -> None:
    _, artwork = design
    opaque = [piece for piece in artwork.pieces if piece.opacity >= 1]
    whole = shapely.union_all([piece.shape for piece in opaque]).area
    seen = shapely.union_all([piece.visible for piece in opaque]).area
    assert seen == pytest.approx(whole, rel=1e-6)
    assert sum(piece.visible.area for piece in opaque) == pytest.approx(whole, rel=1e-6)


def test_pieces_are_valid_ranked_and_uniquely_named(design: tuple[Path, Artwork]) -> None:
    _, artwork = design
    assert [piece.order for piece in artwork.pieces] == list(range(len(artwork.pieces)))
    assert len({piece.id for piece in artwork.pieces}) == len(artwork.pieces)
    board = shapely.box(0, 0, artwork.width_mm, artwork.height_mm).buffer(1e-6)
    for piece in artwork.pieces:
        assert piece.shape.is_valid
        assert piece.visible.is_valid
        assert board.covers(piece.shape)


def test_stacks_are_made_of_pieces_that_overlap(design: tuple[Path, Artwork]) -> None:
    _, artwork = design
    pairs = {(pair.lower, pair.upper) for pair in overlaps(artwork) if not pair.touching}
    order = {piece.id: piece.order for piece in artwork.pieces}
    stacks = [place.stack for place in artwork_places(artwork)]
    assert stacks
    for stack in stacks:
        assert list(stack) == sorted(stack, key=order.__getitem__)
        for at, lower in enumerate(stack):
            assert all((lower, upper) in pairs for upper in stack[at + 1 :])


PLAIN = [path for path in DRAWINGS if not any(word in path.read_text() for word in BEYOND_ORACLE)]


@pytest.mark.parametrize("path", PLAIN, ids=lambda path: path.stem)
def test_laying_the_pieces_shows_what_painting_the_shapes_shows(path: Path) -> None:
    """At 400 places: the topmost shape of the drawing against the topmost piece.

    The oracle shares no geometry with the reader: svgelements' own document, curves sampled
    densely, and the winding number summed from angles.
    """
    artwork = read_artwork(path, width_mm=WIDTH_MM)
    places = np.random.default_rng(7).uniform(0, WIDTH_MM, (400, 2))
    edges = shapely.union_all([piece.shape.boundary for piece in artwork.pieces])
    shapely.prepare(edges)
    clear = ~shapely.dwithin(edges, shapely.points(places), 0.12)
    places = places[clear]
    laid = np.full(len(places), "", dtype="U7")
    for piece in artwork.pieces:
        laid[shapely.contains_xy(piece.shape, places)] = piece.fill
    assert len(places) > 200
    assert (laid == _painted(path, places / WIDTH_MM * 32.0)).all()


def _painted(path: Path, places: np.ndarray) -> np.ndarray:
    """The colour of the topmost shape at each place, by brute force."""
    colours = np.full(len(places), "", dtype="U7")
    document = svgelements.SVG.parse(str(path), width=32, height=32)
    for element in document.elements():
        if not isinstance(element, svgelements.Shape) or element.fill.value is None:
            continue
        turns = np.zeros(len(places))
        for run in svgelements.Path(element).reify().as_subpaths():
            points = _sampled(list(run))
            if len(points) < 3:
                continue
            spokes = np.angle(
                (points[None, :, 0] - places[:, None, 0])
                + 1j * (points[None, :, 1] - places[:, None, 1])
            )
            steps = np.diff(np.concatenate([spokes, spokes[:, :1]], axis=1), axis=1)
            turns += ((steps + np.pi) % (2 * np.pi) - np.pi).sum(axis=1) / (2 * np.pi)
        turns = np.round(turns)
        evenodd = element.values.get("fill-rule") == "evenodd"
        inside = turns % 2 == 1 if evenodd else turns != 0
        colours[inside] = element.fill.hexrgb
    return colours


def _sampled(segments: list[svgelements.PathSegment]) -> np.ndarray:
    runs = [
        np.atleast_2d(np.asarray(segment.npoint(np.linspace(0, 1, 40)), dtype=float))
        for segment in segments
        if not isinstance(segment, svgelements.Move | svgelements.Close)
    ]
    return np.concatenate(runs) if runs else np.empty((0, 2))
