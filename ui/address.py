"""Address: the words in it that no field keeps there by itself, and whether a person changed them.

The browser's back button and a link change the address behind the page's back: what stands there
then counts, and what the visit held before is let go.
"""

from __future__ import annotations

from urllib.parse import urlencode

import streamlit as st

__all__ = ["arrive", "href", "moved", "write"]


def arrive(page: str) -> None:
    """Begin on a page: nothing of it was written yet where another one was open before."""
    if st.session_state.get("page") != page:
        st.session_state["page"], st.session_state["address"] = page, {}


def moved(*names: str) -> bool:
    """Whether the address says other than what the visit has written there.

    One that says nothing, on a page that was just opened, leaves what the visit holds: that is
    where the navigation leads.
    """
    said = {name: st.query_params[name] for name in names if name in st.query_params}
    return said != {name: _written()[name] for name in names if name in _written()}


def write(**words: str | None) -> None:
    """Have the address say this; ``None`` takes a word out of it."""
    for name, word in words.items():
        if word is None:
            _written().pop(name, None)
            st.query_params.pop(name, None)
        else:
            _written()[name] = word
            if st.query_params.get(name) != word:
                st.query_params[name] = word


def href(page: str, **words: str | None) -> str:
    """The address of a page with these words in it, in the units that the reader chose.

    >>> href("check", stack="matte-smooth:white,flock-plush", on="adult-tee", colour=None)
    'check?stack=matte-smooth:white,flock-plush&on=adult-tee'
    """
    chosen = {name: st.query_params.get(name) for name in ("degrees", "lengths")}
    said = {name: word for name, word in (words | chosen).items() if word is not None}
    return f"{page}?{urlencode(said, safe=':,')}" if said else page


def _written() -> dict[str, str]:
    held: dict[str, str] = st.session_state.setdefault("address", {})
    return held
