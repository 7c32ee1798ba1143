"""The shop's figures, as fields: what every quote reckons with besides the job's own rates."""

from __future__ import annotations

import streamlit as st

from advisor.shop.pricing import Figures, keep_figures, kept_figures
from rules.errors import PressloreError
from ui.show import refusal, remark

__all__ = ["edit_figures"]

_LABELS = {
    "margin_pct": "Margin, % of the price", "overhead_pct": "Overhead, % on the work",
    "spoil_pct": "Spoiled garments, %", "set_up_min": "Set-up of an order, min",
    "cut_mm_per_s": "Cutter, mm/s", "weed_s_per_m": "Weeding, s per metre of cut",
    "weed_s_per_carrier": "Weeding, s per carrier", "name_s": "Each name, s",
}  # fmt: skip


def edit_figures() -> None:
    """Fields for every figure; what is changed is kept for every quote to come."""
    with st.expander("Your figures", icon=":material/tune:"):
        now = kept_figures()
        with st.form("figures", border=False):
            columns = st.columns(4)
            given = {
                name: columns[number % 4].number_input(
                    label, value=float(getattr(now, name)), step=1.0, format="%g",
                    key=f"figure-{name}-{getattr(now, name):g}",
                )
                for number, (name, label) in enumerate(_LABELS.items())
            }  # fmt: skip
            breaks = st.text_input(
                "Quantities to tell the price for", ", ".join(map(str, now.breaks)),
                key=f"figure-breaks-{now.breaks}",
            )  # fmt: skip
            remark("Until you say your own, these are typical and invented. Time is paid at the "
                   "rate of the job.")  # fmt: skip
            sent = st.form_submit_button("Keep")
        if sent:
            _keep(now, {**{name: f"{value:g}" for name, value in given.items()}, "breaks": breaks})


def _keep(now: Figures, given: dict[str, str]) -> None:
    was = {name: f"{getattr(now, name):g}" for name in _LABELS}
    was["breaks"] = ", ".join(map(str, now.breaks))
    changed = {name: text for name, text in given.items() if text != was[name]}
    if not changed:
        return
    try:
        keep_figures(changed)
    except PressloreError as error:
        refusal(str(error))
        return
    st.rerun()
