"""Each repair of an impossible job plans when it is made; a rule that always stops has none."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

import pytest

from advisor import plan
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from advisor.job.repaired import repaired_job
from advisor.solver.records import ChangeKind
from rules.book.rule import Found, Judges
from rules.catalogue import load_catalogue
from tests.advisor.answers.test_added_rules import SVG, TRIAL, job, knowledge_with, rule_that

pytestmark = pytest.mark.slow

SEA, SUN = "#1b3a5c", "#f2c14e"
SPARKLE, MATTE = {"finish": "sparkle"}, {"finish": "matte"}


def impossible_job(sea: dict[str, str], sun: dict[str, str], meets: str, **more: object) -> Job:
    joint = {"upper": SUN, "lower": SEA, "meets": meets}
    return job(looks={SEA: sea, SUN: sun}, joints=[joint], **more)


TEE = {"garment": "adult-tee", "quantity": 10, "artwork_width_mm": 200}
SILICONE = TEE | {"fabric": "nylon-silicone-coated", "quantity": 5}

IMPOSSIBLE = {
    "matte laps over sparkle": impossible_job(SPARKLE, MATTE, "lap"),
    "gloss laps over sparkle": impossible_job(SPARKLE, {"finish": "gloss"}, "lap"),
    "sparkle laps over sparkle": impossible_job(SPARKLE, SPARKLE, "lap"),
    "matte laps over foam": impossible_job({"finish": "raised"}, MATTE, "lap"),
    "matte laps over plush": impossible_job({"finish": "plush"}, MATTE, "lap"),
    "foam under foam": impossible_job(
        {"film": "foam-low-temperature"}, {"film": "foam-raised"}, "lap"
    ),
    "mirror laps over reflective": impossible_job(
        {"finish": "reflective"}, {"finish": "mirror"}, "lap"
    ),
    "a rim of sparkle under matte": impossible_job(SPARKLE, MATTE, "inset-over"),
    "one line of silicone nylon": job(garments=[TEE, SILICONE]),
    "a print that is too wide for its press": job(press="small-15x15"),
    "a print that is too wide for one of its garments": job(
        garments=[TEE, TEE | {"garment": "infant-bodysuit"}]
    ),
    "sparkle that presses cool": job(looks={SEA: SPARKLE | {"most_setpoint_c": 90}, SUN: MATTE}),
    "sparkle that peels cold": job(looks={SEA: SPARKLE | {"peel": "cold"}, SUN: MATTE}),
    "a film that is not on the shelf": job(
        looks={SEA: {"film": "matte-cold-peel"}, SUN: SPARKLE}, on_shelf_only=True
    ),
    "sparkle on acetate without a sample": job(
        looks={SEA: SPARKLE, SUN: MATTE},
        garments=[TEE | {"fabric": "acetate-lining"}],
        samples_allowed=False,
    ),
    "foam laps over reflective without a sample": impossible_job(
        {"finish": "reflective"}, {"finish": "raised"}, "lap", samples_allowed=False
    ),
}


@pytest.mark.parametrize("name", IMPOSSIBLE)
def test_each_repair_plans_when_it_is_made(name: str) -> None:
    wished = IMPOSSIBLE[name]
    made = plan(wished, svg=SVG)
    assert made.status == "impossible"
    assert made.repairs
    for changes in made.repairs:
        assert {change.kind for change in changes} <= set(get_args(ChangeKind))
        assert plan(repaired_job(wished, changes), svg=SVG, time_limit_s=0).status == "planned"


ALWAYS: dict[str, tuple[Judges, Any]] = {
    "a preheat": ("schedule", lambda it: it.step.action == "preheat"),
    "any step": ("schedule", lambda it: True),
    "any garment": ("garment", lambda it: bool(it.steps)),
    "any press": ("safety", lambda it: True),
    "any bond line": ("bond_line", lambda it: True),
}


def under(name: str) -> Plan:
    judges, objects = ALWAYS[name]
    rule = rule_that(judges, "stop", lambda it: Found("no", "here") if objects(it) else None)
    return plan(job(), svg=SVG, knowledge=knowledge_with(rule))


@pytest.mark.parametrize("name", ALWAYS)
def test_what_always_stops_has_no_repair_and_is_one_member_of_the_conflict(name: str) -> None:
    made = under(name)
    assert made.status == "impossible"
    assert made.repairs == ()
    assert [clash.rule for clash in made.conflict].count(TRIAL) == 1


@pytest.mark.parametrize("press", ["clamshell-38x38", "draw-40x50"])
@pytest.mark.parametrize("garment", ["adult-tee", "canvas-tote", "wind-jacket", "mesh-bib"])
@pytest.mark.parametrize(
    "looks",
    [
        {SEA: MATTE, SUN: {"finish": "plush"}},
        {SEA: {"family": "high-build"}, SUN: {"family": "dye-blocking"}},
        {SEA: {"film": "clear-gloss"}, SUN: {"finish": "plush"}},
    ],
    ids=["a disc under a flock dot", "high-build under dye-blocking", "clear gloss under flock"],
)
def test_what_heat_says_of_a_piece_that_is_left_out_is_no_hindrance(
    looks: dict[str, Any], garment: str, press: str
) -> None:
    lap = {"upper": SUN, "lower": SEA, "meets": "lap"}
    made = plan(job(looks=looks, garments=[TEE | {"garment": garment}], press=press, joints=[lap]),
                svg=SVG)  # fmt: skip
    assert made.status == "planned" or (made.status == "impossible" and made.conflict)


BAR = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<rect x="10" y="10" width="80" height="80" fill="#1b3a5c"/>
<rect x="20" y="45" width="60" height="3" fill="#f2c14e"/></svg>"""


@pytest.mark.parametrize("widths", [(15,), (15, 200), (15, 20)])
def test_a_print_too_small_for_its_films_is_made_as_large_as_it_must_be(
    widths: tuple[int, ...],
) -> None:
    lines = [TEE | {"artwork_width_mm": mm} for mm in widths]
    wished = job(
        looks={SEA: MATTE, SUN: MATTE}, garments=lines, samples_allowed=False, width_of="page"
    )
    made = plan(wished, svg=BAR)
    assert [clash.rule for clash in made.conflict] == ["wish-samples", "least-stroke"]
    larger = next(changes for changes in made.repairs if changes[0].kind == "size")
    assert plan(repaired_job(wished, larger), svg=BAR).status == "planned"
    less = [change.model_copy(update={"to": f"{float(change.to) * 0.9:.0f}"}) for change in larger]
    assert plan(repaired_job(wished, less), svg=BAR).status == "impossible"


def test_what_no_film_of_the_shelf_bonds_to_is_blamed_itself() -> None:
    made = plan(job(looks={SEA: SPARKLE, SUN: MATTE}, garments=[SILICONE]), svg=SVG)
    assert [clash.rule for clash in made.conflict] == ["coated-fabric"]
    assert made.conflict[0].message.endswith("(and so for every film on the shelf)")
    assert "silicone coating" in made.conflict[0].message
    assert made.repairs == ()


def test_the_wished_look_is_kept_where_another_film_of_it_fits() -> None:
    made = plan(job(looks={SEA: {"film": "sparkle-fine"}, SUN: MATTE},
                    garments=[TEE | {"fabric": "acetate-lining"}]), svg=SVG)  # fmt: skip
    assert made.status == "impossible"
    first = next(changes for changes in made.repairs if changes[0].kind == "film")
    assert [(change.kind, change.to) for change in first] == [("film", "sparkle-low-temperature")]


@pytest.mark.parametrize("sea", ["matte", "mirror"])
def test_what_the_law_asks_of_a_garment_is_told_before_what_its_films_lack(sea: str) -> None:
    wished = job(
        looks={SEA: {"finish": sea}, SUN: MATTE},
        garments=[TEE | {"garment": "child-pyjama-top", "artwork_width_mm": 90}],
        samples_allowed=False,
    )
    made = plan(wished, svg=SVG)
    assert [clash.rule for clash in made.conflict] == ["wish-samples", "nightwear"]
    assert [[change.kind for change in changes] for changes in made.repairs] == [["sample"]]
    beside = wished.model_copy(update={"garments": (*job(garments=[TEE]).garments,
                                                    *wished.garments)})  # fmt: skip
    both = plan(beside, svg=SVG)
    assert [clash.rule for clash in both.conflict] == ["wish-samples", "nightwear"]
    allowed = plan(wished.model_copy(update={"samples_allowed": True}), svg=SVG)
    assert allowed.status == "planned"
    assert {f.severity for f in allowed.findings if f.rule == "nightwear"} == {"sample"}


def test_every_film_of_another_look_is_tried_before_more_looks_are_given_up() -> None:
    made = plan(
        job(
            looks={SEA: {"finish": "mirror"}, SUN: {"finish": "plush"}},
            garments=[TEE | {"garment": "rain-jacket", "artwork_width_mm": 80}],
            samples_allowed=False,
        ),
        svg=SVG,
    )
    assert sorted(change.kind for change in made.repairs[0]) == ["film", "sample"]
    # No sample would answer this one, so that it is told rather than what a sample would.
    assert [clash.rule for clash in made.conflict] == ["wish", "coated-fabric"]


def test_films_of_a_look_that_lie_elsewhere_are_not_spoken_for() -> None:
    made = plan(
        job(
            looks={SEA: {"finish": "plush"}, SUN: MATTE},
            garments=[TEE | {"garment": "shopping-bag", "artwork_width_mm": 90}],
            on_shelf_only=True,
        ),
        svg=SVG,
    )
    (told,) = [f"{clash.message}" for clash in made.conflict if clash.rule != "wish"]
    assert "(and so for every film on the shelf for " in told


def test_a_cool_press_is_loosened_to_the_nearest_film_before_one_is_bought() -> None:
    wished = job(looks={SEA: MATTE | {"most_setpoint_c": 100}, SUN: SPARKLE}, on_shelf_only=True)
    made = plan(wished, svg=SVG)
    assert made.status == "impossible"
    first = made.repairs[0]
    assert [(change.kind, change.to) for change in first] == [("setpoint", "110")]
    assert str(first[0].message) == "allow 110 °C for the matte #1b3a5c"
    again = plan(repaired_job(wished, first), svg=SVG)
    assert again.status == "planned"
    assert [made.film for made in again.pieces if made.id == "fill-1b3a5c"] == [
        "matte-low-temperature"
    ]
    kinds = [change.kind for changes in made.repairs for change in changes]
    assert "buy" not in kinds


FACE = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<rect x="5" y="5" width="90" height="90" fill="#1b3a5c"/>
<circle cx="30" cy="40" r="14" fill="#f2c14e"/><circle cx="70" cy="40" r="14" fill="#f2c14e"/>
<circle cx="30" cy="40" r="7" fill="#1b3a5c"/>
<rect x="25" y="70" width="50" height="12" fill="#ffffff"/></svg>"""


def test_a_look_is_changed_once_for_all_its_pieces_and_for_no_clear_film() -> None:
    bag = {"garment": "shopping-bag", "colour": "green", "quantity": 3, "artwork_width_mm": 200}
    looks = {SEA: MATTE, SUN: {"finish": "plush"}, "#ffffff": {"finish": "raised"}}
    wished = job(looks=looks, garments=[bag], on_shelf_only=True)
    made = plan(wished, svg=FACE)
    assert made.status == "impossible"
    assert made.repairs
    for changes in made.repairs:
        changed = [piece[:11] for change in changes for piece in change.pieces]
        films = {change.to for change in changes}
        assert {"fill-f2c14e", "fill-ffffff"} >= set(changed)
        assert len({frozenset(c.pieces) for c in changes}) == len({*changed})
        assert not any("clear" in film for film in films)
        assert plan(repaired_job(wished, changes), svg=FACE).status == "planned"


def test_a_colour_that_cannot_be_read_is_blamed_and_another_of_the_same_finish_proposed(
    tmp_path: Path,
) -> None:
    (tmp_path / "crew.csv").write_text("name\nMIA\nTOM\n")
    job = Job.model_validate(
        {
            "job": "kids",
            "artwork": str(DEMO_FOLDER / "bag.svg"),
            "looks": {"default": {"finish": "matte", "colour": "white"}},
            "names": {
                "file": "crew.csv",
                "box_mm": [0, 200, 180, 40],
                "look": {"finish": "sparkle", "colour": "pink"},
            },
            "garments": [
                {
                    "garment": "adult-tee",
                    "colour": "lilac",
                    "quantity": 2,
                    "artwork_width_mm": 180,
                }
            ],
        }
    )
    made = plan(job, folder=tmp_path)
    assert made.status == "impossible"
    assert "the names are to be sparkle in pink" in {str(one.message) for one in made.conflict}
    first = made.repairs[0]
    (change,) = first
    known = load_catalogue()
    film = known.film(change.to)
    assert "sparkle" in film.finishes
    assert film.on_shelf_m > 0
    assert change.recoloured
    assert change.colour in {colour.name for colour in film.colours} - {"pink"}
    assert str(change.message) == f"cut the names from {film.id} in {change.colour}"
    for repair in made.repairs:
        repaired = plan(repaired_job(job, repair), folder=tmp_path)
        assert repaired.status == "planned", [str(one.message) for one in repair]
