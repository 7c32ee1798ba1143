"""Serve: starts the pages, and gets the first answer ready while the browser is still opening."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from pathlib import Path
from threading import Thread

from streamlit.web import cli

__all__ = ["main"]

APP = Path(__file__).parent / "start" / "app.py"


def main(arguments: Sequence[str] = ()) -> None:
    """Run the pages until they are stopped.

    Args:
        arguments: what Streamlit is told besides, as in ``["--server.port", "8501"]``.
    """
    Thread(target=_make_ready, name="presslore-make-ready", daemon=True).start()
    cli.main(["run", str(APP), *arguments], prog_name="streamlit")


def _make_ready() -> None:
    # The opening question, asked before anyone is there: the answer is then remembered.
    from ui.tasks import LookQuestion, look_task
    from ui.waiting import workers

    workers().ask(look_task(LookQuestion()))


if __name__ == "__main__":
    main(sys.argv[1:])
