"""Optimise: the proven best, why nothing is possible, and what else there is."""
