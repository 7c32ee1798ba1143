"""The errors that Presslore raises: one base class, each with one sentence for the person."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

__all__ = ["BadInputError", "PressloreError", "UnknownNameError", "nearest_names"]


class PressloreError(Exception):
    """Anything that stops an answer; its text is one plain sentence for the person."""


class BadInputError(PressloreError):
    """A file, an option or a value that cannot be used as given.

    Args:
        message: what is wrong and what would be right.
        source: the file or option it came from.
        field: the field within it, in dotted form.
    """

    def __init__(self, message: str, *, source: str = "", field: str = "") -> None:
        self.source, self.field, self.reason = source, field, message
        place = ": ".join(part for part in (source, field) if part)
        super().__init__(f"{place}: {message}" if place else message)


class UnknownNameError(BadInputError):
    """A name that is not on the shelf; the message offers the nearest ones.

    >>> str(UnknownNameError("film", "mate-smooth", ["matte-smooth", "flock-plush"]))
    "no film is called 'mate-smooth'; nearest: matte-smooth"
    """

    def __init__(self, kind: str, name: str, known: Iterable[str], *, source: str = "") -> None:
        self.kind, self.name = kind, name
        near = nearest_names(name, known)
        hint = f"nearest: {', '.join(near)}" if near else "`presslore shelf` lists what there is"
        super().__init__(f"no {kind} is called {name!r}; {hint}", source=source)


def nearest_names(name: str, known: Iterable[str], *, most: int = 3) -> list[str]:
    """The known names that look most like ``name``, best first; an empty list when none does.

    >>> nearest_names("cotton-jersy", ["cotton-jersey-tee", "denim"])
    ['cotton-jersey-tee']
    >>> nearest_names("zzz", ["denim"])
    []
    """
    return difflib.get_close_matches(name.lower(), sorted(known), n=most, cutoff=0.5)
