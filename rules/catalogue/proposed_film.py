"""What a film's family, or a film like it, proposes for what its data sheet does not say."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rules.errors import BadInputError
from rules.facts.fact import Colour
from rules.facts.film import (
    FAMILIES,
    HOTTEST_SETPOINT_C,
    LONGEST_PRESSED_S,
    UNKNOWN_FAMILY,
    Film,
)

__all__ = ["DATA_SHEET", "FAMILY_OF_FINISH", "name_of", "proposed_film", "recoloured"]

DATA_SHEET = ("finishes", "setpoint_c", "dwell_s", "peel")
"""What a film's data sheet always states, and nobody can propose."""

FAMILY_OF_FINISH: Mapping[str, str] = {
    "matte": "smooth", "satin": "smooth", "gloss": "smooth", "sparkle": "sparkle",
    "plush": "flock", "metallic": "metallic", "mirror": "mirror", "holographic": "holographic",
    "raised": "foam", "puff": "foam", "reflective": "reflective", "glow": "glow",
    "patterned": "patterned", "printed": "printable", "clear": "clear",
}  # fmt: skip
"""The family that a film of each finish most often is of. Common practice, no source."""

_DIAL_STEP_C = 5.0
"""A data sheet that states one setpoint means it to one step of a dial; likewise the dwell, to
about a sixth. Common practice, no source."""
_DWELL_SHARES = (0.85, 1.2)

_CAUTIOUS: Mapping[str, Any] = {
    "colours": [{"name": "unknown", "srgb": "#808080"}],
    "face_um": 120, "adhesive_um": 60, "carrier_um": 100,
    "face_material": "polyurethane", "adhesive_material": "hot-melt-adhesive",
    "carrier_material": "pet", "surface": "textured", "takes_film_on_top": "sample",
    "pressure_kpa": {"low": 20, "best": 30, "high": 45}, "sheds": True, "carrier_marks": True,
    "marked_by_carriers": True, "stretch_pct": 5, "opacity": 0.9, "least_stroke_mm": 2.0,
    "least_gap_mm": 2.0, "bonds_to": ["cotton", "polyester"], "wash_limit_c": 30,
    "roll_width_mm": 500, "price_per_m": 20,
}  # fmt: skip
"""A film of a family that we do not know: thick, hard to weed, washed cool, and a sample before
anything is laid on it. Generic."""
_BONDS_BELOW_C, _SOFTENS_BELOW_C = 20.0, 45.0
"""How far below its setpoint such a film bonds and grabs: the least of any family. Generic."""
_HELD_SHARE, _GRACE_SHARE = 0.5, 0.2
"""Of its dwell, how long it must be held, and how long it bears its setpoint unshrunk. Generic."""
_BEARS_PRESSES = 2.0
"""How many full presses such a film bears: its own and one more. Generic."""


def proposed_film(
    fields: Mapping[str, Any], like: Film | None, films: Mapping[str, Film], *, label: str
) -> dict[str, Any]:
    """All fields of a film of which few are given; what is given wrong is left for the model.

    Args:
        fields: what is given.
        like: the film to go by; without it, the nearest of the family.
        films: what there is on the shelf.
        label: where the entry stands.

    Raises:
        BadInputError: there is no film to go by, and the data sheet says too little.

    >>> from rules.catalogue import load_catalogue
    >>> stated = {"id": "ours", "family": "velvety", "finishes": ["plush"], "setpoint_c": 160,
    ...           "dwell_s": 20, "peel": "cold"}
    >>> ours = Film(**proposed_film(stated, None, load_catalogue().films, label="ours"))
    >>> ours.family, ours.takes_film_on_top, ours.bears_c
    ('other', 'sample', 165.0)
    """
    family = fields.get("family")
    if family is not None and family not in FAMILIES:
        family = UNKNOWN_FAMILY
    missing = [field for field in DATA_SHEET if fields.get(field) is None]
    if missing and like is None:
        raise BadInputError(
            "its data sheet must say this; or say which film it is like",
            source=label,
            field=", ".join(missing),
        )
    given = {**fields, **({} if family is None else {"family": family})}
    given["setpoint_c"] = _window(fields.get("setpoint_c"), like, "setpoint_c", _few_degrees)
    given["dwell_s"] = _window(fields.get("dwell_s"), like, "dwell_s", _few_seconds)
    if "pressure_kpa" in fields:
        given["pressure_kpa"] = _window(fields["pressure_kpa"], like, "pressure_kpa", _a_half_more)
    base = like or (_nearest(films, family, given) if family in FAMILIES else None)
    if base is None:
        filled = {**_CAUTIOUS, **_of_its_setting(given), "family": UNKNOWN_FAMILY}
    else:
        filled = {**base.values(), **_moved(base, given)}
    if isinstance(given.get("colours"), Mapping):
        given["colours"] = recoloured((), given["colours"])
    return {**filled, "name": name_of(str(fields["id"])), "on_shelf_m": 0, **given}


def name_of(name: str) -> str:
    """A name for people, for an entry that has only its id.

    >>> name_of("our-glitter")
    'Our glitter'
    """
    return name.replace("-", " ").capitalize().ljust(3, ".")


def recoloured(was: tuple[Colour, ...], given: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Colours with some changed or added; one that is given as nothing is taken away."""
    named = {colour.name: colour.srgb for colour in was} | dict(given)
    return [{"name": name, "srgb": srgb} for name, srgb in named.items() if srgb is not None]


def _nearest(films: Mapping[str, Film], family: str, given: Mapping[str, Any]) -> Film | None:
    """The film of a family that is most like one of which four things are known."""
    finishes = given["finishes"]
    wanted = finishes if isinstance(finishes, list | tuple) else [finishes]

    def apart(film: Film) -> tuple[bool, bool, float, float]:
        return (
            not all(finish in film.finishes for finish in wanted),
            film.peel != given["peel"],
            abs(film.setpoint_c.best - _best(given["setpoint_c"], film.setpoint_c.best)),
            abs(film.dwell_s.best - _best(given["dwell_s"], film.dwell_s.best)),
        )

    known = (f for f in films.values() if f.family == family and f.basis_default != "proposed")
    return min(known, key=apart, default=None)


def _best(window: Any, otherwise: float) -> float:
    return float(window["best"]) if _is_whole(window) else otherwise


def _few_degrees(best: float) -> tuple[float, float]:
    return _celsius(best - _DIAL_STEP_C), _celsius(best + _DIAL_STEP_C)


def _few_seconds(best: float) -> tuple[float, float]:
    low, high = (best * share for share in _DWELL_SHARES)
    return round(low, 1), min(round(high, 1), LONGEST_PRESSED_S)


def _a_half_more(kpa: float) -> tuple[float, float]:
    """The pressures around one that is stated, as far apart as those of the cautious film."""
    return kpa / 1.5, kpa * 1.5


def _window(
    given: Any, like: Film | None, field: str, around: Callable[[float], tuple[float, float]]
) -> Any:
    """A window for what a data sheet states: a number, two ends, or all three.

    What is no window comes back as it is, for the model to refuse.
    """
    if given is None and like is not None:
        return getattr(like, field).model_dump()
    stated = {"best": given} if _is_number(given) else given
    if not isinstance(stated, Mapping) or not all(_is_number(end) for end in stated.values()):
        return given
    if {"low", "high"} <= stated.keys() and "best" not in stated:
        return {**stated, "best": (stated["low"] + stated["high"]) / 2}
    if "best" not in stated:
        return given
    low, high = around(stated["best"])
    # What is stated beyond what any film has is refused for itself, not for what lies around it.
    return {"low": min(low, stated["best"]), "high": max(high, stated["best"]), **stated}


def _moved(base: Film, given: Mapping[str, Any]) -> dict[str, Any]:
    """What depends on the setpoint and the dwell, moved as far as those are from the base's."""
    setpoint, dwell = given["setpoint_c"], given["dwell_s"]
    if not _is_whole(setpoint) or not _is_whole(dwell):
        return {}
    by_c = setpoint["best"] - base.setpoint_c.best
    longer = dwell["best"] / base.dwell_s.best
    bonds_c = min(base.bonds_c + by_c, setpoint["low"])
    return {
        "bonds_c": _celsius(bonds_c),
        "softens_c": _celsius(min(base.softens_c + by_c, bonds_c)),
        "bonds_s": min(round(base.bonds_s * longer, 1), 120.0),
        "bears_c": _celsius(max(base.bears_c + by_c, setpoint["high"])),
        "bears_s": min(max(round(base.bears_s * longer, 1), dwell["high"]), LONGEST_PRESSED_S),
        "shrink": base.shrink.model_copy(update={"onset_c": _celsius(base.shrink.onset_c + by_c)}),
    }


def _of_its_setting(given: Mapping[str, Any]) -> dict[str, Any]:
    """The heat of a film of which nothing is known but its setpoint and its dwell."""
    setpoint, dwell = given["setpoint_c"], given["dwell_s"]
    if not _is_whole(setpoint) or not _is_whole(dwell):
        return {}
    bonds_c = min(setpoint["best"] - _BONDS_BELOW_C, setpoint["low"])
    return {
        "bonds_c": _celsius(bonds_c),
        "softens_c": _celsius(min(setpoint["best"] - _SOFTENS_BELOW_C, bonds_c)),
        "bonds_s": min(dwell["best"] * _HELD_SHARE, 120.0),
        "bears_c": _celsius(setpoint["high"]),
        "bears_s": min(dwell["high"] * _BEARS_PRESSES, LONGEST_PRESSED_S),
        "shrink": {
            "onset_c": _celsius(setpoint["low"]),
            "percent_per_s": 0.1,
            "grace_s": min(dwell["best"] * _GRACE_SHARE, 120.0),
        },
    }


def _celsius(value: float) -> float:
    """Within what a film may have, so that what is proposed is never what is refused."""
    return min(max(value, 20.0), HOTTEST_SETPOINT_C)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def _is_whole(window: Any) -> bool:
    return isinstance(window, Mapping) and all(
        _is_number(window.get(end)) for end in ("low", "best", "high")
    )
