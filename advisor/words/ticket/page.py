"""Ticket: a plan as one page to print for the person at the press, with nothing outside it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup

from advisor.artwork.records import Artwork
from advisor.job.records.plan import Plan, Run
from advisor.words.plan import (
    capital_words,
    cautions_last,
    cooling_words,
    joint_clause,
    piece_names,
    proof_words,
    step_settings,
    step_title,
)
from advisor.words.ticket.drawing import draw_preview, draw_section, safe_colour
from advisor.words.verdicts import SEVERITIES, VERDICTS, Shown, gathered, printable, with_names
from rules.catalogue import Catalogue, load_catalogue
from rules.facts.finding import Finding
from rules.facts.press import Press
from rules.facts.step import Step
from rules.facts.units import Units, both_degrees

__all__ = [
    "NO_PLAN", "STANDING_CAUTIONS", "caution_sentence", "page_from", "step_cards", "ticket_html",
]  # fmt: skip

TEMPLATES = Path(__file__).parent / "templates"

STANDING_CAUTIONS = (
    "The platen and whatever leaves it are hot: gloves on, children away, and never leave a closed "
    "press alone.",
    "Air the room: films that are overheated give off fumes. Smoke or a sharp smell means stop.",
    "The rules of your country and trade, the makers' instructions and the care label come first. "
    "This ticket is advice; it declares no garment safe or lawful, least of all for children.",
)
"""What every ticket says, whatever the rules found. Common practice, no source."""

NO_PLAN = {
    "impossible": Shown("■", "IMPOSSIBLE", "Not possible", "cannot be pressed as asked"),
    "unknown": Shown("▲", "UNDECIDED", "Not decided", "no answer was found in time"),
}


@dataclass(frozen=True, slots=True)
class _StepCard:
    n: int
    title: str
    settings: tuple[str, ...]
    why: str
    kind: str


def ticket_html(
    plan: Plan,
    artwork: Artwork | None = None,
    *,
    catalogue: Catalogue | None = None,
    date: str = "",
) -> str:
    """The job ticket: one HTML document with its styles and drawings inside.

    Args:
        plan: as planned; one that is impossible gets a ticket that says so.
        artwork: drawn as worn in the films' colours where it is given.
        date: printed as it is; left out when empty, so that the same plan gives the same ticket.

    Raises:
        UnknownNameError: the plan names a film, fabric or press that the catalogue lacks.

    >>> from advisor.job.records.plan import Proof
    >>> proof = Proof(optimal=True, bound=None, objective=None, measures=("cents",))
    >>> page = ticket_html(Plan(job="<crew>", artwork="kite", status="impossible",
    ...     verdict="stop", prefer="cheapest", press="clamshell-38x38", proof=proof))
    >>> "&lt;crew&gt;" in page, "<crew>" in page
    (True, False)
    """
    known = catalogue or load_catalogue()
    press = known.press(plan.press)
    names = piece_names(plan)
    findings, cautions = cautions_last(with_names(plan.findings, names))
    return page_from(
        "ticket.html.j2",
        plan=plan,
        press=press,
        date=date,
        verdict=NO_PLAN.get(plan.status, VERDICTS[plan.verdict]),
        verdict_kind=plan.verdict if plan.status == "planned" else "stop",
        severities=SEVERITIES,
        pieces=_pieces(plan, known),
        joints=[joint_clause(joint, names, Units()) for joint in plan.seen_joints],
        runs=[
            (
                run,
                _garments(plan, run),
                step_cards([s for s in plan.steps if s.run == run.run], names, press),
                cooling_words(run, Units()),
            )
            for run in plan.runs
        ],
        hottest=_hottest(plan),
        findings=gathered(findings),
        cautions=[caution_sentence(finding) for finding in cautions],
        standing=STANDING_CAUTIONS,
        proof=proof_words(plan.proof, plan.status, plan.prefer),
        preview=_preview(plan, artwork, known),
        section=_section(plan, known, names),
        quantity=plan.quantity,
    )


def page_from(template: str, **values: Any) -> str:
    """A page made of one of the ticket's templates."""
    environment = Environment(
        loader=FileSystemLoader(TEMPLATES),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_printable,
    )
    return environment.get_template(template).render(**values)


def _printable(value: Any) -> Any:
    """Text without the control characters that a page cannot show; Jinja escapes it after."""
    if isinstance(value, str) and not isinstance(value, Markup):
        return printable(value)
    return value


def _pieces(plan: Plan, known: Catalogue) -> list[dict[str, Any]]:
    shown = []
    for piece in sorted(plan.pieces, key=lambda piece: piece.rank):
        film = known.film(piece.film)
        sizes = dict.fromkeys(
            Units().size(size.width_mm, size.height_mm) for size in plan.print.piece(piece.id).sizes
        )
        shown.append(
            {
                "rank": piece.rank,
                "srgb": safe_colour(piece.srgb),
                "colour": piece.colour,
                "film": piece.film,
                "sizes": [*sizes, *filter(None, [capital_words(piece.capitals_mm).shown()])],
                "peel": film.peel,
                "mirror": "yes" if film.cut_mirrored else "no",
            }
        )
    return shown


def _garments(plan: Plan, run: Run) -> list[dict[str, Any]]:
    return [
        {
            "quantity": line.quantity,
            "garment": line.worn,
            "area": line.area,
            "size": Units().size(line.width_mm, line.height_mm),
            "minutes": f"{garment.minutes_each:.1f}",
        }
        for line, garment in zip(plan.lines_of(run), run.garments, strict=True)
    ]


def step_cards(steps: Sequence[Step], names: dict[str, str], press: Press) -> list[_StepCard]:
    """Steps as a ticket shows each: what to do, its settings, and why."""
    return [
        _StepCard(
            n=step.n,
            title=step_title(step, names),
            settings=step_settings(step, press, both=True),
            why=step.why,
            kind=step.purpose or step.action,
        )
        for step in steps
    ]


def caution_sentence(finding: Finding) -> str:
    """A standing caution in two sentences: what and where, then what to do."""
    return (
        f"{_capital(finding.message)} ({finding.where!s}). {_capital(finding.instead)} "
        f"[{finding.rule}]."
    )


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _hottest(plan: Plan) -> str:
    setpoints = [step.setpoint_c for step in plan.steps if step.setpoint_c is not None]
    return both_degrees(max(setpoints)) if setpoints else ""


def _preview(plan: Plan, artwork: Artwork | None, known: Catalogue) -> Markup:
    if artwork is None:
        return Markup("")
    # One for each colour of garment that the order has.
    grounds = dict.fromkeys(known.fabric(name).colour.srgb for name in _fabrics(plan))
    drawn = (draw_preview(plan, artwork, ground=ground) for ground in grounds or ("#ffffff",))
    return Markup("".join(drawn))


def _section(plan: Plan, known: Catalogue, names: dict[str, str]) -> Markup:
    fabrics = _fabrics(plan)
    if not fabrics:
        return Markup("")
    films = {piece.film: known.film(piece.film) for piece in plan.pieces}
    return Markup(draw_section(plan, films=films, names=names, fabric=known.fabric(fabrics[0])))


def _fabrics(plan: Plan) -> Sequence[str]:
    return tuple(dict.fromkeys(name for run in plan.runs for name in run.fabrics))
