"""Remedies: what of a plan could have been done otherwise."""
