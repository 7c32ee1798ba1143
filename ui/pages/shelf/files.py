"""Shelf files: the job that *Plan a job* has open, with its files to take away."""

from __future__ import annotations

import streamlit as st

from rules.errors import PressloreError
from ui.order.artwork import named_artwork
from ui.order.visit import opened_order
from ui.pages.plan.files import show_files
from ui.show import lead, refusal
from ui.tasks import plan_task
from ui.waiting import wait_for

__all__ = ["job_files"]


def job_files() -> None:
    """The files, once they are asked for: a job is planned only then."""
    st.header("Files of a job")
    if not st.toggle("Show the files of the job that is open on Plan a job", key="job-files"):
        return
    try:
        order = opened_order()
        plan = wait_for(plan_task(order))
        artwork = named_artwork(order)
    except PressloreError as error:
        refusal(str(error))
        return
    lead(f"{order.job.job}: cut files, ticket, plan and heat plot.")
    show_files(order, plan, artwork)
