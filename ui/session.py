"""Session: what one person chose (units, and a job in the link), kept over pages and reloads."""

from __future__ import annotations

import base64
import json
import os
import zlib
from collections.abc import Iterable
from functools import cache
from pathlib import Path

import streamlit as st

from advisor.job.records.job import Job
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.sheet import Sheet
from rules.facts.step import Step
from rules.facts.units import Units
from rules.knowledge import Knowledge, load_knowledge

__all__ = [
    "MOST_LINK_LETTERS",
    "catalogue",
    "grounds",
    "job_from_link",
    "job_to_link",
    "knowledge",
    "last_cover",
    "unit_switch",
    "units",
]

MOST_LINK_LETTERS = 7_000
"""The longest word that a link carries; browsers and servers cut longer addresses."""
_MOST_UNPACKED_BYTES = 2_000_000


@cache
def knowledge() -> Knowledge:
    """The rules and the shelf with the shop's own folders over it; frozen, so one serves all.

    `presslore app --shop DIR` names the folders in the environment.
    """
    named = os.environ.get("PRESSLORE_SHOP", "")
    return load_knowledge(*(Path(folder) for folder in named.split(os.pathsep) if folder))


def catalogue() -> Catalogue:
    """The shelf of `knowledge`."""
    return knowledge().catalogue


def grounds() -> dict[str, str]:
    """What can be printed on, by id: every garment's name, then every fabric's."""
    known = catalogue()
    named = {garment.id: garment.name for garment in known.garments.values()}
    return named | {fabric.id: fabric.name for fabric in known.fabrics.values()}


def last_cover(steps: Iterable[Step]) -> Sheet | None:
    """The sheet that lies over the print in its last full press."""
    covers = [step.cover for step in steps if step.purpose == "full"]
    return catalogue().sheets.get(covers[-1] or "") if covers else None


def unit_switch() -> None:
    """Two switches for the units; their choice stands in the link and holds on every page."""
    with st.container(horizontal=True, horizontal_alignment="right", key="unit-switch"):
        st.segmented_control(
            "Temperatures in", ["°C", "°F"], default="°C", key="degrees", required=True,
            label_visibility="collapsed", bind="query-params",
        )  # fmt: skip
        st.segmented_control(
            "Lengths in", ["mm", "inch"], default="mm", key="lengths", required=True,
            label_visibility="collapsed", bind="query-params",
        )  # fmt: skip


def units() -> Units:
    """The units that the person chose; °C and mm until they choose."""
    return Units(
        fahrenheit=st.session_state.get("degrees") == "°F",
        inches=st.session_state.get("lengths") == "inch",
    )


def job_to_link(job: Job, artwork_svg: str | None = None) -> str | None:
    """A job, with its artwork, as one word for a link; ``None`` where it would be too long.

    >>> from advisor.job.demo import demo_job
    >>> word = job_to_link(demo_job())
    >>> job_from_link(word)[0] == demo_job()
    True
    >>> job_to_link(demo_job(), "".join(str(n * n) for n in range(9_000))) is None
    True
    """
    document = {"job": job.model_dump(mode="json", exclude_defaults=True), "svg": artwork_svg}
    packed = zlib.compress(json.dumps(document, separators=(",", ":")).encode(), level=9)
    word = base64.urlsafe_b64encode(packed).decode().rstrip("=")
    return word if len(word) <= MOST_LINK_LETTERS else None


def job_from_link(word: str) -> tuple[Job, str | None]:
    """The job and the artwork in a link's word.

    Raises:
        BadInputError: the word is cut off, changed, or holds no job.

    >>> job_from_link("nonsense")
    Traceback (most recent call last):
    rules.errors.BadInputError: link: holds no job that can be read; it may have been cut off
    """
    refused = BadInputError(
        "holds no job that can be read; it may have been cut off", source="link"
    )
    if len(word) > MOST_LINK_LETTERS:
        raise refused
    try:
        packed = base64.urlsafe_b64decode(word + "=" * (-len(word) % 4))
        unpacker = zlib.decompressobj()
        # A short word can unpack to gigabytes; stop at what an artwork may have.
        text = unpacker.decompress(packed, _MOST_UNPACKED_BYTES)
        document = json.loads(text)
        job = Job.model_validate(document["job"])
        svg = document.get("svg")
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError, zlib.error):
        raise refused from None
    return job, svg if isinstance(svg, str) else None
