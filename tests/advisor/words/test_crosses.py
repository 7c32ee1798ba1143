"""Crosses in words: card and steps speak of tape where the sheets that are cut bear crosses."""

from __future__ import annotations

from itertools import product
from pathlib import Path

from advisor import plan
from advisor.artwork.job_artwork import artwork_in
from advisor.cutting.layout import lay_out
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.catalogue import load_catalogue

DRAWN = {
    "one": '<rect width="90" height="60" fill="#1b3a5c"/>',
    "sun": '<rect width="90" height="60" fill="#1b3a5c"/><circle cx="30" cy="30" r="18" '
    'fill="#f2c14e"/>',
    "dot": '<rect width="90" height="60" fill="#1b3a5c"/><circle cx="30" cy="30" r="2.2" '
    'fill="#f2c14e"/>',
    "ring": '<circle cx="45" cy="45" r="44" fill="#1b3a5c"/><circle cx="45" cy="45" r="30" '
    'fill="#f2c14e"/><circle cx="45" cy="45" r="15" fill="#ffffff"/>',
    "full": '<rect width="90" height="60" fill="#1b3a5c"/><rect x="3" y="3" width="84" height="54" '
    'fill="#ffffff"/>',
}


def drawn(name: str) -> bytes:
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" width="90mm" height="90mm" viewBox="0 0 90 90">'
        f"{DRAWN[name]}</svg>"
    ).encode()


def job(name: str, width_mm: float, rate_per_hour: float) -> Job:
    line = {"garment": "adult-tee", "quantity": 5, "artwork_width_mm": width_mm}
    return Job.model_validate(
        {
            "job": name,
            "artwork": f"{name}.svg",
            "looks": {"default": {"finish": "matte", "film": "matte-smooth"}},
            "garments": [line | {"colour": "white" if name != "full" else "black"}],
            "rates": {"rate_per_hour": rate_per_hour},
        }
    )


def speaks(made: Plan) -> set[bool]:
    card = any("crosses" in line for line in made.card)
    return {
        card,
        any("tape off" in line for line in made.card),
        any("bears crosses" in step.why for step in made.steps),
        any("Pull the tape off" in step.why for step in made.steps),
    }


CASES = list(product(DRAWN, ((60.0, 1.0), (90.0, 40.0), (220.0, 25.0))))


def crossed(name: str, size: tuple[float, float]) -> bool:
    """Whether the sheets of a job bear crosses; its plan must say so in all places or in none."""
    asked = job(name, *size)
    made = plan(asked, folder=Path(), svg=drawn(name), time_limit_s=5)
    artwork = artwork_in(Path(), asked, svg=drawn(name))
    cut = lay_out(made, artwork, catalogue=load_catalogue(), rates=asked.rates)
    found = any(carrier.sheet.marks for one in cut for carrier in one.carriers)
    assert speaks(made) == {found}
    assert speaks(Plan.model_validate_json(made.text())) == {found}
    return found


def test_card_and_steps_speak_of_crosses_where_the_sheets_bear_them_and_only_there() -> None:
    found = [crossed(name, size) for name, size in CASES]
    assert not any(found[:3])
    assert 3 <= sum(found) < len(found) - 3
