"""The pages as one application: `streamlit run` starts here."""

from __future__ import annotations

import logging
from pathlib import Path

import streamlit as st

from rules.errors import PressloreError
from ui.navigation import pages
from ui.session import unit_switch
from ui.show import refusal

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
    try:
        page.run()
    except PressloreError as error:
        refusal(str(error))
    except Exception:
        # Whatever else goes wrong is ours: a person reads a sentence, and the record has the rest.
        logging.getLogger("presslore").exception("a page failed")
        refusal(
            "Something went wrong here, which is our mistake and not yours. Your job is kept: "
            "reload the page, or go back one step."
        )


if __name__ == "__main__":
    main()
