"""A piece left out is neither cut nor pressed, and what lay under it shows."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor import plan
from advisor.answers.prepared_job import prepared_job
from advisor.artwork.job_artwork import job_artwork
from advisor.artwork.reader import ArtworkError, read_artwork
from advisor.job.records.job import Job
from rules.errors import BadInputError
from rules.knowledge import load_knowledge
from tests.advisor.command.command_line import run, run_json

SUN_ON_SEA = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="60mm"
viewBox="0 0 100 60"><rect width="100" height="60" fill="#1b3a5c"/>
<circle cx="50" cy="30" r="20" fill="#f2c14e"/><circle cx="50" cy="30" r="8" fill="#ffffff"/>
<rect x="2" y="2" width="8" height="8" fill="#f2c14e"/></svg>"""

SEA, SUN, EYE = "#1b3a5c", "#f2c14e", "#ffffff"


def job(**more: object) -> Job:
    known = {
        "job": "sun",
        "artwork": "sun.svg",
        "looks": {"default": {"finish": "matte"}},
        "garments": [{"garment": "adult-tee", "quantity": 4, "artwork_width_mm": 100}],
    }
    return Job.model_validate(known | more)


@pytest.mark.parametrize("name", [SUN, "fill-f2c14e", "#F2C14E"])
def test_what_lies_under_a_piece_left_out_shows_whole(name: str) -> None:
    art = read_artwork(SUN_ON_SEA, leave_out=[name])
    assert [piece.fill for piece in art.pieces] == [SEA, EYE]
    assert [piece.order for piece in art.pieces] == [0, 1]
    sea, eye = art.pieces
    assert sea.visible.area == pytest.approx(100 * 60 - eye.shape.area)


def test_what_a_piece_left_out_hid_is_no_longer_said_to_be_hidden() -> None:
    cap = '<circle cx="50" cy="30" r="20" fill="#c8102e"/></svg>'
    capped = SUN_ON_SEA.replace("</svg>", cap).encode()
    unseen = {one.piece for one in job_artwork(job(), capped).set_aside if not one.seen}
    assert "fill-ffffff" in unseen
    assert job_artwork(job(leave_out=["#c8102e"]), capped).set_aside == ()


@pytest.mark.parametrize(
    ("names", "says"),
    [
        (["#f2c14f"], "the artwork has no fill or piece '#f2c14f'; it has #f2c14e"),
        (["sky"], "it has #1b3a5c, fill-1b3a5c, #f2c14e"),
        ([SEA, SUN, EYE], "leaves nothing of the artwork to press"),
    ],
)
def test_what_cannot_be_left_out_is_refused(names: list[str], says: str) -> None:
    with pytest.raises(ArtworkError, match=f"leave_out: .*{says}"):
        read_artwork(SUN_ON_SEA, leave_out=names)


@pytest.mark.slow
def test_a_plan_presses_only_what_is_left() -> None:
    made = plan(job(leave_out=[SUN]), svg=SUN_ON_SEA.encode())
    assert {piece.fill for piece in made.print.pieces} == {SEA, EYE}
    assert {(joint.upper, joint.lower) for joint in made.joints} == {("fill-ffffff", "fill-1b3a5c")}
    whole = plan(job(), svg=SUN_ON_SEA.encode())
    assert made.cost < whole.cost


def test_a_joint_wished_for_a_piece_left_out_is_no_longer_asked_for() -> None:
    wished = [{"upper": SUN, "lower": SEA, "meets": "butt"}]
    known = load_knowledge()
    asked = job(joints=wished, leave_out=["fill-f2c14e"])
    prepared = prepared_job(asked, folder=Path(), knowledge=known, svg=SUN_ON_SEA.encode())
    assert [meeting.pair for meeting in prepared.problem.meetings] == [
        ("fill-ffffff", "fill-1b3a5c")
    ]
    strange = job(joints=[{"upper": "#000000", "lower": SEA, "meets": "butt"}], leave_out=[SUN])
    with pytest.raises(BadInputError, match="do not meet at all"):
        prepared_job(strange, folder=Path(), knowledge=known, svg=SUN_ON_SEA.encode())


def test_no_cut_file_is_made_of_what_is_left_out(tmp_path: Path) -> None:
    (tmp_path / "sun.svg").write_text(SUN_ON_SEA, encoding="utf-8")
    asked = tmp_path / "sun.yaml"
    asked.write_text(job(leave_out=[SUN]).model_dump_json(), encoding="utf-8")
    pieces = run_json("plan", asked)["pieces"]
    assert {piece["fill"] for piece in pieces} == {SEA, EYE}
    assert run("cut", asked, "--out", tmp_path / "cut").exit_code == 0
    colours = {piece["colour"] for piece in pieces}
    drawn = {path.stem for path in (tmp_path / "cut").glob("*.dxf")}
    assert len(drawn) == len(pieces)
    assert all(any(colour in name for colour in colours) for name in drawn)


@pytest.mark.parametrize("stroke", [0.004, 0.01, 0.02])
def test_a_hairline_that_nothing_covers_is_too_fine_and_not_hidden(stroke: float) -> None:
    """The finer line was told to lie under other pieces, and the print was *go* without it."""
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
        f'<path d="M0 50H100" stroke="#ee0000" stroke-width="{stroke}" fill="none"/>'
        '<rect x="20" y="60" width="50" height="40" fill="#1e5b38"/></svg>'
    )
    job = Job.model_validate(
        {
            "job": "line",
            "artwork": "line.svg",
            "looks": {"default": {"finish": "matte"}},
            "garments": [{"garment": "adult-tee", "quantity": 3, "artwork_width_mm": 200}],
        }
    )
    made = plan(job, svg=svg.encode())
    assert made.verdict == "sample"
    (found,) = (one for one in made.findings if one.severity == "sample")
    assert found.rule == "least-stroke"
