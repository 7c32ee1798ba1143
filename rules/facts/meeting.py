"""Meeting: each way in which two pieces can meet, worded once for every sentence that needs it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from rules.facts.step import Meets

__all__ = ["MEETING_WORDS", "MeetingWords"]


@dataclass(frozen=True, slots=True)
class MeetingWords:
    """One way of meeting in words; ``{upper}``, the one in front, and ``{lower}`` stand for two.

    Attributes:
        name: as one of several to choose from.
        meaning: what the name means.
        clause: as it is on the garment.
        short: the same in few words.
        advice: as something to do.
        wish: as something that was asked for.
        noun: as a thing that another way takes the place of.
        joined: what ``{upper}`` is, on, in or beside ``{lower}``.
        on: the preposition between the two.

    >>> MEETING_WORDS["lap"].clause.format(upper="gold", lower="navy")
    'gold laps over navy, which lies whole under it'
    """

    name: str
    meaning: str
    clause: str
    short: str
    advice: str
    wish: str
    noun: str
    joined: str
    on: str


MEETING_WORDS: Mapping[Meets, MeetingWords] = MappingProxyType(
    {
        "lap": MeetingWords(
            name="Lapped",
            meaning="lapped: the upper film lies over the whole lower one",
            clause="{upper} laps over {lower}, which lies whole under it",
            short="{upper} laps over {lower}",
            advice="lap {upper} over {lower}",
            wish="{upper} is to lap over {lower}",
            noun="lapping",
            joined="{upper} lapped over {lower}",
            on="on",
        ),
        "inset-under": MeetingWords(
            name="Inset, rim under",
            meaning="inset: in a window whose rim laps over it; it goes down first",
            clause="{upper} goes down first; {lower} is cut with a window whose rim laps over its "
            "edge",
            short="{upper} is inset in {lower} with its rim under it",
            advice="inset {upper} in {lower}, {lower}'s rim over its edge",
            wish="{upper} is to be inset in {lower}, {lower}'s rim over its edge",
            noun="an inset with the rim under",
            joined="{upper} inset in {lower} with its rim under it",
            on="set in",
        ),
        "inset-over": MeetingWords(
            name="Inset, rim over",
            meaning="inset: in a window, its rim over the edge",
            clause="{upper} lies in a window cut in {lower}, its rim over the edge",
            short="{upper} is inset in {lower} with its rim over it",
            advice="inset {upper} in {lower}, its rim over the edge",
            wish="{upper} is to be inset in {lower}, its rim over the edge",
            noun="an inset with the rim over",
            joined="{upper} inset in {lower} with its rim over it",
            on="set in",
        ),
        "butt": MeetingWords(
            name="Butted",
            meaning="butted: edge to edge",
            clause="{upper} and {lower} meet edge to edge",
            short="{upper} butts against {lower}",
            advice="butt {upper} against {lower}",
            wish="{upper} is to butt against {lower}",
            noun="butting",
            joined="{upper} butted against {lower}",
            on="beside",
        ),
    }
)
"""Every way of meeting in words; a sentence takes the form that it needs."""
