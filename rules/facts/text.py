"""Text: a sentence whose quantities and names of pieces stay typed until it is shown."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, dataclass
from types import MappingProxyType
from typing import Any, Self, cast, get_args

from pydantic import BaseModel, GetCoreSchemaHandler, ValidatorFunctionWrapHandler
from pydantic_core import CoreSchema, core_schema

from rules.facts.units import MARK_CLOSES, MARK_OPENS, MARK_PARTS, Kind, Quantity, Units

__all__ = [
    "PieceName",
    "Text",
    "and_list",
    "piece_name",
    "step_name",
    "typed_sentences",
    "with_typed_sentences",
]

_PIECE = "piece"
_KINDS: frozenset[str] = frozenset(get_args(Kind))
_DIGITS = frozenset(("", "g", ".0f", ".1f", ".2f", ".1g", ".2g", ".3g"))
_NO_NAMES: Mapping[str, str] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class PieceName:
    """A piece of the artwork as a sentence names it: by its id, or by its film with the id after.

    An f-string gives it with marks, as it does a quantity.
    """

    piece: str
    film: str = ""

    def __str__(self) -> str:
        return self.shown(_NO_NAMES)

    def __format__(self, spec: str) -> str:
        return MARK_OPENS + MARK_PARTS.join((_PIECE, self.piece, self.film)) + MARK_CLOSES

    def shown(self, names: Mapping[str, str]) -> str:
        """The piece as ``names`` calls it; a name that holds the film already stands alone.

        >>> PieceName("fill-f2c14e", "sparkle-fine").shown({"fill-f2c14e": "gold sparkle-fine"})
        'gold sparkle-fine'
        """
        name = names.get(self.piece, self.piece)
        if not self.film or (self.piece in names and self.film in name.split()):
            return name
        return f"{self.film} ({name})"


Part = str | Quantity | PieceName


class Text(str):
    """A sentence in °C, mm and ids of pieces, which can be shown in any units and with names.

    It is made of an f-string that holds what ``show_c``, ``show_mm``, ``piece_name`` and their
    like return, is a plain ``str`` to everything else, and keeps its parts when it is copied,
    pickled, added to another text or put into an f-string.

    >>> from rules.facts.units import show_c
    >>> text = Text(f"{piece_name('top', 'matte-thin')} bears {show_c(160)}")
    >>> print(text)
    matte-thin (top) bears 160 °C
    >>> text.shown(Units(fahrenheit=True), {"top": "gold matte-thin"})
    'gold matte-thin bears 320 °F'
    >>> (text + "; " + text).shown(Units(fahrenheit=True))
    'matte-thin (top) bears 320 °F; matte-thin (top) bears 320 °F'
    """

    __slots__ = ("parts",)
    parts: tuple[Part, ...]

    def __new__(cls, words: object = "") -> Self:
        """The text of a sentence with marks, or of one without."""
        if isinstance(words, cls):
            return words
        marked = words if type(words) is str else format(words, "")
        if MARK_OPENS not in marked:
            text = super().__new__(cls, marked)
            text.parts = (marked,) if marked else ()
            return text
        parts = tuple(_parts(marked))
        text = super().__new__(cls, "".join(map(str, parts)))
        text.parts = parts
        return text

    def __format__(self, spec: str) -> str:
        return format(str(self), spec) if spec else "".join(f"{part}" for part in self.parts)

    def __add__(self, other: str) -> Text:
        return Text(f"{self}{other}")

    def __radd__(self, other: str) -> Text:
        return Text(f"{other}{self}")

    def __reduce__(self) -> tuple[type[Text], tuple[str]]:
        return Text, (f"{self}",)

    @property
    def has_units(self) -> bool:
        """Whether it holds a quantity that reads differently in other units."""
        return self.shown(Units(fahrenheit=True, inches=True)) != self.shown()

    def shown(self, units: Units = Units(), names: Mapping[str, str] = _NO_NAMES) -> str:  # noqa: B008
        """The sentence in a person's units, with pieces called by ``names``."""
        return "".join(
            part.shown(units)
            if isinstance(part, Quantity)
            else part.shown(names)
            if isinstance(part, PieceName)
            else part
            for part in self.parts
        )

    def named(self, names: Mapping[str, str]) -> Text:
        """The same sentence with pieces called by ``names``, its quantities still typed.

        >>> print(Text(f"lay {piece_name('top')} first").named({"top": "the gold star"}))
        lay the gold star first
        """
        parts = (p.shown(names) if isinstance(p, PieceName) else p for p in self.parts)
        return Text("".join(f"{part}" for part in parts))

    @classmethod
    def __get_pydantic_core_schema__(cls, _: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.no_info_wrap_validator_function(_validated, core_schema.str_schema())


def piece_name(piece: str, film: str = "") -> PieceName:
    """A piece in a sentence, by its id; where ``film`` is given, by that with the id after it.

    >>> str(piece_name("top")), str(piece_name("top", "matte-thin"))
    ('top', 'matte-thin (top)')
    """
    return PieceName(piece, film if film != piece else "")


def step_name(n: int) -> PieceName:
    """A step in a sentence, by its number, until somebody is shown steps that bear none.

    >>> text = Text(f"{step_name(4)} is too hot")
    >>> print(text, "-", text.named({"step 4": "the final press"}))
    step 4 is too hot - the final press is too hot
    """
    return PieceName(f"step {n}")


def and_list(words: Iterable[object], *, last: str = "and") -> str:
    """Words, texts or quantities in a row, as one says them, without repeats.

    >>> and_list(["a", "b", "c", "a"]), and_list([]), and_list(["a", "b"], last="or")
    ('a, b and c', '', 'a or b')
    """
    unique = list(dict.fromkeys(f"{word}" for word in words))
    if len(unique) < 2:
        return "".join(unique)
    return f"{', '.join(unique[:-1])} {last} {unique[-1]}"


def typed_sentences(value: Any) -> list[list[Any]]:
    """The texts in data or models whose quantities read differently elsewhere, each in parts.

    A file in which sentences are plain can hold them, for ``with_typed_sentences`` to read back.

    >>> from rules.facts.units import show_c
    >>> typed_sentences({"why": Text(f"at {show_c(160)}"), "where": Text("step 1")})
    [['at ', {'kind': 'temperature', 'values': (160.0,), 'between': ' to ', 'digits': ''}]]
    """
    texts = dict.fromkeys(text for text in _texts(value) if text.has_units)
    return [[p if isinstance(p, str) else asdict(p) for p in text.parts] for text in texts]


SHOWN = 60
"""Characters of what is no sentence that a message shows."""


def with_typed_sentences(value: Any, written: Iterable[Iterable[Any]]) -> Any:
    """Plain data with each sentence that ``typed_sentences`` wrote as a text again.

    Raises:
        ValueError: what is written is not of that form.

    >>> read = with_typed_sentences(
    ...     ["at 160 °C"], [["at ", {"kind": "temperature", "values": [160]}]])
    >>> read[0].shown(Units(fahrenheit=True))
    'at 320 °F'
    """
    try:
        texts = [Text("".join(f"{_part(part)}" for part in parts)) for parts in written]
    except TypeError:
        raise ValueError(f"{repr(written)[:SHOWN]} are no sentences in parts") from None
    return _retyped(value, {str(text): text for text in texts})


def _texts(value: Any) -> Iterator[Text]:
    if isinstance(value, Text):
        yield value
    elif isinstance(value, BaseModel):
        yield from _texts(dict(value))
    elif isinstance(value, Mapping):
        for each in value.values():
            yield from _texts(each)
    elif isinstance(value, list | tuple):
        for each in value:
            yield from _texts(each)


def _retyped(value: Any, texts: Mapping[str, Text]) -> Any:
    match value:
        case str():
            return texts.get(value, value)
        case list():
            return [_retyped(each, texts) for each in value]
        case dict():
            return {key: _retyped(each, texts) for key, each in value.items()}
    return value


def _part(written: Any) -> Part:
    if isinstance(written, str):
        return written
    if not isinstance(written, dict):
        raise _no_part(written)
    try:
        if "piece" in written:
            return PieceName(**written)
        return Quantity(**{**written, "values": tuple(map(float, written["values"]))})
    except (TypeError, KeyError, ValueError):
        raise _no_part(written) from None


def _no_part(written: Any) -> ValueError:
    return ValueError(f"{repr(written)[:SHOWN]} is no part of a sentence")


def _validated(value: Any, handler: ValidatorFunctionWrapHandler) -> Text:
    return value if isinstance(value, Text) else Text(handler(value))


def _parts(words: str) -> Iterator[Part]:
    before, *marked = words.split(MARK_OPENS)
    if before:
        yield before
    for each in marked:
        inside, closed, after = each.partition(MARK_CLOSES)
        part = _marked_part(inside.split(MARK_PARTS)) if closed else None
        yield MARK_OPENS + each if part is None else part
        if part is not None and after:
            yield after


def _marked_part(fields: list[str]) -> Part | None:
    # A file may hold these marks too, so nothing in them is trusted.
    match fields:
        case [kind, piece, film] if kind == _PIECE:
            return PieceName(piece, film)
        case [kind, numbers, between, digits] if kind in _KINDS and digits in _DIGITS:
            try:
                values = tuple(map(float, numbers.split(",")))
            except ValueError:
                return None
            return Quantity(cast(Kind, kind), values, between, digits)
    return None
