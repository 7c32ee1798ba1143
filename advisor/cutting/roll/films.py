"""Film buying: the metres of every film and colour that an order takes, and what is short."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from advisor.cutting.roll.nesting import (
    FEW_PARTS,
    Layout,
    NestError,
    Part,
    PartTooWideError,
    Progress,
    nest,
)
from rules.book.artwork.fits_roll import EDGE_MM
from rules.facts.film import Film

__all__ = ["FilmNeed", "film_needs", "whole_cm"]

_STOPPED = "stopped before a true-shape search for this film: bounding rectangles"


@dataclass(frozen=True, slots=True)
class FilmNeed:
    """What an order takes of one film in one colour.

    Attributes
    ----------
    film, colour : str
        The film's id and the colour's name.
    length_m : float
        Metres of roll that the layout takes.
    used_m2 : float
        Area that ends up on garments, m².
    waste_pct : float
        Share of those metres, over the roll's whole width, that does not, %.
    cost : float
        The metres at the film's price, in the shop's currency.
    on_shelf_m : float
        Metres on the shelf for this colour.
    short_m : float
        Metres to buy; 0 when the shelf has enough.
    layout : Layout
        How the parts lie.
    """

    film: str
    colour: str
    length_m: float
    used_m2: float
    waste_pct: float
    cost: float
    on_shelf_m: float
    short_m: float
    layout: Layout

    @property
    def sentence(self) -> str:
        """The need in words, rounded up to whole centimetres."""
        need = f"{self.film} {self.colour}: {whole_cm(self.length_m):.2f} m needed"
        shelf = f"{self.on_shelf_m:.2f} m on the shelf"
        return f"{need}, {shelf}" + (
            f": {whole_cm(self.short_m):.2f} m to buy" if self.short_m else ""
        )


def film_needs(
    parts: Mapping[tuple[str, str], Sequence[Part]],
    *,
    films: Mapping[str, Film],
    on_shelf_m: Mapping[tuple[str, str], float] | None = None,
    edge_mm: float = EDGE_MM,
    spacing_mm: float = 3.0,
    seconds: float = 5.0,
    seed: int = 0,
    on_progress: Callable[[str, str, Progress], None] | None = None,
) -> tuple[FilmNeed, ...]:
    """Nest every film and colour of an order on its own roll, and hold the metres to the shelf.

    Parameters
    ----------
    parts : mapping
        (film id, colour name) to the parts cut from it, mirrored, with quantities for the whole
        order; `advisor.cutting.roll.nesting.rotations_for` gives the turns that the film allows.
    films : mapping of str to Film
        The films by id.
    on_shelf_m : mapping, optional
        Metres on the shelf for each film and colour. A colour that it lacks, or all without it,
        draws on ``Film.on_shelf_m``, which counts a film's colours together: each then gets what
        the ones before it have left.
    edge_mm : float
        What the cutter's rollers hold at each edge, mm. A part too wide for what is left, but not
        for the roll, has the whole width; the `fits-roll` rule speaks of it.
    spacing_mm, seed :
        As for `advisor.cutting.roll.nesting.nest`.
    seconds : float
        Time for all films together, s, shared by their number of parts. After Ctrl-C the
        remaining films are laid by bounding rectangles, and their layouts say so.
    on_progress : callable, optional
        Called with film, colour and `Progress`.

    Returns
    -------
    tuple of FilmNeed
        In the order given.

    Raises
    ------
    NestError
        For a film or colour that is not among ``films``, a part with turns that its film does not
        allow, or anything that `nest` refuses.

    Examples
    --------
    >>> import shapely
    >>> from rules.catalogue import load_catalogue
    >>> film = load_catalogue().film("matte-smooth")
    >>> colour = film.colours[0].name
    >>> back = Part("back", shapely.box(0, 0, 280, 400), 2)
    >>> (need,) = film_needs({(film.id, colour): [back]}, films={film.id: film})
    >>> need.length_m, need.short_m
    (0.563, 0.0)
    >>> film_needs({}, films={})
    ()
    """
    if not 0 <= edge_mm <= 100:
        raise NestError(f"is {edge_mm:g}; give 0 to 100 mm", field="edge_mm")
    for (film_id, colour), cut in parts.items():
        _refuse_unknown(film_id, colour, cut, films)
    waiting = {key: sum(part.quantity for part in cut) for key, cut in parts.items()}
    shelf_m = {film_id: film.on_shelf_m for film_id, film in films.items()}
    needs, left_s, stopped = [], seconds, False
    for (film_id, colour), cut in parts.items():
        film = films[film_id]
        share = waiting[film_id, colour] / max(1, sum(waiting.values()))
        share_s = 0.0 if stopped else left_s * share
        left_s -= share_s
        del waiting[film_id, colour]
        asked = (film, colour, cut, edge_mm, spacing_mm)
        try:
            layout = _nest_one(*asked, share_s, seed, on_progress, stopped=stopped)
        except KeyboardInterrupt:
            # Ctrl-C that comes outside a search; a second one ends us.
            layout = _nest_one(*asked, 0.0, seed, None, stopped=True)
        stopped = stopped or layout.interrupted
        length_m = layout.length_mm / 1000
        if on_shelf_m is not None and (film_id, colour) in on_shelf_m:
            here_m = on_shelf_m[film_id, colour]
        else:
            here_m = shelf_m[film_id]
            shelf_m[film_id] = max(0.0, here_m - length_m)
        used_m2 = sum(part.shape.area * part.quantity for part in cut) / 1e6
        bought_m2 = length_m * film.roll_width_mm / 1000
        needs.append(
            FilmNeed(
                film=film_id,
                colour=colour,
                length_m=length_m,
                used_m2=used_m2,
                waste_pct=100 * (1 - used_m2 / bought_m2) if bought_m2 else 0.0,
                cost=length_m * film.price_per_m,
                on_shelf_m=here_m,
                short_m=max(0.0, length_m - here_m),
                layout=layout,
            )
        )
    return tuple(needs)


def _refuse_unknown(
    film_id: str, colour: str, cut: Sequence[Part], films: Mapping[str, Film]
) -> None:
    if film_id not in films:
        raise NestError("is not among the films given", field=film_id)
    film = films[film_id]
    if colour not in {known.name for known in film.colours}:
        known = ", ".join(known.name for known in film.colours)
        raise NestError(f"has no colour {colour!r}; it has {known}", field=film_id)
    for part in cut:
        turns = part.rotations
        if film.one_way and (turns is None or any(turn % 180 for turn in turns)):
            raise NestError(
                f"may be turned, and {film_id} has a direction; allow (0, 180) only",
                field=f"{part.id}.rotations",
            )


def _nest_one(
    film: Film,
    colour: str,
    cut: Sequence[Part],
    edge_mm: float,
    spacing_mm: float,
    seconds: float,
    seed: int,
    on_progress: Callable[[str, str, Progress], None] | None,
    *,
    stopped: bool,
) -> Layout:
    def report(progress: Progress) -> None:
        if on_progress is not None:
            on_progress(film.id, colour, progress)

    def on_width(width_mm: float) -> Layout:
        layout = nest(
            cut,
            roll_width_mm=width_mm,
            spacing_mm=spacing_mm,
            seconds=seconds,
            seed=seed,
            on_progress=report,
        )
        # One or two parts are never searched for: they lose nothing by being stopped.
        if stopped and len(layout.placements) > FEW_PARTS:
            return replace(layout, note=_STOPPED, interrupted=True)
        return layout

    usable_mm = film.roll_width_mm - 2 * edge_mm
    if usable_mm > 0:
        try:
            return on_width(usable_mm)
        except PartTooWideError:
            whole = f"the whole {film.roll_width_mm:g} mm of roll: no edge left for the rollers"
    else:
        raise NestError(
            f"is {edge_mm:g} mm on a roll of {film.roll_width_mm:g} mm; nothing is left to cut",
            field="edge_mm",
        )
    layout = on_width(film.roll_width_mm)
    return replace(layout, note=f"{layout.note}; {whole}")


def whole_cm(metres: float) -> float:
    """Metres up to the next whole centimetre; what floating point adds does not count.

    >>> whole_cm(0.4501), whole_cm(0.1 + 0.2)
    (0.46, 0.3)
    """
    return math.ceil(round(100 * metres, 6)) / 100
