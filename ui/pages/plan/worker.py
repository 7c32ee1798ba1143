"""Worker: a program of its own that plans one order after another, so that it can be stopped.

It reads orders and what is asked of them as lines of JSON, writes each answer (or the sentence that
refuses it) as a line of JSON, and ends when its input is closed.
"""

from __future__ import annotations

import json
import os
import signal
import sys
from pathlib import Path

from advisor.answers.plan import Solved, solve
from advisor.answers.questions import other_plans, why_not_this
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError, PressloreError
from ui.pages.plan.order import OTHER_PLANS, folder_of, order_from_text

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
    held: dict[str, Solved] = {}
    for line in sys.stdin:
        answers.write(_answer(json.loads(line), known, held) + "\n")
        answers.flush()


def _answer(asked: dict[str, str], known: Catalogue, held: dict[str, Solved]) -> str:
    """The answer as JSON; ``held`` keeps what was solved last, so that more can be asked of it."""
    try:
        order = order_from_text(asked["order"])
        with folder_of(order) as folder:
            if order.key not in held:
                held.clear()
                held[order.key] = solve(order.job, folder=folder, svg=order.svg, catalogue=known)
            return json.dumps({"answer": _told(held[order.key], asked["question"])})
    except BadInputError as error:
        # The folder that the names lay in is nobody's concern.
        source = error.source.replace("\\", "/").rsplit("/", 1)[-1]
        refused = BadInputError(error.reason, source=source, field=error.field)
        return json.dumps({"refused": str(refused)})
    except PressloreError as error:
        return json.dumps({"refused": str(error)})


def _told(solved: Solved, question: str) -> str:
    if not question:
        return solved.plan.model_dump_json()
    if question == OTHER_PLANS:
        return "[" + ",".join(other.model_dump_json() for other in other_plans(solved)) + "]"
    return why_not_this(solved, question).model_dump_json()


if __name__ == "__main__":
    main()
