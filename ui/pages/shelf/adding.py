"""What the shop adds besides films: fabrics, garments, presses and sheets, by the values asked."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import get_args

import streamlit as st

from advisor.shop import acts
from rules.facts.fabric import Fabric
from rules.facts.film import Coating
from rules.facts.garment import Wearer
from ui.pages.shelf.editing import do
from ui.session import catalogue
from ui.show import remark
from ui.words import plain

__all__ = ["add_thing"]

NOTHING = "as the one it is like"
_LIKE_USUAL = "the commonest of its kind"


@dataclass(frozen=True, slots=True)
class _AskedValue:
    """A value that is asked: its word, as on the command line, and how it is given.

    Attributes:
        example: what may be typed, shown in the empty field.
        choices: what may be chosen instead; the first is taken where nothing is.
    """

    word: str
    label: str
    example: str = ""
    choices: Sequence[str] = ()


_FABRICS = "fabrics"
_ASKED: Mapping[str, tuple[str, str, tuple[_AskedValue, ...]]] = {
    "fabrics": ("fabric", "our-canvas", (
        _AskedValue("fibres", "Fibres in percent", "cotton=95; elastane=5"),
        _AskedValue("weight", "Grams per m²", "180"),
        _AskedValue("construction", "Construction", choices=(
            NOTHING, *get_args(Fabric.model_fields["construction"].annotation)
        )),
        _AskedValue("colour", "Colour", "navy=#1b2a49"),
        _AskedValue("coating", "Coating", choices=(NOTHING, *get_args(Coating))),
    )),
    "garments": ("garment", "our-tee", (
        _AskedValue("fabric", "Fabric", choices=(_FABRICS,)),
        _AskedValue("for", "Who wears it", choices=get_args(Wearer)),
        _AskedValue("price", "What one costs", "4.50"),
        _AskedValue("areas", "Print areas, mm", "front=300x400; back=300x400"),
    )),
    "presses": ("press", "our-press", (
        _AskedValue("platen", "Platen", "380x380, or 15x15in"),
        _AskedValue("dial", "Dial goes", "60-215, or 140-420F"),
        _AskedValue("pressure", "kPa at light/medium/firm", "15/30/45; empty: not measured"),
    )),
    "sheets": ("sheet", "our-pad", (
        _AskedValue("kind", "What it is for", choices=("cover", "pad")),
        _AskedValue("thickness", "Thickness", "130, or 5mm"),
        _AskedValue("bears", "Bears at most", "230, or 450F"),
    )),
}  # fmt: skip


def add_thing(kind: str) -> None:
    """Fields for a thing of the shop's own: what must be said of it, the rest proposed."""
    called, example, asked = _ASKED[kind]
    with st.expander(f"Add a {called} of your own", icon=":material/add:"):
        with st.form(f"add-{called}", border=False):
            first, *columns = st.columns(3)
            name = first.text_input("What you call it", key=f"own-{called}", placeholder=example)
            columns = [*columns, *st.columns(3), *st.columns(3)]
            given = {
                each.word: _field(column, called, each)
                for column, each in zip(columns, asked, strict=False)
            }
            like = columns[len(asked)].selectbox(
                "Like", [_LIKE_USUAL, *getattr(catalogue(), kind)], key=f"own-{called}-like"
            )
            remark("The rest is proposed, marked so, and counts as less sure until you enter it.")
            sent = st.form_submit_button("Put it on the shelf")
        if sent:
            texts = [(word, text) for word, text in given.items() if text and text != NOTHING]
            do(
                name,
                f"{name} is on the shelf.",
                lambda: acts.add_stated(
                    kind, name, texts, like=None if like == _LIKE_USUAL else like, store=None
                ),
            )


def _field(column: st.delta_generator.DeltaGenerator, called: str, asked: _AskedValue) -> str:
    key = f"own-{called}-{asked.word}"
    if not asked.choices:
        return str(column.text_input(asked.label, key=key, placeholder=asked.example) or "").strip()
    choices = [*catalogue().fabrics] if asked.choices == (_FABRICS,) else asked.choices
    return str(column.selectbox(asked.label, choices, format_func=plain, key=key))
