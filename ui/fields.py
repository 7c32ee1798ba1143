"""Fields: a choice out of a list, a garment, and numbers typed in the person's units."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any, TypeVar

import streamlit as st

from rules.facts.units import MM_PER_INCH, c_to_f, f_to_c, mm_to_inch
from ui.address import moved, write
from ui.session import catalogue, grounds, units
from ui.words import plain

__all__ = [
    "choose", "choose_colour", "choose_ground", "choose_or", "chosen_ground", "length_mm",
    "length_or_none_mm", "temperature_c",
]  # fmt: skip

USUAL_COLOUR = "usual"

Option = TypeVar("Option", bound=str)


def choose(
    label: str,
    options: Iterable[Option],
    now: str | None = None,
    *,
    key: str,
    at: Any = st,
    words: Callable[[Option], Any] = plain,
    in_address: bool = False,
    **more: Any,
) -> Option:
    """One of the options; at first ``now``, or the first where that is none of them.

    Args:
        at: the container that shows the field.
        words: what an option is called.
        in_address: what is chosen stands in the address, by its id.
        more: what else Streamlit's ``selectbox`` takes.
    """
    known = list(options)
    usual = now if now in known else known[0]
    if in_address and (key not in st.session_state or moved(key)):
        said = st.query_params.get(key)
        taken = said in known or (said and more.get("accept_new_options"))
        st.session_state[key] = said if taken else usual
    index = 0 if in_address else known.index(usual)
    chosen: Option = at.selectbox(label, known, index, format_func=words, key=key, **more)
    if in_address:
        write(**{key: None if chosen == usual else chosen})
    return chosen


def choose_or(
    none: str,
    label: str,
    options: Iterable[str],
    now: str | None,
    *,
    key: str,
    at: Any = st,
    **more: Any,
) -> str | None:
    """One of the options, or ``None`` for the first entry, which is worded ``none``."""
    chosen = choose(label, [none, *options], now, key=key, at=at, **more)
    return None if chosen == none else chosen


def choose_colour(now: str | None = None, *, key: str, at: Any = st, **more: Any) -> str | None:
    """A garment's colour by name, or typed as a hex value; ``None`` for the usual one."""
    known = catalogue().colours
    typed = [now] if now is not None and now not in known else []
    chosen: str | None = choose(
        "In this colour", [USUAL_COLOUR, *known, *typed], now, key=key, at=at,
        accept_new_options=True, help="One of these, or type a hex value such as #1b2a49.",
        **more,
    )  # fmt: skip
    return None if chosen in {None, USUAL_COLOUR} else chosen


def choose_ground(now: str | None = None, *, at: Any = st, beside: Any = st) -> str:
    """The garment or fabric to print on, with its colour after a colon where one is chosen."""
    known = grounds()
    on = choose(
        "On this garment or fabric", known, now, key="on", at=at, words=known.__getitem__,
        in_address=True,
    )  # fmt: skip
    colour = choose_colour(key="colour", at=beside, in_address=True)
    return on if colour is None else f"{on}:{colour}"


def chosen_ground() -> str | None:
    """What `choose_ground` shows as chosen; ``None`` before it was shown."""
    on, colour = st.session_state.get("on"), st.session_state.get("colour")
    return f"{on}:{colour}" if on and colour not in {None, USUAL_COLOUR} else on


def length_mm(label: str, mm: float, *, key: str, low_mm: float, high_mm: float) -> float:
    """A length asked for in the person's units, mm.

    A value that is not touched stays exactly what it was, also where inches show it rounded.
    """
    given = length_or_none_mm(label, mm, key=key, low_mm=low_mm, high_mm=high_mm)
    return mm if given is None else given


def length_or_none_mm(
    label: str, mm: float | None, *, key: str, low_mm: float, high_mm: float, **more: Any
) -> float | None:
    """The same where the field may stay empty, which is ``None``."""
    inches = units().inches
    return _number(
        label, mm, key=key, low=low_mm, high=high_mm, unit="inch" if inches else "mm",
        shown=(lambda at: round(mm_to_inch(at), 2)) if inches else float,
        kept=lambda at: at * MM_PER_INCH if inches else at,
        step=0.1 if inches else 1.0, format="%.4g", **more,
    )  # fmt: skip


def temperature_c(
    label: str, celsius: float | None, *, key: str, low_c: float, high_c: float
) -> float | None:
    """A temperature asked for in the person's units, °C; ``None`` where the field is empty."""
    fahrenheit = units().fahrenheit
    return _number(
        label, celsius, key=key, low=low_c, high=high_c, unit="°F" if fahrenheit else "°C",
        shown=(lambda at: float(round(c_to_f(at)))) if fahrenheit else float,
        kept=f_to_c if fahrenheit else float, step=1.0, format="%.0f", placeholder="any",
    )  # fmt: skip


def _number(
    label: str,
    value: float | None,
    *,
    key: str,
    low: float,
    high: float,
    unit: str,
    shown: Callable[[float], float],
    kept: Callable[[float], float],
    **more: Any,
) -> float | None:
    now = None if value is None else shown(value)
    given = st.number_input(
        f"{label}, {unit}", shown(low), shown(high), now, key=f"{key}-{unit}", **more
    )
    if given is None:
        return None
    return value if given == now else min(max(kept(given), low), high)
