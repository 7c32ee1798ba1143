"""What the shop changes on its shelf: a film added by its data sheet, a price, the metres left."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import streamlit as st

from advisor.shop import acts
from advisor.words.values import label_of
from rules.errors import PressloreError
from rules.facts.fact import Fact
from rules.facts.film import FAMILIES, FINISHES, UNKNOWN_FAMILY, Film
from ui.fields import temperature_c
from ui.session import catalogue
from ui.show import refusal, remark
from ui.words import plain

__all__ = ["add_film", "do", "keep_values", "own_names", "set_a_value", "show_what_was_done"]

_DONE, _WANTED = "shelf-done", "shelf-wanted"
_BY_FINISH, _NO_FILM = "as its finish tells", "none"
_COUNTED = {"films": ("price_per_m", "on_shelf_m"), "garments": ("price_each",)}
_LABELS = {
    "price_per_m": "Price per metre", "on_shelf_m": "Metres on the shelf",
    "price_each": "Price each",
}  # fmt: skip
_MOST = {"price_per_m": 1000.0, "on_shelf_m": 10_000.0, "price_each": 1000.0}


def own_names() -> set[str]:
    """The ids of everything that the shop entered, or entered a value of."""
    return {entry.name for entry in acts.own_entries()}


def show_what_was_done() -> None:
    """Say what the last change did, once, and open the card that it was about."""
    if _DONE in st.session_state:
        st.success(st.session_state.pop(_DONE), icon=":material/check:")
    if _WANTED in st.session_state:
        st.session_state["card"] = st.session_state.pop(_WANTED)


def add_film() -> None:
    """Fields for a film of the shop's own: what every data sheet states, and no more."""
    with st.expander("Add a film of your own", icon=":material/add:"):
        with st.form("add-film", border=False):
            name, finish, peel = st.columns(3)
            called = name.text_input("What you call it", key="own-name", placeholder="our-glitter")
            shows = finish.selectbox("Finish", FINISHES, format_func=plain, key="own-finish")
            peeled = peel.selectbox("Peel", ["hot", "warm", "cold"], 1, format_func=plain)
            heat, time, family, like = st.columns(4)
            with heat:
                setpoint_c = temperature_c(
                    "Setpoint", 155.0, key="own-setpoint", low_c=60, high_c=230
                )
            dwell_s = time.number_input("Dwell, s", 1.0, 120.0, 15.0, 1.0, "%g", key="own-dwell")
            of = family.selectbox(
                "Family",
                [_BY_FINISH, *FAMILIES, UNKNOWN_FAMILY],
                format_func=plain,
                key="own-family",
            )
            as_is = like.selectbox("Like", [_NO_FILM, *catalogue().films], key="own-like")
            remark("The rest is proposed, marked so, and counts as less sure until you enter it.")
            sent = st.form_submit_button("Put it on the shelf")
        if sent:
            texts = [
                ("finish", shows), ("peel", peeled), ("dwell", f"{dwell_s}"),
                ("setpoint", "" if setpoint_c is None else f"{setpoint_c:.2f}"),
                ("family", "" if of == _BY_FINISH else of),
            ]  # fmt: skip
            given = [(word, text) for word, text in texts if text]
            known = None if as_is == _NO_FILM else as_is
            do(
                called,
                f"{called} is on the shelf.",
                lambda: acts.add_typed("films", called, given, like=known, store=None),
            )


def keep_values(kind: str, entry: Any) -> None:
    """Fields for what the shop alone knows of a thing: its price, and what is left of it."""
    fields = _COUNTED.get(kind, ())
    if fields:
        with st.form(f"keep-{entry.id}", border=False):
            columns = st.columns([*(1 for _ in fields), 1], vertical_alignment="bottom")
            given = {
                field: column.number_input(
                    _LABELS[field], 0.0, _MOST[field], float(getattr(entry, field)), 0.5, "%.2f",
                    key=f"{field}-{entry.id}-{getattr(entry, field):g}",
                )
                for field, column in zip(fields, columns, strict=False)
            }  # fmt: skip
            sent = columns[-1].form_submit_button("Keep", width="stretch")
        changed = {f: value for f, value in given.items() if value != getattr(entry, f)}
        if sent and changed:
            said = " and ".join(_LABELS[field].lower() for field in changed)
            do(
                entry.id,
                f"{entry.id}: {said} kept.",
                lambda: acts.change(entry.id, changed, store=None),
            )
    if entry.id in own_names():
        _take_away(entry)


def set_a_value(kind: str, entry: Any) -> None:
    """One field for any single value of a thing, typed as on the command line."""
    with (
        st.expander("Change a value", icon=":material/edit:"),
        st.form(f"set-{entry.id}", border=False),
    ):
        which, how, button = st.columns(3, vertical_alignment="bottom")
        fields = [name for name in entry.values() if name != "id"]
        field = which.selectbox("Value", fields, format_func=label_of, key=f"set-field-{kind}")
        text = how.text_input("It is", key=f"set-text-{kind}", placeholder="160, 150-165, 320F")
        sent = button.form_submit_button("Set it", width="stretch")
    if sent:
        said = f"{entry.id}: {label_of(field).lower()} kept."
        do(entry.id, said, lambda: acts.set_typed(entry.id, field, text or "", store=None))


def _take_away(entry: Any) -> None:
    if st.button("Take what you entered away", key=f"remove-{entry.id}", type="tertiary"):

        def remove() -> None:
            if acts.remove(entry.id, store=None) is None:
                st.session_state.pop(_WANTED, None)

        taken = " Metres that jobs took of it stay taken." if isinstance(entry, Film) else ""
        do(entry.id, f"What you entered of {entry.id} is gone.{taken}", remove)


def do(name: str, done: str, act: Callable[[], Fact | object]) -> None:
    """Do it and show the page anew with what was done, or say why it cannot be done."""
    st.session_state[_WANTED] = name
    try:
        act()
    except PressloreError as error:
        del st.session_state[_WANTED]
        refusal(str(error))
        return
    st.session_state[_DONE] = done
    st.rerun()
