"""Cross-section: fabric, films, carrier and cover cut through, heights to scale, labelled."""

from __future__ import annotations

from collections.abc import Sequence

from rules.facts.fabric import Fabric
from rules.facts.sheet import Sheet
from rules.facts.step import Meets
from rules.facts.units import Units
from ui.drawing import ink
from ui.drawing.labels import Label, labelled
from ui.drawing.profile import Draped, drape
from ui.drawing.texture import Coloured, fabric_texture, film_opacity, film_texture

__all__ = ["section"]

_WIDTH, _LEFT, _BODY = 476.0, 10.0, 222.0
_RIGHT = _LEFT + _BODY
_TOP, _GAP = 10.0, 9.0
_LARGEST_PX_PER_UM = 0.34
_FABRIC_SHOWN_UM = 330.0


def section(
    films: Sequence[Coloured],
    *,
    fabric: Fabric,
    meets: Sequence[Meets] = (),
    cover: Sheet | None = None,
    carriers: Sequence[int] = (),
    units: Units | None = None,
    title: str = "Cross-section",
) -> str:
    """A stack cut through, as an SVG document.

    Args:
        films: bottom first, as the look is seen (the one in front last).
        meets: how each neighbouring pair meets, bottom first; laps where none is given.
        cover: the sheet that lies over the print in the press.
        carriers: places in ``films`` whose carrier is still on, drawn lifting off.
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
    laps: list[Meets] = ["lap"] * len(films)
    ways = [*meets, *laps][: max(len(films) - 1, 0)]
    scale = _scale(films, fabric, cover, carriers)
    lying = drape([each.film for each in films], ways, width=_BODY, px_per_um=scale)
    y, marks, labels = _TOP, [], []
    if cover is not None:
        thick, said = cover.thickness_um * scale, shown.thickness(cover.thickness_um)
        marks += _sheet(y, thick)
        labels.append(Label((_RIGHT - 6, y + thick / 2), f"cover: {cover.id}", said))
        y += thick + _GAP
    for lies in sorted(lying, key=lambda each: -each.place):
        film = films[lies.place].film
        thick, said = film.carrier_um * scale, shown.thickness(film.carrier_um)
        if lies.place in carriers and thick > 0:
            at = (_LEFT + lies.right - 3, y + thick / 2 + 1)
            marks.append(_lifted(lies, y, thick))
            detail = f"of {film.id}, {said}, peels {film.peel}"
            labels.append(Label(at, "carrier", detail))
            y += thick + _GAP + 4
    ground = y + max((each.crest for each in lying), default=14.0)
    for number, lies in enumerate(lying, start=1):
        look, at = films[lies.place], (_LEFT + lies.tip[0], ground - lies.tip[1])
        marks += _film_marks(lies, look, ground)
        face, adhesive = map(shown.thickness, (look.film.face_um, look.film.adhesive_um))
        labels.append(Label(at, look.words, f"face {face}, adhesive {adhesive}", number))
    drawn_um = min(fabric.thickness_um, _FABRIC_SHOWN_UM)
    bottom, said = ground + drawn_um * scale, shown.thickness(fabric.thickness_um)
    torn = drawn_um < fabric.thickness_um
    marks += ink.hatched(
        _fabric_outline(ground, bottom, torn=torn), fabric.colour.srgb, fabric_texture(fabric).fill
    )
    labels.append(
        Label(
            (_RIGHT - 6, (ground + bottom) / 2),
            f"{fabric.id}, {fabric.colour.name}",
            f"{said}, {shown.thickness(drawn_um)} of it drawn" if torn else said,
        )
    )
    if not films:
        marks.append(ink.text(_LEFT + 8, ground - 6, "no film yet", size=13, kind="soft"))
    return labelled(
        marks,
        labels,
        left=_RIGHT + 24,
        bend=_RIGHT + 6,
        width=_WIDTH,
        bottom=bottom + 38,
        title=title,
        alt=_alt(films, fabric, cover, shown),
        foot=_scale_bar(bottom + 14, scale, shown),
        defs={film_texture(each.film).defs for each in films} | {fabric_texture(fabric).defs},
    )


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


def _fabric_outline(ground: float, bottom: float, *, torn: bool) -> list[ink.Point]:
    """The fabric cut through, torn below where it is thicker than is drawn."""
    edge = [(_RIGHT, bottom), (_LEFT, bottom)]
    if torn:
        teeth = range(int(_BODY // 8), -1, -1)
        edge[1:] = [(_LEFT + n * 8, bottom - (4 if n % 2 else 0)) for n in teeth]
    return [(_LEFT, ground), (_RIGHT, ground), *edge]


def _sheet(y: float, thick: float) -> list[str]:
    marks = [ink.rect(_LEFT - 6, y, _BODY + 12, thick, kind="cover", radius=1.5, stroke=1)]
    ticks = range(int(_LEFT), int(_RIGHT), 12)
    return marks + [ink.line([(x, y + thick), (x + 6, y)], kind="faint", width=0.8) for x in ticks]


def _lifted(lies: Draped, y: float, thick: float) -> str:
    """The carrier of a film, its right end lifting off."""
    left, right, low = _LEFT + lies.left, _LEFT + lies.right, y + 9
    turn = right - 46
    return ink.path(
        f"M{left:.1f} {low:.1f}H{turn:.1f}Q{right - 12:.1f} {low:.1f} {right:.1f} {y:.1f}"
        f"v{thick:.1f}Q{right - 12:.1f} {low + thick:.1f} {turn:.1f} {low + thick:.1f}H{left:.1f}z",
        kind="clear", opacity=0.75, stroke=0.9,
    )  # fmt: skip


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
