"""Off the artboard: what lies beyond it is left out, what reaches over it is trimmed; both said."""

from __future__ import annotations

import pytest

from advisor.artwork.reader import read_artwork


@pytest.mark.parametrize(
    ("x", "said"), [(150, "off the artboard, left out"), (90, "trimmed to it"), (50, "")]
)
def test_a_shape_off_the_artboard_is_told_apart_from_one_that_is_trimmed(x: int, said: str) -> None:
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'
        f'<circle cx="50" cy="50" r="50" fill="#cc0000"/><rect x="{x}" width="50" height="100" '
        'fill="#1b3a5c"/></svg>'
    )
    notes = [note for note in read_artwork(svg, width_mm=100).notes if "artboard" in note]
    assert len(notes) == bool(said)
    assert all(said in note for note in notes)
