"""Cut files as other programs read them: two readers of SVG, two of DXF, none of them ours."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import replace
from functools import lru_cache
from itertools import combinations
from pathlib import Path

import defusedxml.ElementTree as ElementTree
import ezdxf
import ezdxf.filemanagement
import numpy as np
import pytest
import shapely
from shapely import MultiPolygon
from shapely.affinity import affine_transform, translate
from shapely.geometry.base import BaseGeometry

from advisor.artwork.reader import read_artwork
from advisor.cutting.cutting import cut_job
from advisor.cutting.dxf import LABEL_LAYER, MARKS_LAYER, cut_dxf
from advisor.cutting.layout import lay_out
from advisor.cutting.marks import MARK_MM, cross
from advisor.cutting.records.cut import Carrier, CutSheet, SizedCut
from advisor.cutting.sheet import sheet_of
from advisor.cutting.svg import cut_svg
from advisor.job.records.job import Rates
from rules.catalogue import load_catalogue
from tests import ROOT
from tests.advisor.cutting.cut_plans import (
    MOON,
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

IN_TURN = {SKY: 1, SUN: 2, MOON: 3}

EYES_AND_MUZZLE = """<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="200mm"
viewBox="0 0 200 200"><circle cx="100" cy="100" r="80" fill="#6b4226"/>
<ellipse cx="100" cy="130" rx="42" ry="34" fill="#e8cfa0"/>
<circle cx="70" cy="80" r="12" fill="#ffffff"/><circle cx="130" cy="80" r="12" fill="#ffffff"/>
<circle cx="100" cy="115" r="10" fill="#111111"/></svg>"""
HEAD, MUZZLE, EYES, NOSE = "fill-6b4226", "fill-e8cfa0", "fill-ffffff", "fill-111111"


@lru_cache
def sized(design: int) -> SizedCut:
    artwork = real_designs()[design]
    joints, ranks = some_joints(artwork, seed=design)
    plan = plan_for(artwork, joints, ranks=ranks, garments=(("adult-tee", 1, 180.0),))
    return lay_out(plan, artwork, catalogue=load_catalogue())[0]


def carriers(design: int) -> tuple[Carrier, ...]:
    return sized(design).carriers


def square_sheet() -> CutSheet:
    square = MultiPolygon([shapely.box(0, 0, 100, 100)])
    marks = [cross(-8.0, y, 2.0) for y in (20.0, 50.0, 80.0)]
    return sheet_of([("sun", square)], marks, title="s", lines=["sun"], mirrored=True)


@pytest.mark.slow
@pytest.mark.parametrize("design", range(0, len(real_designs()), 10))
def test_svg_and_dxf_read_back_as_what_was_cut(design: int, tmp_path: Path) -> None:
    cut = carriers(design)
    # Of the many carriers of some designs every third or so: reading them is what takes long.
    for carrier in cut[:: max(1, len(cut) // 6)]:
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


def on_the_garment(one: SizedCut, carrier: Carrier) -> tuple[BaseGeometry, BaseGeometry]:
    """Pieces and marks of a carrier, turned back and laid where its first piece belongs."""
    turn = (-1, 0, 0, 1, 0, 0) if carrier.sheet.mirrored else (1, 0, 0, 1, 0, 0)
    pieces = [affine_transform(piece.shape, turn) for piece in carrier.sheet.pieces]
    marks = [affine_transform(mark, turn) for mark in carrier.sheet.marks]
    meant = [one.separation.piece(piece.id).shape for piece in carrier.sheet.pieces]
    by = np.array(shapely.total_bounds(meant))[:2] - np.array(shapely.total_bounds(pieces))[:2]
    laid = [shapely.union_all([translate(s, *by) for s in each]) for each in (pieces, marks)]
    return laid[0], laid[1]


def test_a_film_on_a_carrier_is_cut_mirrored_and_a_printable_one_is_not() -> None:
    artwork = badge()
    (one,) = lay_out(plan_for(artwork), artwork, catalogue=load_catalogue())
    sun = next(c for c in one.carriers if c.sheet.pieces[0].id == SUN)
    assert sun.sheet.mirrored
    turned = on_the_garment(one, sun)[0]
    assert same(turned, one.separation.piece(SUN).shape)
    printable = next(f.id for f in load_catalogue().films.values() if f.family == "printable")
    plan = plan_for(artwork, films={SUN: printable})
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    printed = next(c for c in one.carriers if c.sheet.pieces[0].id == SUN)
    assert not printed.sheet.mirrored
    assert same(on_the_garment(one, printed)[0], one.separation.piece(SUN).shape)
    assert any("not mirrored" in line for line in printed.sheet.lines)


def test_marks_fall_together_on_all_films_of_a_size_and_lie_on_no_piece() -> None:
    artwork = badge()
    plan = plan_for(
        artwork,
        (joint(SUN, SKY, "inset-over"),),
        ranks=IN_TURN,
        garments=(("adult-tee", 9, 300.0),),
    )
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    everything = shapely.union_all([piece.shape for piece in one.separation.pieces])
    first, *later = (on_the_garment(one, carrier)[1] for carrier in one.carriers)
    # The sun lies in the midst of the sky, where no cross can lie: a ruler is cheaper.
    assert sorted(len(shapely.get_parts(marks)) for marks in later) == [0, 2]
    for marks in later:
        # Within the cutter's own precision, over those of the film that goes down first.
        assert marks.difference(first.buffer(0.02)).is_empty
        assert marks.disjoint(everything)
    every = [mark.centroid for mark in first.geoms]
    for at, mark in enumerate(every):
        assert all(mark.distance(other) > MARK_MM for other in every[at + 1 :])


def test_a_small_piece_takes_no_sheet_of_the_whole_print() -> None:
    artwork = badge()
    plan = plan_for(artwork, ranks=IN_TURN, garments=(("adult-tee", 1, 300.0),))
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    moon = next(c for c in one.carriers if c.sheet.pieces[0].id == MOON).sheet
    assert moon.width_mm * moon.height_mm < 0.2 * 300 * 240
    assert "lay its crosses on those of the first film" in moon.lines


@pytest.mark.parametrize("one_way", [False, True])
def test_crosses_never_make_a_carrier_wider_than_its_roll(one_way: bool) -> None:
    artwork, shop = badge(), load_catalogue()
    # The sky is 200 × 160 mm: across this roll there is room for it and for no cross beside it.
    wide = 210.0 if one_way else 170.0
    film = shop.film("matte-smooth").model_copy(
        update={"id": "narrow", "roll_width_mm": wide + 16, "one_way": one_way, "price_per_m": 0.1}
    )
    plan = plan_for(artwork, ranks=IN_TURN, film="narrow", garments=(("adult-tee", 2, 200.0),))
    known = replace(shop, films=shop.films | {"narrow": film})
    (one,) = lay_out(plan, artwork, catalogue=known)
    for carrier in one.carriers:
        left, top, right, bottom = shapely.total_bounds(list(carrier.sheet.borders))
        across = max(right - left, bottom - top) if one_way else min(right - left, bottom - top)
        assert across <= wide + 6


DOWN = f"colour-{SKY[-6:]} matte-smooth"


def test_what_is_dear_is_laid_with_a_ruler_where_the_label_says() -> None:
    artwork, dear = badge(), load_catalogue()
    foil = dear.film("matte-smooth").model_copy(update={"id": "foil", "price_per_m": 300.0})
    known = replace(dear, films=dear.films | {"foil": foil})
    plan = plan_for(
        artwork, ranks=IN_TURN, films={SUN: "foil"}, garments=(("adult-tee", 1, 200.0),)
    )
    (one,) = lay_out(plan, artwork, catalogue=known)
    sun = next(c for c in one.carriers if c.sheet.pieces[0].id == SUN).sheet
    assert sun.marks == ()
    # Drawn 20 mm from the left and from the top on 100 mm.
    measured = f"40 mm right of the left edge and its top edge 40 mm below the top edge of {DOWN}"
    assert f"film to film, not carriers: lay its left edge {measured}" in sun.lines
    # The same film in a shop where an hour is dear has them again.
    rates = Rates(rate_per_hour=1000)
    (other,) = lay_out(plan, artwork, catalogue=known, rates=rates)
    assert all(carrier.sheet.marks for carrier in other.carriers)


def trimmed(one: SizedCut, carrier: Carrier, margin_mm: float) -> BaseGeometry:
    """The box of all that a carrier bears, with a margin, where it lies on the garment."""
    return shapely.box(*shapely.total_bounds(on_the_garment(one, carrier))).buffer(
        margin_mm, join_style="mitre"
    )


def refuse_crosses_that_overlap(one: SizedCut) -> None:
    for a, b in combinations([c for c in one.carriers if c.sheet.marks], 2):
        if a.press == b.press:
            # Their weeding borders lie 3 mm outside, read to the cutter's own precision.
            assert trimmed(one, a, 2.99).disjoint(trimmed(one, b, 2.99))


@pytest.mark.parametrize("sun_is_navy_too", [True, False])
def test_of_two_carriers_of_one_film_the_label_says_which_is_measured_from(
    sun_is_navy_too: bool,
) -> None:
    artwork, dear = badge(), load_catalogue()
    foil = dear.film("matte-smooth").model_copy(update={"id": "foil", "price_per_m": 300.0})
    known = replace(dear, films=dear.films | {"foil": foil})
    plan = plan_for(
        artwork, ranks=IN_TURN, films={MOON: "foil"}, garments=(("adult-tee", 1, 200.0),)
    )
    navy = {SKY, SUN} if sun_is_navy_too else {SKY}
    pieces = tuple(
        piece.model_copy(update={"colour": "navy"}) if piece.id in navy else piece
        for piece in plan.pieces
    )
    (one,) = lay_out(plan.model_copy(update={"pieces": pieces}), artwork, catalogue=known)
    moon = next(c for c in one.carriers if c.sheet.pieces[0].id == MOON).sheet
    (told,) = (line for line in moon.lines if line.startswith("film to film"))
    rank = next(piece.rank for piece in pieces if piece.id == SKY)
    which = f"navy matte-smooth of press {rank}"
    assert told.endswith(which) == sun_is_navy_too, told
    assert "navy matte-smooth" in told


@pytest.mark.parametrize("width_mm", [150.0, 220.0])
def test_what_shares_the_press_of_the_first_film_is_laid_by_ruler(width_mm: float) -> None:
    artwork = read_artwork(EYES_AND_MUZZLE, name="mascot", width_mm=width_mm)
    ranks = {MUZZLE: 1, EYES: 1, HEAD: 2, NOSE: 3}
    ways = tuple(joint(upper, HEAD, "inset-over") for upper in (MUZZLE, EYES))
    plan = plan_for(artwork, ways, ranks=ranks, garments=(("adult-tee", 1, width_mm),))
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    refuse_crosses_that_overlap(one)
    by_piece = {carrier.sheet.pieces[0].id: carrier for carrier in one.carriers}
    assert by_piece[MUZZLE].sheet.marks
    assert len(by_piece[HEAD].sheet.marks) == 2
    eyes = by_piece[EYES].sheet
    assert eyes.marks == ()
    # Trimmed to its film, it lies clear of the other with its crosses.
    assert trimmed(one, by_piece[EYES], 1.4).disjoint(trimmed(one, by_piece[MUZZLE], 1.4))
    # Both begin 58 mm from the left of 200; the eyes 68 mm from the top, the muzzle 96 mm.
    above = {150.0: "21", 220.0: "31"}[width_mm]
    muzzle = f"colour-{MUZZLE[-6:]} matte-smooth"
    words = f"flush with the left edge and its top edge {above} mm above the top edge of {muzzle}"
    assert f"film to film, not carriers: lay its left edge {words}" in eyes.lines


@pytest.mark.parametrize("gap_mm", [4, 30])
def test_of_neighbours_in_one_press_both_bear_crosses_where_these_keep_apart(gap_mm: int) -> None:
    far = 40 + gap_mm
    drawn = f"""<svg xmlns="http://www.w3.org/2000/svg" width="250mm" height="120mm"
    viewBox="0 0 250 120"><rect width="250" height="12" fill="#1b3a5c"/>
    <rect y="30" width="40" height="40" fill="#f2c14e"/>
    <rect x="{far}" y="30" width="40" height="40" fill="#ffffff"/></svg>"""
    artwork = read_artwork(drawn, name="two", width_mm=250)
    plan = plan_for(artwork, ranks={SKY: 1, SUN: 2, MOON: 2}, garments=(("adult-tee", 1, 250.0),))
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    refuse_crosses_that_overlap(one)
    marked = sum(bool(carrier.sheet.marks) for carrier in one.carriers if carrier.press == 2)
    assert marked == (1 if gap_mm == 4 else 2)


@pytest.mark.parametrize("design", range(3, len(real_designs()), 10))
def test_no_two_carriers_of_one_press_that_bear_crosses_overlap(design: int) -> None:
    refuse_crosses_that_overlap(sized(design))


BY_RULER = re.compile(
    r"film to film, not carriers: lay its left edge (?P<across>.*?) the left edge(?: of (?P<left>.*"
    r"))? and its top edge (?P<along>.*?) the top edge of (?P<top>.*)"
)


def off_mm(said: str) -> float:
    """How far right or down, as a label says it."""
    if said == "flush with":
        return 0.0
    by_mm, way = said.split(" mm ")
    return float(by_mm) * {"right of": 1, "below": 1, "left of": -1, "above": -1}[way]


def called(carrier: Carrier) -> set[str]:
    """What a label may call a carrier, as far as its film's others make it say more."""
    plain = f"{carrier.colour} {carrier.film.id}"
    pressed = {plain, f"{plain} of press {carrier.press}"}
    return pressed | {f"{one}, carrier {carrier.nth}" for one in pressed}


@pytest.mark.parametrize("design", range(1, len(real_designs()), 6))
def test_what_is_laid_by_ruler_lies_from_the_films_that_are_down_as_its_label_says(
    design: int,
) -> None:
    one = sized(design)
    laid = {carrier.sheet.title + str(carrier.nth): on_the_garment(one, carrier)[0].bounds
            for carrier in one.carriers}  # fmt: skip
    for carrier in one.carriers:
        for said in filter(None, map(BY_RULER.fullmatch, carrier.sheet.lines)):
            own = laid[carrier.sheet.title + str(carrier.nth)]
            for edge, by, film in ((0, said["across"], said["left"] or said["top"]),
                                   (1, said["along"], said["top"])):  # fmt: skip
                down = [
                    laid[other.sheet.title + str(other.nth)][edge]
                    for other in one.carriers
                    if other is not carrier and other.press <= carrier.press
                    if film in called(other)
                ]
                # Read to the half millimetre, from an edge of a film so called that is down.
                assert min(abs(own[edge] - edge_mm - off_mm(by)) for edge_mm in down) <= 0.26


def test_a_dot_takes_no_film_for_crosses() -> None:
    drawn = """<svg xmlns="http://www.w3.org/2000/svg" width="70mm" height="70mm"
    viewBox="0 0 70 70"><rect width="70" height="70" fill="#1b3a5c"/>
    <circle cx="35" cy="35" r="3.5" fill="#ffffff"/></svg>"""
    artwork = read_artwork(drawn, name="dot", width_mm=70)
    plan = plan_for(artwork, ranks={SKY: 1, MOON: 2}, garments=(("adult-tee", 1, 70.0),))
    (one,) = lay_out(plan, artwork, catalogue=load_catalogue())
    dot = one.carriers[1].sheet
    assert dot.marks == ()
    measured = (
        f"31.5 mm right of the left edge and its top edge 31.5 mm below the top edge of {DOWN}"
    )
    assert f"film to film, not carriers: lay its left edge {measured}" in dot.lines


def test_a_print_of_one_film_has_nothing_to_register() -> None:
    artwork = badge()
    plan = plan_for(artwork)
    alone = plan.pieces[0].model_copy(update={"rank": 1})
    art = replace(artwork, pieces=artwork.pieces[:1])
    (one,) = lay_out(plan.model_copy(update={"pieces": (alone,)}), art, catalogue=load_catalogue())
    assert [carrier.sheet.marks for carrier in one.carriers] == [()]


@pytest.mark.parametrize("design", range(3, len(real_designs()), 10))
def test_pieces_and_marks_lie_inside_the_weeding_border_and_the_label_below(design: int) -> None:
    for carrier in carriers(design):
        sheet = carrier.sheet
        page = shapely.box(0, 0, sheet.width_mm, sheet.height_mm)
        (line,) = sheet.borders
        border = shapely.Polygon(line)
        assert not sheet.label.is_empty
        assert page.contains(sheet.label)
        assert page.contains(border)
        assert border.disjoint(sheet.label)
        held = shapely.union_all([*(piece.shape for piece in sheet.pieces), *sheet.marks])
        assert border.buffer(-2.99).covers(held)
        assert all(mark.disjoint(p.shape) for mark in sheet.marks for p in sheet.pieces)


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
    for hash_seed in ("0", "4711"):
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


@pytest.mark.parametrize(
    ("widths_mm", "said"),
    [((71.6814, 90.0), ["72mm", "90mm"]), ((71.6814, 71.5), ["71-6814mm", "71-5mm"])],
)
def test_a_file_is_called_by_whole_millimetres_unless_two_sizes_would_be_called_alike(
    widths_mm: tuple[float, float], said: list[str], tmp_path: Path
) -> None:
    art = badge()
    worn = tuple(("adult-tee", 1, width_mm) for width_mm in widths_mm)
    report = cut_job(plan_for(art, (joint(SUN, SKY, "lap"),), garments=worn), art, out=tmp_path)
    assert list(dict.fromkeys(one.svg.split("_")[1] for one in report.files)) == said
