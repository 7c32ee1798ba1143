"""The picture of a layout: to scale, every part where the layout says, the same to the byte."""

from __future__ import annotations

import re
from xml.etree.ElementTree import Element

import pytest
import shapely
from defusedxml.ElementTree import fromstring
from shapely import MultiPolygon, Polygon, affinity

from advisor.cutting.roll.nesting import nest
from advisor.cutting.roll.picture import layout_svg
from advisor.cutting.roll.shapes import NestError, Part
from tests.advisor.cutting.roll.nest_by_pairs import laid

SVG = "{http://www.w3.org/2000/svg}"
PARTS = (
    Part("kite", Polygon([(0, 0), (60, 70), (0, 160), (-60, 70)]), 3),
    Part("<ring> & co", shapely.Point(50, 9).buffer(30).difference(shapely.Point(50, 9).buffer(9))),
    Part("word", MultiPolygon([shapely.box(28 * n, 0, 28 * n + 20, 30) for n in range(4)]), 2),
)
HEADLINE = "matte & navy: 1.20 m of a roll 300 mm wide, 31 % waste"
LAYOUT = nest(PARTS, roll_width_mm=300, seconds=0.5)


def drawn(root: Element) -> list[Polygon | MultiPolygon]:
    """Each part as the picture has it, read back from its path and matrix."""
    rings_of: dict[str, list[Polygon]] = {}
    for group in root.iter(f"{SVG}g"):
        path = group.findall(f"{SVG}path")[1].attrib["d"]
        rings_of["#" + group.attrib["id"]] = [
            Polygon([tuple(map(float, at.split(","))) for at in ring.replace("L", " ").split()])
            for ring in re.findall(r"M([^Z]+)Z", path)
        ]
    shapes = []
    for use in root.iter(f"{SVG}use"):
        a, b, c, d, e, f = map(float, re.findall(r"-?[\d.]+", use.attrib["transform"]))
        shape: Polygon | MultiPolygon = Polygon()
        for ring in rings_of[use.attrib["href"]]:
            shape = shape.symmetric_difference(ring)  # type: ignore[assignment]
        shapes.append(affinity.affine_transform(shape, [a, c, b, d, e, f]))
    return shapes


def test_every_part_is_drawn_where_it_lies_with_its_holes() -> None:
    shown = drawn(fromstring(layout_svg(LAYOUT, PARTS, headline=HEADLINE)))
    lies = laid(LAYOUT, PARTS)
    assert len(shown) == len(lies) == 6
    for one, other in zip(shown, lies, strict=True):
        assert one.hausdorff_distance(other) < 0.03
        assert one.area == pytest.approx(other.area, rel=1e-3)


def test_the_page_is_at_true_size_and_holds_the_whole_roll() -> None:
    root = fromstring(layout_svg(LAYOUT, PARTS, headline=HEADLINE))
    left, top, width, height = map(float, root.attrib["viewBox"].split())
    assert root.attrib["width"] == f"{root.attrib['viewBox'].split()[2]}mm"
    assert float(root.attrib["height"].removesuffix("mm")) == height
    assert left < 0 < LAYOUT.length_mm < left + width
    assert top < 0 < LAYOUT.roll_width_mm < top + height


def test_the_picture_says_what_it_shows() -> None:
    root = fromstring(layout_svg(LAYOUT, PARTS, headline=HEADLINE))
    said = [text.text for text in root.iter(f"{SVG}text")]
    assert said[-1] == root.findtext(f"{SVG}title") == HEADLINE
    assert {"kite 1", "kite 2", "kite 3", "word 1", "word 2"} <= set(said)
    names = [use.findtext(f"{SVG}title") for use in root.iter(f"{SVG}use")]
    assert "<ring> & co" in names
    assert root.findtext(f"{SVG}desc") == LAYOUT.note


def test_a_name_stays_inside_its_part_s_outline() -> None:
    root = fromstring(
        layout_svg(LAYOUT, [Part(p.id, p.shape, p.quantity) for p in PARTS], headline=HEADLINE)
    )
    hulls = {
        f"{spot.part} {spot.copy}": shape.convex_hull
        for spot, shape in zip(LAYOUT.placements, laid(LAYOUT, PARTS), strict=True)
    }
    named = [text for text in root.iter(f"{SVG}text") if text.text in hulls]
    assert named
    for text in named:
        x, y, size = (float(text.attrib[key]) for key in ("x", "y", "font-size"))
        half = 0.29 * size * len(text.text or "")
        ends = [(x, y - half), (x, y + half)] if "transform" in text.attrib else [
            (x - half, y), (x + half, y)]  # fmt: skip
        assert hulls[text.text or ""].covers(shapely.MultiPoint(ends))


def test_the_same_layout_gives_the_same_bytes() -> None:
    assert layout_svg(LAYOUT, PARTS, headline=HEADLINE) == layout_svg(
        LAYOUT, PARTS, headline=HEADLINE
    )


def test_an_empty_roll_can_be_drawn() -> None:
    assert not drawn(fromstring(layout_svg(nest([], roll_width_mm=300), [], headline=HEADLINE)))


def test_rows_show_the_whole_roll_with_its_ruler() -> None:
    tags = [Part("tag", shapely.box(0, 0, 90, 60), 40)]
    layout = nest(tags, roll_width_mm=200, seconds=0)
    root = fromstring(layout_svg(layout, tags, headline=HEADLINE, row_mm=500))
    windows = list(root.findall(f"{SVG}svg"))
    starts = [float(window.attrib["viewBox"].split()[0]) for window in windows]
    assert starts == [500.0 * nth for nth in range(len(windows))]
    assert starts[-1] < layout.length_mm <= starts[-1] + 500
    bottoms = [float(w.attrib["y"]) + float(w.attrib["height"]) for w in windows]
    assert max(bottoms) <= sum(map(float, root.attrib["viewBox"].split()[1::2]))
    texts = [text for text in root.iter(f"{SVG}text") if (text.text or "").isdigit()]
    assert {int(text.text or "") % 100 for text in texts} == {0}
    _, top, _, high = map(float, windows[0].attrib["viewBox"].split())
    for text in texts:
        assert float(text.attrib["y"]) < top + high
    for row_mm in (99.0, float("nan"), -1.0):
        with pytest.raises(NestError, match="row_mm"):
            layout_svg(layout, tags, headline=HEADLINE, row_mm=row_mm)
