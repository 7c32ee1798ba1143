"""Cost: the seconds that a garment takes at the press, and what time and film cost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from advisor.job.records.job import Rates
from advisor.job.records.print import Pair
from advisor.layering.records.pressing import Stage
from rules.facts.fabric import Fabric
from rules.facts.film import Film, Peel
from rules.facts.moisture import preheat_s
from rules.facts.practice import (
    CLOSE_S,
    COOLS_OFF_PRESS,
    COVER_S,
    LAY_S,
    LOAD_S,
    MEETING_S,
    PEEL_S,
    PEEL_WAIT_S,
    TACK_S,
    laid_again_s,
)
from rules.facts.press import Press
from rules.facts.step import Meets

__all__ = [
    "change_ms", "film_cost", "garment_seconds", "peel_seconds", "warming_s",
]  # fmt: skip


def change_ms(press: Press, runs: Sequence[int]) -> tuple[int, int, int]:
    """What a change of the dial takes of the average garment, in whole milliseconds.

    Its share of heating and of cooling the press by a step, and of being laid on again.

    Args:
        runs: garments of each run; each run turns the dial once.

    Whole numbers, so that every solver adds them up alike.

    >>> from rules.catalogue import load_catalogue
    >>> press = load_catalogue().press("clamshell-38x38")
    >>> change_ms(press, [10]), change_ms(press, [1])
    ((2727, 10000, 25000), (27273, 100000, 0))
    """
    share = len(runs) / sum(runs)
    return (
        round(60_000 * press.setpoint_step_c / press.heats_c_per_min * share),
        round(60_000 * press.setpoint_step_c / press.cools_c_per_min * share),
        round(1000 * sum(count * laid_again_s(count) for count in runs) / sum(runs)),
    )


def peel_seconds(peel: Peel, waits_s: Mapping[Peel, float] = PEEL_WAIT_S) -> float:
    """Seconds that a way of peeling keeps press and hands, s.

    What cools off the press keeps neither meanwhile, but is taken up once more, to be pressed again
    or to be peeled and put away: as long as laying a garment on. Common practice, no source.

    >>> peel_seconds("warm"), peel_seconds("cold")
    (10.0, 25.0)
    """
    return LOAD_S if peel in COOLS_OFF_PRESS else waits_s[peel]


def warming_s(fabric: Fabric) -> float:
    """Seconds of the preheat, with its cover laid and lifted where a bare platen would mark, s."""
    return preheat_s(fabric) + (COVER_S if fabric.platen_marks else 0.0)


def garment_seconds(
    groups: Sequence[Sequence[str]],
    stages: Sequence[Stage],
    films: Mapping[str, Film],
    meets: Mapping[Pair, Meets],
    *,
    carriers: Mapping[str, str],
    press: Press,
    warming_s: float,
    runs: Sequence[int] = (1,),
    tack_s: Sequence[float] | None = None,
    peel_wait_s: Sequence[Mapping[Peel, float]] | None = None,
) -> float:
    """Seconds that one garment keeps press and hands, with what changes of the dial take of it.

    Args:
        groups: the pieces of each press, in order.
        stages: the finishing stages over these groups.
        films: the film of each piece.
        meets: how each pair meets, for the extra registering of insets and butts.
        carriers: by piece, its carrier among those of its press, as `Problem.carriers` tells them
            apart; each is laid and peeled once.
        warming_s: seconds of the preheat with its cover, s.
        runs: garments of each run, as `change_ms` takes them.
        tack_s: seconds of each group's tack, s; the usual where not given.
        peel_wait_s: by group, the wait before each way of peeling, s; the usual where not given.
    """
    direct = {stage.last for stage in stages if stage.direct}
    seconds = LOAD_S + CLOSE_S + warming_s
    for i, group in enumerate(groups):
        seconds += len({carriers[piece] for piece in group}) * (LAY_S + PEEL_S)
        waits_s = peel_wait_s[i] if peel_wait_s is not None else PEEL_WAIT_S
        peels = sorted({films[piece].peel for piece in group})
        seconds += sum(peel_seconds(peel, waits_s) for peel in peels)
        if i not in direct:
            seconds += CLOSE_S + (tack_s[i] if tack_s is not None else TACK_S)
    for stage in stages:
        seconds += CLOSE_S + stage.dwell_s + (0.0 if stage.bare else COVER_S)
    heating_ms, cooling_ms, again_ms = change_ms(press, runs)
    for earlier, later in pairwise(stages):
        rise = press.dial_step(later.setpoint_c) - press.dial_step(earlier.setpoint_c)
        seconds += abs(rise) * (heating_ms if rise > 0 else cooling_ms) / 1000
        seconds += again_ms / 1000 if rise else 0.0
    return seconds + sum(MEETING_S[way] for way in meets.values())


def film_cost(film: Film, width_mm: float, height_mm: float, rates: Rates) -> float:
    """What the film for one piece costs, in the shop's currency: its rectangle on the roll.

    >>> from rules.catalogue import load_catalogue
    >>> film_cost(load_catalogue().film("matte-smooth"), 0, 0, Rates())
    0.0
    """
    share_of_width = min(width_mm, height_mm) / film.roll_width_mm
    length_m = max(width_mm, height_mm) / 1000
    waste = 1 + rates.film_waste_pct / 100
    return film.price_per_m * length_m * share_of_width * waste
