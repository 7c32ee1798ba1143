"""A nested roll's own cut file holds every copy as it was nested, and two readers agree on it."""

from __future__ import annotations

from pathlib import Path

import pytest
import shapely
from shapely.affinity import affine_transform
from shapely.geometry.base import BaseGeometry

from advisor.cutting.cutting import cut_job
from advisor.cutting.dxf import cut_dxf
from advisor.cutting.layout import lay_out
from advisor.cutting.roll.layout import place
from advisor.cutting.roll.order import NestedRoll, nest_order
from advisor.cutting.sheet import roll_sheet
from advisor.cutting.svg import cut_svg
from rules.catalogue import load_catalogue
from tests.advisor.cutting.cut_plans import badge, plan_for
from tests.advisor.cutting.cut_readers import (
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
    made = plan_for(badge(), garments=(("adult-tee", 5, 100.0), ("child-tee", 4, 60.0)))
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
        assert len(sheet.borders) == len(roll.layout.placements) == 9
        wanted = sum(part.shape.area * part.quantity for part in roll.parts)
        assert sum(p.shape.area for p in sheet.pieces) == pytest.approx(wanted, rel=1e-3)


def test_borders_hold_one_carrier_each_on_the_page_and_do_not_cross(
    rolls: tuple[NestedRoll, ...],
) -> None:
    for roll in rolls:
        sheet = roll_sheet(roll, job="badges")
        page = shapely.box(0, 0, sheet.width_mm, sheet.height_mm)
        assert page.buffer(SLACK_MM).covers(shapely.union_all(list(sheet.borders)))
        every = shapely.union_all(list(sheet.borders))
        assert every.area == pytest.approx(sum(border.area for border in sheet.borders), rel=1e-3)
        held = [border.buffer(SLACK_MM) for border in sheet.borders]
        for piece in sheet.pieces:
            assert shapely.union_all(held).covers(piece.shape)


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
        assert sheet.marks == ()


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
