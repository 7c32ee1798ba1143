"""Plans made by hand for the tests of cutting: any artwork, any way of meeting, an order for it."""

from __future__ import annotations

import random
from collections.abc import Mapping
from functools import lru_cache

import networkx as nx

from advisor.artwork.overlay import artwork_pairs
from advisor.artwork.reader import Artwork, ArtworkError, read_artwork
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.plan import (
    Plan,
    PlannedJoint,
    PlannedPiece,
    Proof,
    Run,
    RunGarment,
)
from advisor.job.records.print import (
    EVERY_WAY,
    Meeting,
    Pair,
    PieceSize,
    Place,
    Print,
    PrintLine,
    PrintPiece,
)
from advisor.layering.meeting import pressed_before
from rules.facts.step import Meets
from tests import DRAWINGS

BADGE = """<svg xmlns="http://www.w3.org/2000/svg" width="100mm" height="80mm" viewBox="0 0 100 80">
<rect width="100" height="80" fill="#1b3a5c"/>
<path d="M20,20H70V60H20z" fill="#f2c14e"/>
<circle cx="85" cy="15" r="8" fill="#ffffff"/></svg>"""
SKY, SUN, MOON = "fill-1b3a5c", "fill-f2c14e", "fill-ffffff"


@lru_cache
def real_designs() -> tuple[Artwork, ...]:
    """The vendored designs and the demo's own, as far as they can be cut, 200 mm wide."""
    found = []
    for path in (*DRAWINGS, *sorted(DEMO_FOLDER.glob("*.svg"))):
        try:
            found.append(read_artwork(path, width_mm=200, flatten=True))
        except ArtworkError:
            continue
    return tuple(found)


def badge(*, width_mm: float = 100) -> Artwork:
    return read_artwork(BADGE, width_mm=width_mm, name="badge")


def joint(upper: str, lower: str, meets: Meets, mm: float = 1.0) -> PlannedJoint:
    return PlannedJoint(
        upper=upper,
        lower=lower,
        meets=meets,
        trap_mm=mm if "inset" in meets else 0.0,
        gap_mm=mm if meets == "butt" else 0.0,
    )


def some_joints(artwork: Artwork, seed: int) -> tuple[tuple[PlannedJoint, ...], dict[str, int]]:
    """Ways of meeting drawn by lot, and a press order for them."""
    draw = random.Random(seed)
    for attempt in range(41):
        joints = []
        for m in artwork_pairs(artwork):
            # The last attempt leaves out what turns an order round, so it always has one.
            ways = [way for way in m.ways if attempt < 40 or way != "inset-under"]
            joints.append(joint(m.upper, m.lower, draw.choice(ways), draw.choice([1.0, 1.0, 0.6])))
        ranks = press_ranks(artwork, {(j.upper, j.lower): j.meets for j in joints})
        if ranks is not None:
            return tuple(joints), ranks
    raise AssertionError("laps and insets with the rim over always have an order")


def hidden_pairs(artwork: Artwork) -> frozenset[Pair]:
    return frozenset(meeting.pair for meeting in artwork_pairs(artwork) if meeting.hidden)


def press_ranks(artwork: Artwork, meets: Mapping[Pair, Meets]) -> dict[str, int] | None:
    order = nx.DiGraph()
    order.add_nodes_from(piece.id for piece in artwork.pieces)
    order.add_edges_from(pressed_before(meets))
    if not nx.is_directed_acyclic_graph(order):
        return None
    return {
        piece: rank
        for rank, pieces in enumerate(nx.topological_generations(order), 1)
        for piece in pieces
    }


def plan_for(
    artwork: Artwork,
    joints: tuple[PlannedJoint, ...] = (),
    *,
    ranks: Mapping[str, int] | None = None,
    film: str = "matte-smooth",
    films: Mapping[str, str] | None = None,
    garments: tuple[tuple[str, int, float], ...] = (("adult-tee", 3, 100.0),),
    extra: tuple[str, ...] = (),
    prefer: str = "durable",
    job: str = "badges",
) -> Plan:
    """A plan for an artwork; ``garments`` are (id, quantity, width in mm)."""
    known = ranks or press_ranks(artwork, {(j.upper, j.lower): j.meets for j in joints}) or {}
    pieces = tuple(
        PlannedPiece(
            id=piece_id,
            film=(films or {}).get(piece_id, film),
            colour=f"colour-{fill[1:]}",
            srgb=fill,
            rank=known.get(piece_id, 9),
            delta_e=0,
            on_fabric=True,
        )
        for piece_id, fill in (
            *((piece.id, piece.fill) for piece in artwork.pieces),
            *((name, "#c0ffee") for name in extra),
        )
    )
    tall = artwork.height_mm / artwork.width_mm
    return Plan(
        job=job,
        artwork=artwork.name,
        status="planned",
        verdict="go",
        prefer=prefer,  # type: ignore[arg-type]
        press="clamshell-38x38",
        proof=Proof(optimal=False, bound=None, objective=None, measures=()),
        print=Print(
            pieces=tuple(
                PrintPiece(piece.id, piece.srgb, (PieceSize(10, 10),) * len(garments))
                for piece in pieces
            ),
            meetings=tuple(
                Meeting(j.upper, j.lower, 1.0, touching=False, hidden=False, ways=EVERY_WAY)
                for j in joints
            ),
            places=tuple(Place((piece.id,), 1.0) for piece in pieces),
            close=(),
            lines=tuple(
                PrintLine(
                    garment, "front", "cotton-jersey-tee", quantity, width_mm, width_mm * tall
                )
                for garment, quantity, width_mm in garments
            ),
        ),
        pieces=pieces,
        joints=joints,
        runs=(
            Run(
                run=1,
                fabrics=("cotton-jersey-tee",),
                garments=tuple(
                    RunGarment(line=line, minutes_each=1, cost_each=1)
                    for line in range(len(garments))
                ),
            ),
        ),
    )
