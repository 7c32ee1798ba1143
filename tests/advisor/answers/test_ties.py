"""Ties: a change to a job that does not matter leaves films, order and ways as they were."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from advisor.answers.plan import solve
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan

PIECES = {
    "#1b3a5c": '<rect x="5" y="5" width="60" height="60" fill="#1b3a5c"/>',
    "#f2c14e": '<circle cx="45" cy="35" r="14" fill="#f2c14e"/>',
    "#ffffff": '<rect x="12" y="40" width="30" height="12" fill="#ffffff"/>',
}
UNRELATED = '<rect x="80" y="80" width="15" height="15" fill="#2e8b57"/>'
LOOKS = {
    "matte": {"#1b3a5c": "matte", "#f2c14e": "matte", "#ffffff": "gloss"},
    "sparkle": {"#1b3a5c": "matte", "#f2c14e": "sparkle", "#ffffff": "matte"},
    "metallic": {"#1b3a5c": "satin", "#f2c14e": "metallic", "#ffffff": "matte"},
}


def made(looks: Mapping[str, str], *, quantity: int = 10, more: str = "") -> Plan:
    shapes = "".join(PIECES.values()) + more
    wished: dict[str, Any] = {fill: {"finish": finish} for fill, finish in looks.items()}
    job = {
        "job": "ties",
        "artwork": "ties.svg",
        "width_of": "page",
        "looks": wished | ({"#2e8b57": {"finish": "matte"}} if more else {}),
        "garments": [
            {"garment": "adult-tee", "quantity": quantity, "artwork_width_mm": 200},
        ],
    }
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{shapes}</svg>'
    return solve(Job.model_validate(job), folder=Path(), svg=svg.encode()).plan


def chosen(plan: Plan) -> dict[str, Any]:
    """Films, ways of meeting and the order of the pieces, but for the unrelated one."""
    pieces = [piece for piece in plan.pieces if piece.id != "fill-2e8b57"]
    return {
        "films": {piece.id: (piece.film, piece.colour) for piece in pieces},
        "ways": {(joint.upper, joint.lower): joint.meets for joint in plan.joints},
        "order": sorted((piece.id for piece in pieces), key={p.id: p.rank for p in pieces}.get),
    }


@pytest.mark.parametrize("looks", LOOKS)
def test_what_does_not_matter_changes_nothing(looks: str) -> None:
    first = made(LOOKS[looks])
    assert first.status == "planned"
    assert chosen(made(LOOKS[looks], quantity=11)) == chosen(first)
    assert chosen(made(LOOKS[looks], more=UNRELATED)) == chosen(first)
