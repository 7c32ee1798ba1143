"""Aloud: what a reader of screens says when the answer of a page has changed."""

from __future__ import annotations

import streamlit as st

__all__ = ["say"]

_SAID = st.components.v2.component(
    "presslore_said",
    html='<p role="status" aria-live="polite"></p>',
    css="p { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%);"
    " margin: 0 }",
    # The same element says every answer of a page: one that comes with its words says nothing.
    js="""
    export default function({ data, parentElement }) {
      const said = parentElement.querySelector("p")
      if (said.textContent !== data) said.textContent = data
    }
    """,
)


def say(words: str) -> None:
    """Say this aloud, once, whenever it is other than what was said before."""
    _SAID(data=words, key="said-aloud")
