"""Everyday words: what people call finishes, films, garments and colours, and the ids meant."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from rules.catalogue.documents import read_yaml
from rules.errors import BadInputError, UnknownNameError
from rules.facts.film import FAMILIES, FINISHES, UNKNOWN_FAMILY

__all__ = ["Words", "as_word", "load_words", "meant", "meant_of_film"]

FOLDER = Path(__file__).parent
WORDS_FILE = "words.yaml"
KINDS = ("finishes", "families", "films", "garments", "fabrics", "colours", "places")

LIKE_FROM, LIKE_WITHIN = 0.75, 0.2
"""How alike a word and a known one are to be offered, from 0 to 1, and how much less alike than the
likest: one misspelt is, and two that share half their letters are not. Generic."""
PART_FROM = 0.75
"""How alike two are at least that share a whole word, as school-bag and tote-bag do. Generic."""

Words = Mapping[str, tuple[str, ...]]
"""Each everyday word with the ids that it may mean, in the order of the file."""


def as_word(said: object) -> object:
    """What someone wrote as the words and ids are written; what is no text stays as it is.

    >>> as_word(" Kids' T Shirt "), as_word("High_Vis"), as_word(3)
    ('kids-t-shirt', 'high-vis', 3)
    """
    if not isinstance(said, str):
        return said
    plain = said.lower().replace("'", "").replace("’", "")
    return "-".join(part for part in plain.replace("_", " ").replace("-", " ").split())


@cache
def load_words(*folders: Path) -> Mapping[str, Words]:
    """The everyday words of each kind: those that ship, and those of a shop's folders beside them.

    Raises:
        BadInputError: a file is not such a table.

    >>> load_words()["finishes"]["glitter"]
    ('sparkle',)
    """
    found: dict[str, dict[str, tuple[str, ...]]] = {kind: {} for kind in KINDS}
    for folder in (FOLDER, *folders):
        path = folder / WORDS_FILE
        if path.exists():
            for kind, named in _table(path).items():
                for name, words in named.items():
                    for word in words:
                        before = found[kind].get(word, ())
                        if name not in before:
                            found[kind][word] = (*before, name)
    return MappingProxyType({kind: MappingProxyType(words) for kind, words in found.items()})


def _table(path: Path) -> dict[str, dict[str, list[str]]]:
    document = read_yaml(path)
    wrong = BadInputError(
        f"gives, for {', '.join(KINDS)}, each id with a list of words", source=str(path)
    )
    if not isinstance(document, dict):
        raise wrong
    table = {kind: named for kind, named in document.items() if kind != "basis"}
    if not set(table) <= set(KINDS):
        raise wrong
    for named in table.values():
        if not isinstance(named, dict):
            raise wrong
        for words in named.values():
            if not (isinstance(words, list) and all(map(_is_word, words))):
                raise wrong
    return table


def _is_word(word: object) -> bool:
    return isinstance(word, str) and as_word(word) == word


def meant(kind: str, said: str, known: Collection[str], words: Words) -> str:
    """The id that someone means: an id as it stands, or what an everyday word stands for.

    Args:
        kind: what it is, as a complaint says it.
        known: the ids that there are.

    Raises:
        UnknownNameError: it means none of them, or may mean several; the nearest are offered.

    >>> words = load_words()["garments"]
    >>> meant("garment", "T-Shirts", ["adult-tee", "polo"], words)
    'adult-tee'
    >>> meant("garment", "hoddie", ["adult-hoodie", "polo"], words)
    Traceback (most recent call last):
    rules.errors.UnknownNameError: no garment is called 'hoddie'; nearest: adult-hoodie (hoodie)
    >>> meant("garment", "bag", ["drawstring-bag", "canvas-tote"], words)
    Traceback (most recent call last):
    rules.errors.UnknownNameError: no garment is called 'bag'; it may mean: drawstring-bag, ...
    """
    word = str(as_word(said))
    for one in (word, word.removesuffix("s"), word.removesuffix("es")):
        if one in known:
            return one
        ids = [name for name in words.get(one, ()) if name in known]
        if len(ids) == 1:
            return ids[0]
        if ids:
            raise UnknownNameError(kind, said, known, hint=f"it may mean: {', '.join(ids)}")
    raise UnknownNameError(kind, said, known, near=_near(word, known, words))


_OF_FILMS: Mapping[str, tuple[str, tuple[str, ...]]] = {
    "finish": ("finishes", FINISHES), "family": ("families", (*FAMILIES, UNKNOWN_FAMILY)),
}  # fmt: skip


def meant_of_film(
    kind: Literal["finish", "family"], said: str, words: Mapping[str, Words] | None = None
) -> str:
    """The finish or the family that someone means.

    Args:
        words: those of the shop; those that ship, without.

    Raises:
        UnknownNameError: it means none of them, or may mean several; the nearest are offered.

    >>> meant_of_film("finish", "puff print"), meant_of_film("family", "blockout")
    ('puff', 'dye-blocking')
    """
    listed, known = _OF_FILMS[kind]
    return meant(kind, said, known, (words or load_words())[listed])


def _near(word: str, known: Collection[str], words: Words) -> list[str]:
    """Known ids whose names, or whose everyday words, look like a word, the likest first."""
    calls: dict[str, list[str]] = {name: [name] for name in known}
    for one, ids in words.items():
        for name in ids:
            if name in known:
                calls[name].append(one)
    like = {name: max((_likeness(word, call), call == name, call) for call in by)
            for name, by in calls.items()}  # fmt: skip
    likest = max((score for score, _, _ in like.values()), default=0.0)
    near = [name for name in like if like[name][0] >= max(LIKE_FROM, likest - LIKE_WITHIN)]
    return [
        name if like[name][1] else f"{name} ({like[name][2]})"
        for name in sorted(near, key=lambda name: (-like[name][0], name))[:3]
    ]


def _likeness(one: str, other: str) -> float:
    parts, others = set(one.split("-")), set(other.split("-"))
    shared = [part for part in parts & others if len(part) > 2]
    by_part = PART_FROM + (1 - PART_FROM) * len(shared) / len(parts | others) if shared else 0.0
    return max(difflib.SequenceMatcher(None, one, other).ratio(), by_part)
