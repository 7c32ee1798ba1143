"""Files: all that a planned job gives to take away, and the link that reopens it."""

from __future__ import annotations

import io
import tempfile
import zipfile
from dataclasses import replace
from pathlib import Path

import streamlit as st

from advisor.artwork import Artwork
from advisor.cut import cut_job
from advisor.lettering import NAMES_PIECE, letter_names
from advisor.plan_file import plan_json
from advisor.plan_model import Plan
from advisor.ticket import ticket_html
from rules.errors import PressloreError
from ui.plan_kept import link_word
from ui.plan_order import Order, folder_of, order_file, safe_name
from ui.plan_wait import refusal
from ui.session import catalogue
from ui.show import lead

__all__ = ["cut_zip", "show_files"]


def show_files(order: Order, plan: Plan | None, artwork: Artwork) -> None:
    """A button for each file; those that take a while are made when they are asked for."""
    title = order.job.job
    with st.container(horizontal=True):
        st.download_button(
            "Job file", order_file(order), safe_name(title, "-job.zip"), "application/zip",
            icon=":material/work:", on_click="ignore",
            help="The job, its artwork and its names: drop it here to go on from it.",
        )  # fmt: skip
        if plan is not None and plan.status == "planned":
            _plan_files(order, plan, artwork, title)
    word = link_word(order)
    if word is None:
        lead("This artwork is too large for a link; the job file reopens the exact job.")
        return
    lead(
        "This link reopens the exact job"
        + (", but for its names: those are in the job file alone." if order.names else ".")
    )
    address = (st.context.url or "").split("?")[0]
    st.code(f"{address}?job={word}", language=None, wrap_lines=False)


def _plan_files(order: Order, plan: Plan, artwork: Artwork, title: str) -> None:
    st.download_button(
        "Ticket to print", lambda: ticket_html(plan, artwork, catalogue=catalogue()),
        safe_name(title, "-ticket.html"), "text/html", icon=":material/print:", on_click="ignore",
    )  # fmt: skip
    st.download_button(
        "Plan", plan_json(plan), safe_name(title, "-plan.json"), "application/json",
        icon=":material/list_alt:", on_click="ignore",
    )  # fmt: skip
    try:
        made = _cut(order.key, order, plan, artwork)
    except PressloreError as error:
        refusal(f"No cut files: {error}")
        return
    st.download_button(
        "Cut files", made, safe_name(title, "-cut.zip"), "application/zip",
        icon=":material/content_cut:", on_click="ignore",
        help="Mirrored SVG and DXF for each film, pictures, and the list of what to cut.",
    )  # fmt: skip


@st.cache_data(show_spinner="Making the cut files", scope="session", max_entries=4)
def _cut(key: str, _order: Order, _plan: Plan, _artwork: Artwork) -> bytes:
    return cut_zip(_order, _plan, _artwork)


def cut_zip(order: Order, plan: Plan, artwork: Artwork) -> bytes:
    """The cut files of a plan in one zip.

    Raises:
        BadInputError: the plan cannot be cut, or a name cannot be set.
    """
    packed = io.BytesIO()
    plain = replace(artwork, pieces=tuple(p for p in artwork.pieces if p.id != NAMES_PIECE))
    with folder_of(order) as folder, tempfile.TemporaryDirectory(prefix="presslore-") as out:
        names = letter_names(order.job.names, plain, folder=folder) if order.job.names else ()
        cut_job(plan, plain, out=Path(out) / "cut", names=names, catalogue=catalogue())
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in sorted((Path(out) / "cut").rglob("*")):
                if path.is_file():
                    archive.write(path, path.relative_to(Path(out) / "cut").as_posix())
    return packed.getvalue()
