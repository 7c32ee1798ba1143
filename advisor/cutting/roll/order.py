"""Roll order: every carrier of a whole order nested on its roll, and the metres that it takes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely import MultiPolygon

from advisor.cutting.records.cut import Carrier, SizedCut
from advisor.cutting.records.rolls import Progress, Watch, whole_cm
from advisor.cutting.roll.layout import Layout
from advisor.cutting.roll.nesting import FEW_PARTS, nest
from advisor.cutting.roll.shapes import EXACT_MM, NestError, Part, PartTooWideError, rotations_for
from rules.book.artwork.fits_roll import EDGE_MM
from rules.facts.film import Film
from rules.facts.text import Text
from rules.facts.units import show_mm

__all__ = ["NestedRoll", "nest_order", "nest_parts", "order_parts"]

_STOPPED = "stopped before a true-shape search for this film: bounding rectangles"


@dataclass(frozen=True, slots=True)
class NestedRoll:
    """One film and colour of an order: what is cut from it, and how that lies on the roll.

    Attributes:
        on_shelf_m: metres on the shelf that are left for this colour.
    """

    film: Film
    colour: str
    parts: tuple[Part, ...]
    layout: Layout
    on_shelf_m: float

    @property
    def length_m(self) -> float:
        """Metres of roll that the layout takes."""
        return self.layout.length_mm / 1000

    @property
    def short_m(self) -> float:
        """Metres to buy; 0 when the shelf has enough."""
        return max(0.0, self.length_m - self.on_shelf_m)

    @property
    def cost(self) -> float:
        """The metres, whole centimetres of them, at the film's price, as a quote reckons it."""
        return whole_cm(self.length_m) * self.film.price_per_m

    @property
    def used_m2(self) -> float:
        """Area that ends up on garments, m²."""
        return sum(part.shape.area * part.quantity for part in self.parts) / 1e6

    @property
    def waste_pct(self) -> float:
        """Share of the metres, over the roll's whole width, that does not, %."""
        bought_m2 = self.length_m * self.film.roll_width_mm / 1000
        return 100 * (1 - self.used_m2 / bought_m2) if bought_m2 else 0.0

    @property
    def sentence(self) -> str:
        """The need in words, rounded up to whole centimetres."""
        need = f"{self.film.id} {self.colour}: {whole_cm(self.length_m):.2f} m needed"
        to_buy = f": {whole_cm(self.short_m):.2f} m to buy" if self.short_m else ""
        return f"{need}, {self.on_shelf_m:.2f} m on the shelf{to_buy}"


def nest_order(
    sizes: Sequence[SizedCut], *, seconds: float, on_progress: Watch | None = None
) -> tuple[NestedRoll, ...]:
    """Nest all that an order cuts from each film and colour on that film's roll.

    A film whose look has a direction is turned by 0° or 180° only, any other by quarter turns.
    Each carrier keeps its registration marks; carriers lie at least 3 mm apart, and the weeding
    borders run between them.

    Args:
        sizes: what is cut at each size.
        seconds: for all films together, 0 to 3600; 0 lays bounding rectangles.

    Returns:
        The rolls in the order of the sizes' carriers. After Ctrl-C the best so far, each layout
        saying so.

    Raises:
        PartTooWideError: a carrier is wider than its roll however it may be turned.
        NestError: the seconds make no sense, or a film lacks its colour.

    >>> nest_order([], seconds=0)
    ()
    """
    parts = order_parts(sizes)
    films = {carrier.film.id: carrier.film for size in sizes for carrier in size.carriers}
    for (film_id, colour), cut in parts.items():
        for part in cut:
            _refuse_too_wide(films[film_id], colour, part)
    return nest_parts(parts, films=films, seconds=seconds, on_progress=on_progress)


def order_parts(sizes: Sequence[SizedCut]) -> dict[tuple[str, str], tuple[Part, ...]]:
    """What a whole order takes of each film and colour: one part for each carrier, mirrored.

    The pieces of a carrier stay together, so that they lie in register when they are laid on the
    garment. Names on one sheet, which are cut apart anyway, are a part each. Parts that would be
    called alike, such as two people of one name, are numbered.

    Returns:
        (film id, colour) to its parts with their quantities, in the order of the sizes.

    >>> order_parts([])
    {}
    """
    named: dict[tuple[str, str], list[tuple[str, MultiPolygon, Carrier]]] = {}
    for size in sizes:
        for carrier in size.carriers:
            shapes = [(name, shape, carrier) for name, shape in _shapes(size, carrier)]
            named.setdefault((carrier.film.id, carrier.colour), []).extend(shapes)
    parts = {}
    for key, cut in named.items():
        often = Counter(name for name, _, _ in cut)
        nth: Counter[str] = Counter()
        made = []
        for name, shape, carrier in cut:
            nth[name] += 1
            apart = f"{name} ({nth[name]})" if often[name] > 1 else name
            turns, marks = rotations_for(carrier.film), carrier.sheet.marks
            made.append(Part(apart, shape, carrier.count, turns, marks))
        parts[key] = tuple(made)
    return parts


def _shapes(size: SizedCut, carrier: Carrier) -> list[tuple[str, MultiPolygon]]:
    name = f"{round(size.width_mm, 1):g} mm"
    if carrier.presses > 1:
        name += f", press {carrier.press}"
    if carrier.of > 1:
        name += f", part {carrier.nth}"
    shapes = [piece.shape for piece in carrier.sheet.pieces]
    if carrier.names and not carrier.row:
        whose = [one.name for one in size.named for _ in range(one.quantity)]
        return [(f"{name}, {who}", shape) for who, shape in zip(whose, shapes, strict=True)]
    if carrier.row:
        name += f", {carrier.names[0]}"
    if len(shapes) == 1:
        return [(name, shapes[0])]
    # Pieces that share an edge or a point make no valid area side by side; their union does.
    joined = shapely.union_all(np.array(shapes, dtype=object))
    return [(name, MultiPolygon(shapely.get_parts(joined).tolist()))]


def _refuse_too_wide(film: Film, colour: str, part: Part) -> None:
    across_mm = part.narrowest_mm
    if across_mm <= film.roll_width_mm + EXACT_MM:
        return
    share = math.floor(100 * film.roll_width_mm / across_mm)
    turned = f" ({film.id} has a direction and cannot be turned across)" if film.one_way else ""
    # What is too wide for the roll must not be told to a tenth that would round it back onto it.
    raise PartTooWideError(
        f"is {math.ceil(10 * across_mm) / 10:g} mm across and the roll {film.roll_width_mm:g} mm"
        f"{turned}; make the artwork at most {share} % of its width, choose a film with a wider "
        "roll, or leave nesting out and cut it in parts",
        source=f"{film.id} {colour}",
        field=part.id,
    )


def nest_parts(
    parts: Mapping[tuple[str, str], Sequence[Part]],
    *,
    films: Mapping[str, Film],
    seconds: float = 5.0,
    on_progress: Watch | None = None,
) -> tuple[NestedRoll, ...]:
    """Nest every film and colour on its own roll, and hold the metres to the shelf.

    The shelf counts a film's colours together: each gets what the ones before it have left.

    Args:
        parts: (film id, colour) to the parts cut from it, mirrored, with their quantities.
        films: by id.
        seconds: for all films together, shared by their number of parts. After Ctrl-C the
            remaining films are laid by bounding rectangles, and their layouts say so.

    Raises:
        NestError: a film or colour is not among ``films``, a part has turns that its film does not
            allow, or whatever `nest` refuses.

    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> back = Part("back", shapely.box(0, 0, 280, 400), 2)
    >>> (roll,) = nest_parts({(film.id, film.colours[0].name): [back]}, films={film.id: film})
    >>> roll.length_m, roll.short_m
    (0.563, 0.0)
    """
    for (film_id, colour), cut in parts.items():
        _refuse_unknown(film_id, colour, cut, films)
    waiting = {key: sum(part.quantity for part in cut) for key, cut in parts.items()}
    shelf_m = {film_id: film.on_shelf_m for film_id, film in films.items()}
    rolls, left_s, stopped = [], seconds, False
    for (film_id, colour), cut in parts.items():
        film = films[film_id]
        share = waiting[film_id, colour] / max(1, sum(waiting.values()))
        share_s = 0.0 if stopped else left_s * share
        left_s -= share_s
        del waiting[film_id, colour]

        def report(progress: Progress, film_id: str = film_id, colour: str = colour) -> None:
            if on_progress is not None:
                on_progress(film_id, colour, progress)

        try:
            layout = _on_roll(film, cut, share_s, report, stopped=stopped)
        except KeyboardInterrupt:
            # Ctrl-C that comes outside a search; a second one ends us.
            layout = _on_roll(film, cut, 0.0, None, stopped=True)
        stopped = stopped or layout.interrupted
        rolls.append(NestedRoll(film, colour, tuple(cut), layout, shelf_m[film_id]))
        shelf_m[film_id] = max(0.0, shelf_m[film_id] - rolls[-1].length_m)
    return tuple(rolls)


def _refuse_unknown(
    film_id: str, colour: str, cut: Sequence[Part], films: Mapping[str, Film]
) -> None:
    if film_id not in films:
        raise NestError("is not among the films given", field=film_id)
    film = films[film_id]
    colours = [known.name for known in film.colours]
    if colour not in colours:
        raise NestError(f"has no colour {colour!r}; it has {', '.join(colours)}", field=film_id)
    for part in cut:
        if film.one_way and any(turn % 180 for turn in part.rotations):
            raise NestError(
                f"may be turned, and {film_id} has a direction; allow (0, 180) only",
                field=f"{part.id}.rotations",
            )


def _on_roll(
    film: Film,
    cut: Sequence[Part],
    seconds: float,
    report: Callable[[Progress], None] | None,
    *,
    stopped: bool,
) -> Layout:
    """Nest parts within the rollers' edges, or on the whole width where one needs it."""

    def on_width(width_mm: float) -> Layout:
        layout = nest(cut, roll_width_mm=width_mm, seconds=seconds, on_progress=report)
        # One or two parts are never searched for: they lose nothing by being stopped.
        if stopped and len(layout.placements) > FEW_PARTS:
            return replace(layout, note=_STOPPED, interrupted=True)
        return layout

    try:
        return on_width(film.roll_width_mm - 2 * EDGE_MM)
    except PartTooWideError:
        layout = on_width(film.roll_width_mm)
    whole = f"the whole {show_mm(film.roll_width_mm):g} of roll: no edge left for the rollers"
    return replace(layout, note=Text(f"{layout.note}; {whole}"))
