"""Pricing: all that a quote needs, for commands and pages."""

from __future__ import annotations

from advisor.shop.figures import Figures, all_figures, keep_figures, kept_figures
from advisor.shop.money import shown_in
from advisor.shop.quote import quote
from advisor.shop.quote_page import quote_page
from advisor.shop.records import BY_GARMENT, CustomerQuote, Quote, by_quantity

__all__ = [
    "BY_GARMENT", "CustomerQuote", "Figures", "Quote", "all_figures", "by_quantity",
    "keep_figures",
    "kept_figures", "quote", "quote_page", "shown_in",
]  # fmt: skip
