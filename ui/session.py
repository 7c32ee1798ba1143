"""Session: the units that one person reads in, and the shelf and rules that serve all."""

from __future__ import annotations

import os
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path

import streamlit as st

from advisor.shop.knowledge import shop_knowledge, store_stamp
from rules.catalogue import Catalogue
from rules.facts.sheet import Sheet
from rules.facts.step import Step
from rules.facts.units import Units
from rules.knowledge import Knowledge

__all__ = ["catalogue", "grounds", "knowledge", "last_cover", "unit_switch", "units"]


def knowledge() -> Knowledge:
    """The rules and the shelf with what is the shop's own over it; frozen, so one serves all.

    `presslore app --shop DIR` names the folders in the environment.
    """
    return _knowledge(store_stamp())


@lru_cache(maxsize=1)
def _knowledge(stamp: object) -> Knowledge:
    named = os.environ.get("PRESSLORE_SHOP", "")
    return shop_knowledge(*(Path(folder) for folder in named.split(os.pathsep) if folder))


def catalogue() -> Catalogue:
    """The shelf of `knowledge`."""
    return knowledge().catalogue


def grounds() -> dict[str, str]:
    """What can be printed on, by id: every garment's name, then every fabric's."""
    known = catalogue()
    named = {garment.id: garment.name for garment in known.garments.values()}
    return named | {fabric.id: fabric.name for fabric in known.fabrics.values()}


def last_cover(steps: Iterable[Step]) -> Sheet | None:
    """The sheet that lies over the print in its last full press."""
    covers = [step.cover for step in steps if step.purpose == "full"]
    return catalogue().sheets.get(covers[-1] or "") if covers else None


def unit_switch() -> None:
    """Two switches for the units; their choice stands in the link and holds on every page."""
    with st.container(horizontal=True, horizontal_alignment="right", key="unit-switch"):
        st.segmented_control(
            "Temperatures in", ["°C", "°F"], default="°C", key="degrees", required=True,
            label_visibility="collapsed", bind="query-params",
        )  # fmt: skip
        st.segmented_control(
            "Lengths in", ["mm", "inch"], default="mm", key="lengths", required=True,
            label_visibility="collapsed", bind="query-params",
        )  # fmt: skip


def units() -> Units:
    """The units that the person chose; °C and mm until they choose."""
    return Units(
        fahrenheit=st.session_state.get("degrees") == "°F",
        inches=st.session_state.get("lengths") == "inch",
    )
