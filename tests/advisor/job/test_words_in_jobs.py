"""Words in jobs: a job written in the shop's own words is the job written in ids."""

from __future__ import annotations

from pathlib import Path

import pytest

from advisor.job.records.job import Job, read_job
from rules.errors import BadInputError

SAID = """
job: words
artwork: kite.svg
looks:
  "#1b3a5c": {finish: Vinyl, colour: Navy Blue}
  "#f2c14e": {finish: glitter, colour: golden}
  "#ffffff": {family: Puff}
  default: {film: foil}
garments:
  - {garment: T-Shirt, colour: Bottle Green, quantity: 24, artwork_width_mm: 240}
  - {garment: hoodies, fabric: cotton, area: Back, artwork_width_mm: 240}
press: Cap 16x8
"""
IN_IDS = """
job: words
artwork: kite.svg
looks:
  "#1b3a5c": {finish: matte, colour: navy}
  "#f2c14e": {finish: sparkle, colour: gold}
  "#ffffff": {family: foam}
  default: {film: metallic-foil}
garments:
  - {garment: adult-tee, colour: forest, quantity: 24, artwork_width_mm: 240}
  - {garment: adult-hoodie, fabric: cotton-jersey-tee, area: back, artwork_width_mm: 240}
press: cap-16x8
"""


def read(folder: Path, text: str) -> Job:
    path = folder / "job.yaml"
    path.write_text(text, encoding="utf-8")
    return read_job(path)


def test_everyday_words_are_read_as_ids(tmp_path: Path) -> None:
    assert read(tmp_path, SAID) == read(tmp_path, IN_IDS)


@pytest.mark.parametrize(
    ("said", "instead", "told"),
    [
        ("Vinyl", "shiny", r"looks\.#1b3a5c\.finish: .*may mean: gloss, metallic, mirror"),
        ("glitter", "gliter", r"looks\.#f2c14e\.finish: .*nearest: sparkle \(glitter\)"),
        ("Puff", "pufff", r"looks\.#ffffff\.family: .*foam \(puff\)"),
        ("T-Shirt", "jacket", r"garments\.0\.garment: .*may mean: wind-jacket"),
        ("hoodies", "hoddie", r"garments\.1\.garment: .*nearest: adult-hoodie \(hoodie\)"),
        ("Vinyl", "matte, film: mate", r"looks\.#1b3a5c\.film: .*nearest: matte-smooth"),
        ("Bottle Green", "botle gren", r"garments\.0\.colour: .*forest \(bottle-green\)"),
        ("fabric: cotton", "fabric: coton", r"garments\.1\.fabric: .*\(cotton\)"),
        ("foil", "foyl", r"looks\.default\.film: .*metallic-foil \(foil\)"),
    ],
)
def test_a_word_that_means_nothing_names_its_field_and_the_nearest(
    tmp_path: Path, said: str, instead: str, told: str
) -> None:
    with pytest.raises(BadInputError, match=r"job\.yaml: " + told):
        read(tmp_path, SAID.replace(said, instead))
