"""A quote as one page for the customer: what they get and what it costs."""

from __future__ import annotations

from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from advisor.shop.money import shown_in
from advisor.shop.records import BY_GARMENT, CustomerQuote, by_quantity

__all__ = ["quote_page"]

TEMPLATES = Path(__file__).parent / "templates"


def quote_page(quote: CustomerQuote, *, locale: str = "en") -> str:
    """The page as one HTML document, with its styles inside.

    Raises:
        BadInputError: there is no such language and place.
    """
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    return environment.get_template("quote.html.j2").render(
        quote=quote,
        by_garment=BY_GARMENT,
        by_quantity=by_quantity,
        language=locale.replace("_", "-"),
        money=lambda amount: shown_in(amount, quote.currency, locale),
    )
