"""What heat flows through at one place of the artwork, step by step of a press schedule.

A place (a *column*) is named by the pieces that lie there, bottom first. Every step becomes one
or two :class:`Moment`: a stretch of time in which the same layers lie there, with the platen
closed on them or with the press open. Layers are those of :mod:`advisor.heat.layers`, platen first:
cover sheet | carrier | face | adhesive | … | fabric | pad | lower bed.

What is laid new (a film, a cover, a pad) comes at room temperature at the moment when the platen
closes, which is the slower side.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from advisor.heat.course import ROOM_C
from advisor.heat.layers import Layer, Place
from advisor.layering.cost import CLOSE_S, COVER_S, LAY_S, LOAD_S, PEEL_S, SET_UP_S, change_seconds
from rules.catalogue import load_catalogue
from rules.errors import UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.material import Material
from rules.facts.press import Press
from rules.facts.schedule import Schedule, ScheduledStep, State
from rules.facts.sheet import Sheet

__all__ = [
    "AIR_W_M2K", "BED_MATERIAL", "BED_UM", "Column", "Materials", "Moment", "bond_line_at",
    "columns_of", "cover_layers", "face_at", "film_layers", "ground_layers", "moments_of",
    "under_films",
]  # fmt: skip

Column = tuple[str, ...]
"""The pieces that lie at one place, bottom first."""

Materials = Mapping[str, Material]

AIR_W_M2K = 13.0
"""From an open press's garment to the room, W/(m²·K): natural convection over a hot plate that
faces up, Nu = .15·Ra^⅓ (Incropera, *Fundamentals of Heat and Mass Transfer*, eq. 9.31; from
memory), 6 to 7 between 50 and 120 °C, and radiation 4·ε·σ·T³ with ε = .9, 6 to 9."""

BED_MATERIAL = "silicone-sponge"
BED_UM = 10_000.0
"""The lower bed of a press: 10 mm of silicone sponge on cold metal. Generic."""

_COVER, _FABRIC, _PAD, _BED = "cover", "fabric", "pad", "bed"


class Moment(NamedTuple):
    """A stretch of time at one column in which nothing changes.

    Attributes:
        step: number of the step that it belongs to.
        label: what happens, in a word or two.
        layers: what lies there, platen side first.
        platen_c: the platen's temperature while it is closed, °C; ``None`` while it is open.
        seconds: how long it lasts, s.
    """

    step: int
    label: str
    layers: tuple[Layer, ...]
    platen_c: float | None
    seconds: float

    @property
    def closed(self) -> bool:
        """Whether the platen is closed: only then is an adhesive pressed into what is below."""
        return self.platen_c is not None


def bond_line_at(column: Column, piece: str) -> Place:
    """The bond line of a piece in a column: the back of its adhesive.

    >>> bond_line_at(("base", "top"), "top")
    Place(layer='1 adhesive', side='back')
    """
    return Place(f"{column.index(piece)} adhesive", "back")


def face_at(column: Column, piece: str) -> Place:
    """The visible face of a piece in a column."""
    return Place(f"{column.index(piece)} face", "front")


def columns_of(pieces: Sequence[str], over: Sequence[tuple[str, str]]) -> tuple[Column, ...]:
    """The deepest columns that contacts allow: every chain from a lowest piece to a topmost one.

    Where the places of the artwork are known, they are the better answer: a chain of contacts need
    not lie over one spot. It is then deeper than any spot, which is the slower side.

    Args:
        pieces: every piece, in a fixed order.
        over: which piece lies on which, as (upper, lower).

    >>> columns_of(["sea", "sun", "word"], [("sun", "sea"), ("word", "sun")])
    (('sea', 'sun', 'word'),)
    >>> columns_of([], [])
    ()
    """
    uppers: dict[str, list[str]] = {piece: [] for piece in pieces}
    for upper, lower in over:
        if lower in uppers and upper in uppers:
            uppers[lower].append(upper)
    lying_on_something = {upper for upper, lower in over if lower in uppers}
    chains: list[Column] = [(piece,) for piece in pieces if piece not in lying_on_something]
    done: list[Column] = []
    while chains:
        chain = chains.pop(0)
        onward = [upper for upper in uppers[chain[-1]] if upper not in chain]
        if onward and len(done) + len(chains) < _MOST_COLUMNS:
            chains = [(*chain, upper) for upper in onward] + chains
        else:
            done.append(chain)
    return tuple(dict.fromkeys(done))


_MOST_COLUMNS = 64


def moments_of(
    at: ScheduledStep, column: Column, materials: Materials | None = None
) -> tuple[Moment, ...]:
    """What one step does at a column: handling with the press open first, then the press.

    Nothing happens to the heat before the platen has closed for the first time.

    Raises:
        UnknownNameError: a film, fabric or sheet is of a material that is not known, or the step
            names a sheet that the schedule lacks.
    """
    schedule, step, before, after = at.schedule, at.step, at.before, at.after
    known = _known(materials)
    started = before.preheated or bool(before.down)
    gap_s, label = _handling_s(at), _label(at)
    moments: list[Moment] = []
    if started and gap_s > 0:
        state = before if at.closes_hot else after
        layers = _films_down(schedule, column, state, known) + under_films(schedule, state, known)
        moments.append(Moment(step.n, "lay" if at.closes_hot else label, layers, None, gap_s))
    if at.closes_hot:
        cover = cover_layers(_sheet(schedule, step.cover) if step.cover else None, known)
        layers = _films_down(schedule, column, after, known) + under_films(schedule, after, known)
        # A platen that was never set is as warm as the room.
        platen_c = ROOM_C if after.setpoint_c is None else after.setpoint_c
        moments.append(Moment(step.n, label, cover + layers, platen_c, step.dwell_s or 0.0))
    return tuple(moments)


def _handling_s(at: ScheduledStep) -> float:
    """Seconds with the press open that a step takes, before its press if it has one."""
    step, before, after = at.step, at.before, at.after
    if step.action == "wait":
        return step.dwell_s or 0.0
    if step.action == "peel":
        return PEEL_S * max(1, len(step.pieces)) if not step.cover else COVER_S / 2
    if step.action in {"press", "preheat"}:
        return CLOSE_S + LAY_S * len(at.laid_down) + (COVER_S / 2 if step.cover else 0.0)
    if step.action == "setpoint":
        if before.setpoint_c is None or after.setpoint_c is None:
            return 0.0
        return change_seconds(at.schedule.press, before.setpoint_c, after.setpoint_c)
    return LOAD_S if step.action == "turn" else SET_UP_S


def _label(at: ScheduledStep) -> str:
    step = at.step
    if step.action == "press":
        return "full press" if step.purpose == "full" else "tack"
    if step.action == "peel":
        return "lift cover" if step.cover else f"peel {step.peel or ''}".rstrip()
    return {"setpoint": "change setpoint", "pad": "change pad", "pressure": "set pressure"}.get(
        step.action, step.action
    )


def _films_down(
    schedule: Schedule, column: Column, state: State, known: Materials
) -> tuple[Layer, ...]:
    layers: tuple[Layer, ...] = ()
    for number, piece in enumerate(column):
        if piece in state.down:
            carrier = piece in state.carriers_on
            layers = film_layers(schedule.films[piece], number, carrier, known) + layers
    return layers


def film_layers(
    film: Film, number: int, carrier: bool, materials: Materials | None = None
) -> tuple[Layer, ...]:
    """A film's layers, platen side first, named by its ``number`` from the bottom.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> [layer.name for layer in film_layers(film, 0, True)]
    ['0 carrier', '0 face', '0 adhesive']
    """
    known = _known(materials)
    face = _layer(f"{number} face", film.face_um, _named(known, film.face_material, film.id))
    adhesive = _layer(
        f"{number} adhesive", film.adhesive_um, _named(known, film.adhesive_material, film.id)
    )
    if not (carrier and film.carrier_um > 0):
        return (face, adhesive)
    clear = _named(known, film.carrier_material, film.id)
    return (_layer(f"{number} carrier", film.carrier_um, clear), face, adhesive)


def under_films(
    schedule: Schedule, state: State, materials: Materials | None = None
) -> tuple[Layer, ...]:
    """Fabric, pad if one is in, and the press's lower bed.

    Raises:
        UnknownNameError: the schedule has no such pad.
    """
    pad = _sheet(schedule, state.pad) if state.pad is not None else None
    return ground_layers(schedule.fabric, schedule.press, pad=pad, materials=materials)


def ground_layers(
    fabric: Fabric, press: Press, *, pad: Sheet | None = None, materials: Materials | None = None
) -> tuple[Layer, ...]:
    """What films lie on: the fabric, a pad if there is one, and the press's lower bed.

    >>> from rules.catalogue import load_catalogue
    >>> known = load_catalogue()
    >>> cloth, press = known.fabric("cotton-jersey-tee"), known.press("clamshell-38x38")
    >>> [layer.name for layer in ground_layers(cloth, press, pad=known.sheet("foam-pad-thin"))]
    ['fabric', 'pad', 'bed']
    """
    known = _known(materials)
    cloth = _layer(_FABRIC, fabric.thickness_um, _named(known, fabric.thermal_material, fabric.id))
    bed = _layer(_BED, BED_UM, _named(known, BED_MATERIAL, press.id))
    return (cloth, *_sheet_layers(pad, _PAD, known), bed)


def cover_layers(cover: Sheet | None, materials: Materials | None = None) -> tuple[Layer, ...]:
    """A cover sheet as a layer, or nothing.

    >>> cover_layers(None)
    ()
    """
    return _sheet_layers(cover, _COVER, _known(materials))


def _sheet_layers(sheet: Sheet | None, name: str, known: Materials) -> tuple[Layer, ...]:
    if sheet is None:
        return ()
    return (_layer(name, sheet.thickness_um, _named(known, sheet.thermal_material, sheet.id)),)


def _sheet(schedule: Schedule, name: str) -> Sheet:
    if name not in schedule.sheets:
        raise UnknownNameError("sheet", name, schedule.sheets)
    return schedule.sheets[name]


def _known(materials: Materials | None) -> Materials:
    return load_catalogue().materials if materials is None else materials


def _named(materials: Materials, name: str, holder: str) -> Material:
    try:
        return materials[name]
    except KeyError:
        raise UnknownNameError("material", name, materials, source=holder) from None


def _layer(name: str, thickness_um: float, material: Material) -> Layer:
    return _one_layer(
        name,
        float(thickness_um),
        float(material.conductivity_w_mk),
        float(material.density_kg_m3),
        float(material.heat_capacity_j_kgk),
    )


# One object per content: layers are compared by identity, and solved stacks are kept by them.
@lru_cache(maxsize=4096)
def _one_layer(name: str, um: float, k: float, rho: float, heat: float) -> Layer:
    return Layer(name, um, k, rho, heat)
