"""Cut layout: a plan's pieces separated at every size and laid out as sheets, before any file.

Nesting and pictures take what they need from here; `advisor.cutting.cutting` writes the files.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from shapely import MultiPolygon, Polygon

from advisor.artwork.records import Artwork
from advisor.cutting.carriers import price_mm2
from advisor.cutting.lettering import assigned
from advisor.cutting.loads import Load, OneSize
from advisor.cutting.marks import Station, by_ruler, laid_order, placed_marks
from advisor.cutting.records.cut import Carrier, Lettering, SizedCut
from advisor.cutting.sheet import gang_sheet_of, sheet_of
from advisor.job.records.job import Rates
from advisor.job.records.plan import Plan, PlannedPiece
from advisor.job.records.print import NAMES_PIECE
from rules.book.artwork.fits_roll import EDGE_MM
from rules.catalogue import Catalogue
from rules.errors import BadInputError

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
    sizes: dict[float, Counter[str]] = {}
    for run in plan.runs:
        for line in plan.lines_of(run):
            ordered[line.garment or ""] += line.quantity
            sizes.setdefault(line.width_mm, Counter())[line.garment or ""] += line.quantity
    named_for = assigned(names, ordered)
    made, rates = [], rates or Rates()
    for width_mm, garments in sizes.items():
        sized = plain.scaled(width_mm=width_mm)
        if prepare is not None:
            sized = prepare(sized)
        named = tuple(
            one.scaled(width_mm / artwork.width_mm) for one in named_for if one.size in garments
        )
        size = OneSize(plan, sized, films, width_mm, tuple(garments.items()), named, rates)
        separation, loads = size.shared_out(gang=gang)
        carriers = _carriers(size, loads)
        made.append(SizedCut(width_mm, size.garments, sized, separation, named, carriers))
    return tuple(made)


def _refuse_missing(artwork: Artwork, planned: Mapping[str, PlannedPiece]) -> None:
    drawn = {piece.id for piece in artwork.pieces}
    for piece_id in planned:
        if piece_id != NAMES_PIECE and piece_id not in drawn:
            raise BadInputError(
                f"the plan has the piece {piece_id}, which the artwork lacks; plan it again with "
                "this artwork"
            )


def _carriers(size: OneSize, loads: Sequence[Load]) -> tuple[Carrier, ...]:
    """A sheet for every load, with the crosses by which it is laid on what is down.

    Raises ``BadInputError`` where nothing is left to cut.
    """
    if not loads:
        raise BadInputError("there is nothing to cut")
    alike: dict[tuple[object, ...], list[Load]] = {}
    for load in loads:
        if not load.ganged:
            alike.setdefault(_station(load), []).append(load)
    stations = [
        Station(
            of_one[0].piece.rank,
            tuple(shape for load in of_one for _, shape in load.kept),
            price_mm2(film, size.rates),
            film.roll_width_mm - 2 * EDGE_MM,
            film.one_way,
        )
        for of_one in alike.values()
        for film in [size.films[of_one[0].piece.id]]
    ]
    marks: Sequence[tuple[Polygon, ...]] = ()
    order: list[int] = []
    if stations:
        arm_mm = max(film.least_stroke_mm for film in size.films.values())
        rate_per_s = size.rates.rate_per_hour / 3600
        marks = placed_marks(stations, arm_mm=arm_mm, rate_per_s=rate_per_s)
        order = laid_order(stations)
    each = list(alike.values())
    numbered = {key: n for n, key in enumerate(alike)}
    made = []
    for load in loads:
        if load.ganged:
            made.append(_carrier(size, load, (), ""))
            continue
        n = numbered[_station(load)]
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
        made.append(_carrier(size, load, marks[n], where))
    return tuple(made)


def _station(load: Load) -> tuple[object, ...]:
    """What is laid in the same place of every garment, whatever name it bears."""
    return (load.piece.film, load.piece.colour, load.piece.rank, load.nth)


def _carrier(size: OneSize, load: Load, marks: Sequence[Polygon], where: str) -> Carrier:
    piece, film = load.piece, size.films[load.piece.id]
    lines = _lines(size, load)
    names = [load.one] if load.one else size.named if load.ganged else []
    if load.ganged:
        lines.append(f"{len(load.kept)} names, to be cut apart")
        sheet = gang_sheet_of(load.kept, title=lines[0], lines=lines, mirrored=film.cut_mirrored)
    else:
        lines += [where] * bool(where)
        sheet = sheet_of(load.kept, marks, title=lines[0], lines=lines, mirrored=film.cut_mirrored)
    own = (piece.film, piece.colour)
    return Carrier(
        sheet=sheet,
        film=film,
        colour=piece.colour,
        srgb=piece.srgb,
        press=piece.rank,
        presses=len({p.rank for p in size.plan.pieces if (p.film, p.colour) == own}),
        count=load.count,
        names=tuple(one.name for one in names),
        row=load.one.row if load.one else 0,
        nth=load.nth,
        of=load.of,
    )


def _lines(size: OneSize, load: Load) -> list[str]:
    """The label of a sheet: what is cut from what, for whom, how often and which way round."""
    piece, one, film = load.piece, load.one, size.films[load.piece.id]
    worn = ", ".join(f"{garment} × {quantity}" for garment, quantity in size.garments)
    side = (
        "mirrored: cut from the back"
        if film.cut_mirrored
        else "not mirrored: cut from the printed face"
    )
    part = f" · carrier {load.nth} of {load.of}" if load.of > 1 else ""
    wide = f"artwork {round(size.width_mm, 1):g} mm wide"
    return [
        f"{size.plan.job} · {film.id} · {piece.colour}{part}",
        f"{wide} · {one.size if one else worn} · cut {load.count}",
        f"{side} · press {piece.rank}",
        *([f"name: {one.name}"] if one else []),
    ]


def _seen_by(load: Load, before: Sequence[Sequence[Load]]) -> list[tuple[str, MultiPolygon]]:
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


def _told_apart(load: Load, among: Sequence[Load]) -> str:
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
