"""Step seconds: how long steps as they stand keep the press and the hands, read off them.

The order of an order's places and the quote both read it here, so that one plan takes one time.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from advisor.answers.place_steps import PlacePart
from advisor.job.records.plan import Plan
from advisor.job.records.print import NAMES_PIECE
from rules.facts.practice import CLOSE_S, COVER_S, LAY_S, LOAD_S, MEETING_S, PEEL_S
from rules.facts.step import Meets, Step

__all__ = ["carriers_of", "part_seconds", "work_seconds"]


def part_seconds(part: PlacePart, presses: Sequence[Step]) -> float:
    """Seconds of a garment with its loading and preheat where these steps press the part, s.

    What sets the press up, and changes of the dial on the way, are not counted.
    """
    prints = [print_ for print_, _ in part.bears]
    work_s = work_seconds(
        presses,
        carriers={
            f"{one.id}/{piece}": (one.id, carrier)
            for one in prints
            for piece, carrier in carriers_of(one.plan).items()
        },
        meets=[way for one in prints for way in one.plan.meets.values()],
    )
    return LOAD_S + CLOSE_S + part.warming_s + work_s


def work_seconds(
    steps: Iterable[Step], *, carriers: Mapping[str, object], meets: Iterable[Meets]
) -> float:
    """Seconds that a garment's steps keep press and hands: those of `garment_seconds`, read off.

    Loading it, preheating it and turning the dial are not counted. A carrier is laid and peeled
    where it is first pressed.

    Args:
        steps: as they are, perhaps edited.
        carriers: by piece, its carrier among those of its press.
        meets: the ways in which its pieces meet.
    """
    seconds, laid = sum(MEETING_S[way] for way in meets), set[str]()
    for step in steps:
        if step.action == "press":
            new = {carriers[piece] for piece in step.pieces if piece not in laid}
            laid |= {*step.pieces}
            seconds += CLOSE_S + (step.dwell_s or 0.0) + len(new) * (LAY_S + PEEL_S)
            seconds += COVER_S if step.cover else 0.0
        elif step.action == "wait":
            seconds += LOAD_S if step.off_press else step.dwell_s or 0.0
    return seconds


def carriers_of(plan: Plan) -> dict[str, str]:
    """By piece, what tells its carrier from others that are laid in the same press."""
    return {
        piece.id: f"{piece.film} {piece.colour}"
        if piece.id != NAMES_PIECE and plan.print.piece(piece.id).fill
        else piece.id
        for piece in plan.pieces
    }
