"""Files: all that a planned job gives to take away."""

from __future__ import annotations

import streamlit as st

from advisor.artwork.reader import Artwork
from advisor.job.records.plan import Plan
from advisor.job.saving import safe_name
from advisor.words.ticket.page import ticket_html
from rules.errors import PressloreError
from ui.order.artwork import named_artwork
from ui.order.files import order_file
from ui.order.record import CustomerOrder
from ui.order.visit import opened_order
from ui.session import catalogue
from ui.show import lead, refusal
from ui.tasks import cut_task, plan_task
from ui.waiting import wait_for

__all__ = ["job_files", "show_files"]


def show_files(order: CustomerOrder, plan: Plan | None, artwork: Artwork) -> None:
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
    lead("This page's address reopens the exact job here, names and all; elsewhere the file does.")


def job_files() -> None:
    """The files of the job in hand, once they are asked for: it is planned only then."""
    st.header("Files of a job")
    if not st.toggle("Show the files of the job that is open on Plan a job", key="job-files"):
        return
    try:
        order = opened_order()
        plan = wait_for(plan_task(order))
        if plan is None:
            return
        artwork = named_artwork(order, plan)
    except PressloreError as error:
        refusal(str(error))
        return
    lead(f"{order.job.job}: cut files, ticket, plan and heat plot.")
    show_files(order, plan, artwork)


def _plan_files(order: CustomerOrder, plan: Plan, artwork: Artwork, title: str) -> None:
    st.download_button(
        "Ticket to print", lambda: ticket_html(plan, artwork, catalogue=catalogue()),
        f"{safe_name(title)}-ticket.html", "text/html", icon=":material/print:", on_click="ignore",
    )  # fmt: skip
    st.download_button(
        "Plan", plan.text(), f"{safe_name(title)}-plan.json", "application/json",
        icon=":material/list_alt:", on_click="ignore",
    )  # fmt: skip
    made = wait_for(
        cut_task(order, plan, artwork), refuse=lambda why: refusal(f"No cut files: {why}")
    )
    if made is not None:
        st.download_button(
            "Cut files", made, f"{safe_name(title)}-cut.zip", "application/zip",
            icon=":material/content_cut:", on_click="ignore",
            help="Mirrored SVG and DXF for each film, pictures, and the list of what to cut.",
        )  # fmt: skip
