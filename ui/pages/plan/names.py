"""Names: a list of names for the garments, set in a box on the artwork."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import streamlit as st

from advisor.artwork.reader import Artwork
from advisor.job.records.job import Names, Wish
from rules.facts.film import FINISHES
from ui.fields import choose, length_mm
from ui.order.record import NAMES_FILE, CustomerOrder
from ui.order.visit import generation
from ui.pages.plan.looks import colours_of
from ui.session import catalogue

__all__ = ["names_form"]

_HELP = "A name; after a comma how often; after another the garment, where there is more than one."


def names_form(order: CustomerOrder, artwork: Artwork) -> CustomerOrder:
    """Fields for the names, their look and their place; the order as it then stands."""
    key = str(generation())
    typed = st.text_area(
        "Names, one on each line", _listed(order.names), key=f"names-{key}", height=130,
        placeholder=_example(order), help=_HELP,
    )  # fmt: skip
    if not (typed or "").strip():
        return replace(order.changed(names=None), names="")
    text = order.names if typed == _listed(order.names) else _as_csv(typed or "")
    now = order.job.names or _usual(artwork)
    wish = _look(now.look, key)
    box = _box(now, artwork, key)
    names = now.model_copy(update={"look": wish, "box_mm": box})
    return replace(order.changed(names=names), names=text)


def _look(wish: Wish, key: str) -> Wish:
    left, right = st.columns(2)
    usual = wish.finish or "matte"
    finish = choose("Finish of the names", FINISHES, usual, key=f"names-finish-{key}", at=left)
    colours = colours_of(film for film in catalogue().films.values() if finish in film.finishes)
    if wish.colour and finish == usual and wish.colour not in colours:
        colours.append(wish.colour)
    colour = choose(
        "Colour of the names", colours, wish.colour if wish.colour in colours else "black",
        key=f"names-colour-{key}-{finish}", at=right,
    )  # fmt: skip
    if finish == usual and colour == wish.colour:
        return wish
    return Wish.model_validate({"finish": finish, "colour": colour})


def _example(order: CustomerOrder) -> str:
    garments = [line.garment for line in order.job.garments]
    if len(garments) < 2:
        return "Ana\nZoë, 2"
    return f"Ana, 1, {garments[0]}\nZoë, 2, {garments[-1]}"


def _usual(artwork: Artwork) -> Names:
    """A box over the artwork's lowest tenth, in the middle."""
    width, height = artwork.width_mm, artwork.height_mm
    return Names(
        file=NAMES_FILE,
        box_mm=(round(width / 4), round(height * 0.85), round(width / 2), round(height / 10) or 1),
        look=Wish(finish="matte", colour="white"),
        at_width_mm=artwork.width_mm,
    )


def _box(names: Names, artwork: Artwork, key: str) -> tuple[float, float, float, float]:
    labels = ("Box from the left", "Box from the top", "Box width", "Box height")
    sides = []
    for row in (0, 2):
        for place, n in zip(st.columns(2), (row, row + 1), strict=True):
            with place:
                sides.append(
                    length_mm(
                        labels[n], names.box_mm[n], key=f"box-{n}-{key}",
                        low_mm=-1500 if n < 2 else 1, high_mm=1500,
                    )
                )  # fmt: skip
    return (sides[0], sides[1], sides[2], sides[3])


def _listed(names: str) -> str:
    """The list as lines to type in: the name, and after a comma how often if not once."""
    if not names:
        return ""
    delimiter = max(",;\t", key=names.splitlines()[0].count)
    rows = csv.DictReader(io.StringIO(names), delimiter=delimiter)
    lines = []
    for row in rows:
        cells = {
            (name or "").strip().lower(): str(cell or "").strip() for name, cell in row.items()
        }
        parts = [cells.get("name", ""), cells.get("quantity", "") or "1", cells.get("size", "")]
        while len(parts) > 1 and parts[-1] in {"", "1"}:
            parts.pop()
        lines.append(", ".join(parts))
    return "\n".join(lines)


def _as_csv(typed: str) -> str:
    written = io.StringIO()
    table = csv.writer(written, lineterminator="\n")
    table.writerow(["name", "quantity", "size"])
    for line in typed.splitlines():
        parts = [part.strip() for part in line.split(",")]
        if parts[0]:
            table.writerow([parts[0], *parts[1:3]])
    return written.getvalue()
