"""Nesting: how parts lie on a roll of film, and how many metres an order takes from the shelf."""

from __future__ import annotations

import math
import time
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from shapely import Polygon

from advisor.cutting.roll.layout import Layout, Method, Placement, Progress, place
from advisor.cutting.roll.rectangles import lay_parts
from advisor.cutting.roll.search import search
from advisor.cutting.roll.shapes import (
    EXACT_MM,
    NestError,
    Part,
    PartTooWideError,
    refuse_unfit,
    rotations_for,
)

__all__ = [
    "FEW_PARTS",
    "Layout",
    "NestError",
    "Part",
    "PartTooWideError",
    "Placement",
    "Progress",
    "nest",
    "place",
    "rotations_for",
]

FEW_PARTS = 2
"""Up to here bounding rectangles side by side are the answer, and no search is started."""
MOST_AT_ONCE = 120
"""More parts than this are nested as a block that repeats along the roll."""
BLOCK_PARTS = 60
MOST_WEIGHT = 4

Quantities = dict[str, int]


@dataclass(slots=True)
class _Run:
    """One call of `nest`: what every step of it needs to know."""

    parts: Sequence[Part]
    outlines: Mapping[str, Polygon]
    roll_width_mm: float
    spacing_mm: float
    seconds: float
    seed: int
    on_progress: Callable[[Progress], None] | None
    began_s: float = field(default_factory=time.monotonic)

    def report(self, length_mm: float, phase: str) -> None:
        if self.on_progress is not None:
            elapsed_s = time.monotonic() - self.began_s
            self.on_progress(Progress(elapsed_s, self.seconds, length_mm, phase))

    def rectangles(self, quantities: Mapping[str, int]) -> tuple[Placement, ...]:
        return lay_parts(
            self.parts,
            self.outlines,
            quantities,
            roll_width_mm=self.roll_width_mm,
            spacing_mm=self.spacing_mm,
        )

    def length_mm(self, placements: Sequence[Placement]) -> float:
        return max((place(self.outlines[s.part], s).bounds[2] for s in placements), default=0.0)

    def layout(self, placements: tuple[Placement, ...], method: Method, note: str) -> Layout:
        length_mm = self.length_mm(placements)
        used_mm2 = sum(part.shape.area * part.quantity for part in self.parts)
        density = used_mm2 / (length_mm * self.roll_width_mm) if placements else 0.0
        return Layout(
            placements, length_mm, density, method, note, self.roll_width_mm, self.spacing_mm
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

    Parameters
    ----------
    parts : sequence of Part
        What to cut, already mirrored; each name once.
    roll_width_mm : float
        The width that may be cut, mm: the roll less what the rollers hold.
    spacing_mm : float
        Least distance between any two parts, mm; the roll's edge needs none.
    seconds : float
        Time allowed, s, 0 to 3600.
    seed : int
        Where the search starts, 0 or more.
    on_progress : callable, optional
        Called with a `Progress` at least ten times a second while searching. What it raises ends
        the nesting.

    Returns
    -------
    Layout
        After Ctrl-C the best layout so far, with ``interrupted`` true.

    Raises
    ------
    NestError
        For a width, spacing, time or seed that makes no sense, or two parts of one name.
    PartTooWideError
        For a part that no allowed turn brings onto the roll.

    See Also
    --------
    advisor.cutting.roll.films.film_needs, advisor.cutting.roll.picture.layout_svg

    Examples
    --------
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
    outlines = refuse_unfit(parts, roll_width_mm=roll_width_mm)
    run = _Run(parts, outlines, roll_width_mm, spacing_mm, seconds, seed, on_progress)
    ordered = {part.id: part.quantity for part in parts}
    count = sum(ordered.values())
    plain = run.layout(run.rectangles(ordered), "rectangles", _why_plain(count, seconds))
    if count > FEW_PARTS and seconds > 0:
        try:
            run.report(plain.length_mm, "rectangles")
            plain = _search(run, ordered, plain)
        except KeyboardInterrupt:
            note = "stopped before a true-shape layout was found: bounding rectangles"
            plain = replace(plain, note=note, interrupted=True)
    try:
        run.report(plain.length_mm, "done")
    except KeyboardInterrupt:
        plain = replace(plain, interrupted=True)
    return plain


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


def _search(run: _Run, ordered: Quantities, plain: Layout) -> Layout:
    """The true-shape layout, or the plain one with the reason where that is no longer."""
    batches = _batches(run, ordered)
    ends_s = run.began_s + run.seconds
    laid: list[tuple[Placement, ...]] = []
    troubles: list[str] = []
    interrupted, searched = False, 0

    def on_found(best_mm: float | None, phase: str) -> None:
        known_mm = best_mm if batches == [(ordered, 1)] else None
        run.report(min(known_mm or math.inf, plain.length_mm), phase)

    # A block that repeats gains more from the time than one that is cut once.
    weights = [sum(batch.values()) * min(repeats, MOST_WEIGHT) for batch, repeats in batches]
    for index, (batch, repeats) in enumerate(batches):
        left_s = max(0.0, ends_s - time.monotonic())
        chosen = run.rectangles(batch)
        if not interrupted and sum(batch.values()) > FEW_PARTS:
            found = search(
                run.parts,
                run.outlines,
                batch,
                roll_width_mm=run.roll_width_mm,
                spacing_mm=run.spacing_mm,
                seconds=left_s * weights[index] / sum(weights[index:]),
                seed=run.seed,
                on_found=on_found,
            )
            interrupted = found.interrupted
            if found.trouble:
                troubles.append(found.trouble)
            if found.placements and run.length_mm(found.placements) < run.length_mm(chosen):
                chosen = found.placements
                searched += 1
        laid.extend([chosen] * repeats)
    if searched:
        note = _how(run, batches, laid, interrupted)
        if searched < len(batches):
            note += f"; {len(batches) - searched} of {len(batches)} blocks by bounding rectangles"
        layout = run.layout(_one_after_another(run, laid), "true-shape", note)
        if layout.length_mm < plain.length_mm - EXACT_MM:
            return replace(layout, interrupted=interrupted)
    why = "the true-shape search found nothing shorter"
    if interrupted:
        why = "stopped before the true-shape search found anything shorter"
    elif troubles and not searched:
        why = f"the true-shape search gave no layout: {troubles[0]}"
    return replace(plain, note=f"{plain.note}; {why}", interrupted=interrupted)


def _batches(run: _Run, ordered: Quantities) -> list[tuple[Quantities, int]]:
    """What is nested together, and how often that block repeats along the roll."""
    count = sum(ordered.values())
    if count <= MOST_AT_ONCE:
        return [(ordered, 1)]
    repeats = count // BLOCK_PARTS
    block = {part: quantity // repeats for part, quantity in ordered.items()}
    batches: list[tuple[Quantities, int]] = []
    if any(block.values()):
        batches.append((block, repeats))
    rest = [
        part
        for part, quantity in sorted(
            ordered.items(), key=lambda item: (-run.outlines[item[0]].area, item[0])
        )
        for _ in range(quantity - block[part] * repeats)
    ]
    # As many blocks as there is time to search, none larger than a search can use. Dealt out by
    # falling size, so that each block has small parts to fill its gaps with.
    piles = min(math.ceil(len(rest) / BLOCK_PARTS), max(1, math.floor(run.seconds)))
    piles = max(piles, math.ceil(len(rest) / MOST_AT_ONCE))
    for pile in range(piles if rest else 0):
        counts = Counter(rest[pile::piles])
        batches.append(({part: counts[part] for part in ordered}, 1))
    return batches


def _one_after_another(run: _Run, laid: Sequence[tuple[Placement, ...]]) -> tuple[Placement, ...]:
    copies: Counter[str] = Counter()
    start_mm = 0.0
    placements = []
    for block in laid:
        for spot in block:
            copies[spot.part] += 1
            placements.append(replace(spot, copy=copies[spot.part], x_mm=spot.x_mm + start_mm))
        start_mm += run.length_mm(block) + run.spacing_mm
    return tuple(placements)


def _how(
    run: _Run,
    batches: Sequence[tuple[Quantities, int]],
    laid: Sequence[tuple[Placement, ...]],
    interrupted: bool,
) -> str:
    said = f"true shapes, searched for at most {run.seconds:g} s; a longer search may find shorter"
    block, repeats = batches[0]
    if repeats > 1:
        length_mm = run.length_mm(laid[0])
        said += (
            f"; a block of {sum(block.values())} parts, {length_mm:.0f} mm long, "
            f"repeats {repeats} times every {length_mm + run.spacing_mm:.0f} mm"
        )
        if len(batches) > 1:
            rest = sum(sum(batch.values()) for batch, _ in batches[1:])
            said += f", and {rest} more {'part follows' if rest == 1 else 'parts follow'}"
    elif len(batches) > 1:
        said += f"; nested in {len(batches)} blocks, one after another"
    return f"stopped early, the best so far; {said}" if interrupted else said
