"""Explain: turns reasons, which are typed facts, into plain sentences."""

from __future__ import annotations

from rules.facts.film import Film
from rules.facts.step import Meets

__all__ = ["say_meeting"]


def say_meeting(upper: Film, lower: Film, way: Meets) -> str:
    """How two films meet, in one clause; ``upper`` is the one in front.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film
    >>> say_meeting(film("sparkle-coarse"), film("matte-smooth"), "lap")
    'sparkle-coarse laps over matte-smooth, which lies whole under it'
    """
    return {
        "lap": f"{upper.id} laps over {lower.id}, which lies whole under it",
        "inset-over": f"{upper.id} lies in a window of {lower.id}, its rim over the edge",
        "inset-under": (
            f"{upper.id} goes down first, and the rim of a window in {lower.id} laps over its edge"
        ),
        "butt": f"{upper.id} and {lower.id} meet edge to edge",
    }[way]
