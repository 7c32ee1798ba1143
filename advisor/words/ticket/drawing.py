"""Ticket drawings: the artwork as worn and the stack cut through, as SVG to put in a page."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely

from advisor.artwork.records import Artwork
from advisor.artwork.svg.writing import element, number, path_data
from advisor.job.records.plan import Plan, PlannedPiece
from advisor.words.verdicts import printable
from rules.facts.fabric import Fabric
from rules.facts.film import Film

__all__ = ["draw_preview", "draw_section", "safe_colour"]

UNKNOWN_COLOUR = "#8a8a8a"
PREVIEW_PX = 260.0
SECTION_PX = 330.0
LABEL_PX = 430.0
FABRIC_PX = 24.0
FILMS_PX = 120.0
LEAST_FILM_PX = 9.0
LABEL_STEP_PX = 17.0
SHOWN_RIM_PX = 12.0

_HEX = re.compile(r"#[0-9a-f]{6}\Z")


def safe_colour(srgb: str) -> str:
    """The colour if it is one, otherwise a grey: nothing else may reach a page's styles.

    >>> safe_colour("#1b3a5c"), safe_colour("url(x)")
    ('#1b3a5c', '#8a8a8a')
    """
    return srgb.lower() if _HEX.match(srgb.lower()) else UNKNOWN_COLOUR


def draw_preview(plan: Plan, artwork: Artwork, *, ground: str) -> str:
    """The visible shapes in the colours of their films, on the fabric's colour ``ground``."""
    scale = PREVIEW_PX / max(artwork.width_mm, artwork.height_mm)
    width, height = artwork.width_mm * scale, artwork.height_mm * scale
    colours = {piece.id: safe_colour(piece.srgb) for piece in plan.pieces}
    edge = 8.0
    parts = [
        element("rect", x=-edge, y=-edge, width=width + 2 * edge, height=height + 2 * edge,
                fill=safe_colour(ground))
    ]  # fmt: skip
    for piece in artwork.pieces:
        shape = shapely.simplify(piece.visible, 0.2 / scale)
        outline = path_data(shapely.transform(shape, lambda points: points * scale), decimals=1)
        if outline:
            colour = colours.get(piece.id, safe_colour(piece.fill))
            # A grey line keeps a film apart from fabric of its own colour.
            look = {"fill": colour, "fill_rule": "evenodd", "stroke": "#888"}
            parts.append(element("path", **look, stroke_width=0.6, d=outline))
    view = (-edge, -edge, width + 2 * edge, height + 2 * edge)
    return _drawing("preview", "the print as worn", parts, view)


def _drawing(
    kind: str, label: str, parts: Sequence[str], view: tuple[float, float, float, float]
) -> str:
    """A drawing to put in a page, which needs no name space."""
    return element(
        "svg",
        parts,
        class_=kind,
        role="img",
        aria_label=label,
        viewBox=" ".join(number(side, 1) for side in view),
        width=round(view[2]),
        height=round(view[3]),
    )


@dataclass(frozen=True, slots=True)
class _Block:
    """A rectangle of one piece: from ``left`` to ``right``, and from ``low`` up to ``high``."""

    piece: str
    left: float
    right: float
    low: float
    high: float


def draw_section(
    plan: Plan, *, films: Mapping[str, Film], names: Mapping[str, str], fabric: Fabric
) -> str:
    """A place of the print cut through: what lies on what, and where rims overlap.

    The place is the one where most pieces overlap, the deepest of those.

    Thicknesses keep their proportions, but for films too thin to see; widths show no size.
    """
    stack = max(plan.stacks, key=lambda stack: (_overlapping(plan, stack), len(stack)), default=())
    if not stack:
        return ""
    pieces = {piece.id: piece for piece in plan.pieces}
    thick = _thicknesses([pieces[name] for name in stack], films)
    blocks = _blocks(plan, stack, pieces, thick)
    top = max(block.high for block in blocks)
    label_at = _label_heights([_anchor(blocks, name)[1] for name in stack])
    head = max(10.0, max(label_at.values()) - top + 12)
    height = head + top + FABRIC_PX + 4
    floor = head + top
    thread = {"d": "M0 0V6", "stroke": "#000"}
    weave = element(
        "pattern",
        [element("path", **thread, stroke_opacity=0.28, stroke_width=1.2)],
        id="weave", width=6, height=6, patternUnits="userSpaceOnUse",
        patternTransform="rotate(45)",
    )  # fmt: skip
    cloth = _Block(fabric.id, 0.0, SECTION_PX, -FABRIC_PX, 0.0)
    parts = [
        element("defs", [weave]),
        _filled(cloth, floor, safe_colour(fabric.colour.srgb), stroke="#777"),
        _filled(cloth, floor, "url(#weave)"),
        _label(floor + FABRIC_PX / 2, floor + FABRIC_PX / 2, SECTION_PX, fabric.id),
    ]
    parts += [
        _filled(block, floor, safe_colour(pieces[block.piece].srgb), stroke="#777")
        for block in blocks
    ]
    for name in stack:
        right, middle = _anchor(blocks, name)
        words = f"{names[name]}, {films[pieces[name].film].thickness_um:.0f} µm"
        parts.append(_label(floor - middle, floor - label_at[middle], right, words))
    view = (0.0, 0.0, SECTION_PX + LABEL_PX, height)
    return _drawing("section", "the stack cut through", parts, view)


def _filled(block: _Block, floor: float, fill: str, *, stroke: str | None = None) -> str:
    return element(
        "rect",
        x=block.left,
        y=floor - block.high,
        width=block.right - block.left,
        height=block.high - block.low,
        fill=fill,
        stroke=stroke,
    )


def _overlapping(plan: Plan, stack: Sequence[str]) -> int:
    """How many pairs of a stack lie over one another, whole or at a rim."""
    return sum(
        joint.meets != "butt" and {joint.upper, joint.lower} <= set(stack)
        for joint in plan.open_joints
    )


def _thicknesses(stack: Sequence[PlannedPiece], films: Mapping[str, Film]) -> dict[str, float]:
    total_um = sum(films[piece.film].thickness_um for piece in stack)
    scale = min(0.35, FILMS_PX / total_um)
    return {piece.id: max(LEAST_FILM_PX, films[piece.film].thickness_um * scale) for piece in stack}


def _blocks(
    plan: Plan,
    stack: Sequence[str],
    pieces: Mapping[str, PlannedPiece],
    thick: Mapping[str, float],
) -> list[_Block]:
    """What is present over each stretch of the cut, piled up in the order of pressing."""
    inset = SECTION_PX * 0.42 / len(stack)
    extent = {
        name: (12 + position * inset, SECTION_PX - 12 - position * inset)
        for position, name in enumerate(stack)
    }
    windows = _windows(plan, stack, extent)
    cuts = [window for each in windows.values() for window in each]
    edges = sorted({edge for ends in (*extent.values(), *cuts) for edge in ends})
    blocks: list[_Block] = []
    for left, right in pairwise(edges):
        middle, low = (left + right) / 2, 0.0
        present = [
            name
            for name in stack
            if _within(middle, extent[name])
            and not any(_within(middle, window) for window in windows[name])
        ]
        for name in sorted(present, key=lambda name: (pieces[name].rank, stack.index(name))):
            high = low + thick[name]
            blocks.append(_Block(name, left, right, low, high))
            low = high
    return _joined(blocks)


def _windows(
    plan: Plan, stack: Sequence[str], extent: Mapping[str, tuple[float, float]]
) -> dict[str, list[tuple[float, float]]]:
    """Where each piece is cut away: under an inset up to its rim, and at a butt."""
    windows: dict[str, list[tuple[float, float]]] = {name: [] for name in stack}
    for joint in plan.open_joints:
        if joint.meets == "lap" or not {joint.upper, joint.lower} <= set(stack):
            continue
        left, right = extent[joint.upper]
        rim = SHOWN_RIM_PX if "inset" in joint.meets else -2.0
        windows[joint.lower].append((left + rim, right - rim))
    return windows


def _joined(blocks: Sequence[_Block]) -> list[_Block]:
    """Neighbouring blocks of one piece at one height made one, so that no seam is drawn."""
    joined: list[_Block] = []
    for block in sorted(blocks, key=lambda b: (b.piece, b.low, b.high, b.left)):
        last = joined[-1] if joined else None
        if (
            last is not None
            and (last.piece, last.low, last.high) == (block.piece, block.low, block.high)
            and last.right == block.left
        ):
            joined[-1] = _Block(last.piece, last.left, block.right, last.low, last.high)
        else:
            joined.append(block)
    return joined


def _within(at: float, ends: tuple[float, float]) -> bool:
    return ends[0] < at < ends[1]


def _anchor(blocks: Sequence[_Block], name: str) -> tuple[float, float]:
    """Where a piece is pointed at: the right end of its rightmost block, and its middle height."""
    block = max((b for b in blocks if b.piece == name), key=lambda b: (b.right, b.high))
    return block.right, (block.low + block.high) / 2


def _label_heights(anchors: Sequence[float]) -> dict[float, float]:
    """A height for each label, at its anchor or higher, so that no two overlap."""
    heights: dict[float, float] = {}
    lowest = 2.0
    for anchor in sorted(set(anchors)):
        heights[anchor] = max(anchor, lowest)
        lowest = heights[anchor] + LABEL_STEP_PX
    return heights


def _label(at: float, text_at: float, right: float, text: str) -> str:
    start = SECTION_PX + 26
    corners = ((right, at), (SECTION_PX + 10, at), (start - 4, text_at))
    pointer = element(
        "polyline", points=" ".join(f"{number(x, 1)},{number(y, 1)}" for x, y in corners),
        fill="none", stroke="#555", stroke_width=0.8,
    )  # fmt: skip
    words = element(
        "text", printable(text), x=start, y=text_at + 4, font_size=12.5,
        font_family="system-ui, sans-serif",
    )  # fmt: skip
    return pointer + words
