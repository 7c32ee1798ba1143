"""What is cut from one film and colour lies on one carrier, and what no film tells apart is one."""

from __future__ import annotations

from pathlib import Path

import yaml

from advisor import plan
from advisor.job.records.plan import Plan
from rules.facts.practice import LAY_S, PEEL_S


def planned(folder: Path, shapes: str, garment: str, looks: dict[str, object]) -> Plan:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{shapes}</svg>'
    (folder / "drawn.svg").write_text(svg, encoding="utf-8")
    job = {
        "job": "one carrier",
        "artwork": "drawn.svg",
        "looks": looks,
        "garments": [{"garment": garment, "quantity": GARMENTS, "artwork_width_mm": 150}],
    }
    (folder / "job.yaml").write_text(yaml.safe_dump(job), encoding="utf-8")
    return plan(folder / "job.yaml", time_limit_s=10)


def presses(made: Plan) -> list[tuple[str, ...]]:
    return [step.pieces for step in made.steps if step.action == "press"]


GARMENTS = 2

APART = (
    '<rect x="5" y="5" width="30" height="90" fill="#2a9d8f"/>'
    '<rect x="60" y="5" width="30" height="90" fill="#e4572e"/>'
)

NEAR = (
    '<rect x="5" y="5" width="40" height="90" fill="#2a9d8f"/>'
    '<rect x="48" y="5" width="40" height="90" fill="#e4572e"/>'
)


def test_two_pieces_of_one_film_and_colour_go_down_together_however_close(tmp_path: Path) -> None:
    made = planned(
        tmp_path, NEAR, "adult-tee", {"default": {"film": "matte-smooth", "colour": "white"}}
    )
    assert made.status == "planned"
    assert presses(made) == [("fill-2a9d8f", "fill-e4572e")]
    assert not any("trim" in str(step.why) for step in made.steps)


def test_one_sheet_is_laid_and_peeled_once_however_many_pieces_are_cut_from_it(
    tmp_path: Path,
) -> None:
    white = {"default": {"film": "matte-smooth", "colour": "white"}}
    two = planned(tmp_path, APART, "adult-tee", dict(white))
    one = planned(tmp_path, APART.replace("#e4572e", "#2a9d8f"), "adult-tee", dict(white))
    assert (len(one.pieces), len(two.pieces)) == (1, 2)
    assert two.minutes == one.minutes
    of_two = planned(
        tmp_path, APART, "adult-tee",
        {**white, "#e4572e": {"film": "matte-smooth", "colour": "black"}},
    )  # fmt: skip
    # Laid in the same press and peeled with the other: two pieces of film in all.
    assert len(presses(of_two)) == len(presses(one)) == 1
    assert of_two.minutes is not None
    assert one.minutes is not None
    longer_s = 60 * (of_two.minutes - one.minutes) / GARMENTS
    assert abs(longer_s - (LAY_S + PEEL_S)) < 0.7


def test_two_films_whose_carriers_overlap_do_not(tmp_path: Path) -> None:
    looks: dict[str, object] = {
        "#2a9d8f": {"film": "matte-smooth", "colour": "white"},
        "#e4572e": {"film": "matte-smooth", "colour": "black"},
    }
    made = planned(tmp_path, NEAR, "adult-tee", looks)
    assert made.status == "planned"
    assert not any({"fill-2a9d8f", "fill-e4572e"} <= set(press) for press in presses(made)[:-1])
    assert len(presses(made)) == 3


def test_shades_that_no_film_tells_apart_are_cut_as_one_piece(tmp_path: Path) -> None:
    discs = "".join(
        f'<circle cx="50" cy="50" r="{radius}" fill="{fill}"/>'
        for radius, fill in ((48, "#101010"), (34, "#181a1e"), (20, "#20242c"))
    )
    made = planned(
        tmp_path, discs, "adult-tee", {"default": {"film": "matte-smooth", "colour": "black"}}
    )
    assert made.status == "planned"
    assert len(made.pieces) == 1
    assert len(presses(made)) == 1
