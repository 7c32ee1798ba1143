"""Order text: an order as one text, as it is kept."""

from __future__ import annotations

import json
from typing import Any

from advisor.job.records.job import Job
from rules.errors import BadInputError
from ui.order.record import CustomerOrder, own_order, shipped_artwork

__all__ = ["order_from_text", "order_to_text"]

_UNREADABLE = (ValueError, KeyError, TypeError, AttributeError, RecursionError)


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
