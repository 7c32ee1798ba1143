"""Solver: lists every choice, proves the best plan, explains conflicts and finds repairs."""
