"""Loads: what each carrier of one size bears, names and their garments counted."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import MultiPolygon, Polygon

from advisor.artwork.piecing import areas_only
from advisor.artwork.records import Artwork, Piece
from advisor.cutting.carriers import divided
from advisor.cutting.records.cut import CutPiece, Lettering, Separation
from advisor.cutting.separation import Bulk, separate
from advisor.job.records.job import Rates
from advisor.job.records.plan import Plan, PlannedPiece
from advisor.job.records.print import NAMES_PIECE
from advisor.layering.joint_width import trap_mm
from rules.facts.film import Film

__all__ = ["Load", "OneSize"]


@dataclass(frozen=True, slots=True)
class Load:
    """What one carrier bears, in artwork coordinates, before it has its crosses.

    Attributes:
        piece: one of its pieces, for film, colour and press.
        ganged: names on one sheet, to be cut apart.
    """

    piece: PlannedPiece
    kept: tuple[tuple[str, MultiPolygon], ...]
    count: int
    one: Lettering | None
    nth: int = 1
    of: int = 1
    ganged: bool = False


@dataclass(frozen=True, slots=True)
class OneSize:
    """One width of the order, with what is needed to lay it out."""

    plan: Plan
    artwork: Artwork
    films: Mapping[str, Film]
    width_mm: float
    garments: tuple[tuple[str, int], ...]
    named: tuple[Lettering, ...]
    rates: Rates

    def shared_out(self, *, gang: bool) -> tuple[Separation, list[Load]]:
        """The pieces as they are cut, with the first name if there are names, and all loads."""
        makes_room = {
            joint.lower if joint.upper == NAMES_PIECE else joint.upper
            for joint in self.plan.open_joints
            if NAMES_PIECE in (joint.upper, joint.lower) and joint.meets != "lap"
        }
        plain = self.separated(None)
        each: list[tuple[Lettering, Separation]] = []
        for one in self.named:
            shape = one.shape
            if makes_room:
                each.append((one, self.separated(one)))
            else:
                alone = CutPiece(NAMES_PIECE, shape, shape, shape)
                each.append((one, replace(plain, pieces=(*plain.pieces, alone))))
        loads: list[Load] = []
        for group in self.groups():
            own = {piece.id for piece in group}
            if not self.named or not own & (makes_room | {NAMES_PIECE}):
                loads += self.loads(group, plain)
                continue
            if not own & makes_room and own - {NAMES_PIECE}:
                rest = [piece for piece in group if piece.id != NAMES_PIECE]
                loads += self.loads(rest, plain)
                group = [piece for piece in group if piece.id == NAMES_PIECE]
            if gang and not own & makes_room:
                loads.append(self.ganged(group[0]))
                continue
            loads += self.nameless(group, plain)
            for one, made in each:
                loads += self.loads(group, made, one)
        return each[0][1] if each else plain, loads

    def separated(self, one: Lettering | None) -> Separation:
        """The pieces as they are cut, with one name of the list or with none."""
        artwork, joints = self.artwork, self.plan.joints
        if one is None:
            joints = tuple(j for j in joints if NAMES_PIECE not in (j.upper, j.lower))
        else:
            artwork = _with_name(artwork, one)
        widest_mm = max((joint.shrink_mm for joint in joints), default=0.0)
        bulk = Bulk(
            rim_mm=trap_mm(self.plan.print.registration_mm, widest_mm),
            on_fabric=frozenset(piece.id for piece in self.plan.pieces if piece.on_fabric),
        )
        return separate(
            artwork,
            joints,
            ranks={piece.id: piece.rank for piece in self.plan.pieces},
            hidden=self.plan.hidden_pairs,
            bulk=bulk if self.plan.prefer == "softest" else None,
            least_stroke_mm={name: film.least_stroke_mm for name, film in self.films.items()},
        )

    def groups(self) -> list[list[PlannedPiece]]:
        """Pieces of one film and colour that go down in one press: one carrier each."""
        found: dict[tuple[str, str, int], list[PlannedPiece]] = {}
        for piece in sorted(self.plan.pieces, key=lambda piece: piece.rank):
            found.setdefault((piece.film, piece.colour, piece.rank), []).append(piece)
        return list(found.values())

    def loads(
        self,
        group: Sequence[PlannedPiece],
        made: Separation,
        one: Lettering | None = None,
        *,
        count: int | None = None,
    ) -> list[Load]:
        """What each carrier of a group bears; none where nothing of it is left to cut."""
        shapes = {piece.id: piece.shape for piece in made.pieces if not piece.shape.is_empty}
        kept = [(piece.id, shapes[piece.id]) for piece in group if piece.id in shapes]
        if not kept:
            return []
        if count is None:
            count = one.quantity if one else sum(quantity for _, quantity in self.garments)
        film = self.films[group[0].id]
        boxes = divided([shape for _, shape in kept], film, self.rates).boxes
        if one is not None or len(boxes) == 1:
            return [Load(group[0], tuple(kept), count, one)]
        return [
            Load(group[0], _inside(kept, shapely.box(*box)), count, None, nth, len(boxes))
            for nth, box in enumerate(boxes, 1)
        ]

    def nameless(self, group: Sequence[PlannedPiece], plain: Separation) -> list[Load]:
        """Pieces that make room for a name, cut whole for the garments that get none."""
        wanted = dict(self.garments)
        for one in self.named:
            wanted[one.size] -= one.quantity
        count = sum(max(0, left) for left in wanted.values())
        return self.loads(group, plain, count=count) if count else []

    def ganged(self, piece: PlannedPiece) -> Load:
        """All names of this size under each other, as often as they are wanted."""
        shapes = [
            (f"{NAMES_PIECE}-{one.row}" + (f"-{nth}" if one.quantity > 1 else ""), one.shape)
            for one in self.named
            for nth in range(1, one.quantity + 1)
        ]
        return Load(piece, tuple(shapes), 1, None, ganged=True)


def _inside(
    kept: Sequence[tuple[str, MultiPolygon]], box: Polygon
) -> tuple[tuple[str, MultiPolygon], ...]:
    """The parts of pieces that lie in a box."""
    parts = {
        name: [part for part in shape.geoms if box.buffer(1e-6).contains(part)]
        for name, shape in kept
    }
    return tuple((name, MultiPolygon(inside)) for name, inside in parts.items() if inside)


def _with_name(artwork: Artwork, one: Lettering) -> Artwork:
    """The artwork with a real name on top of it."""
    pieces = [
        replace(piece, visible=areas_only(shapely.difference(piece.visible, one.shape)))
        for piece in artwork.pieces
    ]
    order = max((piece.order for piece in artwork.pieces), default=-1) + 1
    named = Piece(NAMES_PIECE, "#000000", 1.0, one.shape, one.shape, order)
    return replace(artwork, pieces=(*pieces, named))
