"""Units: quantities that keep their unit, and the units in which a person reads them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, NamedTuple

__all__ = [
    "MM_PER_INCH", "Kind", "Quantity", "Units", "both_degrees", "c_to_f", "f_to_c",
    "mm_to_inch", "show_by_c", "show_c", "show_degrees", "show_mm", "show_s",
    "show_size", "show_spot", "show_um",
]  # fmt: skip

MM_PER_INCH = 25.4

Kind = Literal["temperature", "difference", "degrees", "length", "thickness", "time"]
"""What a quantity measures; a ``difference`` is one of temperatures, and so are ``degrees``, which
leave their name away. Shares, pressures and plain seconds read alike in everyone's units, so a
sentence may hold them as words."""

MARK_OPENS, MARK_PARTS, MARK_CLOSES = "\ue000", "\ue001", "\ue002"
"""What encloses a typed part of a sentence until ``rules.facts.text.Text`` takes it apart: letters
for private use, which no name on the shelf may hold."""


def c_to_f(celsius: float) -> float:
    """Degrees Fahrenheit for a temperature in °C.

    >>> c_to_f(160)
    320.0
    """
    return celsius * 9 / 5 + 32


def f_to_c(fahrenheit: float) -> float:
    """Degrees Celsius for a temperature in °F.

    >>> f_to_c(320)
    160.0
    """
    return (fahrenheit - 32) * 5 / 9


def mm_to_inch(millimetres: float) -> float:
    """Inches for a length in millimetres."""
    return millimetres / MM_PER_INCH


@dataclass(frozen=True, slots=True)
class Units:
    """The units that a person chose to read.

    >>> units = Units(fahrenheit=True, inches=True)
    >>> units.temperature(160), units.length(254), units.thickness(50.8)
    ('320 °F', '10 in', '2 mil')
    """

    fahrenheit: bool = False
    inches: bool = False

    def temperature(self, celsius: float) -> str:
        """A temperature as the dial shows it."""
        return show_c(celsius).shown(self)

    def difference(self, kelvin: float) -> str:
        """A difference of temperatures, which has no offset.

        >>> Units(fahrenheit=True).difference(5)
        '9 °F'
        """
        return show_by_c(kelvin).shown(self)

    def length(self, millimetres: float) -> str:
        """A length as the ruler shows it."""
        return show_mm(millimetres).shown(self)

    def size(self, width_mm: float, height_mm: float) -> str:
        """A width and a height.

        >>> Units().size(254, 180)
        '254 mm × 180 mm'
        """
        return f"{self.length(width_mm)} × {self.length(height_mm)}"

    def thickness(self, micrometres: float) -> str:
        """A film's thickness: micrometres, or thousandths of an inch."""
        return show_um(micrometres).shown(self)

    def time(self, seconds: float) -> str:
        """A time as a timer shows it."""
        return show_s(seconds).shown(self)


_PLAIN = Units()


class _Measure(NamedTuple):
    """A unit, how its numbers are written, and how one gets to it from the unit inside."""

    unit: str
    digits: str
    of: Callable[[float], float] = lambda value: value


_INSIDE: Mapping[Kind, _Measure] = MappingProxyType({
    "temperature": _Measure("°C", ".0f"),
    "difference": _Measure("°C", "g"),
    "degrees": _Measure("degrees", "g"),
    "length": _Measure("mm", ".3g"),
    "thickness": _Measure("µm", ".0f"),
    "time": _Measure("s", ".0f"),
})  # fmt: skip
_FAHRENHEIT: Mapping[Kind, _Measure] = MappingProxyType({
    "temperature": _Measure("°F", ".0f", c_to_f),
    "difference": _Measure("°F", ".3g", lambda kelvin: kelvin * 9 / 5),
    "degrees": _Measure("degrees", ".3g", lambda kelvin: kelvin * 9 / 5),
})  # fmt: skip
_INCHES: Mapping[Kind, _Measure] = MappingProxyType({
    "length": _Measure("in", ".3g", mm_to_inch),
    "thickness": _Measure("mil", ".3g", mm_to_inch),  # µm to thousandths of an inch
})  # fmt: skip


@dataclass(frozen=True, slots=True)
class Quantity:
    """Numbers of one unit, as they stand in a sentence: one, a range or a list.

    ``str`` gives it in °C, mm and so on, as messages hold it. An f-string gives it with marks
    around it, so that a ``Text`` made of that sentence still knows the numbers and can show them
    in any units; a format such as ``.2f`` says how its numbers are written.

    Attributes:
        between: what stands before the last of several numbers; commas part those before.
        digits: how a number is written in the units inside; empty for the usual way.

    >>> quantity = Quantity("temperature", (150, 180, 210), " and ")
    >>> str(quantity), quantity.shown(Units(fahrenheit=True))
    ('150, 180 and 210 °C', '302, 356 and 410 °F')
    """

    kind: Kind
    values: tuple[float, ...]
    between: str = " to "
    digits: str = ""

    def __str__(self) -> str:
        return self.shown(_PLAIN)

    def __format__(self, digits: str) -> str:
        # A number of another library is written as its own kind of float.
        numbers = ",".join(repr(float(value)) for value in self.values)
        parts = (self.kind, numbers, self.between, digits or self.digits)
        return f"{MARK_OPENS}{MARK_PARTS.join(parts)}{MARK_CLOSES}"

    def shown(self, units: Units) -> str:
        """The quantity in a person's units."""
        measure = (units.fahrenheit and _FAHRENHEIT.get(self.kind)) or (
            units.inches and _INCHES.get(self.kind)
        )
        if not measure:
            measure = _INSIDE[self.kind]
            if self.kind == "time" and not self.digits and len(self.values) == 1:
                return _on_a_timer(self.values[0])
            if self.digits:
                measure = measure._replace(digits=self.digits)
        *first, last = [_number(measure.of(value), measure) for value in self.values]
        if self.between == " to " and first == [last]:
            # A range that leaves one number to choose is that number.
            first = []
        return f"{', '.join(first)}{self.between if first else ''}{last} {measure.unit}"


def show_c(*celsius: float, between: str = " to ") -> Quantity:
    """Temperatures as a dial shows them, in whole degrees: one, a range or a list.

    >>> str(show_c(160)), str(show_c(150, 165)), show_c(160, 160).shown(Units(fahrenheit=True))
    ('160 °C', '150 to 165 °C', '320 °F')
    """
    return Quantity("temperature", celsius, between)


def show_by_c(kelvin: float) -> Quantity:
    """A difference of temperatures, which has no offset.

    >>> str(show_by_c(5)), show_by_c(5).shown(Units(fahrenheit=True))
    ('5 °C', '9 °F')
    """
    return Quantity("difference", (kelvin,))


def show_degrees(kelvin: float) -> Quantity:
    """A difference of temperatures in the degrees of whoever reads it.

    >>> str(show_degrees(20)), show_degrees(20).shown(Units(fahrenheit=True))
    ('20 degrees', '36 degrees')
    """
    return Quantity("degrees", (kelvin,))


def show_mm(*millimetres: float) -> Quantity:
    """A length, or a range of lengths, as a ruler shows it.

    >>> str(show_mm(254)), show_mm(254).shown(Units(inches=True))
    ('254 mm', '10 in')
    """
    return Quantity("length", millimetres)


def show_size(width_mm: float, height_mm: float) -> Quantity:
    """A width and a height, in whole millimetres.

    >>> str(show_size(50.8, 25.4)), show_size(50.8, 25.4).shown(Units(inches=True))
    ('51 × 25 mm', '2 × 1 in')
    """
    return Quantity("length", (width_mm, height_mm), " × ", ".0f")


def show_spot(x_mm: float, y_mm: float) -> Quantity:
    """A spot by its two measures, in whole millimetres.

    >>> str(show_spot(35, 62)), show_spot(50.8, 25.4).shown(Units(inches=True))
    ('35, 62 mm', '2, 1 in')
    """
    return Quantity("length", (x_mm, y_mm), ", ", ".0f")


def show_um(*micrometres: float, between: str = " to ") -> Quantity:
    """A film's thickness, in µm or in mil (thousandths of an inch).

    >>> str(show_um(50.8)), show_um(50.8).shown(Units(inches=True))
    ('51 µm', '2 mil')
    """
    return Quantity("thickness", micrometres, between)


def show_s(*seconds: float) -> Quantity:
    """Times as a timer shows them.

    >>> str(show_s(2)), str(show_s(90)), str(show_s(10, 15))
    ('2 s', '1 min 30 s', '10 to 15 s')
    """
    return Quantity("time", seconds)


def both_degrees(celsius: float) -> str:
    """A temperature for any dial.

    >>> both_degrees(160)
    '160 °C / 320 °F'
    """
    return f"{show_c(celsius)!s} / {Units(fahrenheit=True).temperature(celsius)}"


def _number(value: float, measure: _Measure) -> str:
    digits = measure.digits
    if digits == ".3g" and abs(value) >= 999.5:
        # Three digits of a thousand and more would be written as a power of ten.
        digits = ".0f"
    elif measure.unit == "in" and abs(value) < 1:
        # A third digit would be finer than any ruler, and than what was rounded in mm.
        digits = ".2g"
    return format(value, digits)


def _on_a_timer(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60) if math.isfinite(seconds) else (0, seconds)
    if not minutes:
        return f"{rest} s"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"
