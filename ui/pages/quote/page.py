"""*What to ask for it.* The price of the open job, what it is made of, and the customer's page."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

import streamlit as st

from advisor.job.saving import safe_name
from advisor.shop.pricing import BY_GARMENT, Quote, by_quantity, quote_page, shown_in
from rules.errors import PressloreError
from rules.facts.text import Text
from ui.order.artwork import named_artwork
from ui.order.visit import opened_order
from ui.pages.quote.figures import edit_figures
from ui.show import lead, refusal, remark, sentences, values_table
from ui.tasks import plan_task, quote_task
from ui.waiting import wait_for

__all__ = ["page"]

PLACES = ("en", "en_GB", "en_US", "de", "fr", "es", "it", "nl", "pl", "pt", "sv")


def page() -> None:
    """The page."""
    st.title("What to ask for it")
    order = opened_order()
    plan = wait_for(plan_task(order))
    if plan is None:
        return
    try:
        artwork = named_artwork(order, plan)
    except PressloreError as error:
        refusal(str(error))
        return
    priced = wait_for(quote_task(order, plan, artwork))
    if priced is None or not _show(*priced):
        edit_figures()


def _show(whole: Quote, to_buy: Sequence[Text]) -> bool:
    """Show a quote; whether the customer is the one who looks at it."""
    seen, place = st.columns([2, 1], vertical_alignment="bottom")
    customers = seen.toggle("As the customer sees it", key="quote-customer", bind="query-params")
    locale = place.selectbox(
        "Amounts as written in", PLACES, key="quote-place", bind="query-params"
    )

    def money(amount: Decimal) -> str:
        return shown_in(amount, whole.currency, locale)

    each = "" if whole.each is None else f", {money(whole.each)} each"
    lead(f"{whole.job}: {money(whole.total)} for {whole.quantity} garments{each}, before tax.")
    items = [
        (item.what, f"{item.quantity} at {money(item.each)}", money(item.amount))
        for item in whole.items
    ]
    values_table("What the customer gets", items, heads=("Garment", "Pieces", "Amount"), even=True)
    if not customers:
        parts = [(line.what.capitalize(), money(line.amount), line.basis) for line in whole.lines]
        values_table("What the price is made of", parts, heads=("Part", "Amount", "Comes from"))
        if to_buy:
            sentences(to_buy, title="To buy first")
    rows = [
        (str(at.quantity), BY_GARMENT if at.each is None else money(at.each), money(at.total))
        for at in whole.breaks
    ]
    values_table(by_quantity(whole.items), rows, heads=("Garments", "Each", "All"), even=True)
    st.download_button(
        "The customer's page", quote_page(whole.for_customer, locale=locale),
        f"{safe_name(whole.job)}-quote.html", "text/html", icon=":material/print:",
        on_click="ignore",
    )  # fmt: skip
    if not customers:
        remark("Film, cutting and steps are those of the plan; that page has none of your figures.")
    return customers
