"""Gradient without colours: what it fills paints nothing, and that is said."""

from __future__ import annotations

import pytest

from advisor.artwork.reader import read_artwork

SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="100mm" viewBox="0 0 100 100"
xmlns:xlink="http://www.w3.org/1999/xlink">{gradient}
<rect id="sky" width="100" height="100" fill="url(#g)"/>
<circle cx="50" cy="50" r="20" fill="#cc0000"/></svg>"""


@pytest.mark.parametrize(
    "gradient",
    [
        '<linearGradient id="g"/>',
        '<linearGradient id="g" xlink:href="#h"/><radialGradient id="h" xlink:href="#g"/>',
    ],
)
def test_a_shape_whose_gradient_has_no_colours_is_said_to_be_left_out(gradient: str) -> None:
    artwork = read_artwork(SVG.format(gradient=gradient), width_mm=100)
    assert [piece.fill for piece in artwork.pieces] == ["#cc0000"]
    (said,) = [note for note in artwork.notes if "has no colours" in note]
    assert "sky" in said


def test_a_gradient_of_one_colour_is_that_colour_without_a_word() -> None:
    one = '<linearGradient id="g"><stop stop-color="#1b3a5c"/></linearGradient>'
    artwork = read_artwork(SVG.format(gradient=one), width_mm=100)
    assert [piece.fill for piece in artwork.pieces] == ["#1b3a5c", "#cc0000"]
    assert not artwork.notes
