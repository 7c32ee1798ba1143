"""Documents: files read within bounds, YAML and JSON so that nothing is passed over in silence."""

from __future__ import annotations

import json
import os
import re
import stat
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import yaml

from rules.errors import BadInputError

__all__ = [
    "MOST_BYTES",
    "file_bytes",
    "file_of",
    "file_text",
    "parse_json",
    "parse_yaml",
    "read_yaml",
]

MOST_BYTES = 8_000_000

_LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
_MERGE = "tag:yaml.org,2002:merge"
_NUMBERS = {"tag:yaml.org,2002:int", "tag:yaml.org,2002:float"}
_OTHER_NUMBER = re.compile(r"[-+]?(0[0-9_]+$|[0-9_]+:)")
"""YAML 1.1 takes a zero in front for base 8 and a colon for base 60, section int: 010 is 8, 1:30
is 90."""

_BARE_COLOUR = re.compile(
    r"""(?:|(?:[^#]|(?<=["'])\#)*:)\s*(?<!\S)(\#[0-9a-f]{6})\s*(?:$|[:,}\]])""", re.IGNORECASE
)
"""A colour as a key or a value with no quotes round it: a key begins its line, a value follows a
colon."""


def file_of(path: Path, *, most_bytes: int, kind: str) -> os.stat_result:
    """What the system says of a file that may be opened and read to its end.

    Args:
        kind: what it is wanted for, such as ``"a font"``.

    Raises:
        BadInputError: there is none, it is a folder, or a device or a pipe, which may never end,
            or it is larger than ``most_bytes``.
    """
    with _told_of(path, kind):
        about = path.stat()
    if not stat.S_ISREG(about.st_mode):
        found = "a folder" if stat.S_ISDIR(about.st_mode) else "a device or a pipe"
        raise BadInputError(
            f"cannot be read: it is {found}, where {kind} is wanted", source=str(path)
        )
    _refuse_large(about.st_size, path, most_bytes, kind)
    return about


def file_bytes(path: Path, *, most_bytes: int, kind: str) -> bytes:
    """All that a file holds; see `file_of`.

    Raises:
        BadInputError: it cannot be read, or is larger than ``most_bytes``.
    """
    file_of(path, most_bytes=most_bytes, kind=kind)
    with _told_of(path, kind), path.open("rb") as file:
        data = file.read(most_bytes + 1)
    _refuse_large(len(data), path, most_bytes, kind)
    return data


def file_text(path: Path, *, most_bytes: int, kind: str) -> str:
    """The same of a text in UTF-8, without its byte order mark and with plain line ends.

    Raises:
        BadInputError: it cannot be read, is no UTF-8 text, or is larger than ``most_bytes``.
    """
    try:
        text = file_bytes(path, most_bytes=most_bytes, kind=kind).decode("utf-8-sig")
    except UnicodeDecodeError:
        raise BadInputError("is not UTF-8 text", source=str(path)) from None
    return text.replace("\r\n", "\n").replace("\r", "\n")


@contextmanager
def _told_of(path: Path, kind: str) -> Iterator[None]:
    """Tell in one line what the system has against a file."""
    try:
        yield
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise BadInputError(
            f"cannot be read: {reason}, where {kind} is wanted", source=str(path)
        ) from None


def _refuse_large(size: int, path: Path, most_bytes: int, kind: str) -> None:
    if size > most_bytes:
        raise BadInputError(
            f"is {size / 1e6:.1f} MB; {kind} has at most {most_bytes / 1e6:.0f} MB",
            source=str(path),
        )


def read_yaml(path: Path, *, most_bytes: int = MOST_BYTES, kind: str = "a YAML file") -> Any:
    """The document in a YAML (or JSON) file, as `parse_yaml` reads it.

    Raises:
        BadInputError: it cannot be read, is too large, is not YAML, or names a key twice.
    """
    text = file_text(path, most_bytes=most_bytes, kind=kind)
    return parse_yaml(text, source=str(path))


def parse_yaml(text: str, *, source: str) -> Any:
    """The document in a YAML text.

    Raises:
        BadInputError: it is not YAML, names a key twice, or has a colour that is not in quotes; the
            line is told.

    >>> parse_yaml("garment: adult-tee", source="job.yaml")
    {'garment': 'adult-tee'}
    >>> parse_yaml("looks:\\n  #1b3a5c: {finish: matte}", source="job.yaml")
    Traceback (most recent call last):
    rules.errors.BadInputError: job.yaml: line 2: #1b3a5c is a comment to YAML, which passes it \
over; put it in quotes, as in "#1b3a5c"
    >>> parse_yaml("quantity: 1\\nquantity: 2", source="job.yaml")
    Traceback (most recent call last):
    rules.errors.BadInputError: job.yaml: line 2: 'quantity' stands here twice; keep one of them
    """
    for number, line in enumerate(text.splitlines(), 1):
        if bare := _BARE_COLOUR.match(line):
            raise BadInputError(
                f"line {number}: {bare[1]} is a comment to YAML, which passes it over; put it in "
                f'quotes, as in "{bare[1]}"',
                source=source,
            )
    loader = _LOADER(text)
    try:
        node = loader.get_single_node()
        if node is None:
            return None
        _refuse_misread(node, source)
        return loader.construct_document(node)
    except RecursionError:
        raise BadInputError("is nested too deeply", source=source) from None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        where = f"line {mark.line + 1}: " if mark else ""
        problem = getattr(error, "problem", None) or "cannot be read"
        raise BadInputError(f"{where}not valid YAML: {problem}", source=source) from None
    except ValueError as error:  # a date such as 2020-13-45
        raise BadInputError(f"not valid YAML: {error}", source=source) from None
    finally:
        loader.dispose()


def parse_json(text: str, *, source: str) -> Any:
    """The document in a JSON text.

    Raises:
        BadInputError: it is not JSON, or names a key twice; the line is told.

    >>> parse_json('{"n": 1}', source="plan.json")
    {'n': 1}
    >>> parse_json('{"n": 1,\\n"n": 2}', source="plan.json")
    Traceback (most recent call last):
    rules.errors.BadInputError: plan.json: line 2: 'n' stands here twice; keep one of them
    """

    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found: dict[str, Any] = {}
        for key, value in pairs:
            if key in found:
                # JSON tells no lines. It is YAML too, but for tabs, which no string holds bare.
                parse_yaml(text.replace("\t", " "), source=source)
                raise _repeated(key, source)
            found[key] = value
        return found

    try:
        return json.loads(text, object_pairs_hook=once)
    except json.JSONDecodeError as error:
        raise BadInputError(
            f"line {error.lineno}: not valid JSON: {error.msg}", source=source
        ) from None
    except RecursionError:
        raise BadInputError("is nested too deeply", source=source) from None
    except ValueError as error:  # a number of thousands of digits
        raise BadInputError(f"not valid JSON: {error}", source=source) from None


def _refuse_misread(root: yaml.Node, source: str) -> None:
    """Refuse what would be lost in silence: a key that its mapping already has, a number that YAML
    reads as another."""
    repeated: list[tuple[int, str]] = []
    other: list[tuple[int, str]] = []
    waiting, known = [root], {id(root)}
    while waiting:
        node = waiting.pop()
        held: list[yaml.Node] = []
        if isinstance(node, yaml.MappingNode):
            keys: set[tuple[str, str]] = set()
            for key, value in node.value:
                held += (key, value)
                if not isinstance(key, yaml.ScalarNode) or key.tag == _MERGE:
                    continue
                if (key.tag, key.value) in keys:
                    repeated.append((key.start_mark.line + 1, key.value))
                keys.add((key.tag, key.value))
        elif isinstance(node, yaml.SequenceNode):
            held = node.value
        elif node.tag in _NUMBERS and _OTHER_NUMBER.match(node.value):
            other.append((node.start_mark.line + 1, node.value))
        # An anchor may be named a million times and is one node.
        waiting += (each for each in held if id(each) not in known)
        known.update(map(id, held))
    if other:
        line, written = min(other)
        raise BadInputError(
            f"line {line}: {written} would be read as another number; write it without a zero in "
            "front and without a colon, or in quotes where it is no number",
            source=source,
        )
    if repeated:
        line, key_text = min(repeated)
        raise _repeated(key_text, source, line)


def _repeated(key: str, source: str, line: int | None = None) -> BadInputError:
    shown = key if len(key) <= 60 else key[:59] + "…"
    where = f"line {line}: " if line else ""
    return BadInputError(f"{where}{shown!r} stands here twice; keep one of them", source=source)
