"""Swatch: a film as a card from the sample book: its face from above, its cut, its colours."""

from __future__ import annotations

from rules.facts.film import Film
from rules.facts.units import Units
from ui.drawing import ink
from ui.drawing.texture import Coloured, film_opacity, film_texture

__all__ = ["film_card"]

_WIDTH, _HEIGHT = 372.0, 218.0


def film_card(film: Film, *, colour: str | None = None, units: Units | None = None) -> str:
    """A film drawn: its face with a corner peeled off the carrier, its layers to scale beside it,
    and a row of the colours that it comes in.

    Args:
        colour: the colour that the face is shown in; the first where none is given.

    >>> from rules.catalogue import load_catalogue
    >>> drawn = film_card(load_catalogue().film("sparkle-coarse"), colour="gold")
    >>> "carrier 150 µm" in drawn and "13 colours" in drawn
    True
    """
    shown = units or Units()
    srgb = Coloured(film, colour).srgb
    above, cut = film_texture(film, view="above"), film_texture(film)
    marks = [*_face(film, srgb, above.fill), *_layers(film, srgb, cut.fill, shown)]
    marks += _chips(film)
    return ink.sheet_of_paper(
        marks,
        width=_WIDTH,
        height=_HEIGHT,
        title=film.name,
        alt=f"{film.name}: face {shown.thickness(film.face_um)}, "
        f"adhesive {shown.thickness(film.adhesive_um)}, "
        f"carrier {shown.thickness(film.carrier_um)}; peels {film.peel}.",
        defs=(above.defs, cut.defs),
    )


def _face(film: Film, srgb: str, fill: str) -> list[str]:
    # The face with its lower right corner lifted: there the carrier shows.
    face = [(8.0, 8.0), (128.0, 8.0), (128.0, 106.0), (84.0, 150.0), (8.0, 150.0)]
    corner = [(128.0, 106.0), (92.0, 114.0), (84.0, 150.0)]
    carrier = [(128.0, 106.0), (128.0, 150.0), (84.0, 150.0)]
    return [
        ink.polygon(carrier, kind="clear", stroke=1),
        *ink.hatched(face, srgb, fill, opacity=film_opacity(film), stroke=1.2),
        ink.polygon(corner, kind="adhesive", stroke=1.2),
    ]


def _layers(film: Film, srgb: str, fill: str, units: Units) -> list[str]:
    total = film.face_um + film.adhesive_um + film.carrier_um
    scale, x, width, y = 138 / total, 150.0, 44.0, 10.0
    marks, middles = [], []
    for name, thick_um in (
        ("carrier", film.carrier_um), ("face", film.face_um), ("adhesive", film.adhesive_um),
    ):  # fmt: skip
        height = thick_um * scale
        if name == "face":
            corners = ink.box(x, y, width, height)
            marks += ink.hatched(corners, srgb, fill, opacity=film_opacity(film), stroke=1)
        else:
            kind = "clear" if name == "carrier" else "adhesive"
            marks.append(ink.rect(x, y, width, height, kind=kind, stroke=1))
        if thick_um:
            middles.append((y + height / 2, f"{name} {units.thickness(thick_um)}"))
        y += height
    for middle, words in middles:
        marks.append(ink.line([(x + width, middle), (x + width + 8, middle)], kind="faint"))
        marks.append(ink.text(x + width + 12, middle + 4.5, words, size=13.5, kind="ink figure"))
    return marks


def _chips(film: Film) -> list[str]:
    marks = [
        ink.rect(8 + 16.2 * n, 166, 14, 22, fill=each.srgb, radius=2, stroke=0.9)
        for n, each in enumerate(film.colours[:19])
    ]
    count = len(film.colours)
    noun = "colour" if count == 1 else "colours"
    marks.append(ink.text(8, 210, f"{count} {noun}; peels {film.peel}", size=14, kind="ink"))
    return marks
