"""Waiting shown: a line on standard error while an answer is sought, where someone can see it."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager

__all__ = ["waiting_shown"]


@contextmanager
def waiting_shown(what: str, *, shown: bool = True) -> Iterator[None]:
    """Say what is being done until the block is left.

    Args:
        what: in a few words.
        shown: false where a program reads the answer.

    >>> with waiting_shown("planning", shown=False):
    ...     print("done")
    done
    """
    if not (shown and sys.stderr.isatty()):
        yield
        return
    from rich.console import Console

    console = Console(stderr=True, markup=False, highlight=False, emoji=False)
    with console.status(f"{what}; Ctrl-C stops"):
        yield
