"""Files: all that a planned job gives to take away, and the link that reopens it."""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from dataclasses import replace
from pathlib import Path

import streamlit as st

from advisor.artwork.reader import Artwork
from advisor.cutting.cutting import LIST_JSON, cut_job
from advisor.cutting.lettering import letter_names
from advisor.job.plan_file import plan_json
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from advisor.job.saving import safe_name
from advisor.words.ticket.page import ticket_html
from rules.catalogue import Catalogue
from rules.errors import PressloreError
from ui import waiting
from ui.pages.plan.kept import link_word
from ui.pages.plan.order import Order, folder_of, order_file
from ui.pages.plan.told import refusal
from ui.session import catalogue
from ui.show import lead

__all__ = ["cut_zip", "show_files"]


def show_files(order: Order, plan: Plan | None, artwork: Artwork) -> None:
    """A button for each file; those that take a while are made when they are asked for."""
    title = order.job.job
    with st.container(horizontal=True):
        st.download_button(
            "Job file", order_file(order), f"{safe_name(title)}-job.zip", "application/zip",
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
    st.text_input("Link to this job", f"{address}?job={word}", key=f"link-{order.key[:12]}")


def _plan_files(order: Order, plan: Plan, artwork: Artwork, title: str) -> None:
    st.download_button(
        "Ticket to print", lambda: ticket_html(plan, artwork, catalogue=catalogue()),
        f"{safe_name(title)}-ticket.html", "text/html", icon=":material/print:", on_click="ignore",
    )  # fmt: skip
    st.download_button(
        "Plan", plan_json(plan), f"{safe_name(title)}-plan.json", "application/json",
        icon=":material/list_alt:", on_click="ignore",
    )  # fmt: skip
    try:
        made = _cut(order, plan, artwork)
    except PressloreError as error:
        refusal(f"No cut files: {error}")
        return
    if made is not None:
        st.download_button(
            "Cut files", made, f"{safe_name(title)}-cut.zip", "application/zip",
            icon=":material/content_cut:", on_click="ignore",
            help="Mirrored SVG and DXF for each film, pictures, and the list of what to cut.",
        )  # fmt: skip


def _cut(order: Order, plan: Plan, artwork: Artwork) -> bytes | None:
    """The cut files, remembered in this visit for as long as the order stays as it is."""
    key, made = st.session_state.get("cut_files", ("", b""))
    if key == order.key:
        held: bytes = made
        return held
    known = catalogue()
    made = waiting.answer(
        lambda: cut_zip(order, plan, artwork, known=known),
        asked=("cut", order.key), doing="Making the cut files",
    )  # fmt: skip
    if made is not None:
        st.session_state["cut_files"] = (order.key, made)
    return made


def cut_zip(order: Order, plan: Plan, artwork: Artwork, *, known: Catalogue) -> bytes:
    """The cut files of a plan in one zip.

    Raises:
        BadInputError: the plan cannot be cut, or a name cannot be set.
    """
    packed = io.BytesIO()
    plain = replace(artwork, pieces=tuple(p for p in artwork.pieces if p.id != NAMES_PIECE))
    with folder_of(order) as folder, tempfile.TemporaryDirectory(prefix="presslore-") as made:
        names = letter_names(order.job.names, plain, folder=folder) if order.job.names else ()
        out = Path(made) / "cut"
        cut_job(plan, plain, out=out, names=names, catalogue=known)
        with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
            for path in sorted(each for each in out.rglob("*") if each.is_file()):
                content = path.read_bytes()
                if path.name == LIST_JSON:
                    # Where this machine had put them for a moment is nobody's concern.
                    told = {**json.loads(content), "folder": "."}
                    content = json.dumps(told, ensure_ascii=False, indent=2).encode()
                archive.writestr(path.relative_to(out).as_posix(), content)
    return packed.getvalue()
