"""What is logged has its say in what the shop is told next."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import delete, text

from advisor import check, plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from advisor.shop.knowledge import shop_knowledge
from advisor.shop.log import (
    all_logged,
    keep_logged,
    pressed_by_plan,
    pressed_stack,
    remove_logged,
)
from advisor.shop.store import open_store
from advisor.shop.tables import logged_counts, logged_presses
from rules.knowledge import load_knowledge

SHELF = load_knowledge().catalogue
ARTWORK = b"""<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<rect x="10" y="10" width="80" height="80" fill="#1b2a49"/>
<rect x="30" y="30" width="40" height="40" fill="#ffffff"/></svg>"""


@pytest.fixture
def store(tmp_path: Path) -> Path:
    return tmp_path / "shop.sqlite"


def job(lower: str, upper: str, **line: object) -> Job:
    """One film over another on a garment, with no choice but to lap them."""
    return Job.model_validate(
        {
            "job": "badge",
            "artwork": "badge.svg",
            "looks": {
                "#1b2a49": {"film": lower, "colour": "navy"},
                "#ffffff": {"film": upper, "colour": "white"},
            },
            "joints": [{"upper": "#ffffff", "lower": "#1b2a49", "meets": "lap"}],
            "garments": [{"quantity": 4, "artwork_width_mm": 120} | line],
        }
    )


SEALED = job("gloss-smooth", "matte-smooth", garment="adult-tee", colour="black")
DYED = job("matte-smooth", "matte-smooth", garment="sports-jersey", colour="red")


def planned(asked: Job, store: Path) -> Plan:
    known = shop_knowledge(store=store)
    made = plan(asked, svg=ARTWORK, knowledge=known)
    assert check(made, knowledge=known).findings == made.findings
    weighed = dict(zip(made.proof.measures, made.proof.objective or (), strict=True))
    assert weighed["samples"] == sum(one.severity == "sample" for one in made.findings)
    return made


def log(made: Plan, store: Path, *, outcome: str = "sound", garments: int = 29) -> None:
    told = pressed_by_plan(made, None, SHELF)
    bonds = tuple(replace(bond, outcome=outcome) for bond in told.bonds)
    keep_logged(replace(told, bonds=bonds, garments=garments, washes=25), store=store)


@pytest.mark.slow
@pytest.mark.parametrize(("asked", "rule"), [(SEALED, "sealed-face"), (DYED, "dye-bleed")])
def test_a_plan_that_29_garments_outlived_wants_no_sample_any_more(
    asked: Job, rule: str, store: Path
) -> None:
    first = planned(asked, store)
    assert rule in {one.rule for one in first.findings if one.severity == "sample"}
    log(first, store, garments=28)
    assert planned(asked, store).verdict == "sample"
    log(first, store, garments=1)
    again = planned(asked, store)
    assert (again.verdict, again.proof.optimal) == ("go", True)
    (lifted,) = [one for one in again.findings if one.rule == rule and one.seen]
    assert "Pressed 29 times here, all sound after 25 washes: at least 0.90" in lifted.seen
    of_upper = next(line.tried for line in again.bond_lines if line.below == first.pieces[0].film)
    assert of_upper is not None
    assert (of_upper.trials, of_upper.sound, of_upper.sound_to_go) == (29, 29, 0)


@pytest.mark.slow
def test_what_failed_is_planned_in_other_films_or_as_a_sample(store: Path) -> None:
    either = SEALED.model_copy(
        update={"looks": {**SEALED.looks, "#1b2a49": type(SEALED.looks["#1b2a49"])(finish="matte")}}
    )
    first = planned(either, store)
    assert first.verdict == "go"
    log(first, store, outcome="edge-lift", garments=1)
    again = planned(either, store)
    assert again.verdict == "go"
    assert [p.film for p in again.pieces] != [p.film for p in first.pieces]
    asked_again = check(first, knowledge=shop_knowledge(store=store))
    assert asked_again.verdict == "sample"
    assert "What failed in this shop may fail again" in " ".join(
        one.why for one in asked_again.findings
    )


@pytest.mark.slow
def test_what_held_cooler_than_it_is_pressed_now_is_found_out_before_the_plan_is_shown(
    store: Path,
) -> None:
    told = pressed_by_plan(planned(SEALED, store), None, SHELF)
    cooler = tuple(
        replace(bond, setpoint_c=(bond.setpoint_c or 0) - 1) for bond in told.bonds
    )  # fmt: skip
    keep_logged(replace(told, bonds=cooler, garments=100, washes=25), store=store)
    assert planned(SEALED, store).verdict == "sample"


def test_a_plan_is_logged_as_it_sets_its_full_presses(store: Path) -> None:
    made = planned(SEALED, store)
    full = [step for step in made.steps if step.purpose == "full"]
    told = pressed_by_plan(made, None, SHELF)
    assert {bond.setpoint_c for bond in told.bonds} == {step.setpoint_c for step in full}
    assert {bond.dwell_s for bond in told.bonds} == {sum(step.dwell_s or 0 for step in full)}
    assert [(bond.film, bond.below, bond.under, bond.colour) for bond in told.bonds] == [
        ("gloss-smooth", told.fabric, (), made.pieces[0].srgb),
        ("matte-smooth", "gloss-smooth", (), made.pieces[1].srgb),
    ]
    assert told.colour == SHELF.fabric("adult-tee:black").colour.srgb


STACKS = st.lists(
    st.sampled_from(["matte-smooth", "gloss-smooth:black", "sparkle-coarse"]),
    min_size=1,
    max_size=3,
)
ENTRIES = st.tuples(
    st.sampled_from(["adult-tee", "adult-tee:navy", "drawstring-bag"]),
    STACKS,
    st.sampled_from([None, 150.0, 160.0]),
    st.sampled_from(["sound", "crack"]),
    st.integers(1, 3),
    st.integers(0, 30),
)


@settings(
    max_examples=25,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(entries=st.lists(st.tuples(ENTRIES, st.booleans()), max_size=6))
def test_what_is_counted_by_stack_is_the_log_counted_one_by_one(
    entries: list[tuple[tuple[str, list[str], float | None, str, int, int], bool]], store: Path
) -> None:
    with open_store(store) as connection:
        connection.execute(delete(logged_presses))
        connection.execute(delete(logged_counts))
    for (fabric, films, setpoint_c, outcome, garments, washes), stays in entries:
        told = pressed_stack(
            fabric, films, "clamshell-38x38", SHELF,
            setpoint_c=setpoint_c, dwell_s=None if setpoint_c is None else 15.0,
        )  # fmt: skip
        bonds = tuple(replace(bond, outcome=outcome) for bond in told.bonds)
        kept = keep_logged(
            replace(told, bonds=bonds, garments=garments, washes=washes), store=store
        )
        if not stays:
            remove_logged(kept.number, store=store)
    one_by_one: dict[tuple[object, ...], int] = {}
    for logged in all_logged(store=store):
        for bond in logged.bonds:
            under = None if bond.under is None else ",".join(bond.under)
            key = (bond.film, bond.below, under, logged.fabric, logged.press, bond.colour,
                   logged.colour, bond.setpoint_c, bond.dwell_s, bond.outcome,
                   logged.washes)  # fmt: skip
            one_by_one[key] = one_by_one.get(key, 0) + logged.garments
    with open_store(store) as connection:
        rows = connection.execute(text("SELECT * FROM logged_count")).all()
    assert {tuple(row[1:-1]): row[-1] for row in rows} == one_by_one
