"""Editors: the stack from the fabric up, and each press of its schedule, with all to change."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from advisor.words.examples import said_step
from rules.facts.meeting import MEETING_WORDS
from rules.facts.press import Press
from rules.facts.step import Step
from rules.facts.units import c_to_f, f_to_c
from ui.drawing.pictogram import pictograms
from ui.drawing.texture import Coloured
from ui.fields import choose, choose_ground, choose_or
from ui.pages.check.stack import MOST_LAYERS, change, lay, meet, meets, move, stack
from ui.session import catalogue, units
from ui.show import drawing
from ui.words import plain

__all__ = ["edit_stack", "edit_steps"]

ANY_COLOUR = "any colour"


def edit_stack() -> tuple[str, str]:
    """The stack with its buttons; returns the garment (or fabric) and the press chosen."""
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
    press = choose(
        "With this press", shelf.presses, key="press", bind="query-params",
        words=lambda name: shelf.presses[name].name,
    )  # fmt: skip
    return fabric, press


def _layer(place: int, films: list[str]) -> None:
    """One film of the stack: its name, and buttons to move it up, down and away."""
    film, top = films[place], len(films) - 1
    with st.container(
        horizontal=True, border=True, vertical_alignment="center", gap="small",
        key=f"layer-{place}",
    ):  # fmt: skip
        st.markdown(f"**{place + 1}.** {film.replace(':', ', ')}", width="stretch")
        for key, label, icon, by, disabled, told in (
            ("up", "Up", "arrow_upward", 1, place == top, f"Move {film} up"),
            ("down", "Down", "arrow_downward", -1, place == 0, f"Move {film} down"),
            ("off", "Take off", "close", 0, False, f"Take {film} off the stack"),
        ):
            st.button(
                label, key=f"{key}-{place}", icon=f":material/{icon}:", on_click=move,
                args=[place, by], disabled=disabled, help=told,
            )  # fmt: skip
    if place:
        key = f"meets-{place}-{len(films)}"
        choose(
            f"{film} meets {films[place - 1]}", MEETING_WORDS, meets()[place - 1],
            words=lambda way: MEETING_WORDS[way].name, key=key,
            on_change=lambda: meet(place, st.session_state[key]),
        )  # fmt: skip


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
        steps: as they stand, changes included.
        looks: each piece's film and colour.
        key: changes whenever the settings should be shown afresh.
    """
    colours = {piece: look.srgb for piece, look in looks.items()}
    pictures = pictograms(steps, colours, fabric=fabric_srgb)
    for step, (drawn, _) in zip(steps, pictures, strict=True):
        with st.container(border=True, key=f"step-{step.n}-{key}"):
            picture, words = st.columns([1, 3.4], vertical_alignment="center")
            with picture:
                drawing(drawn, "", most_px=150)
            with words:
                said = said_step(step.model_dump()).shown(units())
                changed = any(name.startswith(f"{step.n}.") for name in changes)
                mark = " :material/edit: changed" if changed else ""
                st.markdown(f"**{step.n}. {said[:1].upper()}{said[1:]}**{mark}")
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
