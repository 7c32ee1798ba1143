"""Reasons: why each press step is as it is, as typed facts with their numbers."""

from __future__ import annotations

from dataclasses import dataclass

from rules.facts.film import Film, Peel
from rules.facts.garment import Obstruction
from rules.facts.press import Press
from rules.facts.sheet import Sheet
from rules.facts.step import Inside, Step

__all__ = [
    "FullReason", "GivenReason", "LiftReason", "OpenReason", "PadInReason", "PadOutReason",
    "PeelReason", "PreheatReason", "PressureReason", "Reason", "SetpointReason", "TackReason",
    "TurnReason", "WaitReason",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class SetpointReason:
    """A setpoint within the window that the finishing films share.

    Attributes:
        full_application: the film whose own best setpoint this is, if one's.
        from_c: the setpoint before a change, °C; ``change_s`` is how long it takes, s.
    """

    setpoint_c: float
    window_c: tuple[float, float]
    films: tuple[Film, ...]
    full_application: Film | None
    careful_c: float
    careful_fibre: str
    from_c: float | None = None
    change_s: float = 0.0
    down_bears_c: float | None = None


@dataclass(frozen=True, slots=True)
class PressureReason:
    """A pressure that the films take.

    Attributes:
        pad: the pad that goes in, or ``"out"`` where one comes out; either asks for it.
        again: it has been set before.
        spares: the fabric that is pressed lightly, so that the platen does not mark it.
    """

    pressure_kpa: float
    words: str
    low_kpa: float
    high_kpa: float
    suits: bool
    pad: str | None
    press: Press
    again: bool = True
    spares: str = ""


@dataclass(frozen=True, slots=True)
class OpenReason:
    """A garment that is opened and laid flat."""

    obstructions: tuple[Obstruction, ...]


@dataclass(frozen=True, slots=True)
class PadInReason:
    """A pad under what stands proud; under the seams alone where a garment was opened for it."""

    pad: Sheet
    obstructions: tuple[Obstruction, ...]


@dataclass(frozen=True, slots=True)
class PadOutReason:
    """A pad that is no longer called for."""

    pad: str


@dataclass(frozen=True, slots=True)
class PreheatReason:
    """A press of the bare garment.

    Attributes:
        holds_gsm: water in the fabric, g/m²; ``leaves_gsm``: what of it leaves, where simulated.
        inside: what is done inside the garment before.
        spares: the fabric that a cover keeps the platen from marking.
    """

    dwell_s: float
    fabrics: tuple[str, ...]
    holds_gsm: float
    leaves_gsm: float | None = None
    inside: tuple[Inside, ...] = ()
    spares: str = ""


@dataclass(frozen=True, slots=True)
class TackReason:
    """A short press that only grabs.

    Attributes:
        grabs_s: seconds until every adhesive laid has softened, s, where simulated.
        bond_line_c: how hot the slowest of their bond lines gets in the tack, °C, where simulated.
        waiting: pieces still to be laid.
        trimmed: several pieces share the press and their carriers are trimmed apart.
    """

    films: tuple[Film, ...]
    names: tuple[str, ...]
    dwell_s: float
    setpoint_c: float
    waiting: tuple[str, ...]
    trimmed: bool
    grabs_s: float | None = None
    bond_line_c: float | None = None


@dataclass(frozen=True, slots=True)
class WaitReason:
    """Time with the press open before a warm peel, or off the press before a cold one.

    Attributes:
        cools_to_c: how far the bond line has cooled by then, °C, where simulated.
        off_press: whether the garment lies beside the press meanwhile.
    """

    names: tuple[str, ...]
    peel: Peel
    dwell_s: float
    cools_to_c: float | None = None
    off_press: bool = False


@dataclass(frozen=True, slots=True)
class PeelReason:
    """Carriers coming off, and what they would do if left on."""

    names: tuple[str, ...]
    peel: Peel
    films: tuple[Film, ...]
    marked: tuple[Film, ...]


@dataclass(frozen=True, slots=True)
class FullReason:
    """The press that finishes films together.

    Attributes:
        full_application: the film whose own best setting this is, if one's.
        direct: pieces laid down in this press itself, with their carriers on.
        bond_lines: (film id, peak °C, seconds at its bonding temperature), where simulated.
        needed_s: the least dwell that bonds every line, s, where simulated.
        open_faces: whether faces without a carrier lie under the cover.
        spares: the fabric that the cover keeps the platen from marking.
    """

    films: tuple[Film, ...]
    setpoint_c: float
    dwell_s: float
    dwell_window_s: tuple[float, float]
    full_application: Film | None
    cover: Sheet | None
    lines_press_out: bool
    direct: tuple[Film, ...]
    direct_names: tuple[str, ...]
    later_stages: int
    bond_lines: tuple[tuple[str, float, float], ...] = ()
    needed_s: float | None = None
    open_faces: bool = True
    spares: str = ""


@dataclass(frozen=True, slots=True)
class LiftReason:
    """The cover sheet coming off, the bare garment or the print."""

    cover: Sheet
    bare: bool = False


@dataclass(frozen=True, slots=True)
class GivenReason:
    """A step that someone wrote, beside what its films ask for.

    Attributes:
        films: what it lays down, finishes or peels, or what is pressed at the setting.
        bond_lines: as in `FullReason`, for what the step finishes.
    """

    step: Step
    films: tuple[Film, ...]
    names: tuple[str, ...]
    bond_lines: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class TurnReason:
    """Another place of the same garment is laid up.

    Attributes:
        place: what is pressed next, in words; ``before`` what was.
        turned: it is turned over; else its part is laid anew, or nothing is moved at all.
        stays: the garment stays on the press as it lies.
        batch: the settings change first, so every garment of the run is finished at the place
            before.
        down: what now lies face down on the bed, in words; ``sheet`` lies under it.
        beside: what lies beside it under the platen, in words; ``cover`` keeps the platen off it.
    """

    place: str
    before: str
    turned: bool
    stays: bool
    batch: bool
    down: tuple[str, ...] = ()
    sheet: str | None = None
    beside: tuple[str, ...] = ()
    cover: str | None = None


Reason = (
    SetpointReason
    | PressureReason
    | OpenReason
    | PadInReason
    | PadOutReason
    | PreheatReason
    | TackReason
    | WaitReason
    | PeelReason
    | FullReason
    | LiftReason
    | GivenReason
    | TurnReason
)
