"""Example: what a rule's good and bad example look like, drawn by what the rule judges."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.artwork.svg.writing import element
from advisor.heat.moments import step_times
from advisor.words.examples import said_step
from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.press import Press
from rules.facts.schedule import Schedule, ScheduledStep
from rules.facts.step import Meets
from rules.facts.subjects import (
    ArtworkPiece,
    AsDrawn,
    BondLine,
    FilmOnFabric,
    FilmOnFilm,
    GarmentOnPress,
    Joint,
    Pressing,
    SeenAgainst,
    Stack,
    Subject,
)
from rules.facts.units import Units
from ui.drawing import ink
from ui.drawing.section import section
from ui.drawing.texture import Coloured, film_texture
from ui.drawing.timeline import Lane, timeline

__all__ = ["example_picture"]

_WIDE, _HIGH = 476.0, 150.0
_SHOWN_MM = 24.0
"""So many millimetres of an artwork's detail fill the width of its picture."""


def example_picture(
    subjects: Sequence[Subject], *, fabric: Fabric, press: Press, units: Units
) -> str:
    """What is judged, as an SVG document.

    Args:
        subjects: what an example stands for; the steps of a schedule, or one other thing.
        fabric, press: what films lie on, and are pressed in, where the example names none.
    """
    match subjects[-1] if subjects else None:
        case FilmOnFabric() as one:
            films = [Coloured(each) for each in (*one.over, one.film)]
            return section(films, fabric=one.fabric, units=units)
        case Joint() as one if drawn := _joint(one, units):
            return drawn
        case FilmOnFilm() | Joint() as one:
            films = [Coloured(one.lower), Coloured(one.upper, _another(one.upper))]
            ways: list[Meets] = [one.meets] if isinstance(one, Joint) else []
            return section(films, fabric=fabric, meets=ways, units=units)
        case Stack() as one:
            return section([Coloured(each) for each in one.films], fabric=one.fabric, units=units)
        case BondLine() as one:
            return _bonding(one, units)
        case ScheduledStep(schedule=schedule):
            return _pressed(schedule, units)
        case GarmentOnPress() as one:
            return _on_the_platen(one, units)
        case Pressing() as one:
            return _pressed(_schedule(one, press), units)
        case ArtworkPiece() as one:
            return _piece(one, units)
        case SeenAgainst() as one:
            return _seen(one)
        case AsDrawn() as one:
            return _drawn(one)
    return ink.sheet_of_paper([], width=_WIDE, height=_HIGH, title="nothing")


def _another(film: Film) -> str | None:
    """A colour that tells an upper film from a lower one."""
    return film.colours[1].name if len(film.colours) > 1 else None


def _schedule(one: Pressing, press: Press) -> Schedule:
    films = {"base": one.films[-1]} if one.films else {}
    sheets = {sheet.id: sheet for sheet in one.sheets}
    return Schedule(one.fabric, press, films, over=(), steps=one.steps, sheets=sheets)


def _pressed(schedule: Schedule, units: Units) -> str:
    pieces = {
        name: Lane(f"{name} in {film.id}", Coloured(film, _another(film)).srgb)
        for name, film in schedule.films.items()
    }
    garment = Lane(schedule.fabric.id, schedule.fabric.colour.srgb)
    return timeline(step_times(schedule), pieces, garment=garment, units=units, width=_WIDE)


def _joint(one: Joint, units: Units) -> str:
    """What counts of an inset or a thin rim, each at one scale; nothing where it is a plain one."""
    told = []
    if one.narrowest_mm < _SHOWN_MM:
        told = [(one.narrowest_mm, "inset piece, at its narrowest"), (one.trap_mm, "rim over it")]
    elif one.rim_mm < _SHOWN_MM:
        told = [(one.rim_mm, "rim that shows"), (one.shift_mm, "hands miss by")]
    elif one.trap_mm and one.shrink_mm:
        missed = one.shift_mm + one.shrink_mm
        told = [(one.trap_mm, "overlap"), (missed, "hands miss by, and it draws in,")]
    colour = Coloured(one.upper, _another(one.upper)).srgb
    scale = (_WIDE - 20) / _SHOWN_MM
    return _paper(_bars(told, colour, scale, units), one.where) if told else ""


def _bonding(one: BondLine, units: Units) -> str:
    """The seconds that a bond line is hot enough beside those that its adhesive wants."""
    film = one.film
    told = [
        (one.seconds_bonding, "hot enough"),
        (one.low_seconds_bonding, "on an unlucky press"),
        (film.bonds_s, f"wanted at {units.temperature(film.bonds_c)}"),
    ]
    per_s = 300 / max(seconds for seconds, _ in told)
    marks = []
    for n, (seconds, means) in enumerate(told):
        y, kind = 16 + 42 * n, "adhesive" if n == 2 else "hot"
        words = f"{units.time(seconds)} {means}"
        marks += [
            ink.text(10, y + 8, words, size=13, weight=600),
            ink.rect(10, y + 13, max(seconds * per_s, 1), 12, kind=kind),
        ]
    return _paper(marks, f"the bond line of {film.id}")


def _on_the_platen(one: GarmentOnPress, units: Units) -> str:
    """The print on the platen from above, with the steps below it."""
    platen = one.press.platen_width_mm, one.press.platen_depth_mm
    scale = 150 / max(*platen, one.width_mm, one.height_mm)
    marks: list[str] = []
    sheets = {sheet.id: sheet for sheet in one.sheets}
    cover = next((sheets[s.cover] for s in one.steps if s.cover in sheets), None)
    sizes = [(platen, "tool", "platen")]
    if cover is not None:
        sizes.append(((cover.width_mm, cover.depth_mm), "cover", cover.id))
    sizes.append(((one.width_mm, one.height_mm), "adhesive", "print"))
    for n, ((wide, high), kind, name) in enumerate(sizes):
        x, y = 85 - wide * scale / 2, 85 - high * scale / 2
        marks += [
            ink.rect(x, y, wide * scale, high * scale, kind=kind, opacity=0.8, stroke=1),
            ink.rect(185, 14 + 22 * n, 13, 13, kind=kind, stroke=1),
            ink.text(205, 25 + 22 * n, f"{name}, {units.size(wide, high)}", size=13),
        ]
    y = 25.0 + 22 * len(sizes)
    for n, step in enumerate(one.steps, 1):
        said = f"{n}. {said_step(step.model_dump(exclude_none=True)).shown(units)}"
        for words in ink.wrap(said, 34):
            marks.append(ink.text(185, y, words, size=12.5, kind="soft"))
            y += 18
    return ink.sheet_of_paper(marks, width=_WIDE, height=175, title=one.where)


def _piece(one: ArtworkPiece, units: Units) -> str:
    """A detail of a piece beside the finest that its film weeds, both at one scale; or the piece on
    its roll.
    """
    film, srgb = one.film, Coloured(one.film, _another(one.film)).srgb
    scale, said = (_WIDE - 20) / _SHOWN_MM, units.length
    marks: list[str] = []
    if one.least_stroke_mm is not None:
        told = [
            (one.least_stroke_mm, "thinnest here"),
            (film.least_stroke_mm, f"{film.id} weeds from"),
        ]
        marks += _bars(told, srgb, scale, units)
    elif one.least_gap_mm is not None:
        for n, (gap, means) in enumerate(
            ((one.least_gap_mm, "gap here"), (film.least_gap_mm, f"{film.id} weeds from"))
        ):
            y = 16 + 62 * n
            marks += [
                ink.rect(10, y + 20, 120, 30, fill=srgb, stroke=1),
                ink.rect(130 + gap * scale, y + 20, 120, 30, fill=srgb, stroke=1),
                ink.text(10, y + 12, f"{means} {said(gap)}", size=13, weight=600),
            ]
    elif one.smallest_island_mm2 is not None:
        side = one.smallest_island_mm2**0.5 * scale
        words = f"{max(one.small_islands, 1)} as small as {one.smallest_island_mm2:g} mm²"
        marks = [ink.text(10, 20, words, size=13, weight=600)]
        marks += [
            ink.rect(14 + n * (side + 16), 40, side, side, fill=srgb, stroke=1)
            for n in range(max(one.small_islands, 1))
        ]
    elif one.delta_e is not None:
        marks = [
            ink.rect(10, 30, 110, 90, fill=srgb, stroke=1),
            ink.text(140, 80, f"{film.id} is ΔE {one.delta_e:g} from the drawing", size=13),
        ]
    elif one.wished_finish:
        texture = film_texture(film, view="above")
        marks = [
            *ink.hatched(ink.box(10, 30, 110, 90), srgb, texture.fill),
            ink.text(140, 70, f"{one.wished_finish} is wished", size=13),
            ink.text(140, 92, f"{film.id} is {' and '.join(film.finishes)}", size=13),
        ]
        return _paper(marks, one.piece, defs=[texture.defs])
    elif one.width_mm > film.roll_width_mm * 0.6:
        scale = 130 / max(film.roll_width_mm, one.width_mm)
        roll = film.roll_width_mm * scale
        marks = [
            ink.rect(10, 10, 250, roll, kind="clear", stroke=1),
            ink.rect(30, 10, one.height_mm * scale, one.width_mm * scale, fill=srgb, opacity=0.85,
                     stroke=1),
            ink.text(275, 40, f"roll {said(film.roll_width_mm)} wide", size=13),
            ink.text(275, 62, f"piece {units.size(one.width_mm, one.height_mm)}", size=13),
        ]  # fmt: skip
    else:
        turn = "translate(270 0) scale(-1 1)" if one.mirrored else None
        marks = [
            element("g", [ink.text(10, 100, "Name", size=64, weight=700)], transform=turn),
            ink.text(300, 70, "on the carrier," if one.mirrored else "not mirrored:", size=13),
            ink.text(300, 90, "mirrored" if one.mirrored else "it reads backwards", size=13),
        ]
    return _paper(marks, one.piece)


def _bars(told: Sequence[tuple[float, str]], srgb: str, scale: float, units: Units) -> list[str]:
    marks: list[str] = []
    for n, (mm, means) in enumerate(told):
        y = 16 + 66 * n
        marks += [
            ink.text(10, y + 12, f"{means} {units.length(mm)}", size=13, weight=600),
            ink.rect(10, y + 20, 220, mm * scale, fill=srgb),
        ]
    return marks


def _seen(one: SeenAgainst) -> str:
    """The piece in its colour on what it is seen against."""
    ground, texture = one.ground_colour.srgb, film_texture(one.film, view="above")
    face = (
        [element("text", "Ana 7", x=50, y=100, font_size=70, font_weight=700, fill=one.colour.srgb)]
        if one.letters
        else [ink.circle(150, 75, 52, fill=one.colour.srgb)]
    )
    words = f"{one.colour.name} on {one.ground_colour.name}"
    marks = [ink.rect(10, 8, 290, 134, fill=ground, radius=6, stroke=1), *face]
    return _paper([*marks, ink.text(315, 78, words, size=13)], words, defs=[texture.defs])


def _drawn(one: AsDrawn) -> str:
    """A piece whole, under another that hides it, or shining through."""
    under, over = ink.circle(110, 75, 46, fill="#f2c14e"), ink.circle(150, 75, 62, fill="#1b3a5c")
    if not one.seen:
        return _paper([under, over, _dashed(110, 75, 46)], f"{one.piece} lies under another")
    if one.opacity < 1:
        shade = ink.circle(150, 75, 40, fill="#16212b", opacity=one.opacity)
        return _paper(
            [ink.circle(110, 75, 62, fill="#f2c14e"), shade], f"{one.piece} shines through"
        )
    return _paper([ink.circle(150, 75, 62, fill="#1b3a5c"), under], f"{one.piece} is seen")


def _dashed(x: float, y: float, radius: float) -> str:
    return element(
        "circle", cx=x, cy=y, r=radius, fill="none", class_="faint", stroke_width=1.6,
        stroke_dasharray="5 4",
    )  # fmt: skip


def _paper(marks: Sequence[str], title: str, *, defs: Sequence[str] = ()) -> str:
    return ink.sheet_of_paper(marks, width=_WIDE, height=_HIGH, title=title, defs=defs)
