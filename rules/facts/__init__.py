"""Typed facts about films, fabrics, presses and sheets."""
