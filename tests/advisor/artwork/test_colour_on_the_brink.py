"""A colour on the brink of another name is weighed as the finished plan is judged."""

from advisor.artwork.colour import nearest_colour
from rules.book.artwork.colour_match import ANOTHER_COLOUR_DELTA_E
from rules.book.colour_difference import colour_difference
from rules.facts.fact import Colour

WINE = "#bb1d80"
PURPLE = Colour(name="purple", srgb="#5d3185")


def test_a_difference_just_short_of_another_colour_counts_as_the_plan_file_writes_it() -> None:
    assert colour_difference(WINE, PURPLE.srgb) > ANOTHER_COLOUR_DELTA_E - 0.005
    assert colour_difference(WINE, PURPLE.srgb) < ANOTHER_COLOUR_DELTA_E
    assert nearest_colour(WINE, [PURPLE])[1] == ANOTHER_COLOUR_DELTA_E
