"""Editors: the stack from the fabric up, and each press of its schedule, with all to change."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from advisor.answers.typed_stack import LEAST_PRINT_MM, MOST_PRINT_MM
from advisor.words.plan import step_settings, step_title
from rules.facts.meeting import MEETING_WORDS
from rules.facts.press import Press
from rules.facts.step import Step
from rules.facts.units import c_to_f, f_to_c
from ui.drawing.pictogram import pictograms
from ui.drawing.texture import Coloured
from ui.fields import choose, choose_ground, choose_or, length_or_none_mm
from ui.pages.check.stack import (
    MOST_LAYERS,
    change,
    drawn_anew,
    dye,
    lay,
    meet,
    meets,
    move,
    resize,
    sides_mm,
    stack,
)
from ui.session import catalogue, units
from ui.show import drawing, remark
from ui.words import plain

__all__ = ["edit_stack", "edit_steps"]

ANY_COLOUR = "any"
USUAL_AREA = "its usual place"


def edit_stack() -> tuple[str, str, str | None]:
    """The stack with its buttons; returns the garment (or fabric), the press and the print area."""
    shelf, films = catalogue(), stack()
    new, dyed, add = st.columns([2.4, 1.3, 1.1], vertical_alignment="bottom")
    film = choose(
        "Next film, on top", shelf.films, key="next-film", at=new, persist_state="session",
        words=lambda name: f"{name} ({plain(shelf.films[name].family).lower()})",
    )  # fmt: skip
    colours = [colour.name for colour in shelf.films[film].colours]
    colour = choose_or(ANY_COLOUR, "Its colour", colours, None, key=f"colour-of-{film}", at=dyed)
    add.button(
        "Lay on top", key="lay", on_click=lay, args=[f"{film}:{colour}" if colour else film],
        type="primary", width="stretch", disabled=len(films) >= MOST_LAYERS,
    )  # fmt: skip
    for place in reversed(range(len(films))):
        _layer(place, films)
    fabric = choose_ground()
    garment = shelf.garment_of(fabric)
    areas = [area.name for area in garment.print_areas] if garment else []
    area = None
    if len(areas) > 1:
        area = choose_or(
            USUAL_AREA, "Where on it", areas, None, key="area", in_address=True
        )  # fmt: skip
    _edit_size()
    press = choose(
        "With this press", shelf.presses, key="press", in_address=True,
        words=lambda name: shelf.presses[name].name,
    )  # fmt: skip
    return fabric, press, area


def _edit_size() -> None:
    said = sides_mm()
    for side, (place, label) in enumerate(
        zip(st.columns(2), ("Print width", "Print height"), strict=True)
    ):
        with place:
            mm = length_or_none_mm(
                label, said[side], key=f"side-{side}-{drawn_anew()}", low_mm=LEAST_PRINT_MM,
                high_mm=MOST_PRINT_MM, placeholder="any",
            )  # fmt: skip
        if mm != said[side]:
            resize(side, mm)
    if sides_mm().count(None) == 1:
        remark("Say width and height: a size is judged once both are known.")


def _layer(place: int, films: list[str]) -> None:
    """One film of the stack: its colour, how it meets what is below, and where it lies."""
    top = len(films) - 1
    film, _, colour = films[place].partition(":")
    with st.container(border=True, gap="small", key=f"layer-{place}"):
        named, dyed = st.columns([1.4, 1], vertical_alignment="center")
        named.markdown(f"**{place + 1}.** {film}")
        colours = [each.name for each in catalogue().films[film].colours]
        key = f"dye-{place}-{film}-{drawn_anew()}"
        choose_or(
            ANY_COLOUR, f"Colour of {film}, layer {place + 1}", colours, colour or None, key=key,
            at=dyed, label_visibility="collapsed", on_change=_dyed(place, key),
        )  # fmt: skip
        with st.container(horizontal=True, gap="small"):
            for name, label, icon, by, disabled, told in (
                ("up", "Up", "arrow_upward", 1, place == top, f"Move {film} up"),
                ("down", "Down", "arrow_downward", -1, place == 0, f"Move {film} down"),
                ("off", "Take off", "close", 0, False, f"Take {film} off the stack"),
            ):
                st.button(
                    label, key=f"{name}-{place}", icon=f":material/{icon}:", on_click=move,
                    args=[place, by], disabled=disabled, help=told,
                )  # fmt: skip
    if place:
        below = films[place - 1].partition(":")[0]
        way = f"meets-{place}-{len(films)}-{drawn_anew()}"
        choose(
            f"{film} meets {below}", MEETING_WORDS, meets()[place - 1],
            words=lambda way: MEETING_WORDS[way].name, key=way,
            on_change=lambda: meet(place, st.session_state[way]),
        )  # fmt: skip


def _dyed(place: int, key: str) -> Callable[[], None]:
    def take() -> None:
        chosen = st.session_state[key]
        dye(place, None if chosen == ANY_COLOUR else chosen)

    return take


def edit_steps(
    steps: Sequence[Step],
    changes: Mapping[str, str],
    *,
    looks: Mapping[str, Coloured],
    fabric_srgb: str,
    press: Press,
    key: str,
) -> None:
    """Show every step; what can be set at it can be changed there.

    Args:
        steps: as they were judged, changes included, with the reason of each.
        looks: each piece's film and colour.
        key: changes whenever the settings should be shown afresh.
    """
    colours = {piece: look.srgb for piece, look in looks.items()}
    names = {piece: f"{look.colour} {look.film.id}" for piece, look in looks.items()}
    pictures = pictograms(steps, colours, fabric=fabric_srgb)
    for step, (drawn, _) in zip(steps, pictures, strict=True):
        with st.container(border=True, key=f"step-{step.n}-{key}"):
            picture, words = st.columns([1, 3.4], vertical_alignment="center")
            with picture:
                drawing(drawn, "", most_px=150)
            with words:
                settings = " · ".join(step_settings(step, press, units=units()))
                changed = any(name.startswith(f"{step.n}.") for name in changes)
                mark = " :material/edit: changed" if changed else ""
                st.markdown(f"**{step.n}. {step_title(step, names)}**{mark}")
                if settings:
                    st.markdown(settings)
                remark(step.why.shown(units()))
                _settings(step, press, key)


def _settings(step: Step, press: Press, key: str) -> None:
    first, second, third = st.columns(3)
    pressed = step.action in {"press", "preheat"}
    if pressed and step.setpoint_c is not None:
        _temperature(first, step, press, key)
    if (pressed or step.action == "wait") and step.dwell_s is not None:
        label = "Wait, s" if step.action == "wait" else "Dwell, s"
        second.number_input(
            label, 0.0, 600.0, float(step.dwell_s), 1.0, format="%.0f",
            **_changing(f"{step.n}.dwell_s", key, "{:g}".format),
        )  # fmt: skip
    if step.action == "press":
        covers = [sheet.id for sheet in catalogue().sheets.values() if sheet.kind == "cover"]
        choose(
            "Cover", ["none", *covers], step.cover, at=third, words=str,
            **_changing(f"{step.n}.cover", key, str),
        )  # fmt: skip
    if step.action == "peel" and step.peel is not None:
        choose(
            "Peel", ("hot", "warm", "cold"), step.peel, at=first, words=str,
            **_changing(f"{step.n}.peel", key, str),
        )  # fmt: skip


def _temperature(at: Any, step: Step, press: Press, key: str) -> None:
    fahrenheit = units().fahrenheit
    low, high, now = press.setpoint_low_c, press.setpoint_high_c, step.setpoint_c or 0.0
    if fahrenheit:
        low, high, now = c_to_f(low), c_to_f(high), c_to_f(now)
    low, high, now = float(round(low)), float(round(high)), float(round(now))
    at.number_input(
        "Setpoint, °F" if fahrenheit else "Setpoint, °C", min(low, now), max(high, now), now,
        1.0, format="%.0f",
        **_changing(
            f"{step.n}.setpoint_c", f"{key}-{'f' if fahrenheit else 'c'}",
            lambda shown: f"{f_to_c(shown) if fahrenheit else shown:.2f}",
        ),
    )  # fmt: skip


def _changing(name: str, key: str, words: Callable[[Any], str]) -> dict[str, Any]:
    """What makes a field keep what is changed in it, under the setting's name."""
    widget = f"{name}-{key}"
    return {
        "key": widget,
        "on_change": lambda: change(name, words(st.session_state[widget])),
    }
