"""Words: the labels that people read, and quantities in the units that they chose."""

from __future__ import annotations

from dataclasses import dataclass

from rules.facts.finding import Severity, Verdict
from rules.facts.step import Meets
from rules.facts.units import mm_to_inch, show_c, show_mm

__all__ = [
    "MEETS", "PREFER", "SEVERITY", "VERDICT", "WEARER", "Units", "plain", "show_um",
]  # fmt: skip

VERDICT: dict[Verdict, str] = {
    "go": "Go",
    "sample": "Sample first",
    "stop": "Do not press",
}
SEVERITY: dict[Severity, str] = {"stop": "Stop", "sample": "Sample first", "note": "Note"}
MEETS: dict[Meets, str] = {
    "lap": "lapped: the upper film lies over the whole lower one",
    "inset-over": "inset: in a window, its rim over the edge",
    "inset-under": "inset: in a window whose rim laps over it; it goes down first",
    "butt": "butted: edge to edge",
}
PREFER = {
    "durable": "Lasts longest",
    "softest": "Softest hand",
    "fastest": "Fastest to press",
    "cheapest": "Lowest cost",
}
WEARER = {
    "adult": "an adult",
    "child": "a child",
    "infant": "an infant",
    "nobody": "nobody (it is not worn)",
}


@dataclass(frozen=True, slots=True)
class Units:
    """The units that a person chose to read.

    >>> Units(fahrenheit=True).c(160), Units(inches=True).mm(254), Units().um(120)
    ('320 °F', '10 in', '120 µm')
    """

    fahrenheit: bool = False
    inches: bool = False

    def c(self, celsius: float) -> str:
        """A temperature as the dial shows it."""
        return show_c(celsius, fahrenheit=self.fahrenheit)

    def mm(self, millimetres: float) -> str:
        """A length as the ruler shows it."""
        return show_mm(millimetres, inches=self.inches)

    def um(self, micrometres: float) -> str:
        """A film's thickness: micrometres, or thousandths of an inch."""
        return show_um(micrometres, inches=self.inches)


def show_um(micrometres: float, *, inches: bool = False) -> str:
    """A thickness in µm, or in mil (thousandths of an inch).

    >>> show_um(50.8), show_um(50.8, inches=True)
    ('51 µm', '2 mil')
    """
    if inches:
        return f"{mm_to_inch(micrometres / 1000) * 1000:.3g} mil"
    return f"{micrometres:.0f} µm"


def plain(name: str) -> str:
    """A name from the shelf as one says it.

    >>> plain("bonds_c"), plain("matte-smooth")
    ('Bonds', 'Matte smooth')
    """
    words = name
    for ending in ("_c", "_s", "_mm", "_um", "_kpa", "_pct", "_gsm", "_m", "_k"):
        words = words.removesuffix(ending)
    words = words.replace("_", " ").replace("-", " ")
    return words[:1].upper() + words[1:]
