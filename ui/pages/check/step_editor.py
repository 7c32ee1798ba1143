"""Step editor: each press of a schedule as a card with its settings to change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import streamlit as st

from advisor.words.examples import said_step
from rules.facts.press import Press
from rules.facts.step import Step
from rules.facts.units import c_to_f, f_to_c
from ui.drawing.pictogram import pictogram
from ui.drawing.section import Coloured
from ui.pages.check.stack import change
from ui.session import catalogue, units
from ui.show import drawing

__all__ = ["edit_steps"]

_PEELS = ("hot", "warm", "cold")


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
    down: list[str] = []
    for step in steps:
        with st.container(border=True, key=f"step-{step.n}-{key}"):
            picture, words = st.columns([1, 3.4], vertical_alignment="center")
            laid = [looks[piece].srgb for piece in step.pieces if piece in looks]
            fresh = [looks[piece].srgb for piece in step.pieces if piece not in down]
            already = [looks[piece].srgb for piece in down if piece not in step.pieces]
            with picture:
                drawing(
                    pictogram(step, laid=laid, down=already, fabric=fabric_srgb), "", most_px=150
                )
            with words:
                said = units().said(said_step(step.model_dump()))
                changed = any(name.startswith(f"{step.n}.") for name in changes)
                mark = " :material/edit: changed" if changed else ""
                st.markdown(f"**{step.n}. {said[:1].upper()}{said[1:]}**{mark}")
                _settings(step, press, key)
        if step.action == "press" and fresh:
            down += [piece for piece in step.pieces if piece not in down]


def _settings(step: Step, press: Press, key: str) -> None:
    fields = st.columns(3)
    if step.action in {"press", "preheat"} and step.setpoint_c is not None:
        with fields[0]:
            _temperature(step, press, key)
    if step.action in {"press", "preheat", "wait"} and step.dwell_s is not None:
        name = f"{step.n}.dwell_s"
        label = "Wait, s" if step.action == "wait" else "Dwell, s"
        fields[1].number_input(
            label, 0.0, 600.0, float(step.dwell_s), 1.0, format="%.0f", key=f"{name}-{key}",
            on_change=_number, args=[name, f"{name}-{key}"],
        )  # fmt: skip
    if step.action == "press":
        covers = [sheet.id for sheet in catalogue().sheets.values() if sheet.kind == "cover"]
        _choice(fields[2], step, "cover", ["none", *covers], step.cover or "none", key)
    if step.action == "peel" and step.peel is not None:
        _choice(fields[0], step, "peel", list(_PEELS), step.peel, key)


def _temperature(step: Step, press: Press, key: str) -> None:
    fahrenheit = units().fahrenheit
    low, high, now = press.setpoint_low_c, press.setpoint_high_c, step.setpoint_c or 0.0
    if fahrenheit:
        low, high, now = c_to_f(low), c_to_f(high), c_to_f(now)
    name = f"{step.n}.setpoint_c"
    widget = f"{name}-{key}-{'f' if fahrenheit else 'c'}"
    st.number_input(
        "Setpoint, °F" if fahrenheit else "Setpoint, °C",
        min(float(round(low)), float(round(now))), max(float(round(high)), float(round(now))),
        float(round(now)), 1.0, format="%.0f", key=widget,
        on_change=_setpoint, args=[name, widget, fahrenheit],
    )  # fmt: skip


def _choice(
    place: st.delta_generator.DeltaGenerator,
    step: Step,
    field: str,
    options: list[str],
    now: str,
    key: str,
) -> None:
    name = f"{step.n}.{field}"
    place.selectbox(
        field.capitalize(), options, options.index(now) if now in options else 0,
        key=f"{name}-{key}", on_change=_word, args=[name, f"{name}-{key}"],
    )  # fmt: skip


def _number(name: str, widget: str) -> None:
    change(name, f"{st.session_state[widget]:g}")


def _setpoint(name: str, widget: str, fahrenheit: bool) -> None:
    shown = float(st.session_state[widget])
    change(name, f"{f_to_c(shown) if fahrenheit else shown:.2f}")


def _word(name: str, widget: str) -> None:
    change(name, str(st.session_state[widget]))
