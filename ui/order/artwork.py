"""Artwork of an order: as it was drawn, and as it is drawn here with the first of its names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import streamlit as st

from advisor.artwork.job_artwork import as_planned, job_artwork
from advisor.artwork.reader import Artwork, Piece, read_artwork
from advisor.cutting.lettering import UNCOLOURED, assigned, letter_names
from advisor.cutting.records.cut import Lettering
from advisor.job.records.job import WidthOf
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from ui.order.record import CustomerOrder, folder_of

__all__ = ["assigned_names", "drawn_artwork", "named_artwork"]


# Someone's artwork: remembered in that person's session alone.
@st.cache_resource(show_spinner=False, scope="session", max_entries=8)
def _drawn(svg: bytes, width_mm: float, flatten: bool, name: str, width_of: WidthOf) -> Artwork:
    return read_artwork(svg, width_mm=width_mm, flatten=flatten, name=name, width_of=width_of)


@st.cache_resource(show_spinner=False, scope="session", max_entries=8)
def _cut(key: str, _order: CustomerOrder) -> Artwork:
    return job_artwork(_order.job, _order.svg)


def drawn_artwork(order: CustomerOrder) -> Artwork:
    """The artwork as it was drawn, at its largest width.

    Raises:
        ArtworkError: it cannot be cut as it is.
    """
    job = order.job
    return _drawn(order.svg, order.most_width_mm, job.flatten, job.artwork, job.width_of)


def named_artwork(order: CustomerOrder, plan: Plan) -> Artwork:
    """The artwork as a plan has it cut, with the first name as the piece of all names.

    Raises:
        BadInputError: the artwork or a name cannot be used.
    """
    artwork, names = _lettered(order, plan)
    if not names:
        return artwork
    first = names[0]
    lettered = Piece(
        id=NAMES_PIECE, fill=UNCOLOURED, opacity=1.0, shape=first.shape, visible=first.shape,
        order=len(artwork.pieces),
    )  # fmt: skip
    return replace(artwork, pieces=(*artwork.pieces, lettered))


def assigned_names(order: CustomerOrder, plan: Plan) -> list[Lettering]:
    """Every name of an order with the garment that it goes on.

    Raises:
        BadInputError: the artwork or a name cannot be used.
    """
    return assigned(_lettered(order, plan)[1], order.job.ordered)


def _lettered(order: CustomerOrder, plan: Plan) -> tuple[Artwork, Sequence[Lettering]]:
    """The artwork as a plan has it cut, and the names set for it."""
    artwork = as_planned(_cut(order.key, order), plan.print, job=order.job)
    return artwork, _letters(order.key, order, artwork)


@st.cache_resource(show_spinner=False, scope="session", max_entries=8)
def _letters(key: str, _order: CustomerOrder, _artwork: Artwork) -> Sequence[Lettering]:
    """The names of an order; where they lie follows from its own artwork and box."""
    if _order.job.names is None:
        return ()
    with folder_of(_order) as folder:
        return letter_names(_order.job.names, _artwork, folder=folder)
