"""A whole job cut: the files that are written, the lists, the pictures, the names, the refusals."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from pathlib import Path

import pytest
import shapely
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from advisor import plan
from advisor.artwork.reader import read_artwork
from advisor.command.cut import command
from advisor.cutting.cutting import LIST_CSV, LIST_JSON, cut_job
from advisor.cutting.layout import lay_out
from advisor.cutting.lettering import letter_names
from advisor.cutting.records.cut import Lettering
from advisor.cutting.records.report import CutReport
from advisor.job.records.job import GarmentLine, Job, Names, Wish
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from advisor.job.saving import safe_name
from rules.catalogue import load_catalogue
from rules.errors import BadInputError, PressloreError, UnknownNameError
from tests.advisor.cutting.cut_plans import BADGE, MOON, SKY, SUN, badge, joint, plan_for

TWO_SIZES = (("adult-tee", 24, 100.0), ("child-tee", 12, 60.0))


def cut(plan: Plan, out: Path, **options: object) -> CutReport:
    return cut_job(plan, badge(), out=out, **options)  # type: ignore[arg-type]


def crew(folder: Path, rows: Sequence[str], **wish: object) -> tuple[Lettering, ...]:
    (folder / "crew.csv").write_text("name,size,quantity\n" + "\n".join(rows), encoding="utf-8")
    names = Names.model_validate(
        {"file": "crew.csv", "box_mm": (25, 30, 40, 12), "look": {"finish": "matte"}, **wish}
    )
    return letter_names(names, badge(), folder=folder)


def test_every_film_and_size_has_its_files_and_the_list_names_them_all(tmp_path: Path) -> None:
    report = cut(plan_for(badge(), garments=TWO_SIZES), tmp_path / "new" / "cut")
    out = tmp_path / "new" / "cut"
    assert len(report.files) == 6
    assert [file.count for file in report.files] == [24, 24, 24, 12, 12, 12]
    listed = {file.svg for file in report.files} | {file.dxf for file in report.files}
    written = {path.name for path in out.iterdir()}
    assert written == listed | set(report.previews) | {LIST_CSV, LIST_JSON}
    with (out / LIST_CSV).open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert [row["svg"] for row in rows] == [file.svg for file in report.files]
    assert CutReport.model_validate(json.loads((out / LIST_JSON).read_text("utf-8"))) == report


def test_what_the_drawing_lost_when_it_was_read_stands_in_plan_and_cut(tmp_path: Path) -> None:
    source = BADGE.replace("</svg>", '<path d="M5,5H40" stroke="#ffffff" stroke-dasharray="6"/>'
                           "<script>alert(1)</script></svg>")  # fmt: skip
    made = plan(
        Job(
            job="badges",
            artwork="badge.svg",
            looks={"default": Wish(finish="matte")},
            garments=(GarmentLine(garment="adult-tee", artwork_width_mm=100),),
        ),
        svg=source.encode(),
    )
    artwork = read_artwork(source, width_mm=100)
    assert len(artwork.notes) == 2
    assert set(artwork.notes) <= set(made.notes)
    assert set(artwork.notes) <= set(cut_job(made, artwork, out=tmp_path).notes)


def test_the_list_gives_the_film_area_and_the_length_of_the_cut(tmp_path: Path) -> None:
    report = cut(plan_for(badge(), ranks={SKY: 1, SUN: 2, MOON: 3}), tmp_path)
    sun = next(file for file in report.files if file.pieces == (SUN,))
    assert sun.area_mm2 == pytest.approx(50 * 40)
    # 180 mm round the piece, its border, and crosses of 32 mm round each.
    assert sun.marks == 2
    assert sun.cut_mm == pytest.approx(180 + 2 * sum(sun.carrier_mm) + 2 * 32, abs=0.1)
    assert all(side >= least for side, least in zip(sun.carrier_mm, (56, 46), strict=True))


def test_pieces_of_one_film_that_go_down_together_share_a_carrier_and_others_do_not(
    tmp_path: Path,
) -> None:
    same = plan_for(badge()).model_copy()
    together = tuple(piece.model_copy(update={"colour": "gold"}) for piece in same.pieces)
    apart = plan_for(badge(), ranks={SKY: 1, SUN: 2, MOON: 3})
    ranked = {SKY: 1, SUN: 2, MOON: 2}
    one = same.model_copy(
        update={
            "pieces": tuple(p.model_copy(update={"rank": ranked[p.id]}) for p in together),
        }
    )
    assert [file.pieces for file in cut(one, tmp_path / "a").files] == [(SKY,), (SUN, MOON)]
    other = apart.model_copy(
        update={"pieces": tuple(p.model_copy(update={"colour": "gold"}) for p in apart.pieces)}
    )
    files = cut(other, tmp_path / "b").files
    assert [file.pieces for file in files] == [(SKY,), (SUN,), (MOON,)]
    assert [file.svg.rsplit("_", 1)[1] for file in files] == ["press-1.svg", "press-2.svg",
                                                              "press-3.svg"]  # fmt: skip


def test_the_preview_shows_every_colour_where_the_artwork_has_it(tmp_path: Path) -> None:
    report = cut(plan_for(badge(), (joint(SUN, SKY, "inset-over"),)), tmp_path)
    svg, png = report.previews
    picture = Image.open(tmp_path / png).convert("RGB")
    head = (tmp_path / svg).read_text("utf-8").split('viewBox="')[1].split('"')[0]
    left, top, width, _ = (float(number) for number in head.split())
    per_mm = picture.width / width
    for x, y, colour in ((45, 40, "#f2c14e"), (10, 70, "#1b3a5c"), (85, 15, "#ffffff")):
        pixel = picture.getpixel((int((x - left) * per_mm), int((y - top) * per_mm)))
        assert "#{:02x}{:02x}{:02x}".format(*pixel) == colour


@pytest.mark.slow
def test_fine_places_are_marked_in_the_preview_and_told_in_the_report(tmp_path: Path) -> None:
    report = cut(plan_for(badge(), garments=(("adult-tee", 1, 5.0),)), tmp_path)
    assert {detail.kind for detail in report.fine} == {"island"}
    assert (tmp_path / report.previews[0]).read_text("utf-8").count("<circle") == 2
    coarse = cut(plan_for(badge()), tmp_path)
    assert coarse.fine == ()
    assert (tmp_path / coarse.previews[0]).read_text("utf-8").count("<circle") == 0


@pytest.mark.slow
def test_softest_leaves_hidden_bulk_out_and_says_so(tmp_path: Path) -> None:

    squares = "".join(
        f'<rect x="{i}" y="{i}" width="{100 - 2 * i}" height="{100 - 2 * i}" fill="#{i:02d}3344"/>'
        for i in (0, 5, 10, 20)
    )
    art = read_artwork(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm">{squares}</svg>'
        .replace('height="100mm"', 'height="100mm" viewBox="0 0 100 100"', 1)
    )  # fmt: skip
    ranks = {piece.id: piece.order + 1 for piece in art.pieces}
    soft = cut_job(plan_for(art, ranks=ranks, prefer="softest"), art, out=tmp_path / "soft")
    firm = cut_job(plan_for(art, ranks=ranks), art, out=tmp_path / "firm")
    assert soft.files[0].area_mm2 == pytest.approx(firm.files[0].area_mm2 - 58**2)
    assert any("would lie under 3 or more layers are left out" in note for note in soft.notes)
    assert firm.notes == ()


def test_simplified_pieces_are_cut_only_when_asked_for(tmp_path: Path) -> None:

    art = read_artwork(
        """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
        <path d="M0,0H20V19H40V19.5H20V40H0z" fill="#1b3a5c"/></svg>"""
    )
    plan = plan_for(art, garments=(("adult-tee", 1, 60.0),))
    as_drawn = cut_job(plan, art, out=tmp_path / "drawn")
    simpler = cut_job(plan, art, out=tmp_path / "simpler", simplify=True)
    assert [detail.kind for detail in as_drawn.fine] == ["stroke"]
    assert simpler.fine == ()
    assert [one.used for one in (*as_drawn.simpler, *simpler.simpler)] == [False, True]
    assert simpler.simpler[0].change_pct == pytest.approx(-1.23, abs=0.1)
    assert simpler.files[0].area_mm2 == pytest.approx(800, abs=1)


def named_plan(*, meets: str = "lap", garments: tuple[tuple[str, int, float], ...]) -> Plan:
    made = joint(NAMES_PIECE, SUN, meets)  # type: ignore[arg-type]
    return plan_for(badge(), (made,), garments=garments, extra=(NAMES_PIECE,))


@pytest.mark.slow
def test_each_name_is_cut_at_the_size_of_its_garment(tmp_path: Path) -> None:
    names = crew(tmp_path, ["Ana,adult-tee,2", "Bo,child-tee,1"])
    report = cut(named_plan(garments=TWO_SIZES), tmp_path / "out", names=names)
    found = [(f.name, f.width_mm, f.count) for f in report.files if f.pieces == (NAMES_PIECE,)]
    assert found == [("Ana", 100, 2), ("Bo", 60, 1)]
    assert (
        "100 mm wide: 22 of 24 adult-tee get no lettering: the list has none for them"
        in report.notes
    )
    sizes = lay_out(
        named_plan(garments=TWO_SIZES), badge(), catalogue=load_catalogue(), names=names
    )
    for one, size, factor in ((names[0], sizes[0], 1.0), (names[1], sizes[1], 0.6)):
        (carrier,) = (c for c in size.carriers if c.names)
        area = carrier.sheet.pieces[0].shape.area
        assert area == pytest.approx(one.shape.area * factor**2, rel=0.01)


def test_ganged_names_lie_apart_on_one_sheet_as_often_as_they_are_wanted(tmp_path: Path) -> None:
    names = crew(tmp_path, ["Ana,adult-tee,2", "Bo,adult-tee,1"])
    plan = named_plan(garments=(("adult-tee", 3, 100.0),))
    (size,) = lay_out(plan, badge(), catalogue=load_catalogue(), names=names, gang=True)
    (carrier,) = (c for c in size.carriers if c.names)
    borders = shapely.get_parts(shapely.polygonize(list(carrier.sheet.borders)))
    assert len(carrier.sheet.pieces) == len(borders) == 3
    assert len({piece.id for piece in carrier.sheet.pieces}) == 3
    for piece in carrier.sheet.pieces:
        assert sum(border.contains(piece.shape) for border in borders) == 1
    # A border that two names share is cut once.
    lines = sum(line.length for line in carrier.sheet.borders)
    assert lines == pytest.approx(shapely.union_all([b.exterior for b in borders]).length)


@pytest.mark.slow
def test_a_window_for_a_name_is_cut_for_that_name(tmp_path: Path) -> None:
    names = crew(tmp_path, ["Ana,adult-tee,1", "Bartholomew,adult-tee,1"])
    plan = named_plan(meets="inset-over", garments=(("adult-tee", 3, 100.0),))
    report = cut(plan, tmp_path / "out", names=names)
    suns = [(f.name, f.count) for f in report.files if SUN in f.pieces]
    assert suns == [("", 1), ("Ana", 1), ("Bartholomew", 1)]
    whole, ana, bart = (f.area_mm2 for f in report.files if SUN in f.pieces)
    assert whole == pytest.approx(2000)
    assert ana < whole
    assert bart < whole
    assert [f.count for f in report.files if SKY in f.pieces] == [3]


def test_names_too_fine_for_their_film_are_told_by_name(tmp_path: Path) -> None:
    names = crew(tmp_path, ["Ana,adult-tee,1", "MAXIMILIANE-JOSEPHINE-SOPHIE,adult-tee,1"])
    report = cut(named_plan(garments=(("adult-tee", 2, 100.0),)), tmp_path / "out", names=names)
    fine = [detail for detail in report.fine if detail.kind == "stroke"]
    # One letter height for all: a name beyond all measure makes the others too fine with it.
    assert {detail.name for detail in fine} == {"Ana", "MAXIMILIANE-JOSEPHINE-SOPHIE"}
    assert all(detail.measure_mm < detail.least_mm for detail in fine)
    assert any("so that 'MAXIMILIANE-JOSEPHINE-SOPHIE' fits" in note for note in report.notes)
    assert any("is set 40 % narrower, to fit " in str(note) for note in report.notes)


@pytest.mark.slow
def test_a_name_over_a_piece_that_no_joint_foresaw_is_noted(tmp_path: Path) -> None:
    names = crew(tmp_path, ["Ana,adult-tee,1"], box_mm=(60, 5, 38, 20), align="right")
    report = cut(named_plan(garments=(("adult-tee", 1, 100.0),)), tmp_path / "out", names=names)
    assert any(f"lies over {SKY}, {MOON}, which was not planned" in note for note in report.notes)


@pytest.mark.slow
def test_names_that_would_be_files_of_the_same_name_stay_apart(tmp_path: Path) -> None:
    names = crew(tmp_path, ["Zoë,adult-tee,1", "Zoe,adult-tee,1", "../Zoe,adult-tee,1"])
    report = cut(named_plan(garments=(("adult-tee", 3, 100.0),)), tmp_path / "out", names=names)
    files = [file.svg for file in report.files if file.name]
    assert len(set(files)) == 3
    assert all((tmp_path / "out" / file).is_file() for file in files)


@pytest.mark.slow
def test_markup_and_formulas_in_names_are_only_text(tmp_path: Path) -> None:
    names = crew(tmp_path, ["<b>Bo</b>,adult-tee,1", "=1+1,adult-tee,1"])
    report = cut(named_plan(garments=(("adult-tee", 2, 100.0),)), tmp_path / "out", names=names)
    bo = next(file for file in report.files if file.name == "<b>Bo</b>")
    assert "&lt;b&gt;Bo&lt;/b&gt;" in (tmp_path / "out" / bo.svg).read_text("utf-8")
    assert ",'=1+1," in (tmp_path / "out" / LIST_CSV).read_text("utf-8")


def test_names_that_do_not_fit_the_job_are_refused(tmp_path: Path) -> None:
    plan = named_plan(garments=TWO_SIZES)
    for rows, said in (
        (["Ana,,1"], "row 2: 'Ana' says no size, and the job has adult-tee, child-tee"),
        (["Ana,adult-te,1"], "nearest: adult-tee"),
    ):
        with pytest.raises(BadInputError, match=said):
            cut(plan, tmp_path / "out", names=crew(tmp_path, rows))
    with pytest.raises(BadInputError, match="the plan has names; give the list"):
        cut(plan, tmp_path / "out")
    with pytest.raises(BadInputError, match="the plan has no names"):
        cut(plan_for(badge()), tmp_path / "out", names=crew(tmp_path, ["Ana,adult-tee,1"]))
    assert not (tmp_path / "out").exists()


@pytest.mark.slow
def test_nothing_is_written_when_anything_stands_in_the_way(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("x")
    with pytest.raises(BadInputError, match="cannot be written to: it is a file"):
        cut(plan_for(badge()), tmp_path / "file")
    out = tmp_path / "out"
    (out / LIST_JSON).mkdir(parents=True)
    with pytest.raises(BadInputError, match="it is a folder"):
        cut(plan_for(badge()), out)
    assert [path.name for path in out.iterdir()] == [LIST_JSON]
    with pytest.raises(UnknownNameError, match="no film is called 'mate-smooth'"):
        cut(plan_for(badge(), film="mate-smooth"), tmp_path / "never")
    with pytest.raises(BadInputError, match="which the artwork lacks; plan it again"):
        cut(plan_for(badge(), extra=("fill-000000",)), tmp_path / "never")
    assert not (tmp_path / "never").exists()


@pytest.mark.slow
def test_cutting_again_replaces_the_files_and_leaves_others_alone(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("keep")
    first = cut(plan_for(badge()), tmp_path)
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert cut(plan_for(badge()), tmp_path) == first
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


@given(st.text(max_size=60))
def test_a_safe_name_is_one_plain_part_of_a_path(text: str) -> None:
    name = safe_name(text)
    assert name
    assert len(name) <= 41
    assert not name.strip("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert name not in {"con", "nul", "aux", "prn", "com1", "lpt9"}


def test_pieces_that_cross_themselves_are_cut_as_areas(tmp_path: Path) -> None:

    art = read_artwork(
        """<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="40mm" viewBox="0 0 60 40">
        <path d="M0,0L40,40V0L0,40z" fill="#1b3a5c"/><path d="M50,5H55" fill="#1b3a5c"/></svg>"""
    )
    plan = plan_for(art, garments=(("adult-tee", 1, 60.0),))
    (file,) = cut_job(plan, art, out=tmp_path).files
    assert file.area_mm2 == pytest.approx(800)


JOB = """
job: badges
artwork: badge.svg
looks: {default: {finish: matte}}
garments: [{garment: adult-tee, quantity: 2, artwork_width_mm: 100}]
"""


@pytest.mark.slow
def test_the_command_cuts_a_plan_and_prints_one_object(tmp_path: Path) -> None:
    from tests.advisor.cutting.cut_plans import BADGE

    (tmp_path / "badge.svg").write_text(BADGE)
    (tmp_path / "job.yaml").write_text(JOB)
    plan = tmp_path / "plan.json"
    plan.write_text(badge_plan_json())
    asked = [str(tmp_path / "job.yaml"), "--plan", str(plan), "--out", str(tmp_path / "cut")]
    run = CliRunner().invoke(command, [*asked, "--json"])
    assert run.exit_code == 0, run.output
    assert json.loads(run.stdout)["job"] == "badges"
    shown = CliRunner().invoke(command, asked)
    assert shown.exit_code == 0, shown.output
    assert "cut 2" in shown.stdout
    assert "mirrored" in shown.stdout


def badge_plan_json() -> str:
    made = plan_for(badge(), garments=(("adult-tee", 2, 100.0),))
    return made.model_dump_json()


def test_the_command_refuses_another_jobs_plan_and_a_file_for_a_folder(tmp_path: Path) -> None:
    from tests.advisor.cutting.cut_plans import BADGE

    (tmp_path / "badge.svg").write_text(BADGE)
    (tmp_path / "job.yaml").write_text(JOB.replace("job: badges", "job: caps"))
    (tmp_path / "plan.json").write_text(badge_plan_json())
    asked = [str(tmp_path / "job.yaml"), "--plan", str(tmp_path / "plan.json"), "--out"]
    for out, said in ((tmp_path / "cut", "is the plan of 'badges', not of 'caps'"),
                      (tmp_path / "job.yaml", "is a file; name a folder")):  # fmt: skip
        run = CliRunner().invoke(command, [*asked, str(out)])
        assert isinstance(run.exception, PressloreError)
        assert said in str(run.exception)


def test_the_sheet_of_a_size_is_as_large_as_the_garment_wears_it() -> None:
    plan = plan_for(badge(), garments=TWO_SIZES)
    large, small = lay_out(plan, badge(), catalogue=load_catalogue())
    for size, width_mm in ((large, 100), (small, 60)):
        left, _, right, _ = size.carriers[0].sheet.pieces[0].shape.bounds
        assert right - left == pytest.approx(width_mm)
