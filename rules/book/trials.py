"""Trials: how many samples without a failure say how much."""

from __future__ import annotations

import math
from bisect import bisect_left

__all__ = [
    "HOLDS", "LIKE", "SURE", "TRUSTED", "WASHES", "share_that_holds", "sound_to_trust",
    "trials_without_failure",
]  # fmt: skip

WASHES = 5
"""How often a sample is washed before it is trusted. Common practice, no source."""

TRUSTED = ((0.90, 0.90), (0.90, 0.95), (0.95, 0.95))
"""Shares of garments that hold, and how sure one may be of them, that are worth telling."""

SURE = 0.95
"""How sure the shop may be of a share that its own trials speak for. Common practice, no source."""

HOLDS = 0.90
"""The share of garments that must be sure to hold before none is wanted as a sample. Common
practice, no source."""

LIKE = 0.25
"""What a garment of a like stack counts for, beside one of the stack itself. Ours, from caution."""


def trials_without_failure(holds: float, sure: float) -> int:
    """The samples that must all hold, so that one is so sure that at least such a share holds.

    ``n = ln(1 − C) / ln(R)``, rounded up: were fewer to hold, so many in a row would be luck.

    Args:
        holds: the share R of garments that hold, between 0 and 1.
        sure: the confidence C, between 0 and 1.

    >>> [trials_without_failure(holds, sure) for holds, sure in TRUSTED]
    [22, 29, 59]
    """
    return math.ceil(math.log(1 - sure) / math.log(holds))


def share_that_holds(sound: float, trials: float, sure: float = SURE) -> float:
    """The share of garments that holds at least, by the trials that held: exact and one-sided.

    The lower bound of Clopper and Pearson (Biometrika 26, 1934): were a smaller share to hold, so
    many sound ones would come up with a chance of less than ``1 − sure``. It is a quantile of the
    beta distribution, which takes garments that count in part as well.

    >>> round(share_that_holds(7, 7), 2)
    0.65
    """
    # Only here: most questions are asked before anything was tried.
    from scipy.special import betaincinv

    return float(betaincinv(sound, trials - sound + 1, 1 - sure)) if sound else 0.0


def sound_to_trust(sound: float, failed: float) -> int:
    """How many more must hold until as many as `HOLDS` are sure to.

    >>> sound_to_trust(0, 0), sound_to_trust(7, 0), sound_to_trust(29, 0), sound_to_trust(29, 1)
    (29, 22, 0, 16)
    """
    most = 1
    while share_that_holds(sound + most, sound + most + failed) < HOLDS:
        most *= 2
    return bisect_left(
        range(most),
        HOLDS,
        key=lambda more: share_that_holds(sound + more, sound + more + failed),
    )
