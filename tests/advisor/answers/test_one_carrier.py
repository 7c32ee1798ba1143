"""What is cut from one film and colour lies on one carrier, and what no film tells apart is one."""

from __future__ import annotations

from pathlib import Path

import yaml

from advisor import plan
from advisor.job.records.plan import Plan


def planned(folder: Path, shapes: str, garment: str, looks: dict[str, object]) -> Plan:
    svg = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">{shapes}</svg>'
    (folder / "drawn.svg").write_text(svg, encoding="utf-8")
    job = {
        "job": "one carrier",
        "artwork": "drawn.svg",
        "looks": looks,
        "garments": [{"garment": garment, "quantity": 2, "artwork_width_mm": 150}],
    }
    (folder / "job.yaml").write_text(yaml.safe_dump(job), encoding="utf-8")
    return plan(folder / "job.yaml", time_limit_s=10)


def presses(made: Plan) -> list[tuple[str, ...]]:
    return [step.pieces for step in made.steps if step.action == "press"]


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
