"""Assessment: what a complete choice comes to, or what stands in its way."""

from __future__ import annotations

from dataclasses import dataclass

from advisor.job.records.print import Contact
from advisor.layering.records.pressing import Cycle, Grouping, Stage, StageConflict
from advisor.layering.records.problem import Choice
from rules.facts.finding import Finding

__all__ = ["Assessment", "Measures"]


@dataclass(frozen=True, slots=True)
class Measures:
    """What a choice costs, in whole numbers, so that every solver adds them up alike.

    Attributes:
        samples: findings that want a sample pressed first.
        weak: how many edges are weaker than a lap, butts twice.
        seconds: at the press, for one garment, s.
        cents: time, film and expected spoilage for one garment, hundredths of the currency.
        thickness_um: films over one another at the thickest place, µm.
    """

    samples: int
    weak: int
    seconds: int
    cents: int
    thickness_um: int


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
