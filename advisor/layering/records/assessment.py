"""Assessment: what a complete choice comes to, or what stands in its way."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.job.records.print import Contact
from advisor.layering.records.pressing import Cycle, Grouping, Stage, StageConflict
from advisor.layering.records.problem import Choice
from rules.facts.finding import Finding

__all__ = ["PER_CENT", "Assessment", "Measures", "halves_up"]

PER_CENT = 3_600_000
"""Prices are whole numbers, so many to a cent that a millisecond's worth is one too: the rate of an
hour in cents."""


def halves_up(amount: int, unit: int) -> int:
    """An amount in whole units, halves up, as every solver can reckon it.

    >>> halves_up(1499, 1000), halves_up(1500, 1000)
    (1, 2)
    """
    return (2 * amount + unit) // (2 * unit)


@dataclass(frozen=True, slots=True)
class Measures:
    """What a choice costs, in whole numbers, so that every solver adds them up alike.

    Attributes:
        samples: findings that want a sample pressed first.
        weak: how many edges are weaker than a lap, butts twice.
        ms: at the press, for the average garment of the order, milliseconds.
        price: time, film and expected spoilage for that garment, `PER_CENT` to a hundredth of
            the currency.
        thickness_um: films over one another at the thickest place, µm.
    """

    samples: int
    weak: int
    ms: int
    price: int
    thickness_um: int

    @property
    def seconds(self) -> int:
        """The time at the press, s."""
        return halves_up(self.ms, 1000)

    @property
    def cents(self) -> int:
        """The price, hundredths of the currency."""
        return halves_up(self.price, PER_CENT)


@dataclass(frozen=True, slots=True)
class Assessment:
    """A choice as it would be pressed, or what stands in its way.

    Attributes:
        findings: what the rules say of its films and joints (not yet of its steps).
        grouping: ``None`` where no order is possible (``cycle`` says why).
        stages: empty where no setting suits all films (``conflict`` says why).
        measures: ``None`` unless it can be pressed.
    """

    choice: Choice
    findings: tuple[Finding, ...]
    contacts: tuple[Contact, ...]
    on_fabric: tuple[str, ...]
    grouping: Grouping | None
    stages: tuple[Stage, ...]
    cycle: Cycle | None
    conflict: StageConflict | None
    measures: Measures | None

    @property
    def possible(self) -> bool:
        """Whether it can be pressed without a ``stop``."""
        return self.measures is not None
