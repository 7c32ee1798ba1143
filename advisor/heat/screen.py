"""Whether heat can bond films at one place at all, soon answered: for a look and for a cut."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from advisor.heat.curve import seconds_above
from advisor.heat.layers import LayerSide
from advisor.heat.moments import next_leg
from advisor.heat.press_layers import bond_line_at, cover_layers, film_layers, ground_layers
from advisor.heat.records import Column, HeatRefusal, Moment
from advisor.heat.timing import timing
from advisor.heat.walk import Course
from advisor.layering.press_steps import cover_for
from advisor.layering.records.pressing import Laying, Stage
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.practice import TACK_S
from rules.facts.press import Press
from rules.facts.sheet import Sheet

__all__ = ["bonds_from_cold", "refuses_stack"]


def refuses_stack(
    films: Sequence[Film],
    *,
    fabric: Fabric,
    press: Press,
    cover: Sheet | None,
    setpoint_c: float,
    longest_s: float,
) -> HeatRefusal | None:
    """The first adhesive that tacks and one press do not bond, or ``None``.

    Args:
        films: over one another at one place, bottom first.
        fabric: what they lie on.
        press: the press, for its contact.
        cover: the sheet over the print in the full press; a film alone does without.
        setpoint_c: the dial in every press, °C.
        longest_s: longest full press that is allowed, s.

    Raises:
        UnknownNameError: a material is not known.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> films = [known.film("matte-smooth"), known.film("sparkle-coarse")]
    >>> common = dict(fabric=known.fabric("cotton-jersey-tee"), setpoint_c=160,
    ...               press=known.press("clamshell-38x38"), cover=known.sheet("ptfe-cover"))
    >>> refuses_stack(films, longest_s=18, **common) is None
    True
    >>> print(refuses_stack(films, longest_s=6, **common).message)
    the adhesive of matte-smooth on cotton-jersey-tee wants 6 s at 120 °C; 6 s, the longest that
    is allowed, at 160 °C heats it to 123 °C and gives it 0.735 s; it would take 12 s
    >>> refuses_stack([], longest_s=15, **common) is None
    True
    """
    if not films:
        return None
    names = tuple(str(n) for n in range(len(films)))
    stage = Stage(
        first=0,
        last=len(films) - 1,
        finishes=names,
        setpoint_c=setpoint_c,
        setpoint_window_c=(setpoint_c, setpoint_c),
        dwell_s=longest_s,
        dwell_window_s=(0.0, longest_s),
        pressure_kpa=max(film.pressure_kpa.low for film in films),
        pressure_suits=True,
        direct=cover is None,
    )
    laying = Laying(
        films=dict(zip(names, films, strict=True)),
        groups=tuple((name,) for name in names),
        stages=(stage,),
        over=tuple((upper, lower) for lower, upper in pairwise(names)),
        fabric=fabric,
        press=press,
        sheets={cover.id: cover} if cover else {},
    )
    found = timing(laying)
    return found if isinstance(found, HeatRefusal) else None


def bonds_from_cold(laying: Laying, column: Column) -> bool:
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
        layers = ground_layers(laying.fabric, laying.press)
        for n, piece in enumerate(down):
            carrier = stage.direct and piece == down[-1] and group_of[piece] == stage.last
            layers = film_layers(films[piece], n, carrier) + layers
        layers = cover_layers(cover_for(laying.sheets, laying.print_mm, stage.setpoint_c)) + layers
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
        float(seconds_above(curve, bonds_c)) >= bonds_s
        for curve, (_, bonds_c, bonds_s) in zip(curves, wanted, strict=True)
    )
