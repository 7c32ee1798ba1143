"""Order ticket: a garment's prints, the order of places, the steps and who gets which, one page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from markupsafe import Markup

from advisor.artwork.records import Artwork, Piece
from advisor.cutting.records.cut import Lettering
from advisor.job.records.order_plan import LaidRun, OrderPlan, PlannedPrint
from advisor.job.records.print import NAMES_PIECE
from advisor.words.plan import (
    NO_ORDER,
    capital_words,
    cautions_last,
    has_no_order,
    order_proof_words,
    piece_names,
)
from advisor.words.ticket.drawing import draw_preview
from advisor.words.ticket.page import (
    NO_PLAN,
    STANDING_CAUTIONS,
    caution_sentence,
    page_from,
    step_cards,
)
from advisor.words.verdicts import SEVERITIES, VERDICTS, gathered, with_names
from rules.catalogue import Catalogue, load_catalogue
from rules.facts.text import and_list
from rules.facts.units import Units

__all__ = ["order_ticket_html"]

Drawn = Mapping[str, tuple[Artwork, Sequence[Lettering]]]
"""By print: its artwork, and the letters that are set on it."""


@dataclass(frozen=True, slots=True)
class _Stretch:
    """The steps of the prints that are pressed together on a run's garments."""

    title: str
    steps: Sequence[Any]


def order_ticket_html(
    plan: OrderPlan, drawn: Drawn, *, catalogue: Catalogue | None = None, date: str = ""
) -> str:
    """The ticket of an order: one HTML document with its styles and drawings inside.

    Args:
        drawn: what each print looks like, for its picture.
        date: printed as it is; left out when empty, so that the same plan gives the same ticket.

    Raises:
        UnknownNameError: the plan names a film, fabric or press that the catalogue lacks.
    """
    known = catalogue or load_catalogue()
    whole, names = plan.whole, piece_names(plan.whole)
    findings, cautions = cautions_last(with_names(whole.findings, names))
    return page_from(
        "order.html.j2",
        plan=whole,
        date=date,
        press=known.press(whole.press),
        verdict=NO_ORDER
        if has_no_order(plan)
        else NO_PLAN.get(whole.status, VERDICTS[whole.verdict]),
        verdict_kind=whole.verdict if whole.status == "planned" else "stop",
        severities=SEVERITIES,
        quantity=whole.quantity,
        prints=[_print(plan, one, drawn, known) for one in plan.prints],
        runs=[_run(plan, laid, names, known) for laid in plan.laid if whole.steps],
        people=_people(plan),
        findings=gathered(findings),
        cautions=[caution_sentence(finding) for finding in cautions],
        standing=STANDING_CAUTIONS,
        proof=order_proof_words(plan),
    )


def _print(plan: OrderPlan, one: PlannedPrint, drawn: Drawn, known: Catalogue) -> dict[str, Any]:
    fabrics = dict.fromkeys(line.fabric for line in one.plan.print.lines)
    grounds = dict.fromkeys(known.fabric(name).colour.srgb for name in fabrics)
    artwork, letters = drawn[one.id]
    shown = artwork if not letters else _lettered(artwork, letters)
    pictures = [draw_preview(one.plan, shown, ground=ground) for ground in grounds]
    lines = plan.whole.print.lines
    return {
        "id": one.id,
        "what": f"lettering of {one.lettering}" if one.lettering else one.plan.artwork,
        "high": capital_words(mm for piece in one.plan.pieces for mm in piece.capitals_mm).shown(),
        "example": letters[0].name if letters else "",
        "picture": Markup("".join(pictures)),
        "films": [
            (f"{piece.colour} {piece.film}", known.film(piece.film).peel)
            for piece in sorted(one.plan.pieces, key=lambda piece: piece.rank)
        ],
        "lies": [
            (
                lines[lies.line].worn if lines else "",
                Units().size(lies.width_mm, lies.height_mm),
                lies.where.shown(),
            )
            for lies in one.lies
        ],
    }


def _lettered(artwork: Artwork, letters: Sequence[Lettering]) -> Artwork:
    """The artwork with one person's letters on it."""
    shape = letters[0].shape
    piece = Piece(
        id=NAMES_PIECE, fill="#000000", opacity=1.0, shape=shape, visible=shape,
        order=len(artwork.pieces),
    )  # fmt: skip
    return Artwork(artwork.name, artwork.width_mm, artwork.height_mm, (*artwork.pieces, piece))


def _run(plan: OrderPlan, laid: LaidRun, names: dict[str, str], known: Catalogue) -> dict[str, Any]:
    whole = plan.whole
    press = known.press(whole.press)
    run = next(run for run in whole.runs if run.run == laid.run)
    starts = sorted(set(laid.first_n))
    stretches = []
    for at, first_n in enumerate(starts):
        until_n = starts[at + 1] if at + 1 < len(starts) else float("inf")
        steps = [s for s in whole.steps if s.run == laid.run and first_n <= s.n < until_n]
        together = [p for p, n in zip(laid.prints, laid.first_n, strict=True) if n == first_n]
        stretches.append(_Stretch(and_list(together), step_cards(steps, names, press)))
    return {
        "run": run,
        "garments": [(line.quantity, line.worn) for line in whole.lines_of(run)],
        "order": ", then ".join(stretch.title for stretch in stretches),
        "why": laid.why.shown(Units(), names),
        "stretches": stretches,
        "minutes": f"{laid.seconds_each / 60:.1f}",
    }


def _people(plan: OrderPlan) -> dict[str, Any]:
    """Who gets which, in the order in which the garments are pressed, with all that a row says."""
    lettered = {one.lettering for one in plan.prints}
    told = [
        column
        for column in (plan.people[0].says if plan.people else ())
        if column not in lettered and column not in ("garment", "colour", "quantity")
    ]
    rows = [
        (
            one.row or "",
            one.quantity,
            one.worn,
            [one.gets.get(column, "–") for column in plan.lettered],
            [one.says.get(column, "") for column in told],
        )
        for one in plan.press_list()
    ]
    return {"prints": plan.lettered, "columns": told, "rows": rows if plan.people else []}
