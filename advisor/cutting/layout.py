"""Cut layout: a plan's pieces separated at every size and laid out as sheets, before any file.

Nesting and pictures take what they need from here; `advisor.cutting.cutting` writes the files.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely

from advisor.artwork.piecing import areas_only
from advisor.artwork.records import Artwork, Piece
from advisor.cutting.lettering import assigned
from advisor.cutting.records import Carrier, CutPiece, CutSheet, Lettering, Separation, SizedCut
from advisor.cutting.separation import Bulk, separate
from advisor.cutting.sheet import Frame, frame_of, gang_sheet_of, sheet_of
from advisor.job.records.plan import Plan, PlannedPiece
from advisor.job.records.print import NAMES_PIECE
from advisor.layering.joint_width import trap_mm
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.film import Film

__all__ = ["lay_out"]


def lay_out(
    plan: Plan,
    artwork: Artwork,
    *,
    catalogue: Catalogue,
    names: Sequence[Lettering] = (),
    gang: bool = False,
    prepare: Callable[[Artwork], Artwork] | None = None,
) -> tuple[SizedCut, ...]:
    """Separate the artwork at each width of the order and lay out a sheet for every carrier.

    Args:
        artwork: at any width; a piece called ``names`` in it stands for the list of names.
        names: set on this artwork at its width (`advisor.cutting.lettering.letter_names`).
        gang: put all names of a size on one sheet, to be cut apart, where no other piece makes
            room for them.
        prepare: changes the artwork at each width before it is separated.

    Raises:
        BadInputError: there is no plan to cut, or plan, artwork and names do not fit together.
        UnknownNameError: a film is not in the catalogue.
    """
    if plan.status != "planned" or not plan.runs:
        raise BadInputError(f"the job {plan.job!r} is {plan.status}: there is nothing to cut")
    planned = {piece.id: piece for piece in plan.pieces}
    if names and NAMES_PIECE not in planned:
        raise BadInputError("the plan has no names; add them to the job and plan it again")
    if NAMES_PIECE in planned and not names:
        raise BadInputError("the plan has names; give the list of names to cut")
    films = {piece.id: catalogue.film(piece.film) for piece in plan.pieces}
    plain = replace(
        artwork, pieces=tuple(piece for piece in artwork.pieces if piece.id != NAMES_PIECE)
    )
    _refuse_missing(plain, planned)
    ordered: Counter[str] = Counter()
    for run in plan.runs:
        for line in plan.lines_of(run):
            ordered[line.garment or ""] += line.quantity
    named_for = assigned(names, ordered)
    sizes: dict[float, list[tuple[str, int]]] = {}
    for run in plan.runs:
        for line in plan.lines_of(run):
            sizes.setdefault(line.width_mm, []).append((line.garment or "", line.quantity))
    made = []
    for width_mm, garments in sizes.items():
        worn = {garment for garment, _ in garments}
        sized = plain.scaled(width_mm=width_mm)
        if prepare is not None:
            sized = prepare(sized)
        named = tuple(
            one.scaled(width_mm / artwork.width_mm) for one in named_for if one.size in worn
        )
        made.append(_Size(plan, sized, films, width_mm, tuple(garments), named).cut(gang=gang))
    return tuple(made)


def _refuse_missing(artwork: Artwork, planned: Mapping[str, PlannedPiece]) -> None:
    drawn = {piece.id for piece in artwork.pieces}
    for piece_id in planned:
        if piece_id != NAMES_PIECE and piece_id not in drawn:
            raise BadInputError(
                f"the plan has the piece {piece_id}, which the artwork lacks; plan it again with "
                "this artwork"
            )


@dataclass(frozen=True, slots=True)
class _Size:
    """One width of the order, with what is needed to lay it out."""

    plan: Plan
    artwork: Artwork
    films: Mapping[str, Film]
    width_mm: float
    garments: tuple[tuple[str, int], ...]
    named: tuple[Lettering, ...]

    def cut(self, *, gang: bool) -> SizedCut:
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
        shapes = [piece.shape for piece in plain.pieces]
        shapes += [piece.shape for _, made in each for piece in made.pieces]
        frame = frame_of(shapes, arm_mm=max(film.least_stroke_mm for film in self.films.values()))
        carriers: list[Carrier] = []
        for group in self.groups():
            own = {piece.id for piece in group}
            if not self.named or not own & (makes_room | {NAMES_PIECE}):
                carriers += self.carrier(group, plain, frame, None)
                continue
            if not own & makes_room and own - {NAMES_PIECE}:
                rest = [piece for piece in group if piece.id != NAMES_PIECE]
                carriers += self.carrier(rest, plain, frame, None)
                group = [piece for piece in group if piece.id == NAMES_PIECE]
            if gang and not own & makes_room:
                carriers.append(self.ganged(group[0]))
                continue
            carriers += self.nameless(group, plain, frame)
            for one, made in each:
                carriers += self.carrier(group, made, frame, one)
        return SizedCut(
            width_mm=self.width_mm,
            garments=self.garments,
            artwork=self.artwork,
            separation=each[0][1] if each else plain,
            named=self.named,
            carriers=tuple(carriers),
        )

    def separated(self, one: Lettering | None) -> Separation:
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

    def carrier(
        self,
        group: Sequence[PlannedPiece],
        made: Separation,
        frame: Frame,
        one: Lettering | None,
        *,
        count: int | None = None,
    ) -> list[Carrier]:
        """The sheet of a group; none where nothing of it is left to cut."""
        shapes = {piece.id: piece.shape for piece in made.pieces if not piece.shape.is_empty}
        kept = [(piece.id, shapes[piece.id]) for piece in group if piece.id in shapes]
        if not kept:
            return []
        if count is None:
            count = one.quantity if one else sum(quantity for _, quantity in self.garments)
        lines = self.lines(group[0], count, one)
        mirrored = self.films[group[0].id].cut_mirrored
        sheet = sheet_of(kept, frame, title=lines[0], lines=lines, mirrored=mirrored)
        return [self.labelled(sheet, group[0], count, [one] if one else [])]

    def nameless(
        self, group: Sequence[PlannedPiece], plain: Separation, frame: Frame
    ) -> list[Carrier]:
        """Pieces that make room for a name, cut whole for the garments that get none."""
        wanted = dict(self.garments)
        for one in self.named:
            wanted[one.size] -= one.quantity
        count = sum(max(0, left) for left in wanted.values())
        return self.carrier(group, plain, frame, None, count=count) if count else []

    def ganged(self, piece: PlannedPiece) -> Carrier:
        """All names of this size under each other, as often as they are wanted."""
        shapes = [
            (f"{NAMES_PIECE}-{one.row}" + (f"-{nth}" if one.quantity > 1 else ""), one.shape)
            for one in self.named
            for nth in range(1, one.quantity + 1)
        ]
        lines = [*self.lines(piece, 1, None), f"{len(shapes)} names, to be cut apart"]
        mirrored = self.films[piece.id].cut_mirrored
        sheet = gang_sheet_of(shapes, title=lines[0], lines=lines, mirrored=mirrored)
        return replace(self.labelled(sheet, piece, 1, self.named), row=0)

    def lines(self, piece: PlannedPiece, count: int, one: Lettering | None) -> list[str]:
        """The label of a sheet: what is cut from what, for whom, how often and which way round."""
        film = self.films[piece.id]
        worn = ", ".join(f"{garment} × {quantity}" for garment, quantity in self.garments)
        side = (
            "mirrored: cut from the back"
            if film.cut_mirrored
            else "not mirrored: cut from the printed face"
        )
        return [
            f"{self.plan.job} · {film.id} · {piece.colour}",
            f"artwork {self.width_mm:g} mm wide · {one.size if one else worn} · cut {count}",
            f"{side} · press {piece.rank}",
            *([f"name: {one.name}"] if one else []),
        ]

    def labelled(
        self, sheet: CutSheet, piece: PlannedPiece, count: int, names: Sequence[Lettering]
    ) -> Carrier:
        alike = {
            other.rank
            for other in self.plan.pieces
            if (other.film, other.colour) == (piece.film, piece.colour)
        }
        return Carrier(
            sheet=sheet,
            film=self.films[piece.id],
            colour=piece.colour,
            srgb=piece.srgb,
            press=piece.rank,
            presses=len(alike),
            count=count,
            names=tuple(one.name for one in names),
            row=names[0].row if names else 0,
        )


def _with_name(artwork: Artwork, one: Lettering) -> Artwork:
    """The artwork with a real name on top of it."""
    pieces = [
        replace(piece, visible=areas_only(shapely.difference(piece.visible, one.shape)))
        for piece in artwork.pieces
    ]
    order = max((piece.order for piece in artwork.pieces), default=-1) + 1
    named = Piece(NAMES_PIECE, "#000000", 1.0, one.shape, one.shape, order)
    return replace(artwork, pieces=(*pieces, named))
