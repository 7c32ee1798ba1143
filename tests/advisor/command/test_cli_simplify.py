"""The command cut --simplify: what it takes away of the drawing is said, before and after."""

from __future__ import annotations

from pathlib import Path

from tests.advisor.command.command_line import run

CREST = """<svg xmlns="http://www.w3.org/2000/svg" width="70mm" height="70mm" viewBox="0 0 70 70">
<path d="M0,0H70V50H0z M20,62H51V62.47H20z" fill="#ffffff"/></svg>"""

JOB = """job: crest
artwork: crest.svg
looks: {"#ffffff": {film: matte-smooth, colour: white}}
garments: [{garment: adult-tee, colour: navy, quantity: 10, artwork_width_mm: 70}]
press: clamshell-38x38
"""


def test_a_bar_that_simplifying_would_take_away_is_told_and_advised_against(tmp_path: Path) -> None:
    (tmp_path / "crest.svg").write_text(CREST)
    (tmp_path / "crest.yaml").write_text(JOB)
    drawn = run("cut", tmp_path / "crest.yaml", "--out", tmp_path / "drawn")
    assert drawn.exit_code == 0, drawn.output
    said = " ".join(drawn.output.split())
    assert "but then the whole part of 31 × 0.47 mm at" in said
    assert "thicken it in the drawing or print it larger; --simplify only where" in said
    simple = run("cut", tmp_path / "crest.yaml", "--out", tmp_path / "simple", "--simplify")
    said = " ".join(simple.output.split())
    assert "Made simpler for its film" in said
    assert "the whole part of 31 × 0.47 mm at" in said
    assert said.count("is gone") == 1
