"""The errors that Presslore raises: sentences for the person, and mistakes of our own."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Sequence
from functools import reduce
from typing import Self

__all__ = [
    "MOST_NAMED", "MOST_SHOWN", "BadInputError", "PressloreError", "ProgramError",
    "UnknownNameError", "nearest_names", "told_together",
]  # fmt: skip


MOST_NAMED = 16
"""So many names are told outright where none is near."""

MOST_SHOWN = 60
"""So many letters of a wrong name or value are shown."""

LIKE = 0.55
"""So much alike a name must look to be offered for another: more than every second letter."""

MOST_TOLD = 8
"""So many complaints are told in full; of the rest it is told how many there are."""


class PressloreError(Exception):
    """Anything that stops an answer; its text is one plain sentence for the person."""


class ProgramError(Exception):
    """Two parts of this program disagree: a mistake of ours, whatever was given.

    It is no `PressloreError`, so that nobody who catches those tells it as bad input.
    """


class BadInputError(PressloreError):
    """A file, an option or a value that cannot be used as given.

    Args:
        message: what is wrong and what would be right.
        source: the file or option it came from.
        field: the field within it, in dotted form.
    """

    def __init__(self, message: str, *, source: str = "", field: str = "") -> None:
        self.source, self.field, self.reason = source, field, message
        super().__init__(message)

    def __str__(self) -> str:
        return ": ".join(part for part in (self.source, self.field, self.reason) if part)

    def at(self, *, source: str = "", field: str = "") -> Self:
        """The same complaint, with the file or the field told by whoever knows it.

        >>> str(BadInputError("is empty", field="looks").at(source="kite.yaml"))
        'kite.yaml: looks: is empty'
        """
        self.source, self.field = source or self.source, field or self.field
        return self


class UnknownNameError(BadInputError):
    """A name that is not on the shelf; the message offers the nearest ones.

    >>> str(UnknownNameError("film", "mate-smooth", ["matte-smooth", "flock-plush"]))
    "no film is called 'mate-smooth'; nearest: matte-smooth"
    >>> str(UnknownNameError("finish", "shiny", ["matte", "gloss"]))
    "no finish is called 'shiny'; there are: matte, gloss"

    Args:
        near: the nearest names, where they are nearest by more than their letters; none if empty.
        hint: what else is to be said instead.
    """

    def __init__(
        self,
        kind: str,
        name: str,
        known: Iterable[str],
        *,
        source: str = "",
        near: Sequence[str] | None = None,
        hint: str = "",
    ) -> None:
        self.kind, self.name, self.hint = kind, name, hint
        names = list(known)
        near = nearest_names(name, names) if near is None else near
        if hint:
            pass
        elif near:
            hint = f"nearest: {', '.join(near)}"
        elif len(names) > MOST_NAMED:
            lists = {"rule": "rules", "garment colour": "shelf colours"}.get(kind, "shelf")
            hint = f"`presslore {lists}` lists what there is"
        else:
            hint = f"there are: {', '.join(names)}" if names else "there are none"
        shown = name if len(name) <= MOST_SHOWN else f"{name[: MOST_SHOWN - 1]}…"
        super().__init__(f"no {kind} is called {shown!r}; {hint}", source=source)


def told_together(wrong: Iterable[str], *, most: int = MOST_TOLD) -> BadInputError:
    """One complaint of several, each once, the first of them in full.

    >>> str(told_together(["row 2: is empty", "row 5: is empty", "row 2: is empty"]))
    'row 2: is empty; row 5: is empty'
    """
    each = list(dict.fromkeys(wrong))
    told = each[:most] + ([f"and {len(each) - most} more"] if len(each) > most else [])
    # Added up and not joined, so that quantities in them can still be shown in any units.
    return BadInputError(reduce(lambda before, one: before + "; " + one, told))


def nearest_names(name: str, known: Iterable[str], *, most: int = 3) -> list[str]:
    """The known names that look most like ``name``, best first; an empty list when none does.

    >>> nearest_names("cotton-jersy", ["cotton-jersey-tee", "denim"])
    ['cotton-jersey-tee']
    >>> nearest_names("zzz", ["denim"]), nearest_names("nope", ["rose"])
    ([], [])
    """
    return difflib.get_close_matches(name.lower(), sorted(known), n=most, cutoff=LIKE)
