"""True-shape nesting: the search run beside us, watched, stopped in time, and its answer mended."""

from __future__ import annotations

import contextlib
import json
import math
import os
import queue
import subprocess
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, affinity

from advisor.cutting.roll import worker as nest_worker
from advisor.cutting.roll.layout import Placement, Strip
from advisor.cutting.roll.shapes import Part

__all__ = ["SLACK_MM", "SearchResult", "search"]

SLACK_MM = 0.01
"""Room for the search's single precision, mm; taken back when its answer is set on the roll."""
SIMPLER_MM = 0.02
"""How far an outline of very many points may move while searching, mm; the spacing makes it up."""
MANY_POINTS = 80
FILLED_SPACINGS = 1.01
"""Parts that fill the roll for less than so many spacings are not handed to the search: one, and a
hair for its single precision."""
_POLL_S = 0.1


@dataclass(frozen=True, slots=True)
class SearchResult:
    """What a search brought.

    Attributes:
        placements: the shortest layout that passed every check, copies numbered from 1; empty where
            none keeps its spacing.
        interrupted: Ctrl-C ended it early.
        trouble: why there is no answer, in words; empty when there is one.
    """

    placements: tuple[Placement, ...]
    interrupted: bool = False
    trouble: str = ""


@dataclass(frozen=True, slots=True)
class _Report:
    length_mm: float
    placed: tuple[tuple[int, float, float, float], ...]
    phase: str


def search(
    strip: Strip,
    quantities: Mapping[str, int],
    *,
    seconds: float,
    seed: int,
    on_layout: Callable[[float | None, str], None],
) -> SearchResult:
    """Search for a short layout of true outlines for at most ``seconds``.

    The library (spyrrow) runs as a program of its own: it stops on time, on Ctrl-C and with us,
    and when it fails, only it ends. Its answers are set on the roll in double precision and
    checked with shapely; the shortest that keeps roll and spacing exactly is taken.

    Args:
        strip: the parts, each refused beforehand if it cannot fit, and what to keep.
        quantities: how many of each, by id; zero leaves one out.
        seconds: time allowed, s, the start of the program included.
        seed: where the search starts.
        on_layout: called with the shortest length yet (mm, None before the first) and the phase,
            at least every 0.1 s.
    """
    ends_s = time.monotonic() + seconds
    ordered = [part for part in strip.parts.values() if quantities.get(part.id, 0)]
    drawn = [_simpler(part.outline) for part in ordered]
    simplified = any(one is not part.outline for one, part in zip(drawn, ordered, strict=True))
    slack_mm = SLACK_MM + (SIMPLER_MM if simplified else 0.0)
    # Two parts may each be moved by the slack to get back on the roll, and each outline may stand
    # out of its simpler one: ask for that much more, so that the mended answer still keeps its
    # spacing.
    apart_mm = strip.spacing_mm + 2 * slack_mm + (2 * SIMPLER_MM if simplified else 0.0)
    # The search keeps the spacing from the edges of its strip too, which a roll does not ask.
    across_mm = strip.roll_width_mm + 2 * (apart_mm + SLACK_MM)
    covered_mm2 = sum(
        one.area * quantities[part.id] for part, one in zip(ordered, drawn, strict=True)
    )
    # Its first strip is as long as all parts together would fill it, and the spacing is taken off
    # both its ends: of parts that fill less than that nothing is left, and it fails.
    if covered_mm2 <= FILLED_SPACINGS * apart_mm * across_mm:
        return SearchResult((), trouble="the parts are too small and too few for it")
    problem = {
        "items": [
            {
                "id": str(index),
                "points": (shapely.get_coordinates(one)[:-1] - _centre(part.outline)).tolist(),
                "quantity": quantities[part.id],
                "rotations": list(part.rotations),
            }
            for index, (part, one) in enumerate(zip(ordered, drawn, strict=True))
        ],
        "strip_mm": across_mm,
        "apart_mm": apart_mm,
        "explore_s": max(1, math.floor(0.8 * seconds)),
        "compress_s": max(1, math.ceil(0.2 * seconds)),
        "workers": min(4, max(1, (os.cpu_count() or 1) // 2)),
        "seed": seed,
    }
    reports, interrupted, trouble = _watch(
        problem,
        ends_s,
        lambda strip_mm, phase: on_layout(strip_mm and max(strip_mm - 2 * apart_mm, 0.0), phase),
    )
    for report in sorted(reports, key=lambda report: report.length_mm):
        placements = _set_on_roll(
            report.placed, ordered, strip.roll_width_mm, edge_mm=apart_mm + SLACK_MM
        )
        counts = Counter(spot.part for spot in placements)
        whole = all(counts[part] == quantity for part, quantity in quantities.items())
        if whole and strip.holds(placements):
            return SearchResult(placements, interrupted)
    if not trouble:
        trouble = (
            "none that was found kept the spacing"
            if reports
            else "none was found in the time given; allow more seconds"
        )
    return SearchResult((), interrupted, trouble)


def _watch(
    problem: dict[str, Any], ends_s: float, on_layout: Callable[[float | None, str], None]
) -> tuple[list[_Report], bool, str]:
    """Run the program until it ends, time is up or Ctrl-C; its layouts, and what went wrong."""
    reports: list[_Report] = []
    interrupted, trouble, phase = False, "", "exploring"
    # The worker is started by its path, with our own folder kept out of its imports.
    command = [sys.executable, "-P", str(Path(nest_worker.__file__))]
    try:
        process = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
            text=True,
            encoding="utf-8",
        )
    except OSError as error:
        return [], False, f"its program could not be started ({error})"
    lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
    reader = threading.Thread(target=_read_lines, args=(process.stdout, lines), daemon=True)
    try:
        reader.start()
        _hand_over(process.stdin, problem)
        while (left_s := ends_s - time.monotonic()) > 0:
            on_layout(min((report.length_mm for report in reports), default=None), phase)
            try:
                line = lines.get(timeout=min(left_s, _POLL_S))
            except queue.Empty:
                continue
            if line is None:
                if phase != "final" and not trouble:
                    trouble = "its program ended early"
                break
            report = _read(line)
            if isinstance(report, str):
                trouble = report
            else:
                phase = report.phase
                reports.append(report)
    except KeyboardInterrupt:
        interrupted = True
    finally:
        process.kill()
        process.wait()
        reader.join()
        for pipe in (process.stdin, process.stdout):
            with contextlib.suppress(BrokenPipeError):
                if pipe is not None:
                    pipe.close()
    return reports, interrupted, trouble


def _hand_over(pipe: Any, problem: dict[str, Any]) -> None:
    # Where it has ended already, the end of its output says so.
    with contextlib.suppress(BrokenPipeError):
        pipe.write(json.dumps(problem) + "\n")
        pipe.flush()


def _read(line: str) -> _Report | str:
    """One report of the program, or what is wrong, in words."""
    try:
        given = json.loads(line)
        if "error" in given:
            return f"its program failed: {given['error']}"
        placed = tuple(
            (int(item), float(angle), float(along), float(across))
            for item, angle, along, across in given["placed"]
        )
        return _Report(float(given["length_mm"]), placed, str(given["phase"]))
    except (ValueError, KeyError, TypeError) as error:
        return f"its program answered nonsense ({error})"


def _read_lines(stream: Any, lines: queue.SimpleQueue[str | None]) -> None:
    for line in stream:
        # A program that is stopped while it writes leaves half a line behind.
        if line.endswith("\n"):
            lines.put(line)
    lines.put(None)


def _centre(patch: Polygon) -> NDArray[np.float64]:
    left, top, right, bottom = patch.bounds
    return np.array([(left + right) / 2, (top + bottom) / 2])


def _simpler(patch: Polygon) -> Polygon:
    if len(patch.exterior.coords) <= MANY_POINTS:
        return patch
    simpler = patch.simplify(SIMPLER_MM)
    return simpler if isinstance(simpler, Polygon) and simpler.is_valid else patch


def _set_on_roll(
    placed: Sequence[tuple[int, float, float, float]],
    ordered: Sequence[Part],
    roll_width_mm: float,
    *,
    edge_mm: float,
) -> tuple[Placement, ...]:
    """Turn the search's own coordinates into placements that start at (0, 0), in reading order.

    The search keeps ``edge_mm`` clear at the roll's edges; what still stands out is moved in.
    """
    spots: list[tuple[float, float, str, float, float, float]] = []
    for item, angle, along_mm, across_mm in placed:
        part = ordered[item]
        angle_deg = _allowed(part, angle)
        turned = affinity.rotate(part.outline, angle_deg, origin=(0, 0))
        centre = affinity.rotate(shapely.Point(_centre(part.outline)), angle_deg, origin=(0, 0))
        x_mm, y_mm = along_mm - centre.x, across_mm - centre.y - edge_mm
        left, top, _, bottom = turned.bounds
        y_mm += max(0.0, -(top + y_mm)) + min(0.0, roll_width_mm - (bottom + y_mm))
        spots.append((left + x_mm, top + y_mm, part.id, angle_deg, x_mm, y_mm))
    spots.sort(key=lambda spot: spot[:3])
    start_mm = spots[0][0] if spots else 0.0
    copies: Counter[str] = Counter()
    placements = []
    for _, _, name, angle_deg, x_mm, y_mm in spots:
        copies[name] += 1
        placements.append(Placement(name, copies[name], angle_deg, x_mm - start_mm, y_mm))
    return tuple(placements)


def _allowed(part: Part, angle_deg: float) -> float:
    """The allowed turn that the search meant: its single precision blurs odd angles."""
    return min(part.rotations, key=lambda turn: abs((turn - angle_deg + 180) % 360 - 180)) % 360
