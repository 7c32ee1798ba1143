"""Facts of the trade, each held by the whole tool on films of the catalogue.

Every fact in this file is *common practice, no source*.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor import check, look, plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.catalogue import load_catalogue
from rules.facts.step import Step
from rules.knowledge import load_knowledge

SHELF = load_catalogue()
SPARKLES = [film.id for film in SHELF.films.values() if film.family == "sparkle"]

MOTIF_AND_NAME = """
<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="120mm" viewBox="0 0 200 120">
  <rect width="200" height="120" rx="8" fill="#1b3a5c"/>
  <path d="M40 15 L70 60 L40 105 L10 60 Z" fill="#f2c14e"/>
  <rect x="110" y="40" width="70" height="40" fill="#ffffff"/>
</svg>
"""
WORD_ON_SPARKLE = """
<svg xmlns="http://www.w3.org/2000/svg" width="200mm" height="120mm" viewBox="0 0 200 120">
  <rect width="200" height="120" rx="8" fill="#f2c14e"/>
  <rect x="40" y="40" width="120" height="40" fill="#1b3a5c"/>
</svg>
"""


def planned(folder: Path, artwork: str, **changes: Any) -> Plan:
    (folder / "art.svg").write_text(artwork)
    asked: dict[str, Any] = {
        "job": "harbour-kite-crew",
        "artwork": "art.svg",
        "looks": {
            "#1b3a5c": {"film": "matte-smooth", "colour": "navy"},
            "#f2c14e": {"film": "sparkle-coarse", "colour": "gold"},
            "default": {"finish": "matte"},
        },
        "garments": [{"garment": "adult-tee", "quantity": 12, "artwork_width_mm": 200}],
    }
    return plan(Job.model_validate(asked | changes), folder=folder)


def presses(made: Plan, purpose: str) -> list[Step]:
    return [step for step in made.steps if step.action == "press" and step.purpose == purpose]


def film_of(made: Plan, piece: str) -> str:
    return {p.id: p.film for p in made.pieces}[piece]


def test_smooth_matte_is_the_base_and_sparkle_goes_over_it() -> None:
    assert (
        check(fabric="cotton-jersey-tee", stack=["matte-smooth", "sparkle-coarse"]).verdict == "go"
    )
    found = look("matte", "sparkle", fabric="cotton-jersey-tee")
    lapped = {answer.films for answer in found.answers if answer.meets == ("lap",)}
    assert ("matte-smooth", "sparkle-coarse") in lapped
    assert not any(below in SPARKLES for below, _ in lapped)


def test_matte_over_sparkle_is_refused_and_the_rule_is_named() -> None:
    report = check(fabric="cotton-jersey-tee", stack=["sparkle-coarse", "matte-smooth"])
    assert report.verdict == "stop"
    assert "top-surface" in {f.rule for f in report.findings if f.severity == "stop"}
    refused = look("matte", "sparkle", fabric="cotton-jersey-tee").refused
    ways = {r.rule for r in refused if r.films == ("sparkle-coarse", "matte-smooth")}
    assert "top-surface" in ways


@pytest.mark.slow
@pytest.mark.parametrize("sparkle", SPARKLES)
def test_nothing_bonds_over_sparkle_another_sparkle_included(sparkle: str) -> None:
    for film in SHELF.films:
        report = check(fabric="cotton-jersey-tee", stack=[sparkle, film])
        assert report.verdict == "stop", (sparkle, film)


def test_a_word_on_sparkle_goes_down_first_and_the_sparkles_rim_laps_its_edge(
    tmp_path: Path,
) -> None:
    made = planned(tmp_path, WORD_ON_SPARKLE)
    assert made.status == "planned"
    assert made.verdict != "stop"
    (joint,) = made.joints
    assert (film_of(made, joint.upper), film_of(made, joint.lower)) == (
        "matte-smooth",
        "sparkle-coarse",
    )
    assert joint.meets in {"inset-under", "butt"}
    ways = {
        laid.meets[0]
        for answer in look("matte", "sparkle", fabric="cotton-jersey-tee", most=None).answers
        for laid in (answer, *answer.others)
        if laid.films == ("sparkle-coarse", "matte-smooth")
    }
    assert "inset-under" in ways
    assert "lap" not in ways
    assert "inset-over" not in ways
    if joint.meets == "inset-under":
        rank = {piece.id: piece.rank for piece in made.pieces}
        assert rank[joint.upper] < rank[joint.lower]


def test_each_layer_is_only_tacked_about_two_seconds_before_the_next(tmp_path: Path) -> None:
    made = planned(tmp_path, MOTIF_AND_NAME)
    tacks = presses(made, "tack")
    assert {piece for step in tacks for piece in step.pieces} == {p.id for p in made.pieces}
    assert all(2 <= (step.dwell_s or 0) <= 4 for step in tacks)
    assert all("grab" in step.why and "carrier to come off" in step.why for step in tacks)
    for tack in tacks[:-1]:
        assert "shrink" in tack.why
        assert "registration" in tack.why


def test_sparkle_is_tacked_and_peeled_so_that_its_carrier_leaves_no_line_and_no_flakes(
    tmp_path: Path,
) -> None:
    made = planned(tmp_path, MOTIF_AND_NAME)
    sparkle = next(piece.id for piece in made.pieces if piece.film == "sparkle-coarse")
    tack = next(step for step in presses(made, "tack") if sparkle in step.pieces)
    peel = next(step for step in made.steps if step.action == "peel" and sparkle in step.pieces)
    (final,) = presses(made, "full")
    assert tack.n < peel.n < final.n
    assert peel.peel == "hot"
    assert "line" in peel.why
    assert "flakes" in peel.why
    assert "presses out" in final.why


@pytest.mark.parametrize("rule", ["carrier-line", "flake-transfer"])
def test_a_sparkle_pressed_through_with_its_carrier_on_is_found_out(
    tmp_path: Path, rule: str
) -> None:
    made = planned(tmp_path, MOTIF_AND_NAME)
    sparkle = next(piece.id for piece in made.pieces if piece.film == "sparkle-coarse")
    edited = made.model_copy(
        update={
            "steps": tuple(
                step
                for step in made.steps
                if not (step.action == "peel" and sparkle in step.pieces)
            )
        }
    )
    report = check(edited)
    assert rule in {finding.rule for finding in report.findings}
    assert report.verdict in {"stop", "sample"}


def test_the_final_press_is_the_mattes_full_application_under_a_cover(tmp_path: Path) -> None:
    made = planned(tmp_path, MOTIF_AND_NAME)
    (final,) = presses(made, "full")
    assert final.setpoint_c == 160
    assert final.dwell_s == 15
    assert final.cover is not None
    assert set(final.pieces) == {piece.id for piece in made.pieces}
    assert "full application of matte-smooth" in final.why
    assert "sparkle-coarse" in final.why
    bare = made.model_copy(
        update={
            "steps": tuple(
                s.model_copy(update={"cover": None}) if s.n == final.n else s for s in made.steps
            )
        }
    )
    assert "cover-exposed-face" in {f.rule for f in check(bare).findings if f.severity == "stop"}


def test_a_quick_preheat_comes_before_the_first_film(tmp_path: Path) -> None:
    made = planned(tmp_path, MOTIF_AND_NAME)
    preheat = next(step for step in made.steps if step.action == "preheat")
    assert preheat.n < min(step.n for step in presses(made, "tack"))
    assert (preheat.dwell_s or 0) <= 10
    assert "damp" in preheat.why
    assert "creases" in preheat.why
    assert "pressure is right" in preheat.why
    without = made.model_copy(
        update={"steps": tuple(s for s in made.steps if s.action != "preheat")}
    )
    assert "preheat-dry" in {finding.rule for finding in check(without).findings}


@pytest.mark.parametrize(("garment", "area"), [("zip-hoodie", None), ("wind-jacket", "back")])
def test_a_garment_with_a_closure_in_or_under_the_print_is_opened_laid_flat_and_padded(
    tmp_path: Path, garment: str, area: str | None
) -> None:
    looks = {"default": {"finish": "matte"}}
    made = planned(
        tmp_path,
        MOTIF_AND_NAME,
        looks=looks,
        garments=[{"garment": garment, "area": area, "quantity": 5, "artwork_width_mm": 160}],
    )
    actions = [step.action for step in made.steps]
    assert "turn" in actions
    assert "lay the garment flat" in made.steps[actions.index("turn")].why
    pad = actions.index("pad")
    assert made.steps[pad].pad in {s.id for s in SHELF.sheets.values() if s.kind == "pad"}
    assert "pressure" in actions[pad + 1 :]
    assert actions.index("pressure", pad) < actions.index("press")
    without = made.model_copy(
        update={"steps": tuple(s for s in made.steps if s.action not in {"pad", "turn"})}
    )
    assert "pad-under-obstruction" in {f.rule for f in check(without).findings}


def test_without_obstructions_no_pad_is_called_for(tmp_path: Path) -> None:
    assert all(step.action != "pad" for step in planned(tmp_path, MOTIF_AND_NAME).steps)


def test_when_the_pad_comes_out_the_pressure_is_set_again_and_needs_more(tmp_path: Path) -> None:
    made = planned(
        tmp_path,
        MOTIF_AND_NAME,
        looks={"default": {"finish": "matte"}},
        garments=[
            {"garment": "zip-hoodie", "quantity": 5, "artwork_width_mm": 160},
            {"garment": "adult-tee", "quantity": 5, "artwork_width_mm": 160},
        ],
    )
    out = next(step for step in made.steps if step.action == "pad" and step.pad == "out")
    following = [step for step in made.steps if step.n > out.n]
    again = next(step for step in following if step.action in {"pressure", "press", "preheat"})
    assert again.action == "pressure"
    assert "needs more" in again.why


def test_two_top_pieces_side_by_side_on_one_base_share_a_press(tmp_path: Path) -> None:
    made = planned(
        tmp_path,
        MOTIF_AND_NAME,
        joints=[
            {"upper": "#f2c14e", "lower": "#1b3a5c", "meets": "lap"},
            {"upper": "#ffffff", "lower": "#1b3a5c", "meets": "lap"},
        ],
    )
    base, *tops = (piece.id for piece in made.pieces)
    shared = [step for step in presses(made, "tack") if set(step.pieces) == set(tops)]
    assert len(shared) == 1
    assert "trim their carriers apart" in shared[0].why
    assert next(iter(presses(made, "tack"))).pieces == (base,)


@pytest.mark.slow
@pytest.mark.parametrize(("layers", "spoken_of"), [(3, False), (4, True), (5, True)])
def test_more_than_three_layers_make_a_print_bulky(layers: int, spoken_of: bool) -> None:
    stack = ["matte-thin"] * (layers - 1) + ["sparkle-fine"]
    rules = {f.rule for f in check(fabric="cotton-jersey-tee", stack=stack).findings}
    assert ("layer-count" in rules) is spoken_of


def test_a_film_that_shares_no_press_goes_down_in_its_own_full_press_without_a_tack() -> None:
    judged = check(
        fabric="cotton-jersey-tee", stack=["matte-low-temperature", "reflective-stretch"]
    )
    presses = [step for step in judged.steps if step.action == "press"]
    assert [step.purpose for step in presses] == ["full", "full"]
    # Its carrier covers the first; the second lies beside an open face.
    assert [step.cover for step in presses] == [None, "ptfe-cover"]
    assert presses[0].setpoint_c < presses[1].setpoint_c


def test_a_heavy_carrier_comes_off_before_the_full_press_of_what_it_would_mark() -> None:
    judged = check(fabric="polyester-jersey", stack=["metallic-low-temperature", "high-build-soft"])
    assert judged.verdict == "sample"
    purposes = [step.purpose for step in judged.steps if step.action == "press"]
    assert purposes == ["full", "tack", "full"]


def test_a_base_in_full_then_flock_in_full_at_one_setting_where_their_seconds_do_not_meet() -> None:
    shelf = load_catalogue()
    base = shelf.film("matte-smooth")
    short = base.model_copy(
        update={"dwell_s": base.dwell_s.model_copy(update={"low": 8, "best": 10, "high": 10})}
    )
    flock = shelf.film("flock-short")
    assert flock.dwell_s.low > 10
    known = load_knowledge()
    films = {**shelf.films, base.id: short}
    judged = check(
        fabric="cotton-jersey-tee",
        stack=[base.id, flock.id],
        knowledge=replace(known, catalogue=replace(shelf, films=films)),
    )
    presses = [step for step in judged.steps if step.action == "press"]
    assert [step.purpose for step in presses] == ["full", "full"]
    assert presses[0].setpoint_c == presses[1].setpoint_c
    assert not any(finding.rule == "dwell-window" for finding in judged.findings)


def test_a_film_that_comes_without_a_carrier_is_pressed_under_a_cover() -> None:
    known = load_knowledge()
    film = known.catalogue.film("matte-smooth")
    bare = film.model_copy(update={"id": "no-carrier", "carrier_um": 0.0})
    films = {**known.catalogue.films, bare.id: bare}
    judged = check(
        fabric="cotton-jersey-tee",
        stack=[bare.id],
        knowledge=replace(known, catalogue=replace(known.catalogue, films=films)),
    )
    assert judged.verdict == "go"
    [press] = [step for step in judged.steps if step.purpose == "full"]
    assert press.cover is not None


def test_a_piece_is_never_pressed_hotter_than_was_wished() -> None:
    job = Job.model_validate(
        {
            "job": "cool",
            "artwork": "drawn.svg",
            "looks": {
                "#1b3a5c": {"finish": "matte", "most_setpoint_c": 130},
                "#f2c14e": {"finish": "raised"},
            },
            "garments": [{"garment": "adult-tee", "quantity": 5, "artwork_width_mm": 120}],
        }
    )
    svg = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 90 60">
    <rect width="90" height="60" fill="#1b3a5c"/><circle cx="45" cy="30" r="20" fill="#f2c14e"/>
    </svg>"""
    made = plan(job, svg=svg.encode())
    down = False
    for step in made.steps:
        down = down or (step.action == "press" and any("1b3a5c" in p for p in step.pieces))
        if down and step.action == "press":
            assert step.setpoint_c is not None
            assert step.setpoint_c <= 130
    assert down or made.status == "impossible"
