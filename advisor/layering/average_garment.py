"""Average garment: what one garment of an order takes, over its lines; a plan is proved in it.

Minutes and cost of a plan are those of the average garment, so many times as the order has.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from advisor.job.records.print import Print, PrintLine
from advisor.layering.cost import warming_s
from advisor.layering.press_steps import in_the_way
from rules.catalogue import Catalogue
from rules.facts.fabric import Fabric

__all__ = ["AverageGarment", "average_garment"]


@dataclass(frozen=True, slots=True)
class AverageGarment:
    """What of a garment's time and film depends on the lines of its order.

    Attributes:
        runs: the lines, from 0, that the same steps press: with the same preheat and the same
            things in the way.
        warming_s: seconds of the preheat with its cover, s.
        garments: how many each run has.
        film_share: by piece, how much film it takes beside its largest size.
    """

    runs: tuple[tuple[int, ...], ...]
    warming_s: float
    garments: tuple[int, ...]
    film_share: Mapping[str, float]


def average_garment(
    print_: Print, fabrics: Sequence[Fabric], catalogue: Catalogue
) -> AverageGarment:
    """The average over the lines of a print, by how many garments each has."""
    quantities = [line.quantity for line in print_.lines]
    garments, runs = sum(quantities), _runs(print_, fabrics, catalogue)
    warmed_s = [warming_s(_fabric(line, fabrics)) for line in print_.lines]
    areas = {
        piece.id: [size.width_mm * size.height_mm for size in piece.sizes]
        for piece in print_.pieces
    }
    return AverageGarment(
        runs=runs,
        warming_s=round(sum(map(_times, quantities, warmed_s)) / garments, 3),
        garments=tuple(sum(quantities[line] for line in run) for run in runs),
        film_share={
            piece: sum(map(_times, quantities, of_lines)) / (garments * max(of_lines))
            for piece, of_lines in areas.items()
        },
    )


def _runs(
    print_: Print, fabrics: Sequence[Fabric], catalogue: Catalogue
) -> tuple[tuple[int, ...], ...]:
    alike: dict[tuple[object, ...], list[int]] = {}
    for number, line in enumerate(print_.lines):
        warmed_s = warming_s(_fabric(line, fabrics))
        area = catalogue.garment(line.garment).print_area(line.area) if line.garment else None
        padded = in_the_way(area.obstructions) if area else ()
        alike.setdefault((warmed_s, padded), []).append(number)
    return tuple(map(tuple, alike.values()))


def _fabric(line: PrintLine, fabrics: Sequence[Fabric]) -> Fabric:
    """The fabric of a line; where all is printed on another one instead, that one."""
    return next((fabric for fabric in fabrics if fabric.id == line.fabric), fabrics[0])


def _times(quantity: int, amount: float) -> float:
    return quantity * amount
