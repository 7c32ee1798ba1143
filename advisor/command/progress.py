"""Progress: a line on standard error while an answer is sought, where someone can see it."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from rich import progress as bars
from rich.console import Console

if TYPE_CHECKING:
    from advisor.cutting.records.rolls import Progress, Watch

__all__ = ["nesting_shown", "say_stopped", "waiting_shown"]


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
    with _console().status(f"{what}; Ctrl-C stops"):
        yield


@contextmanager
def nesting_shown(seconds: float, *, shown: bool = True) -> Iterator[Watch | None]:
    """A watch for `cut_job` that moves a bar; ``None`` where nobody would see one.

    Args:
        seconds: time allowed for all films together, s.
        shown: false where a program reads the answer.

    >>> with nesting_shown(5, shown=False) as watch:
    ...     print(watch)
    None
    """
    if not (shown and seconds > 0 and sys.stderr.isatty()):
        yield None
        return
    bar = bars.Progress(
        bars.TextColumn("{task.description}", markup=False),
        bars.BarColumn(),
        bars.TextColumn("{task.completed:.0f} of {task.total:.0f} s; Ctrl-C keeps the best so far"),
        console=_console(),
        transient=True,
    )
    task = bar.add_task("nesting", total=seconds)
    began_s = 0.0

    def watch(film: str, colour: str, progress: Progress) -> None:
        nonlocal began_s
        if not bar.live.is_started:
            # Only now: while the artwork is separated there is nothing to show.
            began_s = time.monotonic()
            bar.start()
        bar.update(
            task,
            completed=min(seconds, time.monotonic() - began_s),
            description=f"{film} {colour}, {progress.length_mm / 1000:.2f} m",
        )

    try:
        yield watch
    finally:
        if bar.live.is_started:
            bar.stop()


def _console() -> Console:
    return Console(stderr=True, markup=False, highlight=False, emoji=False)


def say_stopped(*, files: bool = False) -> None:
    """Say on standard error that Ctrl-C ended the nesting, and what stands in for the rest.

    Args:
        files: the files are yet to be written, which takes some seconds.
    """
    more = "; the files are written now, and Ctrl-C once more ends without them" if files else ""
    print(
        "presslore: nesting was stopped: each film is laid as well as was found until then, those "
        f"that were not begun by bounding rectangles{more}",
        file=sys.stderr,
    )
