"""Told: a refusal and a remark, shown as nothing but text whatever they contain."""

from __future__ import annotations

from html import escape

import streamlit as st

__all__ = ["refusal", "remark"]


def refusal(sentence: str) -> None:
    """Show why something cannot be done, in one sentence."""
    st.html(f'<p class="pl-finding pl-stop" role="alert">{escape(sentence)}</p>')


def remark(words: str) -> None:
    """Show a remark in small type."""
    st.html(f'<p class="pl-soft" style="font-size:.92rem;margin:0">{escape(words)}</p>')
