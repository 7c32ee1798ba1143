"""Spoilage: the share of an order that is expected to be spoiled, each line by its own samples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from advisor.shop.money import as_written

if TYPE_CHECKING:
    from advisor.job.records.plan import Plan

__all__ = ["Spoilage"]


@dataclass(frozen=True, slots=True)
class Spoilage:
    """The share of an order that is expected to be spoiled, and what it is made of.

    What a sample is pressed for spoils garments of the lines that ask for it, and of no others.

    Attributes:
        direct: what one garment of each line costs by itself.
    """

    plan: Plan
    direct: Mapping[int, Decimal]
    always_pct: float
    per_sample_pct: float

    def percent_of(self, line: int) -> Decimal:
        """Of what a line costs."""
        return as_written(self.always_pct) + as_written(self.per_sample_pct) * self._samples[line]

    @property
    def percent(self) -> Decimal:
        """Of what the whole order costs, each line by its share of that."""
        costs = {n: cost * self.plan.print.lines[n].quantity for n, cost in self.direct.items()}
        in_all = sum(costs.values(), Decimal(0)) or Decimal(1)
        return sum((self.percent_of(n) * cost for n, cost in costs.items()), Decimal(0)) / in_all

    @property
    def _samples(self) -> dict[int, int]:
        """By line; where nobody asked line by line, what is found of the order is found of each."""
        of_order = sum(finding.severity == "sample" for finding in self.plan.findings)
        return {
            garment.line: of_order if garment.samples is None else garment.samples
            for run in self.plan.runs
            for garment in run.garments
        }

    @property
    def told(self) -> str:
        """What it is made of, in words."""
        samples, lines = self._samples, self.plan.print.lines
        said = f"{self.percent.quantize(Decimal('0.01')).normalize():f} % of all of the above"
        if not any(samples.values()):
            return said
        always = f"{said}: {self.always_pct:g} % always and {self.per_sample_pct:g} % for "
        if len({*samples.values()}) == 1:
            (count,) = {*samples.values()}
            each = "the sample" if count == 1 else f"each of {count} samples"
            return f"{always}{each} to press first"
        asked = [
            f"{count} {'sample' if count == 1 else 'samples'} for the "
            f"{lines[n].quantity} × {lines[n].worn}"
            for n, count in samples.items()
            if count
        ]
        return f"{always}each sample to press first, of what its own garments cost: " + "; ".join(
            asked
        )
