"""As seen: what the eye sees of a print is judged alike in a plan, in its check and by twins."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from advisor import check, look, plan
from advisor.answers.prepared_job import prepared_job
from advisor.artwork.job_artwork import as_planned, job_artwork
from advisor.artwork.overlay import artwork_pairs
from advisor.artwork.reader import read_artwork
from advisor.cutting.cutting import cut_job
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from advisor.layering.candidates import STILL_NEAR_DELTA_E
from advisor.layering.records.prepared import PreparedJob
from advisor.solver.listing import list_choices
from advisor.solver.proof import optimise
from rules.errors import BadInputError
from rules.facts.finding import Finding
from rules.knowledge import load_knowledge

KNOWN = load_knowledge()


def drawn(*shapes: str) -> bytes:
    body = "".join(shapes)
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" '
        f'viewBox="0 0 100 100">{body}</svg>'
    ).encode()


def disc(fill: str, radius: float = 45) -> str:
    return f'<circle cx="50" cy="50" r="{radius}" fill="{fill}"/>'


def bar(fill: str, at: str = "30 45 40 12") -> str:
    x, y, width, height = at.split()
    return f'<rect x="{x}" y="{y}" width="{width}" height="{height}" fill="{fill}"/>'


def job_of(looks: dict[str, Any], **more: Any) -> Job:
    document = {
        "job": "as seen",
        "artwork": "a.svg",
        "looks": looks,
        "garments": [{"garment": "adult-tee", "quantity": 5, "artwork_width_mm": 200}],
    }
    return Job.model_validate(document | more)


MATTE = {"default": {"film": "matte-smooth"}}
CREAM_ON_WHITE = drawn(disc("#ffffff"), bar("#fdf6d8"))


def planned(svg: bytes, looks: dict[str, Any] = MATTE, **more: Any) -> Plan:
    return plan(job_of(looks, **more), svg=svg, knowledge=KNOWN)


def of_rule(made: Plan, rule: str) -> list[Finding]:
    return [finding for finding in made.findings if finding.rule == rule]


def test_what_the_job_itself_wishes_in_one_look_is_a_note_and_not_one_look_alone() -> None:
    silver = {"film": "reflective-beaded", "colour": "silver"}
    badge = drawn(disc("#12306b"), bar("#f2c14e"))
    made = planned(badge, {"#12306b": silver, "#f2c14e": silver})
    (found,) = of_rule(made, "colours-merge")
    assert (found.severity, made.verdict, check(made).verdict) == ("note", "go", "go")
    assert any("the job wishes both in one look and colour" in note for note in made.notes)
    left_open = planned(badge, {"#12306b": silver, "#f2c14e": {"film": "reflective-beaded"}})
    assert all(found.severity == "sample" for found in of_rule(left_open, "colours-merge"))


def test_a_cream_letter_on_a_white_disc_is_not_promised_to_be_seen() -> None:
    made = planned(CREAM_ON_WHITE)
    (found,) = of_rule(made, "colours-merge")
    assert (made.verdict, found.severity) == ("sample", "sample")
    assert found.message == (
        "fill-fdf6d8 will not be seen on fill-ffffff: both come out matte white (ΔE 0), and the "
        "artwork draws them apart (ΔE 12)"
    )
    assert check(made).verdict == "sample"
    assert made.proof.objective is not None
    assert made.proof.objective[0] == 1


def test_another_finish_keeps_the_letter_apart() -> None:
    looks = {"#ffffff": {"film": "matte-smooth"}, "#fdf6d8": {"finish": "gloss"}}
    assert planned(CREAM_ON_WHITE, looks).verdict == "go"


CREST = (
    '<path d="M0 0H100V100H0Z" fill="#c9a227"/>',
    '<path d="M10 10H90V90H10Z" fill="#14264d"/>',
    bar("#ffffff", "5 75 90 6"),
)


def test_what_else_a_piece_has_elsewhere_does_not_refuse_a_bar_that_reaches_the_sparkle() -> None:
    """The sparkle laps over the bar's ends; a large circle of the bar's film changes nothing."""
    looks = {
        "#c9a227": {"finish": "sparkle"},
        "#14264d": {"film": "matte-smooth"},
        "#ffffff": {"film": "matte-smooth"},
    }
    bare, round_ = (planned(drawn(*CREST, *more), looks) for more in ([], [disc("#ffffff", 24)]))
    assert bare.verdict == round_.verdict == "go"
    (met,) = {
        joint.meets
        for made in (bare, round_)
        for joint in made.joints
        if (joint.upper, joint.lower) == ("fill-ffffff", "fill-c9a227")
    }
    assert met == "inset-under"


def test_a_butt_that_is_wished_for_leaves_a_line_of_the_garment_between_them() -> None:
    wished = [{"upper": "#fdf6d8", "lower": "#ffffff", "meets": "butt"}]
    made = planned(CREAM_ON_WHITE, joints=wished)
    assert of_rule(made, "colours-merge") == []
    assert check(made).verdict == made.verdict == "go"


def test_a_sample_names_a_film_of_the_look_that_needs_none_in_another_shade() -> None:
    jacket = {"garment": "wind-jacket", "quantity": 5, "artwork_width_mm": 100}
    red = drawn('<path d="M0 0H100V100H0Z" fill="#ff0000"/>')
    made = planned(red, {"#ff0000": {"finish": "matte"}}, garments=[jacket])
    assert of_rule(made, "coated-fabric")
    (told,) = (str(note) for note in made.notes if "coated-fabric" in str(note))
    said = re.search(r"ΔE (\d+) .*{film: (\S+), colour: (\S+)}$", told)
    assert said
    wish = {"film": said[2], "colour": said[3]}
    taken = planned(red, {"#ff0000": wish}, garments=[jacket])
    assert taken.verdict == "go"
    (drawn_red,) = planned(red, {"#ff0000": {"film": said[2]}}, garments=[jacket]).pieces
    assert (drawn_red.colour, f"{drawn_red.delta_e:.0f}") == (said[3], said[1])


def test_no_butt_is_laid_only_so_that_a_letter_is_seen() -> None:
    # The letter could be told apart in another film, which is not on the shelf of this job.
    looks = {"default": {"finish": "matte", "family": "smooth"}}
    assert "butt" not in {joint.meets for joint in planned(CREAM_ON_WHITE, looks).joints}


def test_another_near_colour_is_taken_where_it_keeps_two_pieces_apart() -> None:
    # Both are nearest to brown, and both are near to a dark skin tone.
    art = drawn(disc("#634533"), bar("#6e3b24"))
    made = planned(art)
    assert made.verdict == "go"
    assert [piece.colour for piece in made.pieces] == ["skin-dark", "brown"]
    assert all(piece.delta_e < STILL_NEAR_DELTA_E for piece in made.pieces)
    assert of_rule(check_plan(made), "colours-merge") == []


def check_plan(made: Plan) -> Plan:
    return made.model_copy(update={"findings": check(made).findings})


def test_a_colour_edited_into_a_plan_is_seen_by_its_check() -> None:
    made = planned(drawn(disc("#1f4fa3"), bar("#ffffff")))
    assert made.verdict == "go"
    blue = made.pieces[0]
    same = made.pieces[1].model_copy(update={"colour": blue.colour, "srgb": blue.srgb})
    edited = made.model_copy(update={"pieces": (blue, same)})
    assert of_rule(check_plan(edited), "colours-merge")


def test_pieces_that_only_meet_under_a_third_do_not_merge() -> None:
    made = planned(drawn(disc("#ffffff"), bar("#1f4fa3", "20 40 60 20"), bar("#fdf6d8")))
    assert of_rule(made, "colours-merge") == []


@pytest.mark.parametrize(
    ("shapes", "seen"),
    [
        ([bar("#ffffff", "10 10 40 40"), bar("#000000", "50 10 40 40")], True),
        ([bar("#ffffff", "10 10 40 40"), bar("#000000", "50 50 40 40")], False),
        ([disc("#ffffff"), bar("#000000")], True),
    ],
    ids=["an edge", "a corner", "within"],
)
def test_the_eye_follows_an_edge_but_not_a_corner(shapes: list[str], seen: bool) -> None:
    pairs = artwork_pairs(read_artwork(drawn(*shapes), width_mm=100))
    assert [meeting.seen for meeting in pairs] == [seen] * len(pairs)


def prepared(svg: bytes, looks: dict[str, Any], **more: Any) -> PreparedJob:
    return prepared_job(job_of(looks, **more), folder=Path(), knowledge=KNOWN, svg=svg)


@pytest.mark.parametrize("fills", [("#ffffff", "#fdf6d8"), ("#634533", "#6e3b24")])
def test_listing_and_proof_agree_where_colours_merge(fills: tuple[str, str]) -> None:
    looks = {"default": {"family": "smooth", "finish": "matte"}}
    problem = prepared(drawn(disc(fills[0]), bar(fills[1])), looks).problem
    listed = list_choices(problem)
    best = optimise(problem, time_limit_s=20)
    assert listed.complete
    assert listed.best is not None
    assert best.assessment is not None
    assert best.assessment.measures == listed.best.measures


def test_names_are_judged_against_what_lies_under_each_letter(tmp_path: Path) -> None:
    (tmp_path / "crew.csv").write_text("name\nANA\n", encoding="utf-8")
    looks = {"default": {"film": "matte-smooth"}}
    names = {"file": "crew.csv", "box_mm": [10, 70, 180, 40], "at_width_mm": 200}

    def with_names(colour: str | None) -> Plan:
        look = {"film": "matte-smooth"} | ({"colour": colour} if colour else {})
        made = job_of(looks, names=names | {"look": look})
        return plan(made, folder=tmp_path, svg=drawn(disc("#1b2a49", 49)), knowledge=KNOWN)

    assert with_names("white").verdict == "go"
    assert [f.severity for f in of_rule(with_names("red"), "legible-names")] == ["sample"]
    black = with_names("black")
    assert black.status == "impossible"
    assert "legible-names" in {clash.rule for clash in black.conflict}
    # Left open, the names take the colour that is read.
    free = with_names(None)
    assert (free.verdict, free.pieces[-1].colour) == ("go", "white")


@pytest.mark.parametrize(("under", "pale"), [("#1b2a49", True), ("#fbfbf8", False)])
def test_names_on_a_printable_film_are_printed_in_the_ink_that_is_read(
    tmp_path: Path, under: str, pale: bool
) -> None:
    (tmp_path / "crew.csv").write_text("name\nANA\n", encoding="utf-8")
    names = {
        "file": "crew.csv",
        "box_mm": [10, 70, 180, 40],
        "at_width_mm": 200,
        "look": {"film": "printable-thin"},
    }
    job = job_of({"default": {"film": "matte-smooth"}}, names=names)
    made = plan(job, folder=tmp_path, svg=drawn(disc(under, 49)), knowledge=KNOWN)
    assert made.proof.optimal
    assert of_rule(made, "legible-names") == []
    assert (made.pieces[-1].srgb == "#ffffff") == pale
    assert check_plan(made).findings == made.findings


NAMES = {
    "file": "crew.csv",
    "look": {"film": "matte-smooth", "colour": "white"},
    "at_width_mm": 200,
}
TWO = [
    {"garment": "adult-tee", "quantity": 2, "artwork_width_mm": 200},
    {"garment": "child-tee", "quantity": 1, "artwork_width_mm": 150},
]


@pytest.mark.parametrize(
    ("rows", "box", "says"),
    [
        ("Ana,adult-tee,3", [10, 70, 180, 40], "row 2: 'Ana' has no garment left: the list has mor"
         "e names for adult-tee than the 2 of the job"),
        ("Ana,adult-tee,1\nBo,child-tee,1\nCy,child-tee,1", [10, 70, 180, 40],
         "row 4: 'Cy' has no garment left"),
        ("Ana,hat,1", [10, 70, 180, 40], "row 2: 'Ana' is for 'hat', which is no garment of the"),
        ("Ana,,1", [10, 70, 180, 40], "row 2: 'Ana' says no size, and the job has adult-tee"),
        ("Ana,adult-tee,1", [10, 500, 180, 40], "names.box_mm: with the artwork the names take "
         "200 × 540 mm, and the front of adult-tee has"),
        ("Ana,adult-tee,1", [-300, 70, 180, 40], "names.box_mm: with the artwork the names take "
         "500 × 200 mm"),
    ],
    ids=["too many", "too many of a size", "no such garment", "no size", "below", "beside"],
)  # fmt: skip
def test_names_that_go_on_no_garment_are_told_before_anything_is_planned(
    tmp_path: Path, rows: str, box: list[float], says: str
) -> None:
    (tmp_path / "crew.csv").write_text(f"name,size,quantity\n{rows}\n", encoding="utf-8")
    made = job_of(MATTE, names=NAMES | {"box_mm": box}, garments=TWO, width_of="page")
    with pytest.raises(BadInputError, match=re.escape(says)):
        plan(made, folder=tmp_path, svg=drawn(disc("#1b2a49", 49)), knowledge=KNOWN)


def test_a_name_that_the_list_has_twice_is_told_by_the_plan(tmp_path: Path) -> None:
    rows = "name,size\nAna,adult-tee\nana,adult-tee\nAna,child-tee\n"
    (tmp_path / "crew.csv").write_text(rows, encoding="utf-8")
    made = job_of(MATTE, names=NAMES | {"box_mm": [10, 70, 180, 40]}, garments=TWO)
    told = plan(made, folder=tmp_path, svg=drawn(disc("#1b2a49", 49)), knowledge=KNOWN).notes
    twice = [str(note) for note in told if "two people" in note]
    assert twice == ["'ana' in row 3 stands in row 2 too: two people?"]


def test_names_below_the_artwork_are_judged_against_the_garment(tmp_path: Path) -> None:
    (tmp_path / "crew.csv").write_text("name\nANA\n", encoding="utf-8")

    def below(colour: str) -> Plan:
        look = {"film": "matte-smooth", "colour": colour}
        job = job_of(MATTE, names=NAMES | {"box_mm": [10, 210, 180, 40], "look": look})
        return plan(job, folder=tmp_path, svg=drawn(disc("#1b2a49", 49)), knowledge=KNOWN)

    # The tee is sand: white is hard to read on it, navy is not.
    (pale,) = of_rule(below("white"), "legible-names")
    assert (pale.severity, pale.where) == ("sample", "names on cotton-jersey-tee")
    assert of_rule(below("navy"), "legible-names") == []
    assert of_rule(check_plan(below("white")), "legible-names") == [pale]


def test_a_printable_film_takes_the_artwork_s_colours_and_its_own_steps() -> None:
    made = planned(drawn(disc("#9b30c0"), bar("#a9d18e")), {"default": {"finish": "printed"}})
    assert [(piece.srgb, piece.delta_e) for piece in made.pieces] == [
        ("#9b30c0", 0.0),
        ("#a9d18e", 0.0),
    ]
    assert {KNOWN.catalogue.film(piece.film).family for piece in made.pieces} == {"printable"}
    assert of_rule(made, "colour-match") == []
    assert of_rule(made, "colours-merge") == []
    assert {f.severity for f in of_rule(made, "print-and-dry")} == {"note"}
    assert of_rule(check_plan(made), "colour-match") == []
    laid = [step for step in made.steps if step.action == "press"]
    assert "lift it from its backing with a transfer mask" in str(laid[0].why)


def test_a_blank_printable_film_is_not_laid_for_its_white() -> None:
    made = prepared(drawn(disc("#ffffff")), {"default": {"finish": "gloss"}})
    (piece,) = made.problem.pieces
    assert not any(option.film.printed for option in piece.options)
    assert piece.options


def test_what_shines_through_is_judged_in_the_colours_chosen() -> None:
    looks = {"#1a1a1c": {"film": "matte-smooth"}, "#f4f4f4": {"finish": "glow"}}
    on_black = drawn(disc("#1a1a1c"), bar("#f4f4f4"))
    lapped = [{"upper": "#f4f4f4", "lower": "#1a1a1c", "meets": "lap"}]
    over_black = planned(on_black, looks, joints=lapped)
    (dull,) = of_rule(over_black, "show-through")
    assert (dull.severity, over_black.verdict) == ("sample", "sample")
    beside_black = planned(on_black, looks)
    assert beside_black.verdict == "go"
    assert all(joint.meets != "lap" for joint in beside_black.joints)
    looks["#fbfbf8"] = {"film": "matte-smooth"}
    over_white = planned(drawn(disc("#fbfbf8"), bar("#f4f4f4")), looks)
    assert of_rule(over_white, "show-through") == []


def test_what_no_film_tells_apart_is_cut_as_one_piece_and_said() -> None:
    made = planned(CREAM_ON_WHITE)
    assert [piece.id for piece in made.pieces] == ["fill-ffffff"]
    assert [(one.piece, one.into) for one in made.print.merged] == [("fill-fdf6d8", "fill-ffffff")]
    assert [step.pieces for step in made.steps if step.action == "press"] == [("fill-ffffff",)]
    assert check(made).findings == made.findings


def test_the_ways_to_keep_an_outline_between_them_stay() -> None:
    for meets in ("lap", "inset-over", "butt"):
        wished = [{"upper": "#fdf6d8", "lower": "#ffffff", "meets": meets}]
        made = planned(CREAM_ON_WHITE, joints=wished)
        assert [joint.meets for joint in made.joints] == [meets]
        assert made.print.merged == ()


def test_pieces_that_are_one_in_the_plan_are_one_in_the_cut(tmp_path: Path) -> None:
    svg = drawn(disc("#ffffff"), bar("#fdf6d8", "2 45 60 12"), bar("#1b2a49", "60 40 10 30"))
    job = job_of(MATTE)
    made = plan(job, svg=svg, knowledge=KNOWN)
    artwork = as_planned(job_artwork(job, svg), made.print, job=job)
    assert {piece.id for piece in artwork.pieces} == {piece.id for piece in made.pieces}
    report = cut_job(made, artwork, out=tmp_path, catalogue=KNOWN.catalogue)
    assert sorted(file.colour for file in report.files) == ["navy", "white"]
    # The bar reaches beyond the disc, and is cut with it from one sheet.
    drawn_mm = {piece.id: piece.shape.area for piece in artwork.pieces}
    disc_alone = read_artwork(svg, width_mm=artwork.width_mm).pieces[0].shape.area
    assert drawn_mm["fill-ffffff"] > disc_alone


def test_tone_on_tone_is_a_note_in_plan_check_and_look_and_white_on_navy_is_none() -> None:
    navy = {"garment": "adult-tee", "quantity": 5, "artwork_width_mm": 200, "colour": "navy"}
    for fill, expected in (("#1b2a49", ["note"]), ("#ffffff", [])):
        made = planned(drawn(disc(fill)), garments=[navy])
        assert [one.severity for one in of_rule(made, "tone-on-tone")] == expected
        assert made.verdict == "go"
        again = check(made, knowledge=KNOWN)
        assert [f.severity for f in again.findings if f.rule == "tone-on-tone"] == expected
    asked: dict[str, Any] = {"fabric": "adult-tee", "colour": "navy", "knowledge": KNOWN}
    typed = check(**asked, stack=["matte-smooth:navy"])
    assert typed.verdict == "go"
    assert "tone-on-tone" in {finding.rule for finding in typed.findings}
    told = {
        "tone-on-tone" in {finding.rule for finding in answer.findings}
        for answer in look("matte:navy", **asked).answers
    }
    assert told == {True}
