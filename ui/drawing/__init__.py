"""Drawings: pure functions from facts to SVG text, to scale and escaped throughout."""
