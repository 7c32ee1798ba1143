"""Units: the few conversions that people and dials ask for, each defined once."""

from __future__ import annotations

__all__ = [
    "MM_PER_INCH", "bar_to_kpa", "c_to_f", "f_to_c", "mm_to_inch", "psi_to_kpa",
    "show_c", "show_mm", "show_s",
]  # fmt: skip

MM_PER_INCH = 25.4
KPA_PER_PSI = 6.894757293168


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


def psi_to_kpa(psi: float) -> float:
    """Kilopascals for a pressure in pounds per square inch.

    >>> round(psi_to_kpa(1), 6)
    6.894757
    """
    return psi * KPA_PER_PSI


def bar_to_kpa(bar: float) -> float:
    """Kilopascals for a pressure in bar.

    >>> bar_to_kpa(6)
    600.0
    """
    return bar * 100.0


def mm_to_inch(millimetres: float) -> float:
    """Inches for a length in millimetres."""
    return millimetres / MM_PER_INCH


def show_c(celsius: float, *, fahrenheit: bool = False) -> str:
    """A temperature as a dial shows it, in whole degrees.

    >>> show_c(160), show_c(160, fahrenheit=True)
    ('160 °C', '320 °F')
    """
    return f"{c_to_f(celsius):.0f} °F" if fahrenheit else f"{celsius:.0f} °C"


def show_mm(millimetres: float, *, inches: bool = False) -> str:
    """A length as a ruler shows it.

    >>> show_mm(254), show_mm(254, inches=True)
    ('254 mm', '10 in')
    """
    return f"{mm_to_inch(millimetres):.3g} in" if inches else f"{millimetres:.3g} mm"


def show_s(seconds: float) -> str:
    """A time as a timer shows it.

    >>> show_s(2), show_s(90)
    ('2 s', '1 min 30 s')
    """
    minutes, rest = divmod(round(seconds), 60)
    if not minutes:
        return f"{rest} s"
    return f"{minutes} min {rest} s" if rest else f"{minutes} min"
