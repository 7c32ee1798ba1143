"""Separate: from artwork and joints to the shape that each film is cut to, traps and gaps included.

Everything is in the artwork's own coordinates (mm, y down, not mirrored), at the size it will have
on the garment, since traps and gaps do not grow with the artwork.

Each piece keeps what no piece in front of it knocks out. Then an inset's rim is added beneath the
piece that will cover it, and nowhere else: a rim never covers what should be seen, and never lies
on a film that the plan did not judge it on.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import MultiPolygon, STRtree
from shapely.geometry.base import BaseGeometry

from advisor.artwork.fineness import thin_places
from advisor.artwork.piecing import areas_only
from advisor.artwork.records import Artwork
from advisor.cutting.outlines import (
    CORNER_SEGMENTS,
    CUT_GRID_MM,
    CUTTER_MM,
    LEAST_LOST_MM2,
    along_edges,
    beyond_a_cutter,
    grown,
    is_real,
    near,
    plain_outline,
    without_dust,
)
from advisor.cutting.records.cut import CutPiece, Separation
from advisor.job.records.plan import PlannedJoint
from advisor.job.records.print import Pair
from rules.errors import BadInputError

__all__ = ["BULK_LAYERS", "Bulk", "separate"]


BULK_LAYERS = 3
"""What lies under this many layers is hidden bulk. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Bulk:
    """Hidden film to leave out, and what it takes for a piece to come to lie on the fabric.

    Attributes:
        rim_mm: how far what stays runs on under what covers it.
        on_fabric: pieces that were judged straight on the fabric.
    """

    rim_mm: float
    on_fabric: frozenset[str]


def separate(
    artwork: Artwork,
    joints: Iterable[PlannedJoint],
    *,
    ranks: Mapping[str, int],
    hidden: Collection[Pair] = (),
    bulk: Bulk | None = None,
    least_stroke_mm: Mapping[str, float] | None = None,
) -> Separation:
    """The shape each piece is cut to.

    A lap leaves the lower piece whole. An inset knocks the upper piece out of the lower one and
    lets one of them run on by the trap beneath the other: the lower one under the upper one's edge
    (``inset-over``), or the upper one under the lower one's window (``inset-under``). A butt takes
    half its gap from either side.

    Args:
        artwork: at the width it will have on the garment.
        joints: how pairs of pieces meet; a pair that is not named laps.
        ranks: the press in which each piece goes down, 1 first.
        hidden: pairs of upper and lower that meet only under a third piece: both stay whole.
        bulk: leave out hidden film under three or more layers.
        least_stroke_mm: what each piece's film holds; where given, slivers that separation makes
            are widened out of sight where they can be.

    Raises:
        BadInputError: a joint or the ranks do not fit the artwork.

    >>> from advisor.artwork.reader import read_artwork
    >>> art = read_artwork('''<svg xmlns="http://www.w3.org/2000/svg" width="30mm" height="10mm"
    ...     viewBox="0 0 30 10"><rect width="30" height="10" fill="#1b3a5c"/>
    ...     <rect x="10" y="2" width="10" height="6" fill="#f2c14e"/></svg>''')
    >>> joint = PlannedJoint(
    ...     upper="fill-f2c14e", lower="fill-1b3a5c", meets="inset-over", trap_mm=1
    ... )
    >>> ranks = {"fill-1b3a5c": 1, "fill-f2c14e": 2}
    >>> [piece.shape.area for piece in separate(art, [joint], ranks=ranks).pieces]
    [268.0, 60.0]
    >>> whole = separate(art, [joint.model_copy(update={"meets": "lap"})], ranks=ranks)
    >>> [piece.shape.area for piece in whole.pieces]
    [300.0, 60.0]
    """
    table = _Table(artwork, tuple(joints), ranks, hidden)
    table.knock_out()
    table.open_butts()
    table.add_rims()
    table.mend()
    if bulk is not None:
        table.leave_out(bulk)
    if least_stroke_mm is not None:
        table.widen_slivers(least_stroke_mm)
    return Separation(
        pieces=tuple(
            CutPiece(
                id=piece.id,
                shape=table.cut[piece.id],
                drawn=piece.shape,
                visible=piece.visible,
                bulk_mm2=table.bulk_mm2.get(piece.id, 0.0),
            )
            for piece in artwork.pieces
        ),
        notes=tuple(table.notes),
    )


class _Table:
    """The pieces on the table while they are being cut."""

    def __init__(
        self,
        artwork: Artwork,
        joints: Sequence[PlannedJoint],
        ranks: Mapping[str, int],
        hidden: Collection[Pair],
    ) -> None:
        self.pieces = tuple(sorted(artwork.pieces, key=lambda piece: piece.order))
        self.at = {piece.id: at for at, piece in enumerate(self.pieces)}
        _refuse_strangers(self.at, joints, ranks)
        self.joints = tuple(
            joint
            for joint in joints
            if joint.meets != "lap" and (joint.upper, joint.lower) not in hidden
        )
        self.met = {frozenset((joint.upper, joint.lower)) for joint in joints}
        self.rank = [ranks[piece.id] for piece in self.pieces]
        # On the cutting grid from the start, so that edges which meet go on meeting.
        shapes = shapely.set_precision(
            np.array([piece.shape for piece in self.pieces], dtype=object), CUT_GRID_MM
        )
        self.drawn = [areas_only(shape) for shape in shapes]
        self.kept: dict[str, BaseGeometry] = {}
        self.cut: dict[str, MultiPolygon] = {}
        self.hideouts: dict[str, list[BaseGeometry]] = {}
        self.bulk_mm2: dict[str, float] = {}
        self.notes: list[str] = []
        self._seen: STRtree | None = None

    def shape_of(self, piece_id: str) -> MultiPolygon:
        return self.drawn[self.at[piece_id]]

    def knock_out(self) -> None:
        """Take from every piece what stands in front of it and is not lapped."""
        fronts: dict[str, list[MultiPolygon]] = {}
        for joint in self.joints:
            fronts.setdefault(joint.lower, []).append(self.shape_of(joint.upper))
        for piece in self.pieces:
            shape: BaseGeometry = self.shape_of(piece.id)
            if piece.id in fronts:
                # One after the other: uniting what stands in front costs more than it saves.
                for front in fronts[piece.id]:
                    shape = shapely.difference(shape, front)
                shape = without_dust(shape)
            self.kept[piece.id] = shape

    def open_butts(self) -> None:
        """Draw both sides of every butt back by half its gap."""
        back: dict[str, list[BaseGeometry]] = {}
        for joint in self.joints:
            if joint.meets == "butt":
                for one, other in ((joint.upper, joint.lower), (joint.lower, joint.upper)):
                    neighbour = near(self.kept[other], self.kept[one], joint.gap_mm / 2)
                    back.setdefault(one, []).append(grown(neighbour, joint.gap_mm / 2))
        for piece_id, strips in back.items():
            self.kept[piece_id] = without_dust(
                shapely.difference(self.kept[piece_id], shapely.union_all(strips))
            )

    def add_rims(self) -> None:
        """Let one piece of every inset run on beneath the other."""
        rims: dict[str, list[BaseGeometry]] = {}
        for joint in self.joints:
            if joint.meets == "butt":
                continue
            if joint.meets == "inset-over":
                under, over = joint.lower, joint.upper
                room: BaseGeometry = self.shape_of(over)
            else:
                under, over = joint.upper, joint.lower
                room = self.kept[over]
            kept = near(self.kept[under], room, joint.trap_mm)
            reach: BaseGeometry = areas_only(shapely.intersection(grown(kept, joint.trap_mm), room))
            reach = along_edges(reach, kept, joint.trap_mm)
            rim = self._unbarred(reach, under, over)
            if reach.area - rim.area > LEAST_LOST_MM2 and is_real(shapely.difference(reach, rim)):
                self.notes.append(
                    f"the trap of {under} under {over} is left out where it would show, or lie on "
                    "a piece that it was not judged on"
                )
            rims.setdefault(under, []).append(rim)
            self.hideouts.setdefault(under, []).append(room)
        for piece in self.pieces:
            whole = self.kept[piece.id]
            for rim in rims.get(piece.id, ()):
                whole = shapely.union(whole, rim)
            if piece.id in rims:
                # Edges that should meet differ by roundings; the grid closes those slits.
                whole = shapely.set_precision(whole, CUT_GRID_MM)
            self.cut[piece.id] = areas_only(whole)

    def mend(self) -> None:
        """Close slits and take off slivers that are finer than any cutter follows.

        Where edges of the drawing nearly meet, windows and gaps leave such: a blade would go twice
        through one place.
        """
        touched = {piece for joint in self.joints for piece in (joint.upper, joint.lower)}
        for piece_id in touched & set(self.cut):
            mended: BaseGeometry = self.cut[piece_id]
            slits = beyond_a_cutter(mended, CUTTER_MM / 2)
            if not slits.is_empty:
                # On the grid what is thinner falls to a line, which no cut is.
                mended = areas_only(shapely.union(mended, slits, grid_size=CUT_GRID_MM))
            slivers = beyond_a_cutter(mended, -CUTTER_MM / 2)
            if not slivers.is_empty:
                mended = shapely.difference(mended, slivers, grid_size=CUT_GRID_MM)
            if mended is not self.cut[piece_id]:
                self.cut[piece_id] = without_dust(mended)

    def _unbarred(self, reach: BaseGeometry, under: str, over: str) -> BaseGeometry:
        """The part of a rim that will not be seen and lies on nothing unforeseen."""
        if self._seen is None:
            self._seen = STRtree([piece.shape for piece in self.pieces])
        mine, covers = self.rank[self.at[under]], self.rank[self.at[over]]
        # One after the other: a rim is small, and what bars it may be large.
        for other in sorted(self._seen.query(reach, predicate="intersects").tolist()):
            piece = self.pieces[other]
            if piece.id in {under, over}:
                continue
            if self.rank[other] <= mine and not piece.visible.is_empty:
                reach = shapely.difference(reach, piece.visible)
            if self.rank[other] < covers and frozenset((piece.id, under)) not in self.met:
                reach = shapely.difference(reach, self.kept[piece.id])
        return reach

    def leave_out(self, bulk: Bulk) -> None:
        """Take out film that lies under three or more layers, where its cover suits the fabric."""
        by_rank = sorted(self.pieces, key=lambda piece: self.rank[self.at[piece.id]])
        for nth, piece in enumerate(by_rank):
            covers = by_rank[nth + 1 :]
            if piece.id not in bulk.on_fabric or len(covers) < BULK_LAYERS:
                continue
            mine = self.cut[piece.id]
            levels: list[BaseGeometry] = [shapely.MultiPolygon()] * BULK_LAYERS
            next_on: BaseGeometry = shapely.MultiPolygon()
            for cover in covers:
                # Edges that touch leave lines, which the next overlay cannot take with areas.
                over = areas_only(shapely.intersection(mine, self.cut[cover.id]))
                if cover.id in bulk.on_fabric:
                    next_on = shapely.union(next_on, shapely.difference(over, levels[0]))
                for depth in range(BULK_LAYERS - 1, 0, -1):
                    deeper = areas_only(shapely.intersection(levels[depth - 1], over))
                    levels[depth] = shapely.union(levels[depth], deeper)
                levels[0] = shapely.union(levels[0], over)
            beneath = shapely.union_all([self.cut[other.id] for other in by_rank[:nth]])
            hidden = areas_only(shapely.intersection(levels[-1], next_on)).difference(beneath)
            core = without_dust(shapely.buffer(hidden, -bulk.rim_mm, quad_segs=CORNER_SEGMENTS))
            if not core.is_empty:
                less = areas_only(shapely.difference(mine, core, grid_size=CUT_GRID_MM))
                self.bulk_mm2[piece.id] = mine.area - less.area
                self.cut[piece.id] = less

    def widen_slivers(self, least_stroke_mm: Mapping[str, float]) -> None:
        """Widen what separation made too thin where nobody sees it."""
        for piece in self.pieces:
            if piece.id not in self.hideouts or piece.id not in least_stroke_mm:
                continue
            least_mm = least_stroke_mm[piece.id]
            thin = self._made_thin(piece.id, least_mm)
            if not thin.is_empty:
                spare = shapely.union_all(self.hideouts[piece.id])
                room = areas_only(shapely.intersection(grown(thin, least_mm), spare))
                wider = self._unseen(room, piece.id)
                self.cut[piece.id] = areas_only(
                    shapely.union(self.cut[piece.id], wider, grid_size=CUT_GRID_MM)
                )

    def _made_thin(self, piece_id: str, least_mm: float) -> MultiPolygon:
        """Where the cut piece is thinner than its film holds and the drawn one is not."""
        thin = thin_places(plain_outline(self.cut[piece_id]), least_mm=least_mm)
        if thin.is_empty:
            return thin
        drawn = thin_places(plain_outline(self.shape_of(piece_id)), least_mm=least_mm)
        known = grown(drawn, least_mm / 4)
        parts = [part for part in thin.geoms if part.difference(known).area > 0.5 * part.area]
        return MultiPolygon(parts)

    def _unseen(self, reach: BaseGeometry, piece_id: str) -> BaseGeometry:
        """The part of a widened rim that no piece laid earlier needs to show, or lies in."""
        mine = self.at[piece_id]
        others = [
            self.kept[piece.id]
            for at, piece in enumerate(self.pieces)
            if at != mine
            and (
                self.rank[at] <= self.rank[mine] or frozenset((piece.id, piece_id)) not in self.met
            )
        ]
        return shapely.difference(reach, shapely.union_all(others)) if others else reach


def _refuse_strangers(
    at: Mapping[str, int], joints: Sequence[PlannedJoint], ranks: Mapping[str, int]
) -> None:
    pairs: set[Pair] = set()
    for piece_id in at:
        if piece_id not in ranks:
            raise BadInputError(
                f"the artwork has the piece {piece_id}, which the plan does not; plan it again "
                "with this artwork"
            )
    for joint in joints:
        for piece_id in (joint.upper, joint.lower):
            if piece_id not in at:
                raise BadInputError(
                    f"the plan joins the piece {piece_id}, which the artwork lacks; plan it again "
                    "with this artwork"
                )
        if (joint.upper, joint.lower) in pairs:
            raise BadInputError(f"the plan joins {joint.upper} and {joint.lower} twice")
        pairs.add((joint.upper, joint.lower))
