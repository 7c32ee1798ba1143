"""Ticket: one self-contained page for the person at the press."""
