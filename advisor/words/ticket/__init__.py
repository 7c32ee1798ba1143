"""Ticket: the page that goes to the press."""

from advisor.words.ticket.order import order_ticket_html
from advisor.words.ticket.page import ticket_html

__all__ = ["order_ticket_html", "ticket_html"]
