"""Hand over: what goes out with an order, and what comes before it where a sample is asked for."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from advisor.job.records.plan import Plan
from advisor.words.care import CareCard, care_cards, care_data, care_page, set_by
from advisor.words.sample import SampleFirst, sample_data, sample_first
from rules.catalogue import Catalogue

__all__ = ["HandOver", "care_page", "hand_over", "hand_over_data", "set_by"]


@dataclass(frozen=True, slots=True)
class HandOver:
    """The customer's care cards, and the sample that comes first."""

    care: tuple[CareCard, ...]
    sample: SampleFirst | None


def hand_over(plan: Plan, known: Catalogue) -> HandOver:
    """What goes with a plan.

    Raises:
        UnknownNameError: the plan names a film or a fabric that the catalogue lacks.
    """
    cards = care_cards(plan, known)
    return HandOver(cards, sample_first(plan, cards))


def hand_over_data(handed: HandOver, *, care: bool) -> dict[str, Any]:
    """It as plain data, for a document; the sample wherever there is one."""
    data: dict[str, Any] = {"care": care_data(handed.care)} if care else {}
    if handed.sample is not None:
        data["sample_first"] = sample_data(handed.sample)
    return data
