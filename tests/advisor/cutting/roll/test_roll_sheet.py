"""A nested roll's own cut file holds every copy as it was nested, and two readers agree on it."""

from __future__ import annotations

from pathlib import Path

import defusedxml.ElementTree as ElementTree
import ezdxf
import ezdxf.filemanagement
import pytest
import shapely
from shapely import MultiPolygon
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from advisor.cutting.cutting import cut_job
from advisor.cutting.dxf import LABEL_LAYER, cut_dxf
from advisor.cutting.layout import lay_out
from advisor.cutting.roll.layout import place
from advisor.cutting.roll.order import NestedRoll, nest_order, nest_parts
from advisor.cutting.roll.shapes import Part
from advisor.cutting.sheet import roll_sheet
from advisor.cutting.svg import cut_svg
from rules.catalogue import load_catalogue
from tests.advisor.cutting.cut_plans import MOON, SKY, SUN, badge, plan_for
from tests.advisor.cutting.cut_readers import (
    SVG_NS,
    by_dxfgrabber,
    by_ezdxf,
    by_svgelements,
    by_svgpathtools,
    same,
)

SLACK_MM = 0.02
SHELF = load_catalogue()


@pytest.fixture(scope="module")
def rolls() -> tuple[NestedRoll, ...]:
    made = plan_for(
        badge(),
        ranks={SKY: 1, SUN: 2, MOON: 3},
        garments=(("adult-tee", 5, 100.0), ("child-tee", 4, 60.0)),
    )
    made = made.model_copy(
        update={
            "pieces": tuple(
                piece.model_copy(update={"colour": colour})
                for piece, colour in zip(made.pieces, ("navy", "gold", "white"), strict=True)
            )
        }
    )
    return nest_order(lay_out(made, badge(), catalogue=SHELF), seconds=2)


def copies(roll: NestedRoll) -> BaseGeometry:
    shapes = {part.id: part.shape for part in roll.parts}
    half_mm = roll.layout.spacing_mm / 2
    laid = [place(shapes[spot.part], spot) for spot in roll.layout.placements]
    shifted = [shapely.transform(one, lambda points: points + half_mm) for one in laid]
    return shapely.union_all(shifted)


def joined(areas: dict[str, BaseGeometry]) -> BaseGeometry:
    return shapely.union_all(list(areas.values()))


@pytest.mark.slow
def test_every_copy_is_cut_where_it_was_nested(
    rolls: tuple[NestedRoll, ...], tmp_path: Path
) -> None:
    assert len(rolls) == 3
    for roll in rolls:
        sheet = roll_sheet(roll, job="badges")
        svg, dxf = cut_svg(sheet), cut_dxf(sheet)
        laid = copies(roll)
        raised = affine_transform(laid, (1, 0, 0, -1, 0, sheet.height_mm))
        assert same(joined(by_svgelements(svg, tmp_path)), laid)
        assert same(joined(by_svgpathtools(svg)), laid)
        assert same(joined(by_ezdxf(dxf, tmp_path)), raised)
        assert same(joined(by_dxfgrabber(dxf, tmp_path)), raised)
        assert len(shapely.get_parts(shapely.polygonize(list(sheet.borders)))) >= 9
        wanted = sum(part.shape.area * part.quantity for part in roll.parts)
        assert sum(p.shape.area for p in sheet.pieces) == pytest.approx(wanted, rel=1e-3)


def cells(roll: NestedRoll) -> list[BaseGeometry]:
    """The patches that the borders of a roll part, each with its holes filled."""
    faces = shapely.get_parts(shapely.polygonize(list(roll_sheet(roll, job="b").borders)))
    return [shapely.Polygon(face.exterior) for face in faces]


def test_every_copy_comes_off_by_itself_with_its_marks(rolls: tuple[NestedRoll, ...]) -> None:
    for roll in rolls:
        sheet = roll_sheet(roll, job="badges")
        page = shapely.box(0, 0, sheet.width_mm, sheet.height_mm)
        assert page.buffer(SLACK_MM).covers(shapely.union_all(list(sheet.borders)))
        half_mm = roll.layout.spacing_mm / 2
        parts = {part.id: part for part in roll.parts}
        found = cells(roll)
        marked = 0
        for spot in roll.layout.placements:
            part = parts[spot.part]
            copy = shapely.transform(
                place(MultiPolygon([*part.shape.geoms, *part.marks]), spot),
                lambda points, by=half_mm: points + by,
            )
            marked += len(part.marks)
            own = [cell for cell in found if cell.buffer(-0.9).covers(copy)]
            assert len(own) == 1
        assert len(sheet.marks) == marked > 0


def test_a_border_that_two_carriers_share_is_cut_once(rolls: tuple[NestedRoll, ...]) -> None:
    for roll in rolls:
        sheet = roll_sheet(roll, job="badges")
        drawn = shapely.union_all(list(sheet.borders))
        length = sum(line.length for line in sheet.borders)
        assert drawn.length == pytest.approx(length, rel=1e-6)
        apart = [cell.exterior.length for cell in cells(roll)]
        assert length < sum(apart)


def test_tags_in_a_row_share_every_line_between_them() -> None:
    film = SHELF.film("matte-smooth")
    tags = (Part("tag", MultiPolygon([shapely.box(0, 0, 200, 20)]), 4, (0.0,)),)
    (roll,) = nest_parts({(film.id, "navy"): tags}, films={film.id: film}, seconds=0)
    sheet = roll_sheet(roll, job="crew")
    assert [(spot.x_mm, spot.y_mm) for spot in roll.layout.placements] == [
        (0, y) for y in (0, 23, 46, 69)
    ]
    lines = shapely.union_all(list(sheet.borders))
    # Five lines along the four and two across, 2 mm outside: three of the eight are shared.
    assert lines.length == pytest.approx(5 * 203.5 + 2 * (4 * 23 + 0.5), rel=0.01)
    assert lines.length < 0.8 * 4 * 2 * (204 + 24)
    assert len(cells(roll)) == 4


def test_every_carrier_bears_its_size_its_copy_and_its_colour(
    rolls: tuple[NestedRoll, ...], tmp_path: Path
) -> None:
    for roll in rolls:
        sheet = roll_sheet(roll, job="badges")
        wanted = [f"100 mm · {n}/5 · {roll.colour}" for n in range(1, 6)]
        wanted += [f"60 mm · {n}/4 · {roll.colour}" for n in range(1, 5)]
        assert sorted(one.text for one in sheet.carrier_labels) == sorted(wanted)
        inside = cells(roll)
        for one in sheet.carrier_labels:
            assert sum(cell.contains(shapely.Point(one.x_mm, one.y_mm)) for cell in inside) == 1
        # Readers find them as text on the layer that is not cut.
        root = ElementTree.fromstring(cut_svg(sheet))
        (layer,) = (group for group in root if group.get("id") == "label-not-cut")
        assert sorted(t.text or "" for t in layer.iter(f"{SVG_NS}text")) == sorted(wanted)
        file = tmp_path / "roll.dxf"
        file.write_text(cut_dxf(sheet), encoding="utf-8")
        texts = ezdxf.filemanagement.readfile(file).modelspace().query("TEXT")
        assert sorted(text.dxf.text for text in texts) == sorted(wanted)
        assert {text.dxf.layer for text in texts} == {LABEL_LAYER}


def test_the_page_is_as_long_as_the_roll_and_says_how_it_is_cut(
    rolls: tuple[NestedRoll, ...],
) -> None:
    for roll in rolls:
        sheet = roll_sheet(roll, job="badges")
        layout = roll.layout
        assert sheet.width_mm == pytest.approx(layout.length_mm + layout.spacing_mm)
        assert sheet.height_mm > layout.roll_width_mm
        assert sheet.mirrored == roll.film.cut_mirrored
        assert "mirrored" in sheet.lines[1]
        assert ("not mirrored" in sheet.lines[1]) == (not sheet.mirrored)
        assert "9 carriers" in sheet.lines[0]
        assert sheet.marks


def test_the_cut_job_writes_them_beside_the_pictures(tmp_path: Path) -> None:
    made = plan_for(badge())
    navy = tuple(piece.model_copy(update={"colour": "navy"}) for piece in made.pieces)
    report = cut_job(
        made.model_copy(update={"pieces": navy}),
        badge(),
        out=tmp_path,
        catalogue=SHELF,
        nest_seconds=0,
    )
    assert report.rolls
    for roll in report.rolls:
        for name in (roll.cut_svg, roll.cut_dxf):
            assert (tmp_path / name).stat().st_size > 1000
