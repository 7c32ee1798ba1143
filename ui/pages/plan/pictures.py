"""Pictures: the artwork as it was drawn, beside the print as it will look on its garments."""

from __future__ import annotations

from collections.abc import Callable, Collection
from hashlib import sha256
from html import escape
from pathlib import Path

import streamlit as st

from advisor.artwork.reader import Artwork
from advisor.job.records.plan import Plan
from ui.drawing.apart import artwork_flat
from ui.pages.plan.layers import looks_of
from ui.session import catalogue

__all__ = ["show_pictures"]

STATIC = Path(__file__).parents[2] / "static"
_PICTURES = st.components.v2.component(
    "presslore_pictures",
    html='<div class="pictures"></div>',
    css=(STATIC / "pictures.css").read_text(encoding="utf-8"),
    js=(STATIC / "pictures.js").read_text(encoding="utf-8"),
)


def show_pictures(
    drawn: Artwork,
    plan: Plan | None,
    pressed: Artwork | None,
    *,
    chosen: Collection[str],
    choose: Callable[[str], None],
) -> None:
    """The two side by side, in true colours; a touch on a piece of either chooses it.

    Args:
        drawn: as it was drawn.
        plan: what it is pressed in, where there is a plan; ``pressed`` is its artwork.
        chosen: the pieces that are pointed out.
        choose: called with the piece that was touched.
    """
    panels = [(artwork_flat(drawn), "As drawn")]
    if plan is not None and pressed is not None:
        looks, fabrics = looks_of(plan, catalogue()), (line.fabric for line in plan.print.lines)
        grounds = {catalogue().fabric(f).colour.srgb: catalogue().fabric(f) for f in fabrics}
        for srgb, fabric in grounds.items():
            words = f"As it will look on {fabric.colour.name}"
            panels.append((artwork_flat(pressed, looks, ground=srgb), words))

    def touched() -> None:
        piece = st.session_state["pictures"].piece
        if piece:
            choose(piece)

    _PICTURES(
        data={
            "key": sha256("".join(svg for svg, _ in panels).encode()).hexdigest(),
            "panels": [{"svg": svg, "words": escape(words)} for svg, words in panels],
            "chosen": sorted(chosen),
        },
        key="pictures",
        on_piece_change=touched,
    )
