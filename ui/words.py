"""Words: the labels that people read, and quantities in the units that they chose."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from advisor.job.records.job import Prefer
from rules.facts.finding import Finding, Severity, Verdict
from rules.facts.step import Meets
from rules.facts.units import c_to_f, mm_to_inch, show_c, show_mm

__all__ = [
    "LIES", "MEETING", "MEETS", "PREFER", "SEVERITY", "VERDICT", "WEARER", "Units", "plain",
    "show_um", "verdict_sentence",
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
MEETING = {
    "any": "Any way",
    "lap": "Lapped",
    "inset-over": "Inset, rim over",
    "inset-under": "Inset, rim under",
    "butt": "Butted",
}
LIES: dict[Meets, str] = {
    "lap": "on",
    "inset-over": "set in",
    "inset-under": "set in",
    "butt": "beside",
}
PREFER: dict[Prefer, str] = {
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

    def said(self, sentence: str) -> str:
        """A sentence with the quantities in it told in these units.

        >>> Units(fahrenheit=True).said("it takes 150 to 165 °C, ± 5 °C, for 15 s")
        'it takes 302 to 329 °F, ± 9 °F, for 15 s'
        >>> Units(inches=True).said("50.8 × 25.4 mm, 127 µm thick")
        '2 × 1 in, 5 mil thick'
        >>> Units().said("160 °C")
        '160 °C'
        """
        if self.fahrenheit:
            sentence = _DIFFERENCE_C.sub(_difference_f, sentence)
            sentence = _CELSIUS.sub(_fahrenheit, sentence)
        if self.inches:
            sentence = _MILLIMETRES.sub(_inches, sentence)
            sentence = _MICROMETRES.sub(lambda m: show_um(float(m[1]), inches=True), sentence)
        return sentence


_NUMBER = r"(\d+(?:\.\d+)?)"
_DIFFERENCE_C = re.compile(rf"(± |steps of ){_NUMBER} °C")
_CELSIUS = re.compile(rf"{_NUMBER}(?: (to|and|or) {_NUMBER})? °C")
_MILLIMETRES = re.compile(rf"{_NUMBER}(?: (to|and|or|×) {_NUMBER})? mm\b")
_MICROMETRES = re.compile(rf"{_NUMBER} µm\b")


def _difference_f(found: re.Match[str]) -> str:
    # A difference of temperature has no offset.
    return f"{found[1]}{c_to_f(float(found[2])) - c_to_f(0):.3g} °F"


def _fahrenheit(found: re.Match[str]) -> str:
    if found[3] is None:
        return show_c(float(found[1]), fahrenheit=True)
    return f"{c_to_f(float(found[1])):.0f} {found[2]} {show_c(float(found[3]), fahrenheit=True)}"


def _inches(found: re.Match[str]) -> str:
    if found[3] is None:
        return show_mm(float(found[1]), inches=True)
    return f"{mm_to_inch(float(found[1])):.3g} {found[2]} {show_mm(float(found[3]), inches=True)}"


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


def verdict_sentence(verdict: Verdict, findings: Sequence[Finding]) -> str:
    """A verdict with the first thing that it rests on.

    >>> verdict_sentence("go", [])
    'Go: no rule objects.'
    """
    worst = next((each for each in findings if each.severity == verdict), None)
    if worst is None:
        notes = f"; {len(findings)} worth knowing" if findings else ""
        return f"{VERDICT[verdict]}: no rule objects{notes}."
    more = sum(each.severity == verdict for each in findings) - 1
    others = f" ({more} more like it)" if more else ""
    return f"{VERDICT[verdict]}: {worst.message}{others}."
