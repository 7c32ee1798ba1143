"""Joints told: how pieces meet is said of those that meet, and of no others."""

from __future__ import annotations

import pytest

from advisor import plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from advisor.words.plan import joint_clause, piece_names
from advisor.words.ticket.page import ticket_html
from rules.facts.step import Meets
from rules.facts.units import Units

NAVY, WHITE, RED = "#1b2a49", "#ffffff", "#c8102e"
SIDE_BY_SIDE = (
    f'<rect y="20" width="50" height="60" fill="{NAVY}"/>'
    f'<rect x="40" y="35" width="40" height="30" fill="{WHITE}"/>'
    f'<rect x="30" y="30" width="30" height="40" fill="{RED}"/>'
)
"""White and navy overlap under red alone."""
ONE_IN_ANOTHER = (
    f'<rect width="100" height="100" fill="{NAVY}"/>'
    f'<rect x="20" y="20" width="60" height="60" fill="{WHITE}"/>'
    f'<rect x="40" y="40" width="20" height="20" fill="{RED}"/>'
)


def planned(shapes: str, *joints: tuple[str, str, Meets]) -> Plan:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{shapes}</svg>'
    job = {
        "job": "joints told",
        "artwork": "a.svg",
        "looks": {"default": {"film": "matte-smooth"}},
        "garments": [{"garment": "adult-tee", "quantity": 5, "artwork_width_mm": 200}],
        "joints": [
            {"upper": upper, "lower": lower, "meets": meets} for upper, lower, meets in joints
        ],
    }
    return plan(Job.model_validate(job), svg=svg.encode())


def told(made: Plan) -> set[str]:
    names = piece_names(made)
    clauses = {joint_clause(joint, names, Units()) for joint in made.seen_joints}
    written = ticket_html(made)
    every = {joint_clause(joint, names, Units()) for joint in made.joints}
    assert {clause for clause in every if clause in written} == clauses
    return {clause.replace(" matte-smooth", "").partition(",")[0] for clause in clauses}


@pytest.mark.parametrize("way", ["butt", "inset-over"])
def test_what_a_third_film_knocks_out_is_not_said_to_lie_under_another(way: Meets) -> None:
    made = planned(SIDE_BY_SIDE, (RED, NAVY, way), (RED, WHITE, "lap"), (WHITE, NAVY, "lap"))
    assert not [clause for clause in told(made) if "white" in clause and "navy" in clause]
    assert len(made.seen_joints) == 2


def test_two_that_lie_on_one_another_under_a_third_are_told() -> None:
    made = planned(SIDE_BY_SIDE, (RED, NAVY, "lap"), (RED, WHITE, "lap"), (WHITE, NAVY, "lap"))
    assert "white laps over navy" in told(made)


def test_a_piece_in_a_window_is_told_to_lap_over_what_lies_under_the_window() -> None:
    made = planned(ONE_IN_ANOTHER, (RED, WHITE, "butt"), (WHITE, NAVY, "lap"))
    assert told(made) == {
        "red laps over navy", "white laps over navy", "red and white meet edge to edge"
    }  # fmt: skip
    lapped = planned(ONE_IN_ANOTHER, (RED, WHITE, "lap"), (WHITE, NAVY, "lap"))
    assert told(lapped) == {"red laps over white", "white laps over navy"}
