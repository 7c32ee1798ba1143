"""Form: all that a person says of a job: artwork, looks, garments, names, press, preference."""

from __future__ import annotations

from dataclasses import replace

import streamlit as st

from advisor.job.demo import DEMO_JOBS
from advisor.job.records.job import Job, Rates
from rules.errors import PressloreError
from ui.order.artwork import drawn_artwork
from ui.order.files import MOST_UPLOAD_BYTES, open_file
from ui.order.kept import change, generation
from ui.order.record import CustomerOrder, demo_order
from ui.pages.plan.garments import garments_form
from ui.pages.plan.names import names_form
from ui.pages.plan.wish import wish_form
from ui.session import catalogue
from ui.show import refusal
from ui.words import PREFER, plain

__all__ = ["open_form", "order_form"]

OPENS = ["svg", "yaml", "yml", "json", "zip", "csv"]


def order_form(order: CustomerOrder) -> CustomerOrder:
    """Every field; the order as it now stands.

    Raises:
        ArtworkError: the artwork cannot be cut as it is.
    """
    artwork = drawn_artwork(order)
    job = wish_form(order.job, artwork)
    with st.expander(_garments_said(job), icon=":material/apparel:", key="form-garments"):
        job = job.model_copy(update={"garments": garments_form(replace(order, job=job))})
    order = replace(order, job=job)
    with st.expander("Names on the garments", icon=":material/badge:", key="form-names"):
        order = names_form(order, artwork)
    with st.expander("Press, preference and rates", icon=":material/tune:", key="form-press"):
        return replace(order, job=_press_form(order.job))


def open_form(order: CustomerOrder) -> None:
    """A place to drop files, and the jobs that ship."""
    with st.expander("Open an artwork or a job", icon=":material/folder_open:", key="form-open"):
        dropped = st.file_uploader(
            "Drop an SVG, a job file or a list of names", OPENS, key=f"drop-{generation()}",
            max_upload_size=MOST_UPLOAD_BYTES // 1_000_000,
        )  # fmt: skip
        st.markdown("Or take one of the Harbour Kite Festival's jobs:")
        with st.container(horizontal=True):
            for name in DEMO_JOBS:
                st.button(
                    plain(name), key=f"demo-{name}", on_click=change, args=[demo_order(name)],
                    kwargs={"redraw": True},
                )  # fmt: skip
        if dropped is not None:
            try:
                change(open_file(dropped.name, dropped.getvalue(), now=order), redraw=True)
            except PressloreError as error:
                refusal(str(error))
                return
            st.rerun()


def _garments_said(job: Job) -> str:
    count = sum(line.quantity for line in job.garments)
    kinds = len(job.garments)
    return f"{count} {'garment' if count == 1 else 'garments'}" + (
        f" of {kinds} kinds" if kinds > 1 else ""
    )


def _press_form(job: Job) -> Job:
    key, presses = str(generation()), catalogue().presses
    title = st.text_input("Title of the job", job.job, max_chars=80, key=f"title-{key}")
    press = st.selectbox(
        "Press", list(presses), list(presses).index(job.press) if job.press in presses else 0,
        format_func=lambda name: presses[name].name, key=f"press-{key}",
    )  # fmt: skip
    prefer = st.selectbox(
        "What matters most", list(PREFER), list(PREFER).index(job.prefer),
        format_func=PREFER.__getitem__, key=f"prefer-{key}",
    )  # fmt: skip
    samples = st.toggle(
        "Allow what must be sampled first", job.samples_allowed, key=f"samples-{key}"
    )
    on_shelf = st.toggle("Only films on the shelf", job.on_shelf_only, key=f"shelf-{key}")
    flatten = st.toggle(
        "Take gradients as flat colours", job.flatten, key=f"flatten-{key}",
        help="Filters, blending and markers are then left out, each with a note.",
    )  # fmt: skip
    return job.model_copy(
        update={
            "job": (title or "").strip() or job.job,
            "press": press,
            "prefer": prefer,
            "samples_allowed": samples,
            "on_shelf_only": on_shelf,
            "flatten": flatten,
            "rates": _rates(job.rates, key),
        }
    )


def _rates(rates: Rates, key: str) -> Rates:
    left, right = st.columns(2)
    hour = left.number_input(
        f"Rate per hour, {rates.currency}", 0.0, 1000.0, rates.rate_per_hour, key=f"rate-{key}"
    )
    waste = right.number_input(
        "Film wasted, %", 0.0, 100.0, rates.film_waste_pct, key=f"waste-{key}"
    )
    return rates.model_copy(update={"rate_per_hour": hour, "film_waste_pct": waste})
