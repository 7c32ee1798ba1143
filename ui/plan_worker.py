"""Worker: a program of its own that plans one order after another, so that it can be stopped.

It reads orders as lines of JSON, writes each plan (or the sentence that refuses it) as a line of
JSON, and ends when its input is closed.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path

from advisor.planner import plan
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError, PressloreError
from ui.plan_order import folder_of, order_from_text

__all__ = ["main"]


def main() -> None:
    """Answer orders until there are none."""
    # The terminal sends Ctrl-C to both of us; the pages decide what becomes of it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    answers = os.fdopen(os.dup(1), "w", encoding="utf-8")
    # Whatever a library prints goes to the log and cannot be taken for an answer.
    os.dup2(2, 1)
    shop = os.environ.get("PRESSLORE_SHOP", "")
    known = load_catalogue(*(Path(folder) for folder in shop.split(os.pathsep) if folder))
    for line in sys.stdin:
        answers.write(_answer(json.loads(line), known) + "\n")
        answers.flush()


def _answer(text: str, known: Catalogue) -> str:
    try:
        order = order_from_text(text)
        with folder_of(order) as folder:
            made = plan(order.job, folder=folder, svg=order.svg, catalogue=known)
        return json.dumps({"plan": made.model_dump_json()})
    except BadInputError as error:
        # The folder that the names lay in is nobody's concern.
        source = error.source.replace("\\", "/").rsplit("/", 1)[-1]
        return json.dumps({"refused": str(BadInputError(error.reason, source=source))})
    except PressloreError as error:
        return json.dumps({"refused": str(error)})


if __name__ == "__main__":
    main()
