"""Preparation: a job and its artwork become the print, and the problem that solvers take up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import product

from advisor.artwork.fineness import fineness
from advisor.artwork.lying import lying
from advisor.artwork.records import Artwork, Fineness, Piece
from advisor.job.records.job import DEFAULT_LOOK, Job, Wish
from advisor.job.records.print import (
    NAMES_PIECE,
    Meeting,
    Merged,
    PieceSize,
    Place,
    Print,
    PrintLine,
    PrintPiece,
)
from advisor.layering.candidates import piece_with_options, with_other_colours
from advisor.layering.meeting import lapping_what_is_covered
from advisor.layering.records.prepared import OrderLine, PreparedJob, wish_of
from advisor.layering.records.problem import Problem, ProblemPiece
from advisor.layering.stages import heat_limits
from rules.book.joint.trap_width import ROUNDING_MM
from rules.book.seen.colours_merge import RULE as COLOURS_MERGE_RULE
from rules.catalogue import Catalogue
from rules.errors import BadInputError
from rules.facts.fabric import Fabric
from rules.knowledge import Knowledge

__all__ = [
    "CARRIER_MARGIN_MM",
    "OrderLine",
    "PreparedJob",
    "never_told_apart",
    "prepare",
    "print_of",
]

CARRIER_MARGIN_MM = 3.0
"""How far outside a piece its carrier is trimmed, mm. Common practice, no source."""

SURELY_WEEDED_MM2 = 400.0
"""A separate part larger than this is lost with no film, mm²: far beyond any film's least."""


def prepare(
    job: Job,
    artwork: Artwork,
    knowledge: Knowledge,
    *,
    of_names: Fineness | None = None,
    merged: tuple[Merged, ...] = (),
    known: Problem | None = None,
) -> PreparedJob:
    """The print of a job, and for every piece what the rulebook says of each candidate film.

    Args:
        artwork: as the job wants it, the names among its pieces.
        of_names: the finest details of the single names, where the job has names.
        merged: what the artwork has as one with a piece that it would not be told from.
        known: the problem before that, so that what is known of other pieces is not asked again.

    Raises:
        BadInputError: a fill has no look, no film gives a look, or names lie off a garment.
        UnknownNameError: a garment, fabric, film or press is not known.
    """
    lines = _order_lines(job, knowledge.catalogue)
    _refuse_names_off(job, artwork, lines)
    print_ = print_of(job, artwork, lines, of_names=of_names, merged=merged)
    fabrics = tuple({line.fabric.id: line.fabric for line in lines}.values())
    press = knowledge.catalogue.press(job.press)
    knowledge = knowledge.pressed_at(press, *fabrics)
    into = {one.into for one in merged}
    before = {} if known is None else {one.piece: one for one in known.pieces if one.id not in into}
    problem = Problem(
        print=print_,
        pieces=tuple(
            before.get(piece) or _with_options(job, print_, fabrics, knowledge, piece)
            for piece in print_.pieces
        ),
        fabrics=fabrics,
        limits=heat_limits(fabrics, press),
        knowledge=knowledge,
        prefer=job.prefer,
        rates=job.rates,
        garment_price=sum(line.asked.quantity * line.price_each for line in lines)
        / sum(line.asked.quantity for line in lines),
        samples_allowed=job.samples_allowed,
    )
    # Where two pieces would come out alike, each may also come in a colour near its own.
    alike = {piece for meeting in problem.meetings if _alike(problem, meeting)
             for piece in meeting.pair}  # fmt: skip
    pieces = tuple(
        with_other_colours(
            one,
            _looked_for(job, one.piece),
            fabrics=fabrics,
            knowledge=knowledge,
            rates=job.rates,
            print_=print_,
        )
        if one.id in alike and one.piece not in before
        else one
        for one in problem.pieces
    )
    return PreparedJob(job, artwork, lines, replace(problem, pieces=pieces), of_names)


def _alike(problem: Problem, meeting: Meeting) -> bool:
    """Whether two pieces look too much alike in some of the films that are open to them."""
    upper, lower = (problem.piece(piece).options for piece in meeting.pair)
    return bool(problem.seen_pairs(meeting, upper, lower))


def never_told_apart(problem: Problem) -> set[frozenset[str]]:
    """Pieces, two by two, that come out alike in whatever films are open to them.

    Where what lies over both hides their seam nobody can tell them apart: one wish is enough.
    """
    return {
        frozenset(meeting.pair) for meeting in problem.meetings if _never_apart(problem, meeting)
    }


def _never_apart(problem: Problem, meeting: Meeting) -> bool:
    if not meeting.seen and not meeting.hidden:
        return meeting.wished_alike
    upper, lower = (problem.piece(piece).options for piece in meeting.pair)
    return bool(upper and lower) and all(
        any(one.rule == COLOURS_MERGE_RULE.id for one in problem.seen(meeting, *two))
        for two in product(upper, lower)
    )


def print_of(
    job: Job,
    artwork: Artwork,
    lines: Sequence[OrderLine],
    *,
    of_names: Fineness | None = None,
    merged: tuple[Merged, ...] = (),
) -> Print:
    """What is printed where, measured on the artwork at every size of the job.

    Args:
        of_names: the finest details of the single names: where two of them cross in the piece
            that stands for all is no detail of any.

    Raises:
        BadInputError: the job wishes a way of meeting that the artwork does not have.
    """
    widths = [line.asked.artwork_width_mm for line in lines]
    factors = [width / artwork.width_mm for width in widths]
    aspect = artwork.width_mm / artwork.height_mm
    rooms = [min(line.area.width_mm, line.area.height_mm * aspect) for line in lines]
    lies = lying(
        artwork,
        widths_mm=widths,
        margin_mm=CARRIER_MARGIN_MM,
        misses_mm=job.registration_mm,
    )
    return Print(
        pieces=tuple(
            _measured(
                piece,
                widths,
                rooms,
                artwork.width_mm,
                of_names if piece.id == NAMES_PIECE and of_names else fineness(piece.shape),
            )
            for piece in artwork.pieces
        ),
        meetings=_as_wished(job, artwork, lies.meetings, lies.places, merged),
        places=lies.places,
        close=lies.close,
        lines=tuple(
            PrintLine(
                garment=line.garment.id if line.garment else None,
                area=line.area.name,
                fabric=line.fabric.id,
                quantity=line.asked.quantity,
                width_mm=width,
                height_mm=artwork.height_mm * factor,
            )
            for line, width, factor in zip(lines, widths, factors, strict=True)
        ),
        registration_mm=job.registration_mm,
        set_aside=artwork.set_aside,
        merged=merged,
    )


def _order_lines(job: Job, known: Catalogue) -> tuple[OrderLine, ...]:
    lines = []
    for number, asked in enumerate(job.garments):
        garment = known.garment(asked.garment)
        fabric = known.fabric(asked.fabric or asked.garment)
        if asked.colour is not None:
            try:
                fabric = known.fabric(f"{fabric.id}:{asked.colour}")
            except BadInputError as error:
                raise error.at(field=f"garments.{number}.colour") from None
        lines.append(OrderLine(number, asked, garment, garment.print_area(asked.area), fabric))
    return tuple(lines)


def _refuse_names_off(job: Job, artwork: Artwork, lines: Sequence[OrderLine]) -> None:
    """Refuse a box for names that a print area does not hold together with the artwork."""
    if job.names is None:
        return
    grown = artwork.width_mm / (job.names.at_width_mm or artwork.width_mm)
    left, top, width, height = (grown * side for side in job.names.box_mm)
    across = max(artwork.width_mm, left + width) - min(0.0, left)
    down = max(artwork.height_mm, top + height) - min(0.0, top)
    for line in lines:
        area, factor = line.area, line.asked.artwork_width_mm / artwork.width_mm
        # Where the artwork alone is too large, that is what is to be said.
        off = any(
            factor * drawn <= most < factor * named - ROUNDING_MM
            for drawn, named, most in (
                (artwork.width_mm, across, area.width_mm),
                (artwork.height_mm, down, area.height_mm),
            )
        )
        if off:
            raise BadInputError(
                f"with the artwork the names take {factor * across:.0f} × {factor * down:.0f} mm, "
                f"and the {area.name} of {line.asked.garment} has {area.width_mm:.0f} × "
                f"{area.height_mm:.0f} mm; move the box nearer to the artwork",
                field="names.box_mm",
            )


def _with_options(
    job: Job,
    print_: Print,
    fabrics: Sequence[Fabric],
    knowledge: Knowledge,
    piece: PrintPiece,
) -> ProblemPiece:
    wish = _looked_for(job, piece)
    try:
        return piece_with_options(
            piece,
            wish,
            fabrics=fabrics,
            knowledge=knowledge,
            rates=job.rates,
            on_shelf_only=job.on_shelf_only,
            print_=print_,
        )
    except BadInputError as error:
        look = piece.fill if piece.fill in job.looks else DEFAULT_LOOK
        raise error.at(field=f"looks.{look}") from None


def _looked_for(job: Job, piece: PrintPiece) -> Wish:
    wish = wish_of(job, piece)
    if wish is None:
        raise BadInputError(
            f"the artwork has the fill {piece.fill}, for which the job wishes no look; add it "
            "or a look called default",
            field="looks",
        )
    return wish


def _measured(
    piece: Piece,
    widths: Sequence[float],
    rooms: Sequence[float],
    drawn_mm: float,
    finest: Fineness,
) -> PrintPiece:
    """A piece at each width of the print, whose artwork is drawn ``drawn_mm`` wide."""
    left, top, right, bottom = piece.shape.bounds
    # Of a line far longer than it is wide, this is its width.
    mean_mm = 2 * piece.shape.area / max(piece.shape.length, 1e-9)
    sizes = []
    for width, room_mm in zip(widths, rooms, strict=True):
        factor = width / drawn_mm
        fine = finest.scaled(factor)
        sizes.append(
            PieceSize(
                width_mm=(right - left) * factor,
                height_mm=(bottom - top) * factor,
                least_stroke_mm=fine.least_stroke_mm,
                least_gap_mm=fine.least_gap_mm,
                island_areas_mm2=_weedable(fine.island_areas_mm2),
                print_width_mm=width,
                room_mm=room_mm,
                mean_stroke_mm=mean_mm * factor,
                stroke_in=fine.stroke_in,
                gap_in=fine.gap_in,
            )
        )
    return PrintPiece(piece.id, piece.fill, tuple(sizes))


def _weedable(areas_mm2: Sequence[float]) -> tuple[float, ...]:
    """The smallest separate part, and all that are small enough to be lost in weeding."""
    return tuple(mm2 for n, mm2 in enumerate(areas_mm2) if n == 0 or mm2 <= SURELY_WEEDED_MM2)


def _is_left_out(name: str, leave_out: Sequence[str]) -> bool:
    """Whether a fill, or a piece by its id, is among what is left out by fill or by id."""
    fills = {f"#{one.removeprefix('fill-')[:6]}" for one in leave_out if one.startswith("fill-")}
    return name in {*leave_out, *fills} or f"#{name.removeprefix('fill-')[:6]}" in leave_out


def _as_wished(
    job: Job,
    artwork: Artwork,
    found: Sequence[Meeting],
    places: Sequence[Place],
    merged: Sequence[Merged],
) -> tuple[Meeting, ...]:
    """The meetings of the artwork, with the ways narrowed where the job says how to meet."""
    fills = {piece.id: piece.fill for piece in artwork.pieces}
    gone = [*(one.piece for one in artwork.set_aside), *(one.piece for one in merged)]
    left_out = (*job.leave_out, *gone)
    meetings = [
        replace(meeting, wished_alike=job.wishes_alike(fills[meeting.upper], fills[meeting.lower]))
        for meeting in lapping_what_is_covered(found, places)
    ]
    for number, wished in enumerate(job.joints):
        names = (wished.upper.lower(), wished.lower.lower())
        alike = {
            at: {(fills[meeting.upper], fills[meeting.lower]), meeting.pair}
            for at, meeting in enumerate(meetings)
        }
        met = [at for at, named in alike.items() if names in named]
        if not met and any(_is_left_out(name, left_out) for name in names):
            continue
        if not met:
            turned = any(names[::-1] in named for named in alike.values())
            raise BadInputError(
                f"{wished.upper} does not lie in front of {wished.lower} in this artwork"
                + ("; it is the other way round" if turned else "; they do not meet at all"),
                field=f"joints.{number}",
            )
        for at in met:
            meeting = meetings[at]
            if wished.meets not in meeting.ways:
                raise BadInputError(
                    f"{wished.upper} and {wished.lower} cannot meet as {wished.meets}; "
                    f"open to them: {', '.join(meeting.ways)}",
                    field=f"joints.{number}",
                )
            meetings[at] = replace(meeting, ways=(wished.meets,))
    return tuple(meetings)
