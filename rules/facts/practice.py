"""Practice: the figures that decorators work by, each defined once with what it rests on.

The rules judge by them and the planner plans by them, so that a plan meets its own checker.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from rules.facts.film import Peel
from rules.facts.step import Meets

__all__ = [
    "BUTT_EXTRA_S", "CLOSE_S", "COLD_PEEL_WAIT_S", "COOLS_OFF_PRESS", "COVER_S", "INSET_EXTRA_S",
    "LAP_SHIFT_MM", "LAY_S", "LEAST_PREHEAT_S", "LEAST_TACK_S", "LOAD_S", "LONGEST_HOT_PEEL_WAIT_S",
    "LONGEST_PREHEAT_S", "LONGEST_TACK_S", "LONG_TACK_S", "LONG_UNATTENDED_S",
    "MEETING_S", "PEEL_S",
    "PEEL_WAIT_S", "PLATEN_EDGE_MM", "PREHEAT_S", "PROUD_MM", "ROLL_S",
    "SET_UP_S", "TACK_S", "TURN_S", "WARM_PEEL_WAIT_S", "laid_again_s",
]  # fmt: skip

TACK_S = 2.0
"""Seconds of a tack: enough to grab, too little to shrink the film. Common practice, no source."""

LEAST_TACK_S = 1.0
"""Under this a film may not grab and lifts with its carrier. Common practice, no source."""

LONGEST_TACK_S = 5.0
"""Beyond this it is no tack: faces take heat and carriers set. Common practice, no source."""

LONG_TACK_S = 8.0
"""From here a tack shrinks a film as a full press does. Common practice, no source."""

PREHEAT_S = 4.0
"""Seconds that drive out damp and creases before the first film; no preheat is planned shorter,
and what holds much water is preheated longer. Common practice, no source."""

LEAST_PREHEAT_S = 2.0
"""A shorter preheat leaves damp in the fabric. Common practice, no source."""

LONGEST_PREHEAT_S = 10.0
"""A longer preheat only shrinks and scorches the fabric. Common practice, no source."""

WARM_PEEL_WAIT_S = 10.0
"""Seconds with the press open before a warm peel. Common practice, no source."""

COLD_PEEL_WAIT_S = 45.0
"""Seconds to cool, off the press, before a cold peel. Common practice, no source."""

LONGEST_HOT_PEEL_WAIT_S = 5.0
"""After longer a hot-peel carrier has cooled and comes off unevenly. Common practice, no source."""

PEEL_WAIT_S: Mapping[Peel, float] = MappingProxyType(
    {"hot": 0.0, "warm": WARM_PEEL_WAIT_S, "cold": COLD_PEEL_WAIT_S}
)
"""Seconds to wait before each way of peeling, s; before a cold one off the press."""

COOLS_OFF_PRESS: frozenset[Peel] = frozenset({"cold"})
"""Ways of peeling for which a garment leaves the press, so that the next is pressed while it cools:
a warm one is over before the next is loaded. Common practice, no source."""

LAP_SHIFT_MM = 1.0
"""How much narrower than drawn the border of a piece under another may be, mm; nothing has to meet
there, and less goes unseen. Common practice, no source."""

PROUD_MM = 0.8
"""A seam or closure higher than this keeps the platen off the film. Common practice, no source."""

PLATEN_EDGE_MM = 10.0
"""Rim of a platen, mm on each side, that heats and presses less evenly. Common practice, no
source."""

LONG_UNATTENDED_S = 60.0
"""Beyond this one is tempted to walk away from a hot press. Common practice, no source."""


LOAD_S = 25.0
"""Seconds to lay a garment on the platen, smooth it and take it off again. Generic."""
TURN_S = 10.0
"""Seconds to turn a garment over on the platen and smooth it again. Generic."""
LAY_S = 12.0
"""Seconds to lay one piece in place. Generic."""
INSET_EXTRA_S = 8.0
"""Seconds more to register a piece in its window. Generic."""
BUTT_EXTRA_S = 15.0
"""Seconds more to register two edges against each other. Generic."""
MEETING_S: Mapping[Meets, float] = MappingProxyType(
    {"lap": 0.0, "inset-under": INSET_EXTRA_S, "inset-over": INSET_EXTRA_S, "butt": BUTT_EXTRA_S}
)
"""Seconds more, by the way in which two pieces meet, s."""
PEEL_S = 4.0
"""Seconds to peel one carrier. Generic."""
CLOSE_S = 3.0
"""Seconds to close and open the press once. Generic."""
COVER_S = 5.0
"""Seconds to lay a cover sheet and lift it again. Generic."""
ROLL_S = 120.0
"""Seconds to put another roll on the cutter and cut a trial, once for an order. Generic."""
SET_UP_S = 60.0
"""Seconds to set pressure or a pad, once for a run of one garment. Generic."""


def laid_again_s(garments: int) -> float:
    """Seconds that each garment of a run is handled more where the dial is turned on the way, s.

    All are done at the first setting before it is turned, so that each of several comes off the
    press and on once more; one alone stays there. Common practice, no source.

    >>> laid_again_s(1), laid_again_s(2)
    (0.0, 25.0)
    """
    return LOAD_S if garments > 1 else 0.0
