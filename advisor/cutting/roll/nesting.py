"""Nesting: where parts lie on a roll of film so that they take as little of it as can be found."""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from advisor.cutting.records.rolls import Progress
from advisor.cutting.roll.layout import Layout, Method, Placement, Strip
from advisor.cutting.roll.rectangles import lay_parts
from advisor.cutting.roll.search import search
from advisor.cutting.roll.shapes import EXACT_MM, NestError, Part, refuse_unfit
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = ["FEW_PARTS", "nest"]

FEW_PARTS = 2
"""Up to here bounding rectangles side by side are the answer, and no search is started."""
MOST_AT_ONCE = 120
"""More parts than this are nested as a block that repeats along the roll."""
BLOCK_PARTS = 60
MOST_WEIGHT = 4

Quantities = Mapping[str, int]


@dataclass(frozen=True, slots=True)
class _Run:
    """One call of `nest`: what every step of it needs to know."""

    strip: Strip
    seconds: float
    seed: int
    on_progress: Callable[[Progress], None] | None
    began_s: float

    @property
    def ordered(self) -> Quantities:
        return {part.id: part.quantity for part in self.strip.parts.values()}

    def report(self, length_mm: float, phase: str) -> None:
        if self.on_progress is not None:
            elapsed_s = time.monotonic() - self.began_s
            self.on_progress(Progress(elapsed_s, self.seconds, length_mm, phase))

    def layout(self, placements: tuple[Placement, ...], method: Method, note: str) -> Layout:
        strip = self.strip
        length_mm = strip.length_mm(placements)
        used_mm2 = sum(part.shape.area * part.quantity for part in strip.parts.values())
        density = used_mm2 / (length_mm * strip.roll_width_mm) if placements else 0.0
        return Layout(
            placements, length_mm, density, method, note, strip.roll_width_mm, strip.spacing_mm
        )


def nest(
    parts: Sequence[Part],
    *,
    roll_width_mm: float,
    spacing_mm: float = 3.0,
    seconds: float = 5.0,
    seed: int = 0,
    on_progress: Callable[[Progress], None] | None = None,
) -> Layout:
    """Lay every copy of every part on a roll, on as short a length as the time allows.

    Outlines are nested by their true shape (spyrrow); every answer is then checked in double
    precision, and bounding rectangles stand in wherever they are shorter or the search is no use:
    for one or two parts, with ``seconds=0``, or when the search fails. Orders of more than 120
    parts are nested as a block that repeats along the roll, and the rest behind it. The layout's
    note says which of these it was.

    The same parts and seed meet the same layouts in the same order while the search explores, but
    where the clock stops it, and how finely it then compresses, depends on the machine: two runs
    may give different lengths. Rectangles are the same every time, everywhere.

    Args:
        parts: what to cut, already mirrored; each name once.
        roll_width_mm: the width that may be cut: the roll less what the rollers hold.
        spacing_mm: least distance between any two parts; the roll's edge needs none.
        seconds: time allowed, 0 to 3600.
        seed: where the search starts, 0 or more.
        on_progress: called with a `Progress` at least ten times a second while searching. What it
            raises ends the nesting.

    Returns:
        After Ctrl-C the best layout so far, with ``interrupted`` true.

    Raises:
        NestError: a width, spacing, time or seed makes no sense, or two parts have one name.
        PartTooWideError: no allowed turn brings a part onto the roll.

    >>> import shapely
    >>> layout = nest([Part("tag", shapely.box(0, 0, 40, 20), 2)], roll_width_mm=50)
    >>> layout.length_mm, layout.method, round(layout.waste_pct)
    (40.0, 'rectangles', 20)
    >>> nest([], roll_width_mm=50).length_mm
    0.0
    >>> nest([Part("tag", shapely.box(0, 0, 40, 20))], roll_width_mm=-1)
    Traceback (most recent call last):
    ...
    advisor.cutting.roll.shapes.NestError: roll_width_mm: is -1; give 1 to 10000 mm
    """
    _refuse_nonsense(roll_width_mm, spacing_mm, seconds, seed)
    refuse_unfit(parts, roll_width_mm=roll_width_mm)
    strip = Strip({part.id: part for part in parts}, roll_width_mm, spacing_mm)
    run = _Run(strip, seconds, seed, on_progress, time.monotonic())
    count = sum(run.ordered.values())
    best = run.layout(lay_parts(strip, run.ordered), "rectangles", _why_plain(count, seconds))
    if count > FEW_PARTS and seconds > 0:
        try:
            run.report(best.length_mm, "rectangles")
            best = _search(run, best)
        except KeyboardInterrupt:
            note = "stopped before a true-shape layout was found: bounding rectangles"
            best = replace(best, note=note, interrupted=True)
    try:
        run.report(best.length_mm, "done")
    except KeyboardInterrupt:
        best = replace(best, interrupted=True)
    return best


def _refuse_nonsense(roll_width_mm: float, spacing_mm: float, seconds: float, seed: int) -> None:
    for name, value, low, high, unit in (
        ("roll_width_mm", roll_width_mm, 1.0, 10_000.0, " mm"),
        ("spacing_mm", spacing_mm, 0.0, 100.0, " mm"),
        ("seconds", seconds, 0.0, 3600.0, " s"),
        ("seed", seed, 0, 2**32 - 1, ""),
    ):
        if not low <= value <= high:
            raise NestError(f"is {value:g}; give {low:.0f} to {high:.0f}{unit}", field=name)


def _why_plain(count: int, seconds: float) -> str:
    if not count:
        return "nothing to cut"
    if count <= FEW_PARTS:
        return "one or two parts: bounding rectangles side by side, no search needed"
    if not seconds > 0:
        return "no time was given for a true-shape search: bounding rectangles"
    return "bounding rectangles"


def _search(run: _Run, plain: Layout) -> Layout:
    """The true-shape layout, or the plain one with the reason where that is no longer."""
    batches = _batches(run)
    ends_s = run.began_s + run.seconds
    laid: list[tuple[Placement, ...]] = []
    troubles: list[str] = []
    interrupted, searched = False, 0

    def on_layout(best_mm: float | None, phase: str) -> None:
        known_mm = best_mm if batches == [(run.ordered, 1)] else None
        run.report(min(known_mm or math.inf, plain.length_mm), phase)

    # A block that repeats gains more from the time than one that is cut once.
    weights = [sum(batch.values()) * min(repeats, MOST_WEIGHT) for batch, repeats in batches]
    for index, (batch, repeats) in enumerate(batches):
        left_s = max(0.0, ends_s - time.monotonic())
        chosen = lay_parts(run.strip, batch)
        if not interrupted and sum(batch.values()) > FEW_PARTS:
            result = search(
                run.strip,
                batch,
                seconds=left_s * weights[index] / sum(weights[index:]),
                seed=run.seed,
                on_layout=on_layout,
            )
            interrupted = result.interrupted
            troubles += [result.trouble] * bool(result.trouble)
            placements = result.placements
            if placements and run.strip.length_mm(placements) < run.strip.length_mm(chosen):
                chosen = placements
                searched += 1
        laid.extend([chosen] * repeats)
    if searched:
        note = _how(run, batches, laid[0], interrupted)
        if searched < len(batches):
            note += f"; {len(batches) - searched} of {len(batches)} blocks by bounding rectangles"
        layout = run.layout(_one_after_another(run.strip, laid), "true-shape", note)
        if layout.length_mm < plain.length_mm - EXACT_MM:
            return replace(layout, interrupted=interrupted)
    why = "the true-shape search found nothing shorter"
    if interrupted:
        why = "stopped before the true-shape search found anything shorter"
    elif troubles and not searched:
        why = f"the true-shape search gave no layout: {troubles[0]}"
    return replace(plain, note=f"{plain.note}; {why}", interrupted=interrupted)


def _batches(run: _Run) -> list[tuple[Quantities, int]]:
    """What is nested together, and how often that block repeats along the roll."""
    ordered = run.ordered
    count = sum(ordered.values())
    if count <= MOST_AT_ONCE:
        return [(ordered, 1)]
    repeats = count // BLOCK_PARTS
    block = {part: quantity // repeats for part, quantity in ordered.items()}
    batches: list[tuple[Quantities, int]] = [(block, repeats)] if any(block.values()) else []
    by_size = sorted(run.strip.parts.values(), key=lambda part: (-part.outline.area, part.id))
    rest = [part.id for part in by_size for _ in range(part.quantity - block[part.id] * repeats)]
    # As many blocks as there is time to search, none larger than a search can use. Dealt out by
    # falling size, so that each block has small parts to fill its gaps with.
    piles = min(math.ceil(len(rest) / BLOCK_PARTS), max(1, math.floor(run.seconds)))
    piles = max(piles, math.ceil(len(rest) / MOST_AT_ONCE))
    for pile in range(piles if rest else 0):
        counts = Counter(rest[pile::piles])
        batches.append(({part: counts[part] for part in ordered}, 1))
    return batches


def _one_after_another(
    strip: Strip, laid: Sequence[tuple[Placement, ...]]
) -> tuple[Placement, ...]:
    copies: Counter[str] = Counter()
    start_mm = 0.0
    placements = []
    for block in laid:
        for spot in block:
            copies[spot.part] += 1
            placements.append(replace(spot, copy=copies[spot.part], x_mm=spot.x_mm + start_mm))
        start_mm += strip.length_mm(block) + strip.spacing_mm
    return tuple(placements)


def _how(
    run: _Run,
    batches: Sequence[tuple[Quantities, int]],
    first: tuple[Placement, ...],
    interrupted: bool,
) -> str:
    limit_s = round(run.seconds, 1)
    note = f"true shapes, searched for at most {limit_s:g} s; a longer search may find shorter"
    block, repeats = batches[0]
    if repeats > 1:
        length_mm = run.strip.length_mm(first)
        note += (
            f"; a block of {sum(block.values())} parts, {show_mm(length_mm):.0f} long, "
            f"repeats {repeats} times every {show_mm(length_mm + run.strip.spacing_mm):.0f}"
        )
        if len(batches) > 1:
            rest = sum(sum(batch.values()) for batch, _ in batches[1:])
            note += f", and {rest} more {'part follows' if rest == 1 else 'parts follow'}"
    elif len(batches) > 1:
        note += f"; nested in {len(batches)} blocks, one after another"
    return Text(f"stopped early, the best so far; {note}" if interrupted else note)
