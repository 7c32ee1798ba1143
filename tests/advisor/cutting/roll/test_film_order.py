"""A whole order on its rolls: every carrier laid once for each garment, and the metres it takes."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import pytest
import shapely
from PIL import Image
from shapely import MultiPolygon
from shapely.affinity import rotate, translate

from advisor import plan
from advisor.artwork.reader import read_artwork
from advisor.command.progress import nesting_shown
from advisor.cutting.cutting import LIST_JSON, ROLLS_CSV, cut_job
from advisor.cutting.layout import lay_out
from advisor.cutting.lettering import letter_names
from advisor.cutting.records.cut import SizedCut
from advisor.cutting.records.report import CutReport
from advisor.cutting.records.rolls import Progress, RollNeed, whole_cm
from advisor.cutting.roll.layout import faults, place
from advisor.cutting.roll.nesting import nest
from advisor.cutting.roll.order import NestedRoll, nest_order, order_parts
from advisor.cutting.roll.picture import roll_picture
from advisor.cutting.roll.shapes import Part, PartTooWideError, outline
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import Names, read_job
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError
from rules.facts.fact import Colour
from tests.advisor.command.command_line import refusal, run, run_json, write_job
from tests.advisor.cutting.cut_plans import MOON, SKY, SUN, badge, plan_for

COLOURS = (*(f"colour-{fill[5:]}" for fill in (SKY, SUN, MOON)), "colour-c0ffee")


def shelf(**changes: object) -> Catalogue:
    """The built-in shelf, where matte-smooth comes in the badge's colours and as changed."""
    known = load_catalogue()
    film = known.film("matte-smooth")
    given = tuple(Colour(name=name, srgb=f"#{name[7:]}") for name in COLOURS)
    made = film.model_copy(update={"colours": given, **changes})
    return replace(known, films={**known.films, film.id: made})


def sized(
    known: Catalogue, *garments: tuple[str, int, float], made: Plan | None = None
) -> tuple[SizedCut, ...]:
    return lay_out(made or plan_for(badge(), garments=garments), badge(), catalogue=known)


def borne(part: Part) -> MultiPolygon:
    """All that a carrier bears: pieces and crosses."""
    return MultiPolygon([*shapely.get_parts(part.shape), *part.marks])


def laid_out_exactly(rolls: Sequence[NestedRoll]) -> None:
    """Every part as often as it is wanted, on the roll, apart, and turned as its film allows."""
    for roll in rolls:
        layout = roll.layout
        counts = Counter(spot.part for spot in layout.placements)
        assert counts == {part.id: part.quantity for part in roll.parts}
        patches = {part.id: outline(borne(part)) for part in roll.parts}
        assert not faults(
            patches,
            layout.placements,
            roll_width_mm=layout.roll_width_mm,
            spacing_mm=layout.spacing_mm,
        )
        allowed = {0.0, 180.0} if roll.film.one_way else {0.0, 90.0, 180.0, 270.0}
        assert {spot.rotation_deg for spot in layout.placements} <= allowed


@pytest.mark.slow
def test_the_demo_order_lies_on_its_rolls_as_often_as_it_is_worn() -> None:
    known = load_catalogue()
    job = read_job(DEMO_FOLDER / "crew-tees.yaml")
    art = read_artwork(DEMO_FOLDER / job.artwork, width_mm=240, flatten=job.flatten)
    sizes = lay_out(plan(job, folder=DEMO_FOLDER), art, catalogue=known)
    rolls = nest_order(sizes, seconds=3)
    laid_out_exactly(rolls)
    # Adult and child tees: 24 and 12 of every film and colour.
    assert {len(roll.layout.placements) for roll in rolls} == {36}
    assert len(rolls) == len({(c.film.id, c.colour) for size in sizes for c in size.carriers})
    plain = nest_order(sizes, seconds=0)
    for searched, by_rectangles in zip(rolls, plain, strict=True):
        assert searched.length_m <= by_rectangles.length_m + 1e-9
    assert any(roll.layout.method == "true-shape" for roll in rolls)


def test_a_part_is_a_whole_carrier_mirrored_as_it_is_cut() -> None:
    same = plan_for(badge(), ranks={SKY: 1, SUN: 2, MOON: 2})
    together = tuple(piece.model_copy(update={"colour": COLOURS[0]}) for piece in same.pieces)
    made = same.model_copy(update={"pieces": together})
    sizes = sized(shelf(), made=made)
    parts = order_parts(sizes)
    ((key, cut),) = parts.items()
    assert key == ("matte-smooth", COLOURS[0])
    assert [part.id for part in cut] == ["100 mm, press 1", "100 mm, press 2"]
    sun_and_moon = cut[1].shape
    assert isinstance(sun_and_moon, MultiPolygon)
    # In the artwork the moon is to the right of the sun; from the back it is to the left.
    small, large = sorted(sun_and_moon.geoms, key=lambda area: area.area)
    assert small.centroid.x < large.centroid.x
    assert large.centroid.x - small.centroid.x == pytest.approx(85 - 45, abs=0.01)
    assert small.area + large.area == pytest.approx(64 * 3.14159 + 2000, rel=1e-3)


@pytest.mark.slow
def test_metres_cost_and_shelf_add_up(tmp_path: Path) -> None:
    known = shelf(on_shelf_m=0.5, price_per_m=8.0)
    made = plan_for(badge(), garments=(("adult-tee", 24, 100.0), ("child-tee", 12, 60.0)))
    report = cut_job(made, badge(), out=tmp_path, catalogue=known, nest_seconds=0)
    left_m = 0.5
    for roll in report.rolls:
        cut = [file for file in report.files if file.colour == roll.colour]
        assert roll.parts == sum(file.count for file in cut) == 36
        assert roll.used_m2 == pytest.approx(
            sum(file.area_mm2 * file.count for file in cut) / 1e6, rel=1e-3
        )
        assert roll.cost == pytest.approx(8 * whole_cm(roll.length_m), abs=0.01)
        bought_m2 = roll.length_m * roll.roll_width_mm / 1000
        assert roll.waste_pct == pytest.approx(100 * (1 - roll.used_m2 / bought_m2), abs=0.2)
        assert roll.on_shelf_m == pytest.approx(left_m, abs=2e-4)
        assert roll.short_m == pytest.approx(max(0, roll.length_m - left_m), abs=2e-4)
        left_m = max(0.0, left_m - roll.length_m)
    with (tmp_path / ROLLS_CSV).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [float(row["length_m"]) for row in rows] == [roll.length_m for roll in report.rolls]
    assert any("counts its colours together" in note for note in report.notes)


@pytest.mark.slow
def test_an_empty_shelf_is_short_of_every_metre(tmp_path: Path) -> None:
    report = cut_job(
        plan_for(badge()), badge(), out=tmp_path, catalogue=shelf(on_shelf_m=0.0), nest_seconds=0
    )
    for roll in report.rolls:
        assert roll.short_m == roll.length_m > 0
        assert roll.sentence.endswith(" m to buy")
        assert "0.00 m on the shelf" in roll.sentence


def test_a_film_with_a_direction_is_not_turned_across() -> None:
    sizes = sized(shelf(one_way=True), ("adult-tee", 9, 100.0))
    rolls = nest_order(sizes, seconds=1)
    laid_out_exactly(rolls)
    assert all(part.rotations == (0.0, 180.0) for roll in rolls for part in roll.parts)


def test_a_carrier_wider_than_its_roll_is_refused_in_one_line_before_anything_is_written(
    tmp_path: Path,
) -> None:
    made = plan_for(badge(), garments=(("adult-tee", 1, 400.0),))
    known = shelf(roll_width_mm=300.0)
    with pytest.raises(PartTooWideError) as refused:
        cut_job(made, badge(), out=tmp_path / "cut", catalogue=known, nest_seconds=0)
    assert str(refused.value) == (
        "matte-smooth colour-1b3a5c: 400 mm: is 320 mm across and the roll 300 mm; make the "
        "artwork at most 93 % of its width, choose a film with a wider roll, or leave nesting "
        "out and cut it in parts"
    )
    assert not (tmp_path / "cut").exists()
    assert cut_job(made, badge(), out=tmp_path / "cut", catalogue=known).rolls == ()
    one_way = shelf(roll_width_mm=350.0, one_way=True)
    (upright,) = sized(one_way, ("adult-tee", 1, 400.0))
    with pytest.raises(PartTooWideError, match="cannot be turned across"):
        nest_order([turned_quarter(upright)], seconds=0)


def turned_quarter(size: SizedCut) -> SizedCut:
    """The same sheets, their pieces lying across the roll."""
    carriers = []
    for carrier in size.carriers:
        pieces = tuple(
            replace(piece, shape=rotate(piece.shape, 90)) for piece in carrier.sheet.pieces
        )
        carriers.append(replace(carrier, sheet=replace(carrier.sheet, pieces=pieces)))
    return replace(size, carriers=tuple(carriers))


CREW = ("Ana,adult-tee,2", "Bo,adult-tee,1", "Ana,child-tee,1")


def crew_cut(folder: Path, *, gang: bool, rows: Sequence[str] = CREW) -> tuple[SizedCut, ...]:
    (folder / "crew.csv").write_text("name,size,quantity\n" + "\n".join(rows), encoding="utf-8")
    names = Names.model_validate(
        {"file": "crew.csv", "box_mm": (25, 30, 40, 12), "look": {"finish": "matte"}}
    )
    made = plan_for(
        badge(),
        extra=(NAMES_PIECE,),
        garments=(("adult-tee", 3, 100.0), ("child-tee", 1, 60.0)),
    )
    lettered = letter_names(names, badge(), folder=folder)
    return lay_out(made, badge(), catalogue=shelf(), names=lettered, gang=gang)


def test_every_name_is_nested_as_often_as_it_is_worn(tmp_path: Path) -> None:
    of_names = ("matte-smooth", "colour-c0ffee")
    apart = order_parts(crew_cut(tmp_path, gang=False))[of_names]
    assert [(part.id, part.quantity) for part in apart] == [
        ("100 mm, Ana", 2), ("100 mm, Bo", 1), ("60 mm, Ana", 1),
    ]  # fmt: skip
    ganged = order_parts(crew_cut(tmp_path, gang=True))[of_names]
    assert [(part.id, part.quantity) for part in ganged] == [
        ("100 mm, Ana (1)", 1), ("100 mm, Ana (2)", 1), ("100 mm, Bo", 1), ("60 mm, Ana", 1),
    ]  # fmt: skip
    areas = [sum(part.shape.area * part.quantity for part in cut) for cut in (apart, ganged)]
    assert areas[0] == pytest.approx(areas[1])
    for gang in (False, True):
        laid_out_exactly(nest_order(crew_cut(tmp_path, gang=gang), seconds=0))


def test_two_people_of_one_name_are_numbered(tmp_path: Path) -> None:
    sizes = crew_cut(tmp_path, gang=False, rows=("Ana,adult-tee,1", "Ana,adult-tee,2"))
    names = order_parts(sizes)["matte-smooth", "colour-c0ffee"]
    assert [(part.id, part.quantity) for part in names] == [
        ("100 mm, Ana (1)", 1), ("100 mm, Ana (2)", 2),
    ]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("phase", ["rectangles", "exploring", "done"])
def test_ctrl_c_keeps_the_best_so_far_writes_it_and_says_so(tmp_path: Path, phase: str) -> None:
    told: list[tuple[str, str]] = []

    def stop(_film: str, colour: str, progress: Progress) -> None:
        told.append((colour, progress.phase))
        if told.count(told[-1]) == 1 and progress.phase == phase and colour == COLOURS[0]:
            raise KeyboardInterrupt

    made = plan_for(badge(), garments=(("adult-tee", 8, 100.0),))
    seconds = 3.0 if phase == "done" else 60.0
    began_s = time.monotonic()
    there_then: list[list[Path]] = []
    report = cut_job(
        made, badge(), out=tmp_path, catalogue=shelf(), nest_seconds=seconds, on_nesting=stop,
        on_stopped=lambda: there_then.append(list(tmp_path.iterdir())),
    )  # fmt: skip
    assert time.monotonic() - began_s < 30
    # It is told once, before the files of the rolls are made: that takes a while.
    assert there_then == [[]]
    assert [roll.parts for roll in report.rolls] == [8, 8, 8]
    assert all(roll.interrupted for roll in report.rolls)
    assert all("stopped" in roll.note for roll in report.rolls[1:])
    assert not any(said == "exploring" for colour, said in told if colour != COLOURS[0])
    assert "nesting was stopped early: the metres are the best found so far" in report.notes
    assert all(
        (tmp_path / name).is_file() for roll in report.rolls for name in (roll.svg, roll.png)
    )


@pytest.mark.slow
def test_ctrl_c_is_heard_after_a_solver_has_run() -> None:
    asked = """
import os, signal, threading
import shapely
from advisor import plan
from advisor.job.demo import DEMO_FOLDER
from advisor.cutting.roll.nesting import nest
from advisor.cutting.roll.shapes import Part
# Left to itself, CP-SAT ends with the system's own answer to Ctrl-C, which ends the program.
plan(DEMO_FOLDER / "bags.yaml")
kite = shapely.Polygon([(0, 0), (60, 70), (0, 160), (-60, 70)])
threading.Timer(1.0, os.kill, (os.getpid(), signal.SIGINT)).start()
print(nest([Part("kite", kite, 12)], roll_width_mm=480, seconds=60).interrupted)
"""
    if sys.platform == "win32":
        pytest.skip("signals are another thing there")
    ended = subprocess.run(
        [sys.executable, "-c", asked], capture_output=True, text=True, check=True
    )
    assert ended.stdout == "True\n"


@pytest.mark.slow
def test_ctrl_c_after_a_search_keeps_what_it_found() -> None:
    (size,) = sized(shelf(), ("adult-tee", 30, 100.0))
    moons = order_parts([size])["matte-smooth", COLOURS[2]]

    def stop(progress: Progress) -> None:
        if progress.phase == "done":
            raise KeyboardInterrupt

    layout = nest(moons, roll_width_mm=480, seconds=2, on_progress=stop)
    assert layout.interrupted
    assert len(layout.placements) == 30


def test_the_list_reads_back_and_lists_the_rolls(tmp_path: Path) -> None:
    report = cut_job(plan_for(badge()), badge(), out=tmp_path, catalogue=shelf(), nest_seconds=0)
    assert CutReport.model_validate(json.loads((tmp_path / LIST_JSON).read_text("utf-8"))) == report
    assert {roll.method for roll in report.rolls} == {"rectangles"}
    assert [roll.svg for roll in report.rolls] == [
        f"roll_matte-smooth_{colour}.svg" for colour in COLOURS[:3]
    ]
    for roll in report.rolls:
        with Image.open(tmp_path / roll.png) as picture:
            assert max(picture.size) >= 1600


def test_file_names_are_safe_whatever_a_colour_is_called(tmp_path: Path) -> None:
    odd = ("zoë/../navy", "Zoe navy", "漢")
    given = tuple(Colour.model_construct(name=name, srgb="#112233") for name in odd)
    made = plan_for(badge())
    pieces = [
        piece.model_copy(update={"colour": name})
        for piece, name in zip(made.pieces, odd, strict=True)
    ]
    known = shelf(colours=given)
    apart = made.model_copy(
        update={"pieces": (pieces[0], pieces[1].model_copy(update={"colour": odd[0]}), pieces[2])}
    )
    report = cut_job(apart, badge(), out=tmp_path / "cut", catalogue=known, nest_seconds=0)
    assert [roll.svg for roll in report.rolls] == [
        "roll_matte-smooth_zoe-navy.svg", "roll_matte-smooth_colour.svg",
    ]  # fmt: skip
    assert {path.name for path in tmp_path.iterdir()} == {"cut"}
    alike = made.model_copy(update={"pieces": tuple(pieces)})
    with pytest.raises(BadInputError, match="would be called badges_100mm_matte-smooth_zoe-navy"):
        cut_job(alike, badge(), out=tmp_path / "never", catalogue=known, nest_seconds=0)
    assert not (tmp_path / "never").exists()


@pytest.mark.slow
def test_five_hundred_garments_stay_within_the_seconds_given() -> None:
    sizes = sized(shelf(), ("adult-tee", 400, 100.0), ("child-tee", 100, 60.0))
    seconds = 4.0
    began_s = time.monotonic()
    rolls = nest_order(sizes, seconds=seconds)
    assert time.monotonic() - began_s < 3 * seconds
    laid_out_exactly(rolls)
    assert [len(roll.layout.placements) for roll in rolls] == [500, 500, 500]


def test_a_long_roll_is_drawn_in_rows_and_its_picture_says_what_the_list_says() -> None:
    sizes = sized(shelf(), ("adult-tee", 120, 100.0))
    sky = nest_order(sizes, seconds=0)[0]
    assert sky.length_m > 1.5
    drawn = roll_picture(sky)
    assert drawn.count('href="#roll"') > 1
    assert drawn.count('<use href="#part-') == 120
    assert f"m of a roll 500 mm wide, {sky.waste_pct:.0f} % waste</title>" in drawn
    (moon,) = (
        roll
        for roll in nest_order(sized(shelf(), ("adult-tee", 3, 100.0)), seconds=0)
        if roll.colour == COLOURS[2]
    )
    assert 'href="#roll"' not in roll_picture(moon)


def test_parts_lie_within_the_length_that_is_bought() -> None:
    (size,) = sized(shelf(), ("adult-tee", 7, 100.0))
    for roll in nest_order([size], seconds=0):
        known = {part.id: part for part in roll.parts}
        ends = [place(borne(known[s.part]), s).bounds[2] for s in roll.layout.placements]
        assert max(ends) == pytest.approx(1000 * roll.length_m)
        moved = translate(roll.parts[0].shape, 1, 1)
        assert outline(moved).area == pytest.approx(outline(roll.parts[0].shape).area)


ROLL_KEYS = {
    "film", "colour", "parts", "roll_width_mm", "length_m", "used_m2", "waste_pct", "cost",
    "on_shelf_m", "short_m", "method", "note", "interrupted", "sentence", "svg", "png",
    "cut_svg", "cut_dxf",
}  # fmt: skip


@pytest.mark.slow
def test_the_command_prints_rolls_as_one_object_and_as_a_table(tmp_path: Path) -> None:
    job = write_job(tmp_path)
    out = tmp_path / "cut"
    assert run_json("cut", job, "--out", out)["rolls"] == []
    assert not (out / ROLLS_CSV).exists()
    answer = run_json("cut", job, "--out", out, "--nest", "1")
    assert [set(roll) for roll in answer["rolls"]] == [ROLL_KEYS] * 2
    assert set(RollNeed.model_fields) == ROLL_KEYS
    assert {roll["film"] for roll in answer["rolls"]} == {"matte-smooth", "sparkle-coarse"}
    shown = run("cut", job, "--out", out, "--nest", "0")
    assert shown.exit_code == 0
    assert shown.stderr == ""
    assert "Film for the whole order" in shown.stdout
    assert "m needed, " in shown.stdout
    assert "film in all for the whole order: €" in shown.stdout
    said = " ".join(shown.stdout.split())
    assert "cut roll_matte-smooth_navy_cut.svg, drawn in roll_matte-smooth_navy.png" in said


@pytest.mark.parametrize(
    ("seconds", "said"),
    [
        ("-1", "--nest: is -1; give 0 to 3600 seconds"),
        ("nan", "'nan' is not a finite number"),
        ("3601", "--nest: is 3601; give 0 to 3600 seconds"),
        ("long", "'long' is not a valid float"),
    ],
)
def test_seconds_that_make_no_sense_are_refused_at_once(
    tmp_path: Path, seconds: str, said: str
) -> None:
    job = write_job(tmp_path)
    asked = run("cut", job, "--out", tmp_path / "cut", "--nest", seconds)
    assert said in refusal(asked)
    assert not (tmp_path / "cut").exists()


def test_the_bar_is_shown_on_a_terminal_only(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    with nesting_shown(9) as watch:
        assert watch is None
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True)
    monkeypatch.setenv("TERM", "xterm")
    with nesting_shown(9, shown=False) as watch:
        assert watch is None
    with nesting_shown(0) as watch:
        assert watch is None
    with nesting_shown(9) as watch:
        assert watch is not None
        watch("matte-smooth", "navy", Progress(1.0, 9.0, 2400.0, "exploring"))
    seen = capsys.readouterr()
    assert seen.out == ""
    assert "matte-smooth navy, 2.40 m" in seen.err


def test_the_command_s_help_says_how_many_seconds_make_sense() -> None:
    shown = " ".join(run("cut", "--help").stdout.split())
    assert "--nest SECONDS" in shown
    assert "20 suits most orders" in shown
