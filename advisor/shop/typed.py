"""Values of the shelf as people type them: in a command, in a cell of a list, on a page.

What is typed becomes plain data, and plain data becomes text that is read as the same data again,
exactly. What cannot be said so shortly is written as JSON.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from rules.catalogue import MODELS
from rules.catalogue.everyday import meant_of_film
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fact import Fact, Window
from rules.facts.units import MM_PER_INCH, f_to_c

__all__ = ["field_of", "plain_data", "text_of", "typed"]

_WORDS: Mapping[str, Mapping[str, str]] = {
    "films": {
        "price": "price_per_m", "metres": "on_shelf_m", "left": "on_shelf_m",
        "setpoint": "setpoint_c", "dwell": "dwell_s", "pressure": "pressure_kpa",
        "finish": "finishes", "colour": "colours", "wash": "wash_limit_c",
        "width": "roll_width_mm", "bonds-to": "bonds_to",
    },
    "fabrics": {"weight": "weight_gsm", "thickness": "thickness_um", "wash": "wash_c"},
    "garments": {"price": "price_each", "for": "wearer", "areas": "print_areas"},
    "presses": {"dial": "dial_reads", "flat": "flat_c"},
    "sheets": {"thickness": "thickness_um", "bears": "highest_c"},
}  # fmt: skip
"""The everyday word of a value, where it is not the start of its name."""
_PAIRS = {"colours", "fibres"}
_DIFFERENCES = {"flat_c", "setpoint_step_c", "heats_c_per_min", "cools_c_per_min"}
_FEW_WORDS = {
    "feel": {"kind": "feel"}, "unknown": {"kind": "feel"},
}  # fmt: skip
_NUMBER = r"[0-9]+(?:\.[0-9]+)?"
_UP_TO_THREE = re.compile(rf"({_NUMBER})(?:\s*[-–]\s*({_NUMBER}))?(?:\s*[-–]\s*({_NUMBER}))?")
_COMMA = re.compile(r"(?<![\d.,])(\d+),(\d+)(?![\d.,])")
_IN_MM = {"mm": 1.0, "cm": 10.0, "in": MM_PER_INCH, "inch": MM_PER_INCH, '"': MM_PER_INCH}
_IN_UM = {"um": 1.0, "µm": 1.0, "mm": 1000.0, "mil": MM_PER_INCH}
_OUNCES_GSM = 28.349523125 / 0.9144**2
"""Grams per square metre of an ounce per square yard, which is what a shop's ounce of cloth is."""
_GSM = dict.fromkeys(("g/m²", "g/m2", "gsm", "g"), 1.0)
_OUNCES = dict.fromkeys(("oz/yd²", "oz/yd2", "oz/sq yd", "oz", "oz."), _OUNCES_GSM)
_UNITS: Mapping[str, tuple[str, Mapping[str, float]]] = {
    "_mm": ("mm, cm or in", _IN_MM),
    "_um": ("µm, mm or mil", _IN_UM),
    "_gsm": ("g/m² or oz/yd²", _GSM | _OUNCES),
    "_s": ("s", {"s": 1.0, "sec": 1.0, "seconds": 1.0}),
    "_m": ("m", {"m": 1.0}),
    "_kpa": ("kPa", {"kpa": 1.0}),
    "_pct": ("%", {"%": 1.0}),
}
"""By how a value's name ends: its units in words, and what each is in the one that we keep."""


def field_of(kind: str, word: str) -> str:
    """The value that a word names: its own name, or what people say for it.

    Raises:
        UnknownNameError: things of this kind have no such value.

    >>> field_of("films", "price"), field_of("films", "peel")
    ('price_per_m', 'peel')
    """
    word = word.strip().lower()
    known = [name for name in MODELS[kind].model_fields if name not in _NOT_SET]
    named = _WORDS[kind].get(word.replace("_", "-"), word.replace("-", "_"))
    if named.partition(".")[0] not in known:
        raise UnknownNameError(f"value of {kind}", word, [*known, *_WORDS[kind]])
    return named


_NOT_SET = ("id", "basis", "basis_default")


def typed(kind: str, field: str, text: str) -> Any:
    """The plain data that a text stands for; what it cannot be is left for the model to refuse.

    Raises:
        BadInputError: it cannot be read at all.

    >>> typed("films", "setpoint_c", "320F"), typed("films", "dwell_s", "12-15 s")
    ({'best': 160.0}, {'low': 12.0, 'high': 15.0})
    >>> typed("films", "colours", "teal=#008080; navy=#1b2a49")
    {'teal': '#008080', 'navy': '#1b2a49'}
    >>> typed("films", "finishes", "Glitter")
    ['sparkle']
    """
    text = text.strip()
    if text[:1] in {"{", "[", '"'}:
        try:
            return json.loads(text)
        except ValueError:
            if not text.startswith('"'):
                raise BadInputError(f"{text!r} is not valid JSON", field=field) from None
    field, _, part = field.partition(".")
    if field == "like":
        return text
    model, about = MODELS[kind], MODELS[kind].model_fields[field].annotation
    if part:
        return _number(part if part not in {"low", "best", "high"} else field, text)
    if about is Window:
        return _window(field, text)
    if about in {float, int}:
        return _number(field, text)
    if about is bool:
        return {"yes": True, "no": False}.get(text.lower(), text)
    if field in _PAIRS:
        return _pairs(field, text)
    if field == "colour":
        name, _, srgb = text.rpartition("=")
        return {"name": name or "own", "srgb": srgb}
    if field == "print_areas":
        return [_area(each) for each in _listed(text)]
    if field == "pressure":
        return _pressure(text)
    if field in {"finishes", "family"}:
        said = [_everyday(field, each) for each in _listed(text)]
        return said if field == "finishes" else said[0]
    return _listed(text) if _is_listed(model, field) else text


def _everyday(field: str, said: str) -> str:
    """A finish or a family as the shelf calls it; what we do not know stays as it is.

    Raises:
        UnknownNameError: it may mean several.
    """
    try:
        return meant_of_film("finish" if field == "finishes" else "family", said)
    except UnknownNameError as error:
        if error.hint:
            raise
        return said


def text_of(kind: str, field: str, value: Any) -> str:
    """The text that `typed` reads as the same data.

    >>> text_of("films", "setpoint_c", {"low": 150.0, "high": 160.0})
    '150-160'
    """
    short: str | None = None
    if isinstance(value, bool):
        short = "yes" if value else "no"
    elif isinstance(value, int | float):
        short = _digits(value)
    elif isinstance(value, str):
        short = value
    elif isinstance(value, list) and all(isinstance(each, str) for each in value):
        short = "; ".join(value)
    elif isinstance(value, Mapping) and field in _PAIRS:
        short = "; ".join(
            f"{name}={each if isinstance(each, str) else '' if each is None else _digits(each)}"
            for name, each in value.items()
        )
    elif isinstance(value, Mapping) and tuple(value) in _ENDS.values():
        short = "-".join(_digits(each) for each in value.values())
    exact = json.dumps(value, ensure_ascii=False)
    if short is None:
        return exact
    try:
        again = typed(kind, field, short)
    except BadInputError:
        return exact
    return short if again == value and type(again) is type(value) else exact


def plain_data(kind: str, values: Mapping[str, Any]) -> dict[str, Any]:
    """Values as they are kept, however a document wrote them; what is wrong stays as it is.

    >>> plain_data("films", {"setpoint_c": 160, "finishes": "matte", "takes_film_on_top": True})
    {'setpoint_c': {'best': 160.0}, 'finishes': ['matte'], 'takes_film_on_top': 'yes'}
    """
    model = MODELS[kind]
    kept: dict[str, Any] = {}
    for field, value in values.items():
        info = model.model_fields.get(field)
        if info is None:
            kept[field] = value
        elif info.annotation is Window and _is_number(value):
            kept[field] = {"best": float(value)}
        elif field == "takes_film_on_top" and isinstance(value, bool):
            kept[field] = "yes" if value else "no"
        elif isinstance(value, str) and _is_listed(model, field) and field not in _PAIRS:
            kept[field] = [value]
        elif field == "colours" and isinstance(value, list) and all(_is_colour(c) for c in value):
            kept[field] = {colour["name"]: colour["srgb"] for colour in value}
        else:
            kept[field] = _with_floats(value) if info.annotation is not int else value
    return kept


_ENDS = {1: ("best",), 2: ("low", "high"), 3: ("low", "best", "high")}


def _window(field: str, text: str) -> dict[str, float]:
    numbers, unit = _numbers_and_unit(field, _pointed(field, text))
    if not numbers:
        raise BadInputError(
            f"{text!r} is not a setting; write one number, two ends as 150-165, or low-best-high",
            field=field,
        )
    return dict(zip(_ENDS[len(numbers)], (_inside(field, n, unit) for n in numbers), strict=True))


def _number(field: str, text: str) -> float:
    text = _pointed(field, text)
    try:
        return float(text)
    except ValueError:
        numbers, unit = _numbers_and_unit(field, text)
    if len(numbers) != 1:
        raise BadInputError(f"{text!r} is not a number", field=field)
    return _inside(field, numbers[0], unit)


def _pointed(field: str, text: str) -> str:
    """Numbers with a decimal comma written with a point.

    Raises:
        BadInputError: a comma may part thousands.
    """
    for whole, behind in _COMMA.findall(text):
        if len(behind) == 3 and whole.strip("0"):
            raise BadInputError(
                f"{text!r} may mean {whole}.{behind} or {whole}{behind}; write it without a comma",
                field=field,
            )
    return _COMMA.sub(r"\1.\2", text)


def _numbers_and_unit(field: str, text: str) -> tuple[list[float], str]:
    found = _UP_TO_THREE.match(text)
    if found is None:
        return [], ""
    unit = text[found.end() :].strip().lower().removeprefix("°")
    return [float(each) for each in found.groups() if each is not None], unit


def _inside(field: str, number: float, unit: str) -> float:
    """A number in the unit that we keep; a unit that does not belong here is refused."""
    if not unit:
        return number
    if field in _DIFFERENCES and unit in {"c", "f"}:
        return number * 5 / 9 if unit == "f" else number
    if field.endswith("_c") and unit in {"c", "f"}:
        return f_to_c(number) if unit == "f" else number
    words, factors = next((of for end, of in _UNITS.items() if field.endswith(end)), ("", {}))
    if unit in factors:
        return number * factors[unit]
    if field.endswith("_c") or field in _DIFFERENCES:
        words = "°C or °F"
    belongs = f"write {words}" if words else "write the number alone"
    raise BadInputError(f"the unit {unit!r} does not belong here; {belongs}", field=field)


def _pairs(field: str, text: str) -> dict[str, Any]:
    found: dict[str, Any] = {}
    # No fibre begins with a digit, so that a comma before one is a decimal comma.
    parts = re.split(r";|,(?!\d)", text) if field == "fibres" else _listed(text)
    for each in filter(None, map(str.strip, parts)):
        name, equals, value = (part.strip() for part in each.partition("="))
        if not equals:
            raise BadInputError(f"{each!r} is not written as name=value", field=field)
        if field == "fibres":
            found[name] = _number("pct", value.removesuffix("%").strip())
        else:
            found[name] = value.lower() or None
    return found


def _area(text: str) -> dict[str, Any]:
    name, _, size = text.partition("=")
    sides = re.fullmatch(rf"\s*({_NUMBER})\s*[x×]\s*({_NUMBER})\s*([a-z\"]*)\s*", size)
    if sides is None:
        raise BadInputError(f"{text!r} is not written as front=300x400", field="print_areas")
    width, height = (_inside("_mm", float(each), sides[3]) for each in sides.groups()[:2])
    return {"name": name.strip(), "width_mm": width, "height_mm": height}


def _pressure(text: str) -> Any:
    if text.lower() in _FEW_WORDS:
        return dict(_FEW_WORDS[text.lower()])
    classes = text.split("/")
    if len(classes) != 3:
        raise BadInputError(
            f"{text!r} is no pressure; write light/medium/firm in kPa as 15/30/45, or unknown",
            field="pressure",
        )
    light, medium, firm = (_number("pressure_kpa", each.strip()) for each in classes)
    return {"kind": "knob", "light_kpa": light, "medium_kpa": medium, "firm_kpa": firm}


def _listed(text: str) -> list[str]:
    return [each.strip() for each in re.split("[;,]", text) if each.strip()]


def _is_listed(model: type[Fact], field: str) -> bool:
    return getattr(model.model_fields[field].annotation, "__origin__", None) is tuple


def _is_number(value: Any) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_colour(value: Any) -> bool:
    return isinstance(value, dict) and value.keys() == {"name", "srgb"}


def _with_floats(value: Any) -> Any:
    if _is_number(value):
        return float(value)
    if isinstance(value, Mapping):
        return {name: _with_floats(each) for name, each in value.items()}
    return [_with_floats(each) for each in value] if isinstance(value, list) else value


def _digits(value: float) -> str:
    short = f"{value:g}"
    return short if float(short) == value and "e" not in short else repr(value)
