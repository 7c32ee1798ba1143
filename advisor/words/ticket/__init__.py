"""Ticket: the page that goes to the press."""
