"""Drawings: pure functions from facts to SVG text, told to scale and escaped throughout."""
