"""Order text: an order as one text, which a browser keeps, and as one word, for a link."""

from __future__ import annotations

import base64
import json
import zlib
from typing import Any

from advisor.job.records.job import Job
from rules.errors import BadInputError
from ui.order.record import CustomerOrder, own_order, shipped_artwork

__all__ = ["order_from_link", "order_from_text", "order_to_link", "order_to_text"]

_MOST_LINK_LETTERS = 7_000
"""The longest word that a link carries; browsers and servers cut longer addresses."""
_MOST_UNPACKED_BYTES = 2_000_000
_UNREADABLE = (ValueError, KeyError, TypeError, AttributeError, RecursionError, zlib.error)


def order_to_text(order: CustomerOrder) -> str:
    """The whole order as one text; the artwork of a job that ships is left to its name."""
    ready_made = order.svg == shipped_artwork(order.job.artwork)
    document = {
        "job": order.job.model_dump(mode="json", exclude_defaults=True),
        # A byte that is no UTF-8 comes back as it was.
        "svg": None if ready_made else order.svg.decode("utf-8", "surrogateescape"),
        "names": order.names,
    }
    return json.dumps(document, separators=(",", ":"))


def order_from_text(text: str) -> CustomerOrder:
    """The order that ``order_to_text`` wrote.

    Raises:
        BadInputError: the text holds no order.

    >>> from ui.order.record import demo_order
    >>> order_from_text(order_to_text(demo_order())) == demo_order()
    True
    >>> order_from_text("[]")
    Traceback (most recent call last):
    rules.errors.BadInputError: saved job: cannot be read; take the demo or open a job file
    """
    try:
        return _order_of(json.loads(text), source="saved job")
    except _UNREADABLE:
        raise BadInputError(
            "cannot be read; take the demo or open a job file", source="saved job"
        ) from None


def order_to_link(order: CustomerOrder) -> str | None:
    """The order, but for its names, as one word; ``None`` where it would be too long.

    >>> from ui.order.record import demo_order
    >>> order_from_link(order_to_link(demo_order("bags"))) == demo_order("bags")
    True
    >>> large = CustomerOrder(demo_order().job, b"".join(b"%d" % (n * n) for n in range(9_000)))
    >>> order_to_link(large) is None
    True
    """
    nameless = CustomerOrder(order.job.model_copy(update={"names": None}), order.svg)
    packed = zlib.compress(order_to_text(nameless).encode(), level=9)
    word = base64.urlsafe_b64encode(packed).decode().rstrip("=")
    return word if len(word) <= _MOST_LINK_LETTERS else None


def order_from_link(word: str) -> CustomerOrder:
    """The order in a link's word.

    Raises:
        BadInputError: the word is cut off, changed, holds no job, or one without an artwork.

    >>> order_from_link("nonsense")
    Traceback (most recent call last):
    rules.errors.BadInputError: link: holds no job that can be read; it may have been cut off
    """
    try:
        if len(word) > _MOST_LINK_LETTERS:
            raise ValueError(word)
        packed = base64.urlsafe_b64decode(word + "=" * (-len(word) % 4))
        # A short word can unpack to gigabytes; stop at what an artwork may have.
        text = zlib.decompressobj().decompress(packed, _MOST_UNPACKED_BYTES)
        return _order_of(json.loads(text), source="link")
    except _UNREADABLE:
        raise BadInputError(
            "holds no job that can be read; it may have been cut off", source="link"
        ) from None


def _order_of(document: Any, *, source: str) -> CustomerOrder:
    job, drawn = Job.model_validate(document["job"]), document.get("svg")
    svg = (
        drawn.encode("utf-8", "surrogateescape")
        if isinstance(drawn, str)
        else shipped_artwork(job.artwork)
    )
    if svg is None:
        raise BadInputError("holds a job without its artwork; open its job file", source=source)
    return own_order(job, svg, str(document.get("names", "")))
