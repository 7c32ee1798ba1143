"""Calibrate a press from a shop's own readings: what was read where, and what follows from it.

A strip or probe is laid at a place in a stack, the press is closed at room temperature, and the
temperature is read after so many seconds. From a few such readings follows the contact of this
press's platen, and if there are enough of them the conductivity of its bed, a pad or the fabric.
The result is a press (and materials) with the new values, marked as computed, to be kept with the
shop's own shelf.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import yaml

from advisor.heat.calibrate import Pressed, Reading, Unknown, calibrate
from advisor.heat.conduction import METAL
from advisor.heat.layers import Boundary, Layer, LayerSide
from advisor.heat.press_layers import (
    BED_MATERIAL,
    Materials,
    bond_line_at,
    face_at,
    film_layers,
    ground_layers,
    sheet_layers,
)  # fmt: skip
from advisor.heat.records import FitReport, Fitted, Unknowns
from rules.catalogue.documents import file_text
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.material import Material
from rules.facts.press import Press
from rules.facts.sheet import Sheet

__all__ = [
    "CalibratedPress", "ReadStack", "calibrated", "fit_press", "read_readings", "shelf_yaml",
]  # fmt: skip

LARGEST_READINGS_BYTES = 1_000_000
_COLUMNS = ("place", "setpoint_c", "seconds", "celsius")
_LEAST_CONTACT_W_M2K, _MOST_CONTACT_W_M2K = 20.0, 19_000.0
_FACTOR = 6.0
"""A conductivity is looked for within this factor of what the catalogue gives."""


@dataclass(frozen=True, slots=True)
class ReadStack:
    """What lay under the platen when the readings were taken.

    Places are called: ``cover`` (under the cover sheet), ``face`` (of the topmost film), a film's
    id (its bond line; with a number for the second of a kind, as in ``matte-smooth 2``),
    ``fabric`` and ``pad`` (under them).

    Attributes:
        carrier_on: whether the topmost film still had its carrier; all others are off.
    """

    # The fabric is taken to be dry: readings begin on a garment pressed dry and cooled again.

    fabric: Fabric
    films: tuple[Film, ...] = ()
    cover: Sheet | None = None
    pad: Sheet | None = None
    carrier_on: bool = False

    def places(self) -> dict[str, LayerSide]:
        """Every place that can be read, by name, from the platen down."""
        column = tuple(str(n) for n in range(len(self.films)))
        found: dict[str, LayerSide] = {}
        if self.cover is not None:
            found["cover"] = LayerSide("cover", "back")
        if column:
            found["face"] = face_at(column, column[-1])
        ids = [film.id for film in self.films]
        for n in reversed(range(len(ids))):
            earlier = ids[:n].count(ids[n])
            found[f"{ids[n]} {earlier + 1}" if earlier else ids[n]] = bond_line_at(column, str(n))
        found["fabric"] = LayerSide("fabric", "back")
        if self.pad is not None:
            found["pad"] = LayerSide("pad", "back")
        return found

    def layers(self, press: Press, materials: Materials) -> tuple[Layer, ...]:
        """Platen side first."""
        laid: tuple[Layer, ...] = ()
        for n, film in enumerate(self.films):
            carrier = self.carrier_on and n == len(self.films) - 1
            laid = film_layers(film, n, carrier, materials) + laid
        dry = self.fabric.model_copy(update={"holds_water_pct": 0.0})
        ground = ground_layers(dry, press, materials, pad=self.pad)
        return sheet_layers(self.cover, "cover", materials) + laid + ground


@dataclass(frozen=True, slots=True)
class CalibratedPress:
    """A press and the materials that were found with it, with their new values."""

    press: Press
    materials: tuple[Material, ...]


def read_readings(path: str | Path, stack: ReadStack) -> tuple[Reading, ...]:
    """The readings in a CSV file with the columns place, setpoint_c, seconds, celsius.

    Raises:
        BadInputError: the file cannot be read, a column is missing, or a value is no number or
            no temperature; the message names file, line and field.
        UnknownNameError: a place that the stack lacks.
    """
    source = Path(path)
    text = file_text(source, most_bytes=LARGEST_READINGS_BYTES, kind="a list of readings")
    rows = csv.DictReader(io.StringIO(text))
    columns = [(name or "").strip() for name in rows.fieldnames or ()]
    missing = [name for name in _COLUMNS if name not in columns]
    if missing:
        raise BadInputError(
            f"lacks the column {missing[0]!r}; the first line must name {', '.join(_COLUMNS)}",
            source=str(path),
        )
    rows.fieldnames = columns
    places = stack.places()
    readings: list[Reading] = []
    for row in rows:
        where = f"{path}: line {rows.line_num}"
        name = (row["place"] or "").strip()
        if name not in places:
            raise UnknownNameError("place in this stack", name, places, source=where)
        setpoint_c = _number(row, "setpoint_c", 20, 260, where)
        seconds = _number(row, "seconds", 0, 3600, where)
        celsius = _number(row, "celsius", -20, 300, where)
        readings.append(Reading(places[name], setpoint_c, seconds, celsius))
    return tuple(readings)


def _number(
    row: Mapping[str, str | None], field: str, low: float, high: float, where: str
) -> float:
    given = (row[field] or "").strip()
    try:
        value = float(given)
    except ValueError:
        raise BadInputError(f"{given!r} is not a number", source=where, field=field) from None
    if not low <= value <= high:
        raise BadInputError(
            f"is {given}; it must be from {low:g} to {high:g}", source=where, field=field
        )
    return value


def fit_press(
    readings: Sequence[Reading],
    stack: ReadStack,
    *,
    press: Press,
    materials: Materials,
    unknowns: Sequence[Unknowns] = ("contact",),
) -> FitReport:
    """What the readings tell of a press, by least squares.

    Args:
        readings: at least two more than unknowns; see :func:`read_readings`.
        stack: what lay under the platen, all at room temperature when it closed.
        press: as the catalogue has it.

    Raises:
        BadInputError: too few readings, no unknown, one named twice, or a pad where none lay.
        CannotTellError: the readings do not tell what is asked.
    """
    if len(set(unknowns)) < len(unknowns):
        raise BadInputError("names one thing twice", field="unknowns")
    if stack.carrier_on and not stack.films:
        raise BadInputError("is on, but no film lay in the stack", field="carrier")
    if "pad" in unknowns and stack.pad is None:
        raise BadInputError("asks for the pad, but no pad lay in the stack", field="unknowns")
    materials_of: dict[Unknowns, str] = {
        name: _material(name, stack) for name in unknowns if name != "contact"
    }
    if len(set(materials_of.values())) < len(materials_of):
        raise BadInputError(
            f"asks twice for {next(iter(materials_of.values()))}, which two of these layers are "
            "made of",
            field="unknowns",
        )
    before: dict[Unknowns, float] = {
        name: materials[of].conductivity_w_mk for name, of in materials_of.items()
    }
    searched = [
        Unknown(name, before[name], before[name] / _FACTOR, before[name] * _FACTOR)
        if name in before
        else Unknown(name, press.contact_w_m2k, _LEAST_CONTACT_W_M2K, _MOST_CONTACT_W_M2K)
        for name in unknowns
    ]
    laid = stack.layers(press, materials)

    def pressed(values: Mapping[str, float], setpoint_c: float) -> Pressed:
        layers = tuple(
            replace(layer, conductivity_w_mk=values[layer.name]) if layer.name in values else layer
            for layer in laid
        )
        platen = Boundary(setpoint_c, values.get("contact", press.contact_w_m2k))
        return Pressed(layers, platen, METAL, max(reading.seconds for reading in readings))

    found = calibrate(readings, pressed, searched)
    fitted = tuple(
        Fitted(
            unknown=name,
            of=materials_of.get(name, press.id),
            unit="W/mK" if name in materials_of else "W/m²K",
            before=before.get(name, press.contact_w_m2k),
            **found.estimates[name].model_dump(),
        )
        for name in unknowns
    )
    return FitReport(
        press=press.id,
        carrier_on=stack.carrier_on,
        readings=found.readings,
        typical_error_k=found.typical_error_k,
        fitted=fitted,
    )


def _material(name: Unknowns, stack: ReadStack) -> str:
    if name == "pad" and stack.pad is not None:
        return stack.pad.thermal_material
    return stack.fabric.thermal_material if name == "fabric" else BED_MATERIAL


def calibrated(press: Press, fit: FitReport, *, materials: Materials) -> CalibratedPress:
    """The press, and the materials found with it, with the values that were fitted.

    Both are marked as computed (basis ``physics``); a press so marked counts as less uncertain
    from then on (:func:`advisor.heat.unlucky.spread_of`).

    Raises:
        BadInputError: the fit is of another press.
    """
    if fit.press != press.id:
        raise BadInputError(f"is of {fit.press}, not of {press.id}", field="fit")
    changed: list[Material] = []
    for fitted in fit.fitted:
        if fitted.unknown == "contact":
            basis = {**press.basis, "contact_w_m2k": "physics"}
            press = press.model_copy(
                update={"contact_w_m2k": round(fitted.value, 1), "basis": basis}
            )
        else:
            before = materials[fitted.of]
            changed.append(
                before.model_copy(
                    update={
                        "conductivity_w_mk": float(f"{fitted.value:.4g}"),
                        "basis": {**before.basis, "conductivity_w_mk": "physics"},
                        "source": f"fitted to {fit.readings} readings on {press.id}; before: "
                        f"{before.source}",
                    }
                )
            )
    return CalibratedPress(press, tuple(changed))


def shelf_yaml(found: CalibratedPress) -> dict[str, str]:
    """The files that keep a calibrated press with a shop's shelf: relative path to YAML text.

    A shop folder that already holds the press (or material) in another file must drop it there:
    one id stands in one file of a folder.
    """
    files = {f"presses/{found.press.id}.yaml": _document("presses", [found.press])}
    if found.materials:
        name = f"materials/{found.press.id}.yaml"
        files[name] = _document("materials", list(found.materials))
    return files


def _document(kind: str, facts: Sequence[Press] | Sequence[Material]) -> str:
    entries = [fact.model_dump(mode="json") for fact in facts]
    return yaml.safe_dump({"basis": "generic", kind: entries}, sort_keys=False, allow_unicode=True)
