"""Cut files as other programs read them: two readers of SVG, two of DXF, none of them ours."""

from __future__ import annotations

import os
import subprocess
import sys
from functools import lru_cache
from pathlib import Path

import defusedxml.ElementTree as ElementTree
import ezdxf
import ezdxf.filemanagement
import pytest
import shapely
from shapely import MultiPolygon
from shapely.affinity import affine_transform

from advisor.cutting.cutting import cut_job
from advisor.cutting.dxf import LABEL_LAYER, MARKS_LAYER, cut_dxf
from advisor.cutting.layout import lay_out
from advisor.cutting.records import Carrier, CutSheet
from advisor.cutting.sheet import frame_of, sheet_of
from advisor.cutting.svg import cut_svg
from rules.catalogue import load_catalogue
from tests import ROOT
from tests.advisor.cutting.cut_plans import (
    SKY,
    SUN,
    badge,
    joint,
    plan_for,
    real_designs,
    some_joints,
)
from tests.advisor.cutting.cut_readers import (
    SVG_NS,
    by_dxfgrabber,
    by_ezdxf,
    by_svgelements,
    by_svgpathtools,
    same,
)


@lru_cache
def carriers(design: int) -> tuple[Carrier, ...]:
    artwork = real_designs()[design]
    joints, ranks = some_joints(artwork, seed=design)
    plan = plan_for(artwork, joints, ranks=ranks, garments=(("adult-tee", 1, 180.0),))
    return lay_out(plan, artwork, catalogue=load_catalogue())[0].carriers


def square_sheet() -> CutSheet:
    square = MultiPolygon([shapely.box(0, 0, 100, 100)])
    return sheet_of([("sun", square)], frame_of([square]), title="s", lines=["sun"], mirrored=True)


@pytest.mark.slow
@pytest.mark.parametrize("design", range(0, len(real_designs()), 10))
def test_svg_and_dxf_read_back_as_what_was_cut(design: int, tmp_path: Path) -> None:
    for carrier in carriers(design):
        sheet = carrier.sheet
        svg, dxf = cut_svg(sheet), cut_dxf(sheet)
        upright = (1, 0, 0, -1, 0, sheet.height_mm)
        drawn = {piece.id: piece.shape for piece in sheet.pieces}
        raised = {name: affine_transform(shape, upright) for name, shape in drawn.items()}
        for meant, read, prefix in (
            (drawn, by_svgelements(svg, tmp_path), "piece-"),
            (drawn, by_svgpathtools(svg), "piece-"),
            (raised, by_ezdxf(dxf, tmp_path), "cut-"),
            (raised, by_dxfgrabber(dxf, tmp_path), "cut-"),
        ):
            for name, shape in meant.items():
                assert same(shape, read[prefix + name]), name


def test_a_hundred_millimetres_read_back_as_a_hundred(tmp_path: Path) -> None:
    sheet = square_sheet()
    for area in (
        by_svgelements(cut_svg(sheet), tmp_path)["piece-sun"],
        by_svgpathtools(cut_svg(sheet))["piece-sun"],
        by_ezdxf(cut_dxf(sheet), tmp_path)["cut-sun"],
        by_dxfgrabber(cut_dxf(sheet), tmp_path)["cut-sun"],
    ):
        left, top, right, bottom = area.bounds
        assert (right - left, bottom - top) == pytest.approx((100, 100), abs=1e-3)


def test_a_film_on_a_carrier_is_cut_mirrored_and_a_printable_one_is_not() -> None:
    artwork = badge()
    (one,) = lay_out(plan_for(artwork), artwork, catalogue=load_catalogue())
    sun = next(c for c in one.carriers if c.sheet.pieces[0].id == SUN).sheet
    sky = next(c for c in one.carriers if c.sheet.pieces[0].id == SKY).sheet
    assert sun.mirrored
    # Drawn 20 mm from the left and 30 mm from the right of the sky: the other way round when cut.
    cut, whole = sun.pieces[0].shape.bounds, sky.pieces[0].shape.bounds
    assert (cut[0] - whole[0], whole[2] - cut[2]) == pytest.approx((30, 20))
    printable = next(f.id for f in load_catalogue().films.values() if f.family == "printable")
    plan = plan_for(artwork, films={SUN: printable})
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    printed = next(c for c in one.carriers if c.sheet.pieces[0].id == SUN).sheet
    assert not printed.mirrored
    assert printed.pieces[0].shape.bounds[0] - whole[0] == pytest.approx(20)
    assert any("not mirrored" in line for line in printed.lines)


def test_all_films_of_a_stack_share_the_place_of_their_marks() -> None:
    artwork = badge()
    plan = plan_for(artwork, (joint(SUN, SKY, "inset-over"),))
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    pages = {(c.sheet.width_mm, c.sheet.height_mm) for c in one.carriers}
    marks = {tuple(mark.wkt for mark in c.sheet.marks) for c in one.carriers}
    assert len(one.carriers) == 3
    assert len(pages) == len(marks) == 1
    centres = [mark.centroid for mark in one.carriers[0].sheet.marks]
    turned = {(round(100 - c.x + 15, 3), round(80 - c.y + 15, 3)) for c in centres}
    assert turned != {(round(c.x - 15, 3), round(c.y - 15, 3)) for c in centres}


@pytest.mark.parametrize("design", range(3, len(real_designs()), 10))
def test_marks_and_label_lie_outside_the_weeding_border(design: int) -> None:
    for carrier in carriers(design):
        sheet = carrier.sheet
        page = shapely.box(0, 0, sheet.width_mm, sheet.height_mm)
        (border,) = sheet.borders
        assert not sheet.label.is_empty
        for outside in (*sheet.marks, sheet.label):
            assert page.contains(outside)
            assert border.disjoint(outside)
        assert all(border.contains(piece.shape) for piece in sheet.pieces)


def test_the_label_is_in_no_cut_group_and_in_no_cut_layer(tmp_path: Path) -> None:
    sheet = square_sheet()
    root = ElementTree.fromstring(cut_svg(sheet))
    cut = next(group for group in root if group.get("id") == "cut")
    label = next(group for group in root if group.get("id") == "label-not-cut")
    assert {group.get("id") for group in cut} == {
        "piece-sun",
        "weeding-border",
        "registration-marks",
    }
    assert cut.get("fill") == "none"
    assert label.get("stroke") == "none"
    file = tmp_path / "sheet.dxf"
    file.write_text(cut_dxf(sheet), encoding="utf-8")
    drawing = ezdxf.filemanagement.readfile(file)
    assert drawing.dxfversion == "AC1024"  # R2010, after the DXF reference
    assert {layer.dxf.name for layer in drawing.layers if layer.dxf.plot == 0} >= {LABEL_LAYER}
    assert len(drawing.modelspace().query(f'LWPOLYLINE[layer=="{MARKS_LAYER}"]')) == 3


def test_all_that_is_cut_is_plain_black_hairlines_on_named_layers(tmp_path: Path) -> None:
    sheet = square_sheet()
    root = ElementTree.fromstring(cut_svg(sheet))
    strokes = {item.get("stroke") for item in root.iter() if item.get("stroke", "none") != "none"}
    assert strokes == {"#000000"}
    file = tmp_path / "sheet.dxf"
    file.write_text(cut_dxf(sheet), encoding="utf-8")
    drawing = ezdxf.filemanagement.readfile(file)
    layers = {layer.dxf.name: layer for layer in drawing.layers}
    used = {line.dxf.layer for line in drawing.modelspace()}
    assert used == {"cut-sun", "weeding-border", MARKS_LAYER, LABEL_LAYER}
    # Colour 7 is black on paper and white on a dark screen; 0 is the thinnest line there is.
    cut = [(layers[name].color, layers[name].dxf.lineweight) for name in used - {LABEL_LAYER}]
    assert set(cut) == {(7, 0)}


def test_the_label_says_job_film_colour_size_count_and_side() -> None:
    artwork = badge()
    plan = plan_for(artwork, garments=(("adult-tee", 24, 100.0),))
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    said = " ".join(one.carriers[0].sheet.lines)
    for part in ("badges", "matte-smooth", "colour-1b3a5c", "100 mm", "24", "mirrored"):
        assert part in said


def test_markup_in_a_jobs_name_is_text(tmp_path: Path) -> None:
    artwork = badge()
    plan = plan_for(artwork, job="<script>alert(1)</script> & co")
    report = cut_job(plan, artwork, out=tmp_path, smallest=False)
    for file in (*(f.svg for f in report.files), *(p for p in report.previews if p[-3:] == "svg")):
        root = ElementTree.fromstring((tmp_path / file).read_text("utf-8"))
        assert not [item for item in root.iter() if "script" in item.tag]
        assert "<script>" in root.find(f"{SVG_NS}title").text


RUN = """
import sys, hashlib
from pathlib import Path
from tests.advisor.cutting.cut_plans import SKY, SUN, badge, joint, plan_for
from advisor.cutting.cutting import cut_job
artwork = badge()
plan = plan_for(artwork, (joint(SUN, SKY, "inset-over"),), garments=(("adult-tee", 2, 90.0),))
out = Path(sys.argv[1])
cut_job(plan, artwork, out=out)
for path in sorted(out.iterdir()):
    data = path.read_bytes().replace(str(out).encode(), b"OUT")
    print(path.name, hashlib.sha256(data).hexdigest())
"""


@pytest.mark.slow
def test_the_same_job_gives_the_same_bytes_in_another_process(tmp_path: Path) -> None:
    seen = []
    for hash_seed in ("0", "4", "4711"):
        out = tmp_path / hash_seed
        run = subprocess.run(
            [sys.executable, "-c", RUN, str(out)],
            capture_output=True,
            text=True,
            check=True,
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": hash_seed},
        )
        seen.append(run.stdout)
    assert len(set(seen)) == 1
    assert seen[0].count("\n") == 10
