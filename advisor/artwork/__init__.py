"""Artwork: drawings read as pieces of flat colour, measured, and laid over one another."""
