"""Complaints: what is wrong with a value of a document, in a person's words."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from types import MappingProxyType
from typing import Any

from pydantic import BaseModel, ValidationError

from rules.errors import MOST_SHOWN, BadInputError, nearest_names

__all__ = ["MISSING", "NOT_CALLED", "all_problems", "first_problem"]

NOT_CALLED = "nothing here is called so"
MISSING = "is missing"
LIST = "write a list, as in [one, two]"
MAPPING = "write names with their values, as in {name: value}"
TEXT = "write text"
NUMBER = "write a number, without its unit"
WHOLE = "write a whole number"
YES_OR_NO = "write true or false"
QUOTES = 'YAML reads an unquoted Yes, No, On or Off so; put the word in quotes, as in "No"'

_PATTERNS: Mapping[str, str] = MappingProxyType(
    {
        "^#[0-9a-f]{6}$": "write a colour as #rrggbb, such as #1b3a5c",
        "^[a-z0-9]+(-[a-z0-9]+)*$": "write small letters, digits and hyphens, as in matte-smooth",
    }
)

Words = Callable[[Mapping[str, Any]], str]


def _length(least_or_most: str, key: str) -> Words:
    def words(of: Mapping[str, Any]) -> str:
        # What has no type of its own is text.
        one = "character" if of.get("field_type") in {None, "Value"} else "entry"
        several = "characters" if one == "character" else "entries"
        counted = f"{of[key]} {one if of[key] == 1 else several}"
        here = f"; it has {of['actual_length']}" if of.get("actual_length") else ""
        return f"it takes {least_or_most} {counted}{here}"

    return words


def _always(words: str) -> Words:
    return lambda of: words


_SAID: Mapping[str, Words] = MappingProxyType(
    {
        "missing": _always(MISSING),
        "extra_forbidden": _always(f"{NOT_CALLED}; mind its spelling, or leave it out"),
        "greater_than_equal": lambda of: f"write at least {of['ge']:g}",
        "greater_than": lambda of: f"write more than {of['gt']:g}",
        "less_than_equal": lambda of: f"write at most {of['le']:g}",
        "less_than": lambda of: f"write less than {of['lt']:g}",
        "literal_error": lambda of: f"write {of['expected']}".replace("'", ""),
        "enum": lambda of: f"write {of['expected']}".replace("'", ""),
        "string_pattern_mismatch": lambda of: _PATTERNS.get(
            of["pattern"], f"write it as {of['pattern']}"
        ),
        "too_short": _length("at least", "min_length"),
        "too_long": _length("at most", "max_length"),
        "string_too_short": _length("at least", "min_length"),
        "string_too_long": _length("at most", "max_length"),
        "union_tag_invalid": lambda of: (
            f"its {of['discriminator']} is one of {of['expected_tags']}".replace("'", "")
        ),
        "union_tag_not_found": lambda of: f"does not say its {of['discriminator']}".replace(
            "'", ""
        ),
        "finite_number": _always("write a finite number"),
        "int_from_float": _always(WHOLE),
        **dict.fromkeys(("tuple_type", "list_type", "set_type"), _always(LIST)),
        **dict.fromkeys(
            ("dict_type", "mapping_type", "model_type", "dataclass_type", "model_attributes_type"),
            _always(MAPPING),
        ),
        **dict.fromkeys(("int_type", "int_parsing", "int_parsing_size"), _always(WHOLE)),
        **dict.fromkeys(("float_type", "float_parsing", "decimal_parsing"), _always(NUMBER)),
        **dict.fromkeys(("bool_type", "bool_parsing"), _always(YES_OR_NO)),
        "string_type": _always(TEXT),
    }
)


def first_problem(error: ValidationError, *, source: str) -> BadInputError:
    """The first thing wrong with a document, as one line: field, value, limit."""
    field, message = _told(error.errors(include_url=False)[0])
    return BadInputError(message, source=source, field=field)


def all_problems(
    error: ValidationError, model: type[BaseModel] | None = None
) -> list[tuple[str, str]]:
    """Everything wrong with a document: each field with its value and limit.

    Args:
        model: what it was read as, by which the key is known that a misspelt one is nearest to.
    """
    schema = {} if model is None else model.model_json_schema()
    told = []
    for problem in error.errors(include_url=False):
        field, message = _told(problem)
        if problem["type"] == "extra_forbidden" and schema:
            *above, last = problem["loc"]
            key = str(last)
            near = nearest_names(key, _keys(schema, schema, above))[:1] if key[1:] else []
            message = f"{NOT_CALLED}; nearest: {near[0]}" if near else message
        told.append((field, message))
    return told


def _keys(node: Mapping[str, Any], schema: Mapping[str, Any], loc: Sequence[str | int]) -> set[str]:
    """The keys that a mapping may have which stands at ``loc`` of a schema."""
    if "$ref" in node:
        return _keys(schema["$defs"][node["$ref"].rpartition("/")[2]], schema, loc)
    either = [*node.get("anyOf", ()), *node.get("oneOf", ())]
    if either:
        return set().union(*(_keys(one, schema, loc) for one in either))
    if not loc:
        return set(node.get("properties", ()))
    part, *rest = loc
    if part in KINDS:
        return _keys(node, schema, rest)
    below = node.get("items") if isinstance(part, int) else node.get("properties", {}).get(part)
    below = below or node.get("additionalProperties")
    return _keys(below, schema, rest) if isinstance(below, Mapping) else set()


def _told(problem: Any) -> tuple[str, str]:
    kind, given = problem["type"], problem.get("input")
    words = _SAID.get(kind)
    message = words(problem.get("ctx", {})) if words else _as_it_is(problem["msg"])
    if kind == "string_type" and isinstance(given, bool):
        message = QUOTES
    if kind != "missing":
        message = _shown(given) + message
    return _field(problem["loc"]), message


def _as_it_is(message: str) -> str:
    """What a model of ours says of itself, in a sentence's middle."""
    message = message.removeprefix("Value error, ")
    return message[:1].lower() + message[1:]


def _shown(given: object) -> str:
    """The value before what is said of it; a long or many-parted one is not shown."""
    if given is None:
        return "is empty; "
    if not isinstance(given, str | int | float | bool):
        return ""
    shown = repr(given)
    return f"{shown if len(shown) <= MOST_SHOWN else shown[: MOST_SHOWN - 3] + '…'}: "


KINDS = {"knob", "cylinder", "feel", "place-by-name", "place-by-measures"}


def _field(parts: Sequence[str | int]) -> str:
    """Where it stands, without what only tells kinds of one field apart."""
    return ".".join(str(part) for part in parts if part not in KINDS)
