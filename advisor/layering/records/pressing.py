"""Pressing: the order, the presses, the finishing stages and the seconds of one choice."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from rules.facts.fabric import Fabric
from rules.facts.film import Film, Peel
from rules.facts.garment import Obstruction
from rules.facts.press import Press
from rules.facts.sheet import Sheet
from rules.facts.text import Text, piece_name
from rules.facts.units import show_degrees

__all__ = [
    "Arrangement",
    "Cycle",
    "Grouping",
    "HeatLimits",
    "Laying",
    "Precedence",
    "Stage",
    "StageConflict",
    "Timing",
]


@dataclass(frozen=True, slots=True)
class HeatLimits:
    """What the fabrics bear and the press can do.

    Attributes:
        harmed_c: what the fibre that is harmed first bears, °C; ``harmed_by`` is its name.
        coolest: whether a fabric or its dye asks for the coolest setting that bonds.
        marked: whether a bare platen marks a fabric: it is covered, and pressed as lightly as the
            films allow.
        dial_c: where the dial stands anyway, °C: it is left there, or as near as what is pressed
            allows.
    """

    harmed_c: float
    harmed_by: str
    coolest: bool
    press: Press
    dial_c: float | None = None
    marked: bool = False

    @property
    def hottest_c(self) -> float:
        """What the dial may say at most, °C: a press may run hotter than it says."""
        return self.harmed_c - self.press.flat_c

    @property
    def fabric_bears(self) -> str:
        """What says so, up to the number."""
        uneven = f", on a press of ±{show_degrees(self.press.flat_c)}," if self.press.flat_c else ""
        return f"the {self.harmed_by} of the garment{uneven} bears"


@dataclass(frozen=True, slots=True)
class Stage:
    """Presses ``first`` to ``last`` (from 0, of the grouping) and the full press that ends them.

    Attributes:
        finishes: the pieces that get their full press here.
        setpoint_c: the dial, °C, within ``setpoint_window_c``, which all finishing films share
            under the limit of everything already down.
        dwell_s: seconds of the full press, within ``dwell_window_s``.
        pressure_kpa: on the platen; ``pressure_suits`` tells whether all finishing films take it.
        direct: the last group goes down in the full press itself, with its carriers on.
        bare: its full press needs no cover: carriers cover all that is down, and the platen marks
            no fabric.
    """

    first: int
    last: int
    finishes: tuple[str, ...]
    setpoint_c: float
    setpoint_window_c: tuple[float, float]
    dwell_s: float
    dwell_window_s: tuple[float, float]
    pressure_kpa: float
    pressure_suits: bool
    direct: bool
    bare: bool


@dataclass(frozen=True, slots=True)
class StageConflict:
    """Why no setpoint, dwell or total time suits all films, in the films' own numbers.

    Attributes:
        rule: the id of the rule that any such schedule would break.
    """

    rule: str
    message: Text
    pieces: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Precedence:
    """``first`` goes down before ``then``, because …"""

    first: str
    then: str
    because: str


@dataclass(frozen=True, slots=True)
class Cycle:
    """Pieces that would each have to go down before the next, all the way round."""

    links: tuple[Precedence, ...]

    def __str__(self) -> str:
        """The cycle as one sentence."""
        return str(self.text)

    @property
    def text(self) -> Text:
        """The cycle as one sentence whose quantities and pieces are typed."""
        steps = (
            f"{piece_name(link.first)} before {piece_name(link.then)} ({link.because})"
            for link in self.links
        )
        return Text(f"no order is possible: {'; '.join(steps)}")


@dataclass(frozen=True, slots=True)
class Grouping:
    """The pieces that go down in each press, in order.

    Attributes:
        groups: piece ids, first press first; each group in the order the pieces were given.
        fewest: whether no arrangement with fewer presses exists.
    """

    groups: tuple[tuple[str, ...], ...]
    fewest: bool


@dataclass(frozen=True, slots=True)
class Arrangement:
    """Presses and finishing stages without their settings.

    Attributes:
        groups: the pieces of each press, first press first.
        edges: 0, the first group of each later stage, and the number of groups.
        fewest: whether it is known that no fewer presses would do.
    """

    groups: tuple[tuple[str, ...], ...]
    edges: tuple[int, ...]
    fewest: bool


@dataclass(frozen=True, slots=True)
class Laying:
    """What is pressed, and on what: one run of garments that are pressed alike.

    Attributes:
        films: the film of each piece, bottom first in the artwork.
        groups: the pieces of each press, in order.
        stages: the finishing stages over these groups.
        over: which piece lies on which, as (upper, lower) in the order they are pressed.
        obstructions: what stands in, under or beside the print area.
        print_mm: width and height of the print, mm.
        names: what to call each piece; its film's id where it has none.
        carriers: by piece, its carrier among those of its press; its own where it has none.
        fabric_names: all the fabrics of the run, where there are more than ``fabric``.
        lined: a loose lining hangs behind the print.
    """

    films: Mapping[str, Film]
    groups: tuple[tuple[str, ...], ...]
    stages: tuple[Stage, ...]
    over: tuple[tuple[str, str], ...]
    fabric: Fabric
    press: Press
    sheets: Mapping[str, Sheet]
    obstructions: tuple[Obstruction, ...] = ()
    print_mm: tuple[float, float] = (200.0, 200.0)
    names: Mapping[str, str] = field(default_factory=dict)
    carriers: Mapping[str, str] = field(default_factory=dict)
    fabric_names: tuple[str, ...] = ()
    lined: bool = False


@dataclass(frozen=True, slots=True)
class Timing:
    """Seconds for every tack, peel wait and full press, and what the simulation saw.

    Attributes:
        tack_s: by group, s.
        peel_wait_s: by group, the wait before each way of peeling, s.
        dwell_s: by stage, s.
        grabs_s: by group, seconds until every adhesive laid has softened; ``None`` if not known.
        tack_peak_c: by group, how hot the slowest bond line gets in the tack, °C; likewise.
        needed_s: by stage, the least dwell that bonds every line, s; likewise.
        bond_lines: by stage, (film, peak °C, seconds bonding) of what finishes there.
        cools_to_c: by group, how far the adhesive cools in the longest wait, °C; likewise.
        preheated_gsm: water that leaves in the preheat, g/m²; likewise.
    """

    tack_s: tuple[float, ...]
    peel_wait_s: tuple[Mapping[Peel, float], ...]
    dwell_s: tuple[float, ...]
    grabs_s: tuple[float | None, ...]
    tack_peak_c: tuple[float | None, ...]
    needed_s: tuple[float | None, ...]
    bond_lines: tuple[tuple[tuple[str, float, float], ...], ...]
    cools_to_c: tuple[float | None, ...]
    preheated_gsm: float | None = None
