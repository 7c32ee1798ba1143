"""Meeting: the ways in which two pieces may meet, and what touches what then."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from advisor.job.records.print import Contact, Meeting, Pair, Place
from rules.facts.step import Meets

__all__ = ["columns", "contacts", "lapping_what_is_covered", "pressed_before"]


def lapping_what_is_covered(
    meetings: Iterable[Meeting], places: Sequence[Place]
) -> tuple[Meeting, ...]:
    """The meetings, with nothing but a lap open over a piece that lies on top nowhere.

    >>> from advisor.job.records.print import EVERY_WAY
    >>> base = Meeting("sun", "base", 9.0, touching=False, hidden=False, ways=EVERY_WAY)
    >>> [found.ways for found in lapping_what_is_covered([base], [Place(("base", "sun"), 9.0)])]
    [('lap',)]
    """
    on_top = {place.stack[-1] for place in places}
    found = []
    for meeting in meetings:
        covered = meeting.lower not in on_top
        if covered != meeting.covered:
            meeting = replace(meeting, covered=covered)
            meeting = replace(meeting, ways=meeting.open_ways)
        found.append(meeting)
    return tuple(found)


def columns(places: Iterable[Place], meets: Mapping[Pair, Meets]) -> tuple[tuple[str, ...], ...]:
    """The distinct piles of pieces that lie over one another, each bottom first.

    >>> columns([Place(("sea", "word"), 100.0)], {("word", "sea"): "inset-under"})
    (('word',),)
    """
    return tuple(dict.fromkeys(place.laid(meets) for place in places))


def contacts(
    places: Iterable[Place], meets: Mapping[Pair, Meets]
) -> tuple[tuple[Contact, ...], tuple[str, ...]]:
    """Which film then lies on which, and which pieces lie straight on the fabric.

    Returns:
        The contacts, each once, and the pieces that touch the fabric, both in a fixed order.

    >>> place = Place(("sea", "word"), 100.0)
    >>> contacts([place], {("word", "sea"): "inset-under"})
    ((Contact(upper='sea', lower='word', rim=True),), ('word',))
    """
    found: dict[tuple[str, str], Contact] = {}
    on_fabric: dict[str, None] = {}
    for place in places:
        laid = place.laid(meets)
        if laid:
            on_fabric[laid[0]] = None
        for lower, upper in pairwise(laid):
            found[upper, lower] = Contact(upper, lower, rim=False)
    for (upper, lower), way in meets.items():
        if way == "inset-over":
            found.setdefault((upper, lower), Contact(upper, lower, rim=True))
        elif way == "inset-under":
            found.setdefault((lower, upper), Contact(lower, upper, rim=True))
    ordered = sorted(found.values(), key=lambda contact: (contact.lower, contact.upper))
    return tuple(ordered), tuple(sorted(on_fabric))


def pressed_before(meets: Mapping[Pair, Meets]) -> tuple[tuple[str, str], ...]:
    """The order that the ways of meeting ask for, as (first, then) pairs.

    >>> pressed_before({("word", "sea"): "inset-under", ("sun", "sea"): "lap"})
    (('word', 'sea'), ('sea', 'sun'))
    """
    order = []
    for (upper, lower), way in meets.items():
        if way in {"lap", "inset-over"}:
            order.append((lower, upper))
        elif way == "inset-under":
            order.append((upper, lower))
    return tuple(order)
