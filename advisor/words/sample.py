"""Sample in words: what to press first, how to wash it, what counts as failed, when to trust it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any

from advisor.job.records.plan import Plan
from advisor.words.care import CareCard
from advisor.words.plan import names_on_card
from rules.book.care import FIRST_WASH_H
from rules.book.trials import TRUSTED, WASHES, trials_without_failure
from rules.facts.text import Text, and_list
from rules.facts.units import show_c

__all__ = ["SampleFirst", "sample_data", "sample_first"]

EDGE = "an edge lifts under a fingernail, or film cracks, curls or comes off"
_SHOWS = "fabric or a lower film shows where two pieces should meet"
_STRETCH = "it cracks or lets go when the garment is stretched as far as it goes"
_HEAT = "the fabric beside the print is shiny, stiff, flat or another colour"
_FINE = "a fine part is missing, or came away with its carrier"
_SEEN = "from two metres away it does not look as the customer was shown"
_MARK = "a line, a dent or a dull patch stays in a face"
FAILED: Mapping[str, str] = {
    "dye-bleed": "the film takes on the garment's colour, a day later or in the wash",
    "registration-shrink": _SHOWS, "trap-width": _SHOWS, "butt-gap": _SHOWS,
    "inset-shape": _SHOWS, "thin-rim": _SHOWS,
    "stretch-match": _STRETCH, "overlay-stretch": _STRETCH,
    "fabric-heat-limit": _HEAT, "platen-shine": _HEAT, "pressed-nap": _HEAT,
    "least-stroke": _FINE, "least-gap": _FINE, "lost-islands": _FINE,
    "colours-merge": _SEEN, "legible-names": _SEEN, "pale-on-dark": _SEEN,
    "show-through": _SEEN, "faint-overlay": _SEEN, "colour-match": _SEEN,
    "carrier-line": _MARK, "cover-exposed-face": _MARK, "cover-leaves-face": _MARK,
    "peel-order": _MARK, "flake-transfer": "loose flakes stick in another film",
}  # fmt: skip
"""What else than a lifting edge counts as failed, by the rule that asks for a sample. Common
practice, no source."""

SEEN_AT_ONCE = frozenset(rule for rule, sign in FAILED.items() if sign == _SEEN)
"""The rules whose doubts are settled by a look, before anything is pressed or washed."""


@dataclass(frozen=True, slots=True)
class SampleFirst:
    """What a verdict of *sample* asks for.

    Attributes:
        press: what to press, and on what.
        doubts: what it is about, each with its place.
        wash: how often and how hot.
        failed: what counts as failed; one failure is enough.
        trust: how many without a failure say how much.
        washes: how often; none where what is in doubt is seen without.
    """

    press: Text
    doubts: tuple[Text, ...]
    wash: Text
    failed: tuple[str, ...]
    trust: tuple[str, ...]
    washes: int = WASHES

    @property
    def lines(self) -> tuple[tuple[str, Text], ...]:
        """What to do, each part with its heading; the doubts are told as findings."""
        return (
            ("Press", self.press),
            ("Wash", self.wash),
            ("Failed", Text(f"{'; '.join(self.failed)}. One is enough.")),
            ("Trust", Text(f"{'; '.join(self.trust)}.")),
        )


def sample_first(plan: Plan, cards: tuple[CareCard, ...]) -> SampleFirst | None:
    """What to do before an order whose verdict is *sample*; nothing for any other.

    It is pressed on a garment that is in doubt, where `line_by_line` has told which are: what holds
    on another proves nothing of it.

    Args:
        cards: how its garments are cared for.
    """
    if not plan.wants_sample:
        return None
    names = names_on_card(plan)
    asking = [finding for finding in plan.findings if finding.severity == "sample"]
    doubts = dict.fromkeys(
        Text(f"{finding.where.named(names)}: {finding.message.named(names)}") for finding in asking
    )
    doubtful = _doubtful(plan)
    garments = and_list(f"one {and_list(run, last='or')}" for run in doubtful)
    each = "one" if len(doubtful) == 1 else "each of them"
    if {finding.rule for finding in asking} <= SEEN_AT_ONCE:
        return SampleFirst(
            press=Text(
                f"nothing yet: lay a cut scrap of each film in doubt where it goes, on {garments}, "
                "and look from two metres away; where that does not tell, press one print as on "
                "the card"
            ),
            doubts=tuple(doubts),
            wash=Text("not for this: it is seen before any wash"),
            failed=(_SEEN,),
            trust=("one look is enough; have the customer look too",),
            washes=0,
        )
    named = {name for run in doubtful for name in run}
    cards = tuple(card for card in cards if named & {*card.garments}) or cards
    washes = {card.care.wash_c for card in cards}
    hottest_c = max((wash_c for wash_c in washes if wash_c is not None), default=None)
    heat = "by hand" if hottest_c is None else f"at {show_c(hottest_c)}"
    failed = dict.fromkeys([EDGE, *(FAILED[f.rule] for f in asking if f.rule in FAILED)])
    return SampleFirst(
        press=Text(
            f"one print as on the card, every film of it and at its full size, on {garments} "
            f"that may be spoiled, {each} of the same fabric and colour as the order"
        ),
        doubts=tuple(doubts),
        wash=Text(
            f"wait {FIRST_WASH_H} hours, then {WASHES} times {heat} in ordinary laundry, dried by "
            "the care card; look after the first and after the last"
        ),
        failed=tuple(failed),
        trust=(
            "one that holds only rules out what goes wrong nearly every time",
            *(
                f"{trials_without_failure(holds, sure)} pressed apart that all hold: "
                f"{100 * sure:.0f} % sure that {100 * holds:.0f} % of such garments hold"
                for holds, sure in TRUSTED
            ),
        ),
    )


def _doubtful(plan: Plan) -> list[list[str]]:
    """By run, what the lines are called that ask for a sample; all where none is known to.

    What is pressed alike, one of them speaks for; what is pressed otherwise has doubts of its own.
    """
    runs = [[one for one in run.garments if one.samples != 0] for run in plan.runs]
    told = [run for run in runs if run] or [list(run.garments) for run in plan.runs]
    lines = plan.print.lines
    return [list(dict.fromkeys(lines[one.line].worn for one in run)) for run in told]


def sample_data(sample: SampleFirst) -> dict[str, Any]:
    """It as plain data, for a document."""
    numbers = [
        {"samples": trials_without_failure(holds, sure), "holds": holds, "sure": sure}
        for holds, sure in TRUSTED
    ]
    plain = asdict(sample) | {"press": str(sample.press), "wash": str(sample.wash)}
    doubts = [str(doubt) for doubt in sample.doubts]
    if not sample.washes:
        return plain | {"doubts": doubts, "wait_h": 0, "numbers": []}
    return plain | {"doubts": doubts, "wait_h": FIRST_WASH_H, "numbers": numbers}
