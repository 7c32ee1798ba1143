"""Cross-section: fabric, films, carrier and cover cut through, heights to scale, labelled."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rules.facts.fabric import Fabric
from rules.facts.film import Film
from rules.facts.sheet import Sheet
from rules.facts.step import Meets
from rules.facts.units import Units
from ui.drawing import ink
from ui.drawing.labels import Label, label_marks
from ui.drawing.profile import Draped, drape, laying_order
from ui.drawing.texture import fabric_texture, film_opacity, film_texture

__all__ = ["Coloured", "section"]

_WIDTH, _LEFT, _BODY = 476.0, 10.0, 222.0
_WORDS = 256.0
_TOP, _GAP = 10.0, 9.0
_LARGEST_PX_PER_UM = 0.34
_FABRIC_SHOWN_UM = 330.0


@dataclass(frozen=True, slots=True)
class Coloured:
    """A film in one of its colours; without one, the first it comes in."""

    film: Film
    colour: str | None = None

    @property
    def srgb(self) -> str:
        """The colour as ``#rrggbb``."""
        known = {each.name: each.srgb for each in self.film.colours}
        return known.get(self.colour or "", self.film.colours[0].srgb)

    @property
    def words(self) -> str:
        """The film and its colour."""
        return f"{self.film.id}, {self.colour or self.film.colours[0].name}"


def section(
    films: Sequence[Coloured],
    *,
    fabric: Fabric,
    meets: Sequence[Meets] = (),
    cover: Sheet | None = None,
    carriers: Sequence[int] = (),
    pad: Sheet | None = None,
    units: Units | None = None,
    title: str = "Cross-section",
) -> str:
    """A stack cut through, as an SVG document.

    Args:
        films: bottom first, as the look is seen (the one in front last).
        meets: how each neighbouring pair meets, bottom first; laps where none is given.
        cover: the sheet that lies over the print in the press.
        carriers: places in ``films`` whose carrier is still on, drawn lifting off.
        pad: what lies under the garment; drawn cut off.
        units: what thicknesses are shown in.

    >>> from rules.catalogue import load_catalogue
    >>> shelf = load_catalogue()
    >>> drawn = section(
    ...     [Coloured(shelf.film("matte-smooth"), "navy"), Coloured(shelf.film("sparkle-fine"))],
    ...     fabric=shelf.fabric("denim"), carriers=[1], cover=shelf.sheet("ptfe-cover"))
    >>> "sparkle-fine" in drawn and "carrier" in drawn and "to scale" in drawn
    True
    >>> "no film" in section([], fabric=shelf.fabric("denim"))
    True
    """
    shown = units or Units()
    ways = _ways(meets, len(films))
    scale = _scale(films, fabric, cover, carriers)
    lying = drape([each.film for each in films], ways, width=_BODY, px_per_um=scale)
    crest = max((each.crest for each in lying), default=0.0)
    y, marks, labels = _TOP, [], []
    if cover is not None:
        thick = cover.thickness_um * scale
        marks += _sheet(y, thick, cover)
        labels.append(
            Label(
                (_LEFT + _BODY - 6, y + thick / 2), f"cover: {cover.id}",
                shown.thickness(cover.thickness_um),
            )
        )  # fmt: skip
        y += thick + _GAP
    for place in sorted(carriers, reverse=True):
        thick = films[place].film.carrier_um * scale
        if thick > 0:
            drawn, label = _carrier(y, thick, films[place].film, _of(lying, place), shown)
            marks += drawn
            labels.append(label)
            y += thick + _GAP + 4
    ground = y + crest
    for each in lying:
        marks += _film_marks(each, films[each.place], ground)
    order = laying_order(ways)
    labels += [
        _film_label(each, films, order, ground, shown)
        for each in sorted(lying, key=lambda one: -one.tip[1])
    ]
    marks += _fabric_marks(fabric, ground, scale)
    shown_um = min(fabric.thickness_um, _FABRIC_SHOWN_UM)
    bottom = ground + shown_um * scale
    labels.append(_fabric_label(fabric, (_LEFT + _BODY - 6, (ground + bottom) / 2), shown))
    if pad is not None:
        marks += _pad_marks(bottom + 5)
        labels.append(
            Label(
                (_LEFT + _BODY - 34, bottom + 13),
                f"pad: {pad.id}",
                shown.thickness(pad.thickness_um),
            )
        )
        bottom += 26
    if not films:
        marks.append(ink.text(_LEFT + 8, ground - 6, "no film yet", size=13, kind="soft"))
    words, reach = label_marks(labels, left=_WORDS, bend=_LEFT + _BODY + 6, top=_TOP)
    foot = bottom + 14
    marks += words + _scale_bar(foot, scale, shown)
    defs = {film_texture(each.film).defs for each in films} | {fabric_texture(fabric).defs}
    return ink.sheet_of_paper(
        marks,
        width=_WIDTH,
        height=max(foot + 24, reach + 8),
        title=title,
        alt=_alt(films, fabric, cover, shown),
        defs=defs,
    )


def _ways(meets: Sequence[Meets], count: int) -> tuple[Meets, ...]:
    given: list[Meets] = list(meets)
    given += ["lap"] * count
    return tuple(given[: max(count - 1, 0)])


def _scale(
    films: Sequence[Coloured], fabric: Fabric, cover: Sheet | None, carriers: Sequence[int]
) -> float:
    total = sum(each.film.thickness_um for each in films)
    total += min(fabric.thickness_um, _FABRIC_SHOWN_UM)
    total += sum(films[place].film.carrier_um for place in carriers)
    total += cover.thickness_um if cover else 0
    # As tall as the labels beside it, so that leaders stay short.
    room = 115.0 + 33 * (len(films) + len(carriers))
    return min(_LARGEST_PX_PER_UM, room / total)


def _of(lying: Sequence[Draped], place: int) -> Draped:
    return next(each for each in lying if each.place == place)


def _up(points: Sequence[ink.Point], ground: float) -> list[ink.Point]:
    return [(_LEFT + x, ground - height) for x, height in points]


def _film_marks(lies: Draped, look: Coloured, ground: float) -> list[str]:
    pattern, opacity = film_texture(look.film).fill, film_opacity(look.film)
    marks = [
        ink.polygon(_up(shape, ground), kind="adhesive", stroke=0.7) for shape in lies.adhesive
    ]
    for shape in lies.face:
        marks += ink.hatched(_up(shape, ground), look.srgb, pattern, opacity=opacity)
    return marks


def _film_label(
    lies: Draped, films: Sequence[Coloured], order: Sequence[int], ground: float, units: Units
) -> Label:
    look = films[lies.place]
    return Label(
        at=(_LEFT + lies.tip[0], ground - lies.tip[1]),
        title=look.words,
        detail=f"face {units.thickness(look.film.face_um)}, "
        f"adhesive {units.thickness(look.film.adhesive_um)}",
        number=order.index(lies.place) + 1,
    )


def _fabric_marks(fabric: Fabric, ground: float, scale: float) -> list[str]:
    depth = min(fabric.thickness_um, _FABRIC_SHOWN_UM) * scale
    right = _LEFT + _BODY
    if fabric.thickness_um <= _FABRIC_SHOWN_UM:
        edge = [(right, ground + depth), (_LEFT, ground + depth)]
    else:
        # Torn below: the fabric is thicker than is drawn.
        teeth = range(int(_BODY // 8), -1, -1)
        edge = [(_LEFT + n * 8, ground + depth - (4 if n % 2 else 0)) for n in teeth]
        edge.insert(0, (right, ground + depth))
    outline = [(_LEFT, ground), (right, ground), *edge]
    return ink.hatched(outline, fabric.colour.srgb, fabric_texture(fabric).fill)


def _fabric_label(fabric: Fabric, at: ink.Point, units: Units) -> Label:
    thick = units.thickness(fabric.thickness_um)
    cut = fabric.thickness_um > _FABRIC_SHOWN_UM
    detail = f"{thick}, {units.thickness(_FABRIC_SHOWN_UM)} of it drawn" if cut else thick
    return Label(at, f"{fabric.id}, {fabric.colour.name}", detail)


def _sheet(y: float, thick: float, cover: Sheet) -> list[str]:
    marks = [ink.rect(_LEFT - 6, y, _BODY + 12, thick, kind="cover", radius=1.5, stroke=1)]
    ticks = range(int(_LEFT), int(_LEFT + _BODY), 12)
    return marks + [ink.line([(x, y + thick), (x + 6, y)], kind="faint", width=0.8) for x in ticks]


def _carrier(
    y: float, thick: float, film: Film, lies: Draped, units: Units
) -> tuple[list[str], Label]:
    left, right, lift = _LEFT + lies.left, _LEFT + lies.right, 9.0
    turn = right - 46
    outline = (
        f"M{left:.1f} {y + lift:.1f}H{turn:.1f}Q{right - 12:.1f} {y + lift:.1f} {right:.1f} {y:.1f}"
        f"v{thick:.1f}Q{right - 12:.1f} {y + lift + thick:.1f} {turn:.1f} {y + lift + thick:.1f}"
        f"H{left:.1f}z"
    )
    label = Label(
        (right - 3, y + thick / 2 + 1),
        f"carrier of {film.id}",
        f"{units.thickness(film.carrier_um)}, peels {film.peel}",
    )
    return [ink.path(outline, kind="clear", opacity=0.75, stroke=0.9)], label


def _pad_marks(y: float) -> list[str]:
    return [ink.rect(_LEFT + 26, y, _BODY - 52, 18, kind="tool", radius=5, stroke=1)]


def _scale_bar(y: float, scale: float, units: Units) -> list[str]:
    for length_um in (2540.0, 1016.0, 508.0, 254.0, 101.6) if units.inches else (
        1000.0, 500.0, 200.0, 100.0, 50.0,
    ):  # fmt: skip
        if length_um * scale <= 70:
            break
    across = length_um * scale
    return [
        ink.line(
            [(_LEFT, y + 2), (_LEFT, y + 10), (_LEFT + across, y + 10), (_LEFT + across, y + 2)],
            width=1.2,
        ),
        ink.text(
            _LEFT + across + 7, y + 13, f"{units.thickness(length_um)}, heights to scale", size=12,
            kind="soft figure",
        ),
    ]  # fmt: skip


def _alt(films: Sequence[Coloured], fabric: Fabric, cover: Sheet | None, units: Units) -> str:
    parts = [f"{fabric.id}, {units.thickness(fabric.thickness_um)} thick"]
    parts += [f"{each.words}, {units.thickness(each.film.thickness_um)}" for each in films]
    if cover is not None:
        parts.append(f"under the cover {cover.id}")
    return "From the bottom: " + "; ".join(parts) + "."
