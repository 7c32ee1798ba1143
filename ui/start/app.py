"""The pages as one application: `streamlit run` starts here."""

from __future__ import annotations

from pathlib import Path

import streamlit as st

from ui.navigation import pages
from ui.session import unit_switch

STATIC = Path(__file__).parents[1] / "static"
_STEPS = st.components.v2.component(
    "presslore_steps", js=(STATIC / "steps.js").read_text(encoding="utf-8")
)


def main() -> None:
    """Lay out what every page shares, then the page that was asked for."""
    st.set_page_config(page_title="Presslore", page_icon=STATIC / "mark.svg", layout="wide")
    st.logo(STATIC / "wordmark.svg", size="large", icon_image=STATIC / "mark.svg")
    st.html(STATIC / "presslore.css")
    _STEPS(key="steps")
    page = st.navigation(pages(), position="top")
    unit_switch()
    page.run()


if __name__ == "__main__":
    main()
