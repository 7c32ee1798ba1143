"""Problems for the solvers: a sampler of small random ones, and text in front of a star."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Sequence
from itertools import combinations

from hypothesis import strategies as st

from advisor.job.records.job import Rates, Wish
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
from advisor.layering.candidates import piece_with_options
from advisor.layering.cost import film_cost
from advisor.layering.records.problem import Option, Problem, ProblemPiece
from advisor.layering.stages import heat_limits
from rules.catalogue import load_catalogue
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.finding import beyond, verdict
from rules.facts.step import Meets
from rules.facts.subjects import FilmOnFabric
from rules.knowledge import Knowledge
from rules.rulebook import rulebook

SHELF = load_catalogue()
BOOK = Knowledge(rulebook(), SHELF)
FILMS = list(SHELF.films.values())
ENDS = ("low", "best", "high")
PRESSURES = [(10, 20, 30), (20, 30, 45), (35, 40, 60)]


def option(film: Film, fabric: Fabric, size: PieceSize, known: Knowledge = BOOK) -> Option:
    colour = film.colours[0]
    lying = known.judge(FilmOnFabric(film, fabric, touches=False, colour=colour))
    touching = known.judge(FilmOnFabric(film, fabric, colour=colour))
    return Option(
        film=film,
        colour=colour,
        delta_e=0.0,
        findings=lying,
        fabric_findings=beyond(lying, touching),
        film_cost=film_cost(film, size.width_mm, size.height_mm, Rates()),
    )


def printed_on(
    fabric: Fabric,
    pieces: Sequence[ProblemPiece],
    meetings: Iterable[Meeting],
    places: Iterable[Place],
    close: Iterable[frozenset[str]],
    *,
    quantity: int = 1,
) -> Print:
    """A print without artwork, on so many garments of a fabric."""
    return Print(
        pieces=tuple(piece.piece for piece in pieces),
        meetings=tuple(meetings),
        places=tuple(places),
        close=tuple(sorted((min(pair), max(pair)) for pair in close)),
        lines=(PrintLine(None, None, fabric.id, quantity, 200.0, 200.0),),
    )


@st.composite
def variants(draw: st.DrawFn) -> Film:
    """A film of the catalogue with other temperatures, dwells, peel, pressure, face and price."""
    film = draw(st.sampled_from(FILMS))
    warmer_c = draw(st.sampled_from([0, -10, -5, 5, 10]))
    longer_s = draw(st.sampled_from([0, -2, 2, 4]))
    seconds = {
        end: max(1, getattr(film.dwell_s, end) + longer_s) for end in ("low", "best", "high")
    }
    setpoint = {end: getattr(film.setpoint_c, end) + warmer_c for end in ("low", "best", "high")}
    low, best, high = draw(st.sampled_from(PRESSURES))
    given = {
        "setpoint_c": setpoint,
        "bears_c": max(film.bears_c + warmer_c, setpoint["high"]),
        "softens_c": film.softens_c - 10,
        "bonds_c": film.bonds_c - 10,
        "dwell_s": seconds,
        "bears_s": max(seconds["high"], film.bears_s - draw(st.sampled_from([0, 10, 20]))),
        "peel": draw(st.sampled_from(["hot", "warm", "cold"])),
        "pressure_kpa": {"low": low, "best": best, "high": high},
        "takes_film_on_top": draw(st.sampled_from([film.takes_film_on_top, "yes", "sample"])),
        "face_um": film.face_um + draw(st.sampled_from([0, 40, 200])),
        "price_per_m": round(film.price_per_m * draw(st.sampled_from([1, 0.8, 1.3])), 2),
    }
    # Films that differ have different names, since findings are counted by name.
    stamp = zlib.crc32(repr(sorted(given.items())).encode())
    return Film.model_validate(film.model_dump() | given | {"id": f"{film.id}-{stamp}"})


@st.composite
def problems(draw: st.DrawFn, *, most_pieces: int = 4, most_films: int = 3) -> Problem:
    """Two to four pieces over one another anyhow, each with a few films, on any fabric."""
    count = draw(st.integers(2, most_pieces))
    ids = [f"p{i}" for i in range(count)]
    fabric = draw(st.sampled_from(list(SHELF.fabrics.values())))
    pieces = []
    for piece in ids:
        size = PieceSize(
            draw(st.sampled_from([40.0, 250.0])), 60.0, draw(st.sampled_from([2.0, 5.0, 20.0]))
        )
        printed = PrintPiece(piece, "#101010", (size,))
        films = draw(st.lists(variants(), min_size=1, max_size=most_films, unique_by=_name))
        options = [option(film, fabric, size) for film in films]
        options = [one for one in options if verdict(one.findings) != "stop"]
        pieces.append(ProblemPiece(printed, tuple(options), ()))
    stacks = [
        tuple(piece for piece in ids if draw(st.booleans())) for _ in range(draw(st.integers(1, 4)))
    ]
    stacks += [(piece,) for piece in ids if not any(piece in stack for stack in stacks)]
    places = sorted({stack for stack in stacks if stack}, key=lambda stack: (-len(stack), stack))
    meetings, close = [], set()
    for lower, upper in combinations(ids, 2):
        shared = [stack for stack in places if lower in stack and upper in stack]
        if shared:
            hidden = not any(s.index(upper) - s.index(lower) == 1 for s in shared)
            ways = ("lap",) if hidden else draw(st.sampled_from(WAYS))
            meetings.append(Meeting(upper, lower, 1.0, False, hidden, ways))
            close.add(frozenset((upper, lower)))
        elif draw(st.integers(0, 3)) == 0:
            close.add(frozenset((upper, lower)))
    return Problem(
        print=printed_on(
            fabric,
            pieces,
            meetings,
            [Place(stack, 1.0) for stack in places],
            close,
            quantity=draw(st.sampled_from([1, 10, 200])),
        ),
        pieces=tuple(pieces),
        fabrics=(fabric,),
        limits=heat_limits([fabric], draw(st.sampled_from(list(SHELF.presses.values())))),
        knowledge=BOOK,
        prefer=draw(st.sampled_from(["durable", "softest", "fastest", "cheapest"])),
        garment_price=draw(st.sampled_from([0.0, 3.0, 12.5])),
        samples_allowed=draw(st.sampled_from([True, True, False])),
    )


WAYS: list[tuple[Meets, ...]] = [EVERY_WAY, EVERY_WAY, ("lap",), ("inset-under", "butt")]


def _name(film: Film) -> str:
    return film.id


def text_on_star(
    *,
    fabric: str = "cotton-jersey-tee",
    star: Wish | None = None,
    text: Wish | None = None,
    ways: tuple[Meets, ...] = EVERY_WAY,
    samples_allowed: bool = True,
    narrowest_mm: float = 6.0,
    press: str = "clamshell-38x38",
) -> Problem:
    """A text 200 mm wide that lies in front of a star."""
    return stacked(
        {"star": star or Wish(finish="sparkle"), "text": text or Wish(finish="matte")},
        fabric=fabric,
        ways={("text", "star"): ways},
        samples_allowed=samples_allowed,
        narrowest_mm=narrowest_mm,
        press=press,
    )


def stacked(
    wishes: dict[str, Wish],
    *,
    fabric: str = "cotton-jersey-tee",
    ways: dict[Pair, tuple[Meets, ...]] | None = None,
    samples_allowed: bool = True,
    narrowest_mm: float = 6.0,
    press: str = "clamshell-38x38",
) -> Problem:
    """Pieces that lie each within the one behind it, bottom first."""
    cloth = SHELF.fabric(fabric)
    pieces = tuple(
        piece_with_options(
            PrintPiece(name, None, (PieceSize(200, 80, narrowest_mm),)),
            wish,
            fabrics=[cloth],
            knowledge=BOOK,
            rates=Rates(),
            on_shelf_only=False,
        )
        for name, wish in wishes.items()
    )
    ids = list(wishes)
    meetings = []
    for lower, upper in combinations(ids, 2):
        hidden = ids.index(upper) - ids.index(lower) > 1
        usual: tuple[Meets, ...] = ("lap",) if hidden else EVERY_WAY
        open_ways = (ways or {}).get((upper, lower), usual)
        meetings.append(Meeting(upper, lower, 900.0, False, hidden, open_ways))
    places = [Place(tuple(ids[:n]), 900.0) for n in range(len(ids), 0, -1)]
    close = {frozenset(meeting.pair) for meeting in meetings}
    return Problem(
        print=printed_on(cloth, pieces, meetings, places, close),
        pieces=pieces,
        fabrics=(cloth,),
        limits=heat_limits([cloth], SHELF.press(press)),
        knowledge=BOOK,
        samples_allowed=samples_allowed,
    )
