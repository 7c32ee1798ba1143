"""Form: all that a person says of a job: artwork, looks, garments, names, press, preference."""

from __future__ import annotations

import streamlit as st

from advisor.job.demo import DEMO_JOBS
from advisor.job.records.job import GarmentLine, Job
from rules.errors import PressloreError
from ui.fields import choose, choose_colour, choose_or, length_mm
from ui.order.artwork import drawn_artwork
from ui.order.files import MOST_UPLOAD_BYTES, open_file
from ui.order.record import CustomerOrder, demo_order
from ui.order.visit import change, generation
from ui.pages.plan.looks import wish_form
from ui.pages.plan.names import names_form
from ui.session import catalogue
from ui.show import refusal
from ui.words import PREFER, plain

__all__ = ["open_form", "order_form"]

OPENS = ["svg", "yaml", "yml", "json", "zip", "csv", "xlsx"]
USUAL_FABRIC = "the garment's own"
MOST_LINES = 12


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


def order_form(order: CustomerOrder) -> CustomerOrder:
    """Every field; the order as it now stands.

    Raises:
        ArtworkError: the artwork cannot be cut as it is.
    """
    artwork = drawn_artwork(order)
    order = order.with_job(wish_form(order.job, artwork))
    with st.expander(_garments_words(order.job), icon=":material/apparel:", key="form-garments"):
        order = order.changed(garments=_garments_form(order))
    with st.expander("Names on the garments", icon=":material/badge:", key="form-names"):
        order = names_form(order, artwork)
    with st.expander("Press, preference and rates", icon=":material/tune:", key="form-press"):
        return order.with_job(_press_form(order.job))


def _garments_words(job: Job) -> str:
    count, kinds = sum(line.quantity for line in job.garments), len(job.garments)
    noun = "garment" if count == 1 else "garments"
    return f"{count} {noun} of {kinds} kinds" if kinds > 1 else f"{count} {noun}"


def _garments_form(order: CustomerOrder) -> tuple[GarmentLine, ...]:
    """Fields for every line of the order; the lines as they now stand."""
    lines = order.job.garments
    made = tuple(_line(n, line, order) for n, line in enumerate(lines))
    taken = {line.garment for line in lines}
    fresh = next((name for name in catalogue().garments if name not in taken), lines[-1].garment)
    added = GarmentLine(garment=fresh, quantity=1, artwork_width_mm=lines[-1].artwork_width_mm)
    st.button(
        "Add a garment", key=f"add-garment-{generation()}", icon=":material/add:",
        on_click=change, args=[order.changed(garments=(*lines, added))],
        kwargs={"redraw": True}, disabled=len(lines) >= MOST_LINES,
    )  # fmt: skip
    return made


def _line(n: int, line: GarmentLine, order: CustomerOrder) -> GarmentLine:
    shelf, key = catalogue(), f"{n}-{generation()}"
    with st.container(border=True):
        garment = choose(
            "Garment", shelf.garments, line.garment, key=f"garment-{key}",
            words=lambda name: shelf.garments[name].name,
        )  # fmt: skip
        left, right = st.columns(2)
        quantity = left.number_input("How many", 1, 10_000, line.quantity, key=f"quantity-{key}")
        with right:
            width_mm = length_mm(
                "Artwork width", line.artwork_width_mm, key=f"width-{key}", low_mm=10, high_mm=1500
            )
        same = garment == line.garment
        areas = [each.name for each in shelf.garments[garment].print_areas]
        area: str | None = choose(
            "Print area", areas, line.area if same else None, key=f"area-{key}-{garment}", at=left
        )
        if (line.area is None or not same) and area == areas[0]:
            area = None
        fabric = choose_or(
            USUAL_FABRIC, "Fabric", shelf.fabrics, line.fabric if same else None,
            key=f"fabric-{key}-{garment}",
        )  # fmt: skip
        colour = choose_colour(line.colour if same else None, key=f"colour-{key}-{garment}")
        others = order.job.garments[:n] + order.job.garments[n + 1 :]
        if others:
            st.button(
                "Remove this garment", key=f"remove-{key}", icon=":material/delete:",
                on_click=change, args=[order.changed(garments=others)],
                kwargs={"redraw": True}, type="tertiary",
            )  # fmt: skip
    return GarmentLine(
        garment=garment,
        colour=colour,
        quantity=int(quantity),
        artwork_width_mm=width_mm,
        area=area,
        fabric=fabric,
    )


def _press_form(job: Job) -> Job:
    key, presses, rates = str(generation()), catalogue().presses, job.rates
    title = st.text_input("Title of the job", job.job, max_chars=80, key=f"title-{key}")
    press = choose(
        "Press", presses, job.press, key=f"press-{key}", words=lambda name: presses[name].name
    )
    prefer = choose(
        "What matters most", PREFER, job.prefer, key=f"prefer-{key}", words=PREFER.__getitem__
    )
    samples = st.toggle(
        "Allow what must be sampled first", job.samples_allowed, key=f"samples-{key}"
    )
    on_shelf = st.toggle("Only films on the shelf", job.on_shelf_only, key=f"shelf-{key}")
    flatten = st.toggle(
        "Take gradients as flat colours", job.flatten, key=f"flatten-{key}",
        help="Filters, blending and markers are then left out, each with a note.",
    )  # fmt: skip
    page = st.toggle(
        "The width is that of the page", job.width_of == "page", key=f"width-of-{key}",
        help="Otherwise the drawing itself is as wide as asked, without the empty page around it.",
    )  # fmt: skip
    left, right = st.columns(2)
    hour = left.number_input(
        f"Rate per hour, {rates.currency}", 0.0, 1000.0, rates.rate_per_hour, key=f"rate-{key}"
    )
    waste = right.number_input(
        "Film wasted, %", 0.0, 100.0, rates.film_waste_pct, key=f"waste-{key}"
    )
    return job.model_copy(
        update={
            "job": (title or "").strip() or job.job,
            "press": press,
            "prefer": prefer,
            "samples_allowed": samples,
            "on_shelf_only": on_shelf,
            "flatten": flatten,
            "width_of": "page" if page else "drawing",
            "rates": rates.model_copy(update={"rate_per_hour": hour, "film_waste_pct": waste}),
        }
    )
