"""The true-shape search as a program of its own, so that it can be stopped and cannot take us down.

It reads one problem as a line of JSON, writes every better layout as a line of JSON, and ends when
its input is closed. It is started by its path and imports nothing of ours.
"""

from __future__ import annotations

import json
import os
import signal
import sys
import threading
import time
from typing import Any

__all__ = ["main"]

_POLL_S = 0.03


def main() -> None:
    """Search one problem; the reports go to standard output."""
    # The terminal sends Ctrl-C to both of us; the parent decides what becomes of it.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    problem = json.loads(sys.stdin.readline())
    threading.Thread(target=_end_with_parent, daemon=True).start()
    try:
        import spyrrow
    except ImportError as error:
        _say({"error": f"the library for it is not installed ({error})"})
        return
    queue = spyrrow.ProgressQueue()
    outcome: list[dict[str, Any]] = []
    solver = threading.Thread(target=_solve, args=(spyrrow, problem, queue, outcome), daemon=True)
    solver.start()
    best_mm = float("inf")
    while True:
        ended = not solver.is_alive()
        best_mm = _report(spyrrow, queue, best_mm)
        if ended:
            break
        time.sleep(_POLL_S)
    _say(outcome[0] if outcome else {"error": "the search ended without an answer"})


def _solve(spyrrow: Any, problem: dict[str, Any], queue: Any, outcome: list[Any]) -> None:
    try:
        items = [
            spyrrow.Item(
                item["id"],
                [(x_mm, y_mm) for x_mm, y_mm in item["points"]],
                item["quantity"],
                item["rotations"],
            )
            for item in problem["items"]
        ]
        instance = spyrrow.StripPackingInstance("roll", problem["strip_mm"], items)
        config = spyrrow.StripPackingConfig(
            min_items_separation=problem["apart_mm"],
            total_computation_time=None,
            exploration_time=problem["explore_s"],
            compression_time=problem["compress_s"],
            num_workers=problem["workers"],
            seed=problem["seed"],
        )
        outcome.append(_layout(instance.solve(config, queue)) | {"phase": "final"})
    # The library panics with a BaseException of its own, whose text is a trace of its own calls.
    except BaseException:
        outcome.append({"error": "the library stopped by itself"})


def _report(spyrrow: Any, queue: Any, best_mm: float) -> float:
    feasible = (spyrrow.ReportType.ExplFeas, spyrrow.ReportType.CmprFeas)
    for kind, solution in queue.drain():
        if kind in feasible and solution.width < best_mm:
            best_mm = solution.width
            _say(_layout(solution) | {"phase": kind.phase_name()})
    return best_mm


def _layout(solution: Any) -> dict[str, Any]:
    placed = [[item.id, item.rotation, *item.translation] for item in solution.placed_items]
    return {"length_mm": solution.width, "placed": placed}


def _say(report: dict[str, Any]) -> None:
    try:
        print(json.dumps(report), flush=True)
    except BrokenPipeError:
        os._exit(1)


def _end_with_parent() -> None:
    sys.stdin.read()
    os._exit(0)


if __name__ == "__main__":
    main()
