"""What windows and gaps leave too fine is found in the plan; what no cutter follows is mended."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
import shapely

from advisor import plan
from advisor.answers.judge_plan import judge_plan
from advisor.artwork.reader import Artwork, read_artwork
from advisor.cutting.as_cut import sizes_as_cut
from advisor.cutting.detail import smallest_width_mm
from advisor.cutting.outlines import CUTTER_MM
from advisor.cutting.separation import separate
from advisor.job.plan_file import read_plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.catalogue import load_catalogue
from rules.facts.finding import verdict
from rules.knowledge import load_knowledge
from tests.advisor.cutting.cut_plans import joint

SEA, SUN = "fill-1b3a5c", "fill-f2c14e"
BASE = '<rect width="100" height="60" fill="#1b3a5c"/>'
NEAR_THE_EDGE = f'{BASE}<rect x="0.5" y="10" width="60" height="40" fill="#f2c14e"/>'


def drawn(body: str) -> str:
    board = 'width="100mm" height="60mm" viewBox="0 0 100 60"'
    return f'<svg xmlns="http://www.w3.org/2000/svg" {board}>{body}</svg>'


def art(body: str) -> Artwork:
    return read_artwork(drawn(body), tolerance_mm=0.01)


def planned(body: str, *widths: int, **more: Any) -> Plan:
    lines = [{"garment": "adult-tee", "artwork_width_mm": mm, "quantity": 2} for mm in widths]
    job = {
        "job": "sliver",
        "artwork": "sliver.svg",
        "looks": {"default": {"film": "matte-smooth"}},
        "garments": lines,
        **more,
    }
    return plan(Job.model_validate(job), svg=drawn(body).encode())


BUTT = [{"upper": "#f2c14e", "lower": "#1b3a5c", "meets": "butt"}]


def test_a_strip_that_a_butt_leaves_makes_the_plan_a_sample_at_the_size_where_it_is_thin() -> None:
    made = planned(NEAR_THE_EDGE, 100, 250, joints=BUTT)
    (finding,) = [f for f in made.findings if f.rule == "least-stroke"]
    assert made.verdict == finding.severity == "sample"
    # Half a millimetre drawn, less half of a gap of half a millimetre.
    assert "fill-1b3a5c is 0.25 mm at its thinnest as it is cut" in finding.message
    assert finding.where == "fill-1b3a5c as it is cut at 100 mm wide"
    assert "lap there" in finding.instead
    (sea,) = [piece for piece in made.pieces if piece.as_cut]
    assert [size.least_stroke_mm for size in sea.as_cut] == [0.25, None]


def test_left_to_itself_the_plan_laps_and_nothing_is_thin() -> None:
    made = planned(NEAR_THE_EDGE, 100)
    assert [joint.meets for joint in made.joints] == ["lap"]
    assert made.verdict == "go"
    assert all(piece.as_cut == () for piece in made.pieces)


def test_its_proof_counts_the_sample_and_its_own_checker_finds_it_again(tmp_path: Path) -> None:
    made = planned(NEAR_THE_EDGE, 100, joints=BUTT)
    samples = [finding for finding in made.findings if finding.severity == "sample"]
    assert made.proof.optimal
    assert made.proof.objective is not None
    assert made.proof.objective[0] == len(samples) == 1
    path = tmp_path / "plan.json"
    path.write_text(made.model_dump_json(), encoding="utf-8")
    findings, _ = judge_plan(read_plan(path), load_knowledge())
    assert verdict(findings) == "sample"
    # A plan saved before this was known is read all the same.
    old = json.loads(path.read_text("utf-8"))
    for piece in old["pieces"]:
        del piece["as_cut"]
    del old["quantities"]
    path.write_text(json.dumps(old), encoding="utf-8")
    assert read_plan(path).pieces[0].as_cut == ()


def test_what_the_artwork_itself_has_too_fine_is_no_matter_of_the_cut() -> None:
    thin = f'{BASE}<rect x="20" y="10" width="50" height="0.5" fill="#f2c14e"/>'
    films = {piece: load_catalogue().film("matte-smooth") for piece in (SEA, SUN)}
    sizes = sizes_as_cut(
        art(thin),
        [joint(SUN, SEA, "inset-over")],
        films=films,
        ranks={SEA: 1, SUN: 2},
        hidden=(),
        widths_mm=[100],
    )
    assert SUN not in sizes


TOUCHING = {
    "a disc that touches the edge": f'{BASE}<circle cx="15" cy="30" r="15" fill="#f2c14e"/>',
    "two discs that touch": f'{BASE}<circle cx="30" cy="30" r="15" fill="#f2c14e"/>'
    '<circle cx="60" cy="30" r="15" fill="#f2c14e"/>',
    "a corner on an edge": f'{BASE}<path d="M50,0 L70,30 L50,50 L30,30z" fill="#f2c14e"/>',
    "a hair beside the edge": f'{BASE}<rect x="0.02" y="9" width="60" height="40" fill="#f2c14e"/>',
}


HORNS = ("a disc that touches the edge", "butt")
"""Without a rim below, two horns are left beside such a disc, and those are told."""


@pytest.mark.parametrize(
    ("name", "way"),
    [(name, way) for name in TOUCHING for way in ("inset-over", "butt") if (name, way) != HORNS],
)
def test_a_touch_that_vanishes_within_the_cutters_precision_is_not_reported(
    name: str, way: str
) -> None:
    artwork = art(TOUCHING[name])
    met = joint(SUN, SEA, way, 0.05 if way == "butt" else 1.0)  # type: ignore[arg-type]
    films = {piece: load_catalogue().film("matte-smooth") for piece in (SEA, SUN)}
    ranks = {SEA: 1, SUN: 2}
    sizes = sizes_as_cut(artwork, [met], films=films, ranks=ranks, hidden=(), widths_mm=[90, 100])
    assert sizes == {}
    # Whatever was mended is thinner than the cutter repeats a place.
    sea = separate(artwork, [met], ranks=ranks).piece(SEA).shape
    knocked = artwork.pieces[0].shape.difference(artwork.pieces[1].shape)
    drawn_in = met.trap_mm or -met.gap_mm / 2
    meant = (
        knocked.union(artwork.pieces[1].shape.difference(artwork.pieces[1].shape.buffer(-drawn_in)))
        if drawn_in > 0
        else knocked.buffer(drawn_in)
    )
    assert sea.symmetric_difference(meant).buffer(-CUTTER_MM / 2 - 0.01).area < 1e-6


def test_no_hair_of_film_and_no_hair_of_waste_is_left() -> None:
    hairs = f'{BASE}<rect x="0.06" y="0" width="60" height="60" fill="#f2c14e"/>'
    sea = separate(art(hairs), [joint(SUN, SEA, "butt", 0.01)], ranks={SEA: 1, SUN: 2}).piece(SEA)
    assert len(sea.shape.geoms) == 1
    assert sea.shape.bounds[0] > 60
    assert shapely.buffer(sea.shape, -CUTTER_MM / 2).area > 0


THIN_BAR = f'{BASE}<path d="M10 10H40V29.6H60V10H90V50H60V30.4H40V50H10z" fill="#f2c14e"/>'
"""Two blocks, with a bar of 0.8 mm from one to the other."""


def test_a_bar_that_is_drawn_thin_and_a_butt_makes_thinner_is_told_as_it_is_cut() -> None:
    made = planned(THIN_BAR, 100, joints=BUTT)
    (found,) = [f for f in made.findings if f.rule == "least-stroke" and f.severity == "sample"]
    # 0.8 mm drawn, less half of a gap of half a millimetre on each side.
    assert "fill-f2c14e is 0.3 mm at its thinnest as it is cut" in found.message


def test_a_print_is_large_enough_as_cut_only_beyond_the_sizes_that_are_not() -> None:
    made = planned(NEAR_THE_EDGE, 100, joints=BUTT)
    limit = smallest_width_mm(made, art(NEAR_THE_EDGE), catalogue=load_catalogue())
    assert limit is not None
    # Half a millimetre in 100, less 0.25 mm, is the film's whole millimetre at 250 mm.
    assert limit.as_cut_mm == pytest.approx(250, rel=0.02)


def test_plan_and_cut_tell_the_same_width_from_which_windows_and_gaps_leave_nothing_too_fine() -> (
    None
):
    made = planned(NEAR_THE_EDGE, 100, 250, joints=BUTT)
    limit = smallest_width_mm(made, art(NEAR_THE_EDGE), catalogue=load_catalogue())
    assert limit is not None
    assert limit.told in made.notes
    assert limit.as_cut_mm == pytest.approx(250, rel=0.02)
    assert f"with this plan's windows and gaps from {limit.as_cut_mm:.0f} mm" in limit.told
    coarse = planned(NEAR_THE_EDGE, 260, joints=BUTT)
    assert not any("windows and gaps" in note for note in coarse.notes)
