"""Fact: the base of every model of what is known, frozen and strict, with a basis per value."""

from __future__ import annotations

import re
from typing import Annotated, Any, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    StringConstraints,
    model_validator,
)

from rules.facts.basis import Basis

__all__ = ["Colour", "Fact", "Hex", "PlainText", "Record", "Slug", "Window", "is_hex"]

Slug = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*$", max_length=60)]
"""A plain name in lower case with hyphens, as in ``matte-smooth``."""


def _in_lower_case(colour: object) -> object:
    return colour.lower() if isinstance(colour, str) else colour


Hex = Annotated[str, BeforeValidator(_in_lower_case), StringConstraints(pattern=r"^#[0-9a-f]{6}$")]
"""An sRGB colour as ``#rrggbb``; capitals are taken as small letters."""


def is_hex(text: str) -> bool:
    """Whether a text is an sRGB colour as ``#rrggbb``.

    >>> is_hex("#1B2a49"), is_hex("#12"), is_hex("navy")
    (True, False, False)
    """
    return bool(re.fullmatch(r"#[0-9a-fA-F]{6}", text))


def _printable(text: str) -> str:
    odd = next((letter for letter in text if not letter.isprintable()), None)
    if odd is not None:
        raise ValueError(f"holds the control character {odd!r}; write it in plain letters")
    return text


PlainText = Annotated[str, AfterValidator(_printable)]
"""Text of one line without control characters, for names and file names."""


class Record(BaseModel):
    """A frozen model that refuses unknown fields, infinities and NaN."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, str_strip_whitespace=True
    )


class Fact(Record):
    """Something known, with what each of its values rests on.

    ``basis`` names the values that rest on something other than ``basis_default``.
    """

    basis_default: Basis = "generic"
    basis: dict[str, Basis] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _basis_names_real_fields(self) -> Self:
        unknown = sorted(set(self.basis) - set(type(self).model_fields))
        if unknown:
            raise ValueError(f"basis names {unknown[0]!r}, which is not a value of this kind")
        return self

    def basis_of(self, field: str) -> Basis:
        """What the value of ``field`` rests on."""
        return self.basis.get(field, self.basis_default)

    def values(self) -> dict[str, Any]:
        """Every value by name, without the basis itself, for showing."""
        return {
            name: getattr(self, name)
            for name in type(self).model_fields
            if name not in {"basis", "basis_default"}
        }


class Window(Record):
    """A range of settings with the one to prefer; the field that holds it names the unit.

    >>> Window(low=150, best=160, high=165).holds(158)
    True
    """

    low: float = Field(ge=0)
    best: float = Field(ge=0)
    high: float = Field(ge=0)

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.best <= self.high:
            raise ValueError(
                f"a window runs low ≤ best ≤ high, got {self.low:g}, {self.best:g}, {self.high:g}"
            )
        return self

    def holds(self, value: float) -> bool:
        """Whether ``value`` lies within the window, ends included."""
        return self.low <= value <= self.high


class Colour(Record):
    """A colour on the shelf: the name people use and its sRGB value.

    Attributes:
        assumed: nobody said it; it stands for whatever colour is meant.
    """

    name: Slug
    srgb: Hex
    assumed: bool = Field(default=False, exclude_if=lambda assumed: not assumed)
