"""Examples as a person would say them: one readable line for a thing to judge."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any, cast

from rules.book.rule import Example
from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets
from rules.facts.text import Text, and_list
from rules.facts.units import Quantity, show_c, show_mm, show_size, show_um

__all__ = ["said", "said_step"]

_UNITS = {
    "_c": "°C", "_s": "s", "_mm": "mm", "_mm2": "mm²", "_um": "µm", "_kpa": "kPa", "_pct": "%",
    "_k": "K", "_gsm": "g/m²",
}  # fmt: skip
_SHOWN: Mapping[str, Callable[..., Quantity]] = {"°C": show_c, "mm": show_mm, "µm": show_um}
"""Units that people read in their own."""
_LABELS = {
    "seconds_bonding": ("bonding", "s"),
    "low_seconds_bonding": ("bonding on an unlucky press", "s"),
    "bonds_c": ("bonds from", "°C"),
    "bonds_s": ("held", "s"),
    "percent_per_s": ("then", "% per s"),
    "delta_e": ("colour difference", ""),
    "drawn_delta_e": ("colour difference in the artwork", ""),
    "price_per_m": ("price per metre", ""),
    "on_shelf_m": ("on the shelf", "m"),
}


def said(example: Example) -> Text:
    """An example or a case in one line of plain words, with units.

    >>> print(said({"upper": "sparkle-coarse", "lower": "matte-smooth"}))
    sparkle-coarse on matte-smooth
    >>> print(said({"film": {"like": "matte-smooth", "stretch_pct": 10}, "fabric": "denim"}))
    matte-smooth (stretch 10 %) on denim
    >>> print(said({"films": {"base": "matte-smooth"}, "steps": [{"action": "press",
    ...       "purpose": "tack", "pieces": ["base"], "setpoint_c": 160, "dwell_s": 2}]}))
    base in matte-smooth: tack base 2 s at 160 °C
    >>> print(said({}))
    nothing
    """
    left = dict(example)
    steps = left.pop("steps", None)
    head = _what(left)
    facts = [_fact(key, value) for key, value in left.items()]
    line = ", ".join(part for part in (head, *facts) if part) or "nothing"
    if steps is None:
        return Text(line)
    done = ", ".join(f"{said_step(step)}" for step in steps) or "no steps"
    return Text(f"{line}: {done}")


def said_step(step: Mapping[str, Any]) -> Text:
    """One press step in a few words, from its plain data.

    >>> print(said_step({"action": "peel", "pieces": ["base"], "peel": "hot"}))
    peel base hot
    >>> print(said_step({"action": "pad", "pad": "out"}))
    take the pad out
    """
    pieces = and_list(step.get("pieces") or ())
    match step.get("action"):
        case "preheat":
            words = ["preheat"]
        case "press":
            words = ["tack" if step.get("purpose") == "tack" else "press", pieces]
        case "peel":
            cover = f"lift {step['cover']}" if step.get("cover") and not pieces else ""
            words = [cover or f"peel {pieces}", str(step.get("peel") or "")]
        case "wait":
            words = ["let it cool off the press"] if step.get("off_press") else ["wait"]
        case "pad":
            pad = step.get("pad")
            words = ["take the pad out" if pad == "out" else f"put {pad} under it"]
        case "pressure":
            words = ["set the pressure"]
        case "setpoint":
            words = ["set the dial"]
        case other:
            words = [f"{other} the garment"]
    words.append(_settings(step))
    return Text(" ".join(word for word in words if word))


def _settings(step: Mapping[str, Any]) -> str:
    given = []
    if step.get("dwell_s") is not None:
        given.append(f"{step['dwell_s']:g} s")
    at = [
        _value(step[key], unit)
        for key, unit in (("setpoint_c", "°C"), ("pressure_kpa", "kPa"))
        if step.get(key) is not None
    ]
    if at:
        joined = " and ".join(at)
        given.append(f"{'to' if step['action'] in {'setpoint', 'pressure'} else 'at'} {joined}")
    if step.get("cover") and step["action"] == "press":
        given.append(f"under {step['cover']}")
    return " ".join(given)


def _what(left: dict[str, Any]) -> str:
    """What is judged; takes the keys that it has told out of ``left``."""
    if "upper" in left:
        upper, lower = _named(left.pop("upper")), _named(left.pop("lower"))
        meets = left.pop("meets", None)
        if meets is not None:
            return MEETING_WORDS[cast(Meets, meets)].joined.format(upper=upper, lower=lower)
        rim = " at a narrow rim only" if left.pop("rim", False) else ""
        return f"{upper} on {lower}{rim}"
    if "ground" in left:
        return _seen(left)
    if "piece" in left:
        film = f" in {_named(left.pop('film'))}" if "film" in left else ""
        return f"{left.pop('piece')}{film}{_size(left)}"
    if "garment" in left:
        return _on_garment(left)
    if "films" in left:
        return _films(left)
    if "film" in left:
        ground = left.pop("fabric", None) or left.pop("below", None)
        on = " on" if left.pop("touches", True) else " over other films on"
        return _named(left.pop("film")) + (f"{on} {_named(ground)}" if ground else "")
    return ""


def _seen(left: dict[str, Any]) -> str:
    ground_film = left.pop("ground_film", None)
    film, ground = (
        " ".join(filter(None, (left.pop(colour)["name"], _named(film) if film else "")))
        for colour, film in (("colour", left.pop("film")), ("ground_colour", ground_film))
    )
    return f"{left.pop('piece')} in {film} on {left.pop('ground')} in {ground}"


def _on_garment(left: dict[str, Any]) -> str:
    area = f" {left.pop('area')}" if left.get("area") else ""
    press = f" on {_named(left.pop('press'))}" if "press" in left else ""
    return f"{_named(left.pop('garment'))}{area}{_size(left)}{press}"


def _films(left: dict[str, Any]) -> str:
    films, over = left.pop("films"), left.pop("over", ())
    ground = f" on {_named(left.pop('fabric'))}" if "fabric" in left else ""
    if not isinstance(films, Mapping):
        names = ", ".join(_named(film) for film in films) or "no film"
        order = " (bottom first)" if len(films) > 1 else ""
        wearer = f" for {_article(left.pop('wearer'))}" if "wearer" in left else ""
        return f"{names}{order}{ground}{wearer}"
    pieces = []
    for piece, film in films.items():
        lowers = and_list([lower for upper, lower in over if upper == piece])
        pieces.append(f"{piece} in {_named(film)}" + (f" over {lowers}" if lowers else ""))
    return ", ".join(pieces) + ground


def _size(left: dict[str, Any]) -> str:
    if "width_mm" not in left or "height_mm" not in left:
        return ""
    return f", {show_size(left.pop('width_mm'), left.pop('height_mm')):g}"


def _named(given: Any) -> str:
    if not isinstance(given, Mapping):
        return str(given)
    changes = ", ".join(_fact(key, value) for key, value in given.items() if key != "like")
    return f"{given.get('like')} ({changes})" if changes else str(given.get("like"))


def _fact(key: str, value: Any) -> str:
    label, unit = _label(key)
    if isinstance(value, bool):
        return label if value else f"{label}: no"
    if isinstance(value, Mapping):
        return f"{label} {_mapping(value, unit)}"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"{label}: {and_list([_value(each, unit) for each in value])}"
    return f"{label} {_value(value, unit)}"


def _mapping(value: Mapping[str, Any], unit: str) -> str:
    if "srgb" in value:
        return str(value.get("name", value["srgb"]))
    if {"low", "high"} <= set(value):
        low, high = value["low"], value["high"]
        if unit in _SHOWN:
            return f"{_SHOWN[unit](low, high):g}"
        return f"{low:g} to {high:g} {unit}".rstrip()
    if unit:
        return ", ".join(f"{key} {_value(each, unit)}" for key, each in value.items())
    return "with " + ", ".join(_fact(key, each) for key, each in value.items())


def _value(value: Any, unit: str) -> str:
    if isinstance(value, Mapping):
        return _mapping(value, unit)
    if value is None:
        return "none"
    if not isinstance(value, int | float):
        return str(value)
    return f"{_SHOWN[unit](value):g}" if unit in _SHOWN else f"{value:g} {unit}".rstrip()


def _label(key: str) -> tuple[str, str]:
    if key in _LABELS:
        return _LABELS[key]
    for suffix, unit in _UNITS.items():
        if key.endswith(suffix):
            return key.removesuffix(suffix).replace("_", " "), unit
    return key.replace("_", " "), ""


def _article(noun: str) -> str:
    return noun if noun == "nobody" else f"{'an' if noun[0] in 'aeiou' else 'a'} {noun}"
