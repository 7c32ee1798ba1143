"""Plan in words: its pieces, joints, steps, runs, proof and cautions as one reads them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from collections.abc import Set as AbstractSet

from advisor.job.records.order_plan import OrderPlan
from advisor.job.records.plan import Plan, PlannedJoint, PlannedPiece, Proof, Run
from advisor.layering.records.problem import NEAR_ENOUGH_DELTA_E
from advisor.words.verdicts import Shown, with_names
from rules.facts.finding import Finding
from rules.facts.meeting import MEETING_WORDS
from rules.facts.press import Press
from rules.facts.step import Inside, Step
from rules.facts.text import Text, and_list
from rules.facts.units import Quantity, Units, both_degrees
from rules.rulebook import rulebook

__all__ = [
    "INSIDE_WORDS",
    "NO_ORDER",
    "capital_words",
    "cautions_last",
    "cooling_words",
    "findings_on_card",
    "has_no_order",
    "joint_clause",
    "names_on_card",
    "order_proof_words",
    "piece_names",
    "proof_in_short",
    "proof_words",
    "ran_out",
    "run_words",
    "short_title",
    "step_settings",
    "step_title",
]  # fmt: skip


NO_ORDER = Shown(
    "▲", "NO ORDER FOUND", "No order found", "no order of places was found that harms no print"
)
"""What an order of several prints is called that was put in no order."""


def piece_names(plan: Plan) -> dict[str, str]:
    """What each piece is called at the press: its colour and film, and what the job calls it.

    Where two then agree, the id stands behind. A piece that got no film is called by its fill.

    >>> from advisor.job.records.plan import RefusedFilm
    >>> from rules.facts.text import Text
    >>> no = RefusedFilm(piece="fill-1b3a5c", film="flock-plush", rule="r", message=Text(),
    ...     instead=Text())
    >>> made = Plan(job="crew", artwork="kite", status="impossible", verdict="stop",
    ...     prefer="durable", press="clamshell-38x38", refused=(no,),
    ...     proof=Proof(optimal=True, bound=None, objective=None, measures=()))
    >>> piece_names(made)
    {'fill-1b3a5c': '#1b3a5c'}
    """
    fills = {entry.piece: _fill_of(entry.piece) for entry in plan.refused}
    plain = {piece.id: _plain_name(piece) for piece in plan.pieces}
    called = list(plain.values())
    of_print = [(name, _print_of(piece)) for piece, name in plain.items()]

    def name_of(piece: str, name: str) -> str:
        if called.count(name) == 1:
            return name
        alone = of_print.count((name, _print_of(piece))) == 1
        return f"{name} ({_print_of(piece) if alone else piece})"

    return fills | {piece: name_of(piece, name) for piece, name in plain.items()}


def names_on_card(plan: Plan) -> dict[str, str]:
    """What findings call pieces and steps beside a press card, on which steps bear no numbers."""
    names = piece_names(plan)
    called = dict(names)
    for run in plan.runs:
        whose = ""
        if len(plan.runs) > 1:
            whose = f" for {and_list(line.garment or line.fabric for line in plan.lines_of(run))}"
        down: set[str] = set()
        for step in plan.steps:
            if step.run == run.run:
                called[f"step {step.n}"] = _on_card(step, down, names) + whose
                down |= set(step.pieces)
    return called


def _on_card(step: Step, down: AbstractSet[str], names: Mapping[str, str]) -> str:
    """A step by what its line of the card begins with; ``down`` is what lies there before."""
    if step.action not in {"peel", "press"}:
        return f"the {'dial' if step.action == 'setpoint' else step.action}"
    new = [piece for piece in step.pieces if piece not in down]
    films = and_list(names.get(piece, piece) for piece in new or step.pieces)
    if step.action == "peel":
        return f"the peel of {films or step.cover}"
    if new:
        return f"the press of {films}"
    return "the final press" if down == {*step.pieces} else f"the final press of {films}"


def findings_on_card(plan: Plan) -> tuple[list[Finding], list[Finding]]:
    """What stands below a press card: the findings, and the cautions apart."""
    return cautions_last(with_names(plan.findings, names_on_card(plan)))


def _plain_name(piece: PlannedPiece) -> str:
    name = f"{piece.colour} {piece.film}"
    return f"{name} ({piece.called})" if piece.called else name


def capital_words(capitals_mm: Iterable[float]) -> Text:
    """How high letters are cut, by their capitals, as the trade measures them; or nothing.

    Each height once, in the order in which they are given.

    >>> str(capital_words((50.0, 50.0))), str(capital_words((24.4, 50.0))), str(capital_words(()))
    ('capitals or digits 50 mm high', 'capitals or digits 24 and 50 mm high', '')
    """
    high = tuple(dict.fromkeys(round(mm) for mm in capitals_mm))
    return Text(f"capitals or digits {Quantity('length', high, ' and ')} high" if high else "")


def _print_of(piece: str) -> str:
    """The print that a piece belongs to, where a garment has several; else the piece itself."""
    return piece.rpartition("/")[0] or piece


def _fill_of(piece: str) -> str:
    """The fill that a piece's id holds, with its number where one fill makes several pieces."""
    if not piece.startswith("fill-"):
        return piece
    fill, _, number = piece.removeprefix("fill-").partition("-")
    return f"#{fill}" + (f" (number {number})" if number else "")


def joint_clause(joint: PlannedJoint, names: Mapping[str, str], units: Units) -> str:
    """A joint in one clause, with the width of its rim or gap."""
    upper, lower = names[joint.upper], names[joint.lower]
    clause = MEETING_WORDS[joint.meets].clause.format(upper=upper, lower=lower)
    if joint.trap_mm:
        clause += f" by {units.length(joint.trap_mm)}"
    if joint.gap_mm:
        clause += f", {units.length(joint.gap_mm)} apart"
    return clause


INSIDE_WORDS: dict[Inside, str] = {
    "lining": "draw the lining off the platen",
    "sheet": "lay a cover sheet inside the garment",
}
"""What is done inside a garment before it is preheated, in a few words."""


def step_title(step: Step, names: Mapping[str, str]) -> str:
    """What is done in a step, as an instruction.

    >>> step_title(Step(n=1, action="peel", pieces=("base",), peel="hot"), {"base": "navy matte"})
    'Peel navy matte hot'
    >>> step_title(Step(n=2, action="peel", cover="ptfe-cover"), {})
    'Lift ptfe-cover off'
    """
    pieces = and_list([names.get(piece, piece) for piece in step.pieces])
    match step.action:
        case "setpoint":
            return "Set the dial"
        case "pressure":
            return "Set the pressure"
        case "preheat" if step.inside:
            first = and_list([INSIDE_WORDS[one] for one in step.inside])
            return f"{first[0].upper()}{first[1:]}, then preheat it"
        case "preheat":
            return "Preheat the garment"
        case "press" if step.purpose == "tack":
            return f"Tack {pieces}"
        case "press":
            return f"Full press of {pieces}" if pieces else "Full press"
        case "peel" if not step.pieces:
            return f"Lift {step.cover} off" if step.cover else "Lift the cover off"
        case "peel":
            return f"Peel {pieces} {step.peel or ''}".rstrip()
        case "wait" if step.off_press:
            return "Slide it off the press and let it cool"
        case "wait":
            return "Wait with the press open"
        case "pad":
            return "Take the pad out" if step.pad == "out" else f"Put {step.pad} under the print"
        case "turn" if step.lays:
            return f"Lay it with the {step.lays} up"
        case "turn":
            return "Open the garment and lay it flat"


def short_title(step: Step, names: Mapping[str, str]) -> str:
    """`step_title`, where three films or more are counted instead of named.

    >>> films = {"sky": "navy matte", "sun": "gold sparkle", "moon": "white matte"}
    >>> short_title(Step(n=1, action="press", purpose="full", pieces=tuple(films)), films)
    'Full press of all films'
    """
    if len(step.pieces) < FEW_NAMED:
        return step_title(step, names)
    all_of_them = set(step.pieces) >= set(names)
    counted = "all films" if all_of_them else f"{len(step.pieces)} films"
    return step_title(step.model_copy(update={"pieces": (counted,)}), {counted: counted})


FEW_NAMED = 3
"""From so many films on a short title counts them."""


def step_settings(
    step: Step, press: Press | None = None, *, units: Units | None = None, both: bool = False
) -> tuple[str, ...]:
    """The settings of a step: temperature, seconds, pressure, what lies over the print.

    Args:
        press: how the pressure is set on this press is said only when it is known.
        both: temperatures in both degrees, for a ticket that any dial may meet.

    >>> step_settings(Step(n=1, action="press", purpose="tack", setpoint_c=160, dwell_s=2))
    ('160 °C', '2 s')
    """
    shown = units or Units()
    settings = []
    if step.setpoint_c is not None:
        settings.append(
            both_degrees(step.setpoint_c) if both else shown.temperature(step.setpoint_c)
        )
    if step.dwell_s is not None:
        settings.append(shown.time(step.dwell_s))
    if step.pressure_kpa is not None:
        kpa = f"{step.pressure_kpa:.0f} kPa"
        settings.append(f"{press.pressure_words(step.pressure_kpa)} ({kpa})" if press else kpa)
    if step.action == "turn" and step.cover:
        settings.append(f"{step.cover} under it")
    if step.action in {"press", "preheat"} and step.cover:
        settings.append(f"under {step.cover}")
    return tuple(settings)


def cooling_words(run: Run, units: Units) -> str:
    """How many garments of a run cool off the press at a time; nothing where none does.

    >>> from advisor.job.records.plan import RunGarment
    >>> garments = (RunGarment(line=0, minutes_each=1.5, cost_each=3),)
    >>> fabrics = ("cotton-jersey-tee",)
    >>> cools = Run(run=1, fabrics=fabrics, garments=garments, cools_s=60, cooling=1)
    >>> cooling_words(cools, Units())
    'Off the press about 1 garment cools at a time; each is finished 2 min 30 s after it is begun.'
    >>> cooling_words(Run(run=1, fabrics=fabrics, garments=garments), Units())
    ''
    """
    if not run.cooling:
        return ""
    garments = "1 garment cools" if run.cooling == 1 else f"{run.cooling} garments cool"
    told = f"Off the press about {garments} at a time"
    if run.batched:
        # Each then waits for the rest of the run: none is finished so long after it is begun.
        return f"{told}."
    finished_s = 60 * run.garments[0].minutes_each + run.cools_s
    return f"{told}; each is finished {units.time(finished_s)} after it is begun."


def run_words(plan: Plan, run: Run, units: Units) -> str:
    """The garments of a run: how many of which, and how wide the print is on each."""
    return and_list(
        [
            f"{line.quantity} × {line.worn} ({line.area}"
            # Several prints on a garment are each of their own width.
            + ("" if ", " in f"{line.area}" else f", print {units.length(line.width_mm)} wide")
            + ")"
            for line in plan.lines_of(run)
        ]
    )


MEASURE_WORDS = {
    "samples": "fewest samples to press first",
    "weak": "fewest edges weaker than a lap",
    "cents": "lowest cost",
    "thickness_um": "least thickness",
    "seconds": "shortest time",
}


MEASURED_IN = {
    "samples": "samples",
    "weak": "edges weaker than a lap (butts count twice)",
    "cents": "a garment",
    "thickness_um": "µm",
    "seconds": "s at the press",
}


NEAR = f"ΔE {NEAR_ENOUGH_DELTA_E:g}"
"""How much farther than the nearest a film's colour may be from the one wanted to be weighed."""


def ran_out(made: Plan) -> bool:
    """Whether looking longer might find a better plan, or a plan at all."""
    proof = made.proof
    return not proof.optimal and proof.bound != proof.objective


def proof_words(proof: Proof, status: str, prefer: str) -> str:
    """How sure it is that no better plan exists.

    >>> proof = Proof(optimal=True, bound=(0,), objective=(0,), measures=("cents",))
    >>> proof_words(proof, "planned", "cheapest")
    'proved to be the best of films within ΔE 5 of the nearest colour (cheapest: lowest cost)'
    """
    if status == "unknown":
        return "time ran out before an answer was found; that is not to say that there is none"
    if status == "impossible":
        proved = "proved: no choice of films near in colour can be pressed"
        return proved if proof.optimal else "no choice found; unproven"
    measured = ", then ".join(MEASURE_WORDS.get(name, name) for name in proof.measures)
    by = f"({prefer}: {measured})"
    if proof.optimal:
        return f"proved to be the best of films within {NEAR} of the nearest colour {by}"
    return f"the best found so far; not proven to be the best {by}{_not_ruled_out(proof)}"


def proof_in_short(plan: Plan) -> str:
    """The same in a line, without the measures where it is proved."""
    if plan.status == "planned" and plan.proof.optimal:
        return f"proved to be the best of films near in colour ({plan.prefer} first)"
    return proof_words(plan.proof, plan.status, plan.prefer)


def has_no_order(order: OrderPlan) -> bool:
    """Whether each print can be pressed alone, and no order of their places was found."""
    return order.whole.status == "unknown" and all(
        one.plan.status == "planned" for one in order.prints
    )


def order_proof_words(order: OrderPlan) -> str:
    """How sure it is that no better plan of several prints exists: each is proved by itself."""
    whole = order.whole
    if has_no_order(order):
        return "that there is none is not proved"
    if whole.status == "planned" and all(one.plan.proof.optimal for one in order.prints):
        each = (
            "each print has the films that are proved best for it alone, of those near in colour; "
            "the order of places is the best for these"
        )
        if len(order.prints) == 1:
            return each
        return f"{each}; that other films together are not cheaper or quicker is not proved"
    return proof_words(whole.proof, whole.status, whole.prefer)


def _not_ruled_out(proof: Proof) -> str:
    """By how much a plan could still be better, from the measure that counts most."""
    if proof.bound is None or proof.objective is None:
        return ""
    for name, least, reached in zip(proof.measures, proof.bound, proof.objective, strict=True):
        if least < reached:
            less, this = (
                f"{value / 100:.2f}" if name == "cents" else value for value in (least, reached)
            )
            return f"; {less} instead of {this} {MEASURED_IN[name]} is not ruled out"
    return "; fewer samples asked for by the press steps alone are not ruled out"


def cautions_last(findings: Iterable[Finding]) -> tuple[list[Finding], list[Finding]]:
    """Findings on this print, and apart from them the standing cautions of the safety rules.

    A safety rule that asks for more than a note stays among the findings.
    """
    safety = {rule.id for rule in rulebook().by_judged["safety"]}
    everything = list(findings)
    cautions = [f for f in everything if f.rule in safety and f.severity == "note"]
    return [f for f in everything if f not in cautions], cautions
