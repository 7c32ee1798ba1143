"""Typed print: the print that a typed stack of films, or a look without artwork, stands for."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.artwork.records import Artwork
from advisor.job.records.job import DEFAULT_LOOK, GarmentLine, Job, Prefer, Rates, Wish
from advisor.job.records.print import (
    EVERY_WAY,
    Meeting,
    PieceSize,
    Place,
    Print,
    PrintLine,
    PrintPiece,
)
from advisor.layering.candidates import piece_with_options
from advisor.layering.records.prepared import ANYWHERE, OrderLine, PreparedJob, PrintedAt
from advisor.layering.records.problem import Option, Problem, ProblemPiece
from advisor.layering.stages import heat_limits
from rules.book.lightness import DARK_BELOW, lightness, palest
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.garment import Garment, PrintArea
from rules.facts.practice import PLATEN_EDGE_MM
from rules.facts.press import Press
from rules.facts.step import Meets
from rules.knowledge import Knowledge

__all__ = ["SAMPLE_PRINT_MM", "stack_print", "stained_first", "typed_job", "typed_piece"]

SAMPLE_PRINT_MM = 200.0
"""Size of the print that is judged where no artwork gives one, mm."""

LEAST_AREA_MM = 20.0
"""A patch of fabric is at least so wide and high, however small its print, mm."""

MOST_OF_AREA = 0.8
"""How much of a garment's print area such a print fills at most."""


def stack_print(
    pieces: Sequence[str],
    *,
    fabric: Fabric,
    garment: Garment | None = None,
    press: Press | None = None,
    meets: Sequence[Meets] | None = None,
    at: PrintedAt = ANYWHERE,
) -> Print:
    """Pieces over one another, bottom first, each within the one behind it, so that all show.

    Args:
        garment: whose print area bounds the print, where one is named.
        press: whose platen bounds it too, so that a print of unknown size fits.
        meets: how each two neighbours meet, bottom first; in any way by default. Others overlap
            only under the pieces between.
        at: where on the garment, and how large; without a size it is one that fits.

    >>> from rules.catalogue import load_catalogue
    >>> tee = load_catalogue().fabric("cotton-jersey-tee")
    >>> [meeting.pair for meeting in stack_print(["base", "top"], fabric=tee).meetings]
    [('top', 'base')]
    >>> [place.stack for place in stack_print(["base", "top"], fabric=tee).places]
    [('base', 'top'), ('base',)]
    """
    place = None if garment is None else garment.print_area(at.area)
    width, height = at.size_mm or _size_mm(place, press)
    area, size = width * height, PieceSize(width, height)
    meetings = tuple(
        Meeting(
            upper=pieces[above],
            lower=pieces[below],
            area_mm2=area,
            touching=False,
            hidden=above - below > 1,
            ways=_open(below, above, meets),
        )
        for below in range(len(pieces))
        for above in range(below + 1, len(pieces))
    )
    return Print(
        pieces=tuple(PrintPiece(piece, None, (size,)) for piece in pieces),
        meetings=meetings,
        places=tuple(Place(tuple(pieces[:depth]), area) for depth in range(len(pieces), 0, -1)),
        close=tuple(sorted((min(m.pair), max(m.pair)) for m in meetings)),
        lines=(
            PrintLine(
                garment=garment.id if garment else None,
                area=place.name if place else None,
                fabric=fabric.id,
                quantity=1,
                width_mm=width,
                height_mm=height,
            ),
        ),
    )


def _open(below: int, above: int, meets: Sequence[Meets] | None) -> tuple[Meets, ...]:
    if above - below > 1:
        return ("lap",)
    return EVERY_WAY if meets is None else (meets[below],)


def _size_mm(area: PrintArea | None, press: Press | None) -> tuple[float, float]:
    width_mm = height_mm = SAMPLE_PRINT_MM
    if area is not None:
        width_mm = min(width_mm, MOST_OF_AREA * area.width_mm)
        height_mm = min(height_mm, MOST_OF_AREA * area.height_mm)
    if press is not None:
        width_mm = min(width_mm, press.platen_width_mm - 2 * PLATEN_EDGE_MM)
        height_mm = min(height_mm, press.platen_depth_mm - 2 * PLATEN_EDGE_MM)
    return width_mm, height_mm


def typed_piece(
    piece: PrintPiece,
    films: Sequence[tuple[Film, str | None]],
    *,
    fabric: Fabric,
    knowledge: Knowledge,
) -> ProblemPiece:
    """A piece that may be cut from these films, each in the colour named or one that dyes stain."""
    each = [
        piece_with_options(
            piece,
            Wish(film=film.id, colour=colour or stained_first(film).name),
            fabrics=[fabric],
            knowledge=knowledge,
            rates=Rates(),
            on_shelf_only=False,
            colour_said=colour is not None,
        )
        for film, colour in films
    ]
    options = [option for one in each for option in one.options]
    return ProblemPiece(
        piece,
        tuple(sorted(options, key=_likely)),
        tuple(refusal for one in each for refusal in one.refused),
    )


def typed_job(
    print_: Print,
    pieces: Sequence[ProblemPiece],
    *,
    fabric: Fabric,
    press: Press,
    knowledge: Knowledge,
    garment: Garment | None = None,
    prefer: Prefer = "durable",
) -> PreparedJob:
    """A typed print as a job of one garment, so that it is solved and examined as any job is."""
    printed = print_.lines[0]
    area = (
        garment.print_area(printed.area)
        if garment
        else PrintArea(
            name="sample-print",
            width_mm=max(printed.width_mm, LEAST_AREA_MM),
            height_mm=max(printed.height_mm, LEAST_AREA_MM),
        )
    )
    job = Job(
        job=" + ".join(piece.id for piece in pieces)[:80],
        artwork="none",
        looks={DEFAULT_LOOK: Wish(film=pieces[0].id.partition(":")[0])},
        garments=(GarmentLine(garment=fabric.make, artwork_width_mm=printed.width_mm),),
        press=press.id,
        prefer=prefer,
    )
    ordered = OrderLine(0, job.garments[0], garment, area, fabric)
    problem = Problem(
        print=print_,
        pieces=tuple(pieces),
        fabrics=(fabric,),
        limits=heat_limits([fabric], press),
        knowledge=knowledge,
        prefer=prefer,
        garment_price=ordered.price_each,
    )
    return PreparedJob(
        job=job,
        artwork=Artwork("", printed.width_mm, printed.height_mm, ()),
        lines=(ordered,),
        problem=problem,
    )


def stained_first(film: Film) -> Colour:
    """The film's usual colour, or its palest where that one is dark.

    Where nobody named a colour: judged in a dark one, a film that also comes in a pale one would
    be promised too soon.
    """
    usual = film.colours[0]
    return usual if lightness(usual.srgb) >= DARK_BELOW else palest(film.colours)


def _likely(option: Option) -> tuple[int, float, str]:
    samples = sum(finding.severity == "sample" for finding in option.findings)
    return samples, option.film_cost, option.film.id
