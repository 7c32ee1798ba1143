"""Layers: the print of a plan pulled apart, cut through, and how its pieces meet."""

from __future__ import annotations

from itertools import pairwise

import streamlit as st
from shapely.geometry.base import BaseGeometry

from advisor.artwork.reader import Artwork
from advisor.cutting.separation import separate
from advisor.job.records.plan import Plan
from advisor.words.plan import joint_clause, piece_names
from advisor.words.plan_changes import fill_or_names
from rules.catalogue import Catalogue
from rules.facts.step import Meets
from ui.drawing.apart import layers_apart
from ui.drawing.section import section
from ui.drawing.texture import Coloured
from ui.session import catalogue, last_cover, units
from ui.show import drawing, sentences, values_table

__all__ = ["looks_of", "show_layers"]

MOST_SECTIONS = 3


def looks_of(plan: Plan, known: Catalogue) -> dict[str, Coloured]:
    """The film and colour of each piece, for the drawings."""
    return {
        piece.id: Coloured(known.film(piece.film), piece.colour)
        for piece in plan.pieces
        if piece.film in known.films
    }


def show_layers(plan: Plan, artwork: Artwork) -> None:
    """Layers apart, the deepest place cut through, and how the pieces meet."""
    fabric, looks = catalogue().fabric(plan.runs[0].fabrics[0]), looks_of(plan, catalogue())
    left, right = st.container(), st.container()
    with left:
        st.subheader("Layers pulled apart")
        drawing(
            layers_apart(artwork, plan, looks, fabric=fabric, shapes=_cut(plan, artwork)),
            "The layers over the fabric, the first that goes down lowest",
            most_px=760,
        )
    with right:
        st.subheader("Cut through")
        _sections(plan)
    names = piece_names(plan)
    if plan.seen_joints:
        st.subheader("How the pieces meet")
        sentences(f"{joint_clause(joint, names, units())}." for joint in plan.seen_joints)
    rows = []
    for piece in sorted(plan.pieces, key=lambda piece: piece.rank):
        printed = plan.print.piece(piece.id)
        width_mm, height_mm = printed.sizes[0].width_mm, printed.sizes[0].height_mm
        size = units().size(width_mm, height_mm)
        where = "the fabric" if piece.on_fabric else "other films"
        title = f"{piece.rank}. {names[piece.id]}"
        rows.append((title, size, f"for {fill_or_names(printed)}, on {where}"))
    values_table(
        "Pieces, in the order in which they go down", rows, heads=("Piece", "Largest", "Where")
    )


def _sections(plan: Plan) -> None:
    """The place where most films lie, and one for each of the first insets and butts."""
    looks, ways = looks_of(plan, catalogue()), {(j.upper, j.lower): j.meets for j in plan.joints}
    cover = last_cover(plan.steps)
    for stack in _places(plan):
        meets: list[Meets] = [ways.get((upper, lower), "lap") for lower, upper in pairwise(stack)]
        drawing(
            section(
                [looks[piece] for piece in stack],
                fabric=catalogue().fabric(plan.runs[0].fabrics[0]),
                meets=meets,
                cover=cover,
                units=units(),
            ),
            "Cut through " + ", then ".join(looks[piece].words for piece in stack),
            most_px=640,
        )


def _places(plan: Plan) -> list[tuple[str, ...]]:
    """Stacks worth a drawing, bottom first: the deepest, then where pieces are inset or butted."""
    stacks = [max(plan.stacks, key=len, default=())]
    for joint in plan.open_joints:
        below = next((s for s in plan.stacks if s[-1] == joint.lower), (joint.lower,))
        if joint.meets != "lap":
            stacks.append((*below, joint.upper))
    return list(dict.fromkeys(stacks))[:MOST_SECTIONS]


def _cut(plan: Plan, artwork: Artwork) -> dict[str, BaseGeometry]:
    ranks = {piece.id: piece.rank for piece in plan.pieces}
    made = separate(artwork, plan.joints, ranks=ranks, hidden=plan.hidden_pairs)
    return {piece.id: piece.shape for piece in made.pieces}
