"""Whether films at one place bond even from cold, soon answered: most do, and need no more."""

from __future__ import annotations

from functools import lru_cache

from advisor.heat.curve import above
from advisor.heat.layers import LayerSide
from advisor.heat.moments import next_leg
from advisor.heat.press_layers import (
    Materials,
    bond_line_at,
    film_layers,
    ground_layers,
    sheet_layers,
)
from advisor.heat.records import Column, Moment
from advisor.heat.walk import Course
from advisor.layering.press_steps import cover_for
from advisor.layering.records.pressing import Laying
from rules.facts.practice import TACK_S

__all__ = ["bonds_from_cold"]


def bonds_from_cold(laying: Laying, column: Column, materials: Materials) -> bool:
    """Whether every finishing press at its hottest bonds its films at a place from cold.

    Then so do presses that come after a preheat and tacks, so that nothing need be followed.

    Args:
        laying: what is pressed.
        column: what lies at the place, bottom first.
    """
    films, stages = laying.films, laying.stages
    group_of = {piece: n for n, group in enumerate(laying.groups) for piece in group}
    for number, stage in enumerate(stages):
        down = [piece for piece in column if group_of[piece] <= stage.last]
        finishing = [n for n, piece in enumerate(down) if piece in stage.finishes]
        if not finishing:
            continue
        others_s = sum(s.dwell_window_s[1] for n, s in enumerate(stages) if n != number)
        bears_s = min(films[piece].bears_s for piece in down) - others_s
        longest_s = min(stage.dwell_window_s[1], bears_s - TACK_S * len(laying.groups))
        layers = ground_layers(laying.fabric, laying.press, materials)
        for n, piece in enumerate(down):
            carrier = stage.direct and piece == down[-1] and group_of[piece] == stage.last
            layers = film_layers(films[piece], n, carrier, materials) + layers
        cover = cover_for(laying.sheets, laying.print_mm, stage.setpoint_c)
        layers = sheet_layers(cover, "cover", materials) + layers
        wanted = tuple(
            (bond_line_at(down, down[n]), films[down[n]].bonds_c, films[down[n]].bonds_s)
            for n in finishing
        )
        press = Moment(0, "full press", layers, stage.setpoint_window_c[1], longest_s)
        if longest_s <= 0 or not _bonds(press, wanted, laying.press.contact_w_m2k):
            return False
    return True


@lru_cache(maxsize=8192)
def _bonds(
    press: Moment, wanted: tuple[tuple[LayerSide, float, float], ...], contact_w_m2k: float
) -> bool:
    leg = next_leg(Course(), press, contact_w_m2k)
    curves = leg.curves([place for place, _, _ in wanted])
    return all(
        float(above(curve, bonds_c).seconds) >= bonds_s
        for curve, (_, bonds_c, bonds_s) in zip(curves, wanted, strict=True)
    )
