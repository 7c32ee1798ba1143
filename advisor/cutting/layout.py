"""Cut layout: a plan's pieces separated at every size and laid out as sheets, before any file.

Nesting and pictures take what they need from here; `advisor.cutting.cutting` writes the files.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import shapely
from shapely import MultiPolygon, Polygon

from advisor.artwork.piecing import areas_only
from advisor.artwork.records import Artwork, Piece
from advisor.cutting.carriers import divided, price_mm2
from advisor.cutting.lettering import assigned
from advisor.cutting.marks import Station, by_ruler, laid_order, placed_marks
from advisor.cutting.records.cut import Carrier, CutPiece, Lettering, Separation, SizedCut
from advisor.cutting.separation import Bulk, separate
from advisor.cutting.sheet import gang_sheet_of, sheet_of
from advisor.job.records.job import Rates
from advisor.job.records.plan import Plan, PlannedPiece
from advisor.job.records.print import NAMES_PIECE
from advisor.layering.joint_width import trap_mm
from rules.book.artwork.fits_roll import EDGE_MM
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
    rates: Rates | None = None,
    prepare: Callable[[Artwork], Artwork] | None = None,
) -> tuple[SizedCut, ...]:
    """Separate the artwork at each width of the order and lay out a sheet for every carrier.

    Args:
        artwork: at any width; a piece called ``names`` in it stands for the list of names.
        names: set on this artwork at its width (`advisor.cutting.lettering.letter_names`).
        gang: put all names of a size on one sheet, to be cut apart, where no other piece makes
            room for them.
        rates: what time costs, for what film it is worth; the usual where not given.
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
    sizes: dict[float, Counter[str]] = {}
    for run in plan.runs:
        for line in plan.lines_of(run):
            sizes.setdefault(line.width_mm, Counter())[line.garment or ""] += line.quantity
    made, rates = [], rates or Rates()
    for width_mm, garments in sizes.items():
        sized = plain.scaled(width_mm=width_mm)
        if prepare is not None:
            sized = prepare(sized)
        named = tuple(
            one.scaled(width_mm / artwork.width_mm) for one in named_for if one.size in garments
        )
        made.append(
            _Size(plan, sized, films, width_mm, tuple(garments.items()), named, rates).cut(
                gang=gang
            )
        )
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
    rates: Rates

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
        loads: list[_Load] = []
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
        return SizedCut(
            width_mm=self.width_mm,
            garments=self.garments,
            artwork=self.artwork,
            separation=each[0][1] if each else plain,
            named=self.named,
            carriers=self.carriers(loads),
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

    def loads(
        self,
        group: Sequence[PlannedPiece],
        made: Separation,
        one: Lettering | None = None,
        *,
        count: int | None = None,
    ) -> list[_Load]:
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
            return [_Load(group[0], tuple(kept), count, one)]
        return [
            _Load(group[0], _inside(kept, shapely.box(*box)), count, None, nth, len(boxes))
            for nth, box in enumerate(boxes, 1)
        ]

    def nameless(self, group: Sequence[PlannedPiece], plain: Separation) -> list[_Load]:
        """Pieces that make room for a name, cut whole for the garments that get none."""
        wanted = dict(self.garments)
        for one in self.named:
            wanted[one.size] -= one.quantity
        count = sum(max(0, left) for left in wanted.values())
        return self.loads(group, plain, count=count) if count else []

    def ganged(self, piece: PlannedPiece) -> _Load:
        """All names of this size under each other, as often as they are wanted."""
        shapes = [
            (f"{NAMES_PIECE}-{one.row}" + (f"-{nth}" if one.quantity > 1 else ""), one.shape)
            for one in self.named
            for nth in range(1, one.quantity + 1)
        ]
        return _Load(piece, tuple(shapes), 1, None, ganged=True)

    def carriers(self, loads: Sequence[_Load]) -> tuple[Carrier, ...]:
        """A sheet for every load, with the crosses by which it is laid on what is down.

        Raises ``BadInputError`` where nothing is left to cut.
        """
        if not loads:
            raise BadInputError("there is nothing to cut")
        alike: dict[tuple[object, ...], list[_Load]] = {}
        for load in loads:
            if not load.ganged:
                alike.setdefault(self.station(load), []).append(load)
        stations = [
            Station(
                of_one[0].piece.rank,
                tuple(shape for load in of_one for _, shape in load.kept),
                price_mm2(film, self.rates),
                film.roll_width_mm - 2 * EDGE_MM,
                film.one_way,
            )
            for of_one in alike.values()
            for film in [self.films[of_one[0].piece.id]]
        ]
        marks: Sequence[tuple[Polygon, ...]] = ()
        order: list[int] = []
        if stations:
            arm_mm = max(film.least_stroke_mm for film in self.films.values())
            rate_per_s = self.rates.rate_per_hour / 3600
            marks = placed_marks(stations, arm_mm=arm_mm, rate_per_s=rate_per_s)
            order = laid_order(stations)
        each = list(alike.values())
        numbered = {key: n for n, key in enumerate(alike)}
        made = []
        for load in loads:
            if load.ganged:
                made.append(self.carrier(load, (), ""))
                continue
            n = numbered[self.station(load)]
            before = [each[m] for m in order[: order.index(n)]]
            down = _seen_by(load, before)
            where = ""
            if marks[n]:
                where = (
                    "lay its crosses on those of the first film"
                    if before
                    else "goes down first; put tape under its crosses"
                )
            elif down:
                where = by_ruler([shape for _, shape in load.kept], down)
            made.append(self.carrier(load, marks[n], where))
        return tuple(made)

    def station(self, load: _Load) -> tuple[object, ...]:
        """What is laid in the same place of every garment, whatever name it bears."""
        return (load.piece.film, load.piece.colour, load.piece.rank, load.nth)

    def carrier(self, load: _Load, marks: Sequence[Polygon], where: str) -> Carrier:
        piece, film = load.piece, self.films[load.piece.id]
        lines = self.lines(load)
        names = [load.one] if load.one else self.named if load.ganged else []
        if load.ganged:
            lines.append(f"{len(load.kept)} names, to be cut apart")
            sheet = gang_sheet_of(
                load.kept, title=lines[0], lines=lines, mirrored=film.cut_mirrored
            )
        else:
            lines += [where] * bool(where)
            sheet = sheet_of(
                load.kept, marks, title=lines[0], lines=lines, mirrored=film.cut_mirrored
            )
        own = (piece.film, piece.colour)
        return Carrier(
            sheet=sheet,
            film=film,
            colour=piece.colour,
            srgb=piece.srgb,
            press=piece.rank,
            presses=len({p.rank for p in self.plan.pieces if (p.film, p.colour) == own}),
            count=load.count,
            names=tuple(one.name for one in names),
            row=load.one.row if load.one else 0,
            nth=load.nth,
            of=load.of,
        )

    def lines(self, load: _Load) -> list[str]:
        """The label of a sheet: what is cut from what, for whom, how often and which way round."""
        piece, one, film = load.piece, load.one, self.films[load.piece.id]
        worn = ", ".join(f"{garment} × {quantity}" for garment, quantity in self.garments)
        side = (
            "mirrored: cut from the back"
            if film.cut_mirrored
            else "not mirrored: cut from the printed face"
        )
        part = f" · carrier {load.nth} of {load.of}" if load.of > 1 else ""
        return [
            f"{self.plan.job} · {film.id} · {piece.colour}{part}",
            f"artwork {self.width_mm:g} mm wide · {one.size if one else worn} · cut {load.count}",
            f"{side} · press {piece.rank}",
            *([f"name: {one.name}"] if one else []),
        ]


@dataclass(frozen=True, slots=True)
class _Load:
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


def _seen_by(load: _Load, before: Sequence[Sequence[_Load]]) -> list[tuple[str, MultiPolygon]]:
    """What lies on a garment that gets a load, each shape with what its film is called.

    Of names, and of what makes room for them, each garment has its own: what is laid on all
    garments alike is measured from those only where there is nothing else.
    """
    own = [
        one
        for of_one in before
        for wanted in [load.one if any(one.one is load.one for one in of_one) else None]
        for one in of_one
        if one.one is wanted
    ]
    every = [one for of_one in before for one in of_one]
    return [
        (_told_apart(one, [*every, load]), shape) for one in own or every for _, shape in one.kept
    ]


def _told_apart(load: _Load, among: Sequence[_Load]) -> str:
    """A load by its film, and by its press and carrier where others are cut from the same."""
    film = load.piece.film, load.piece.colour
    alike = {
        (one.piece.rank, one.nth) for one in among if (one.piece.film, one.piece.colour) == film
    }
    ranks = {rank for rank, _ in alike}
    press = f" of press {load.piece.rank}" if len(ranks) > 1 else ""
    several = sum(rank == load.piece.rank for rank, _ in alike) > 1
    carrier = f", carrier {load.nth}" if several else ""
    return f"{load.piece.colour} {load.piece.film}{press}{carrier}"


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
