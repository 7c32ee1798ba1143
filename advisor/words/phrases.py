"""Phrases: a plan's verdict, pieces, joints, steps and proof as a person at the press says them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from advisor.job.records.plan import Plan, PlannedJoint, Proof, Run
from advisor.words.reasons import and_list
from rules.facts.finding import Finding
from rules.facts.press import Press
from rules.facts.step import Meets, Step
from rules.facts.units import c_to_f, show_c, show_mm, show_s
from rules.rulebook import rulebook

__all__ = [
    "SEVERITY_WORDS", "VERDICT_WORDS", "Shown", "Units", "both_degrees", "cautions_last",
    "gathered", "in_fahrenheit", "named", "piece_names", "printable", "proof_said", "ran_out",
    "renamed", "run_said", "said_joint", "said_meeting", "step_settings", "step_title",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shown:
    """A verdict or a severity as it is shown: a shape, a word and what the word means."""

    shape: str
    word: str
    meaning: str


VERDICT_WORDS: Mapping[str, Shown] = {
    "go": Shown("●", "GO", "press it"),
    "sample": Shown("▲", "SAMPLE FIRST", "press a sample and wash it before the order"),
    "stop": Shown("■", "STOP", "do not press this"),
}
"""What each verdict is called; the shape tells it apart where colour cannot."""

SEVERITY_WORDS: Mapping[str, Shown] = {
    "stop": Shown("■", "stop", "do not press"),
    "sample": Shown("▲", "sample", "press a sample and wash it first"),
    "note": Shown("○", "note", "worth knowing"),
}
"""What each severity is called, with the same shapes."""

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

_DEGREES = re.compile(
    r"(?P<by>± ?|steps of )?(?P<low>-?\d+(?:\.\d+)?)(?:(?P<to> to |–)(?P<high>-?\d+(?:\.\d+)?))? °C"
)


@dataclass(frozen=True, slots=True)
class Units:
    """The units that the person reads.

    >>> Units(fahrenheit=True).temperature(160), Units(inches=True).length(254)
    ('320 °F', '10 in')
    """

    fahrenheit: bool = False
    inches: bool = False

    def temperature(self, celsius: float) -> str:
        """A temperature as the dial shows it."""
        return show_c(celsius, fahrenheit=self.fahrenheit)

    def length(self, millimetres: float) -> str:
        """A length as the ruler shows it."""
        return show_mm(millimetres, inches=self.inches)

    def sentence(self, text: str) -> str:
        """A sentence with its temperatures in the person's degrees."""
        return in_fahrenheit(text) if self.fahrenheit else text


def in_fahrenheit(text: str) -> str:
    """A sentence with its °C in °F; differences are scaled without the offset.

    >>> in_fahrenheit("160 °C: both take 155 to 165 °C, ± 5 °C")
    '320 °F: both take 311 to 329 °F, ± 9 °F'
    """

    def turned(match: re.Match[str]) -> str:
        by, low, high = match["by"], float(match["low"]), match["high"]
        degrees = (lambda c: c * 9 / 5) if by else c_to_f
        shown = f"{degrees(low):.0f}"
        if high is not None:
            shown += f"{match['to']}{degrees(float(high)):.0f}"
        return f"{by or ''}{shown} °F"

    return _DEGREES.sub(turned, text)


def printable(text: str) -> str:
    """Text whose control characters are question marks, safe for a terminal and for a page.

    >>> printable("kite\\x1b[31m")
    'kite?[31m'
    """
    return "".join(c if c.isprintable() or c == "\n" else "?" for c in text)


def both_degrees(celsius: float) -> str:
    """A temperature for any dial.

    >>> both_degrees(160)
    '160 °C / 320 °F'
    """
    return f"{show_c(celsius)} / {show_c(celsius, fahrenheit=True)}"


def piece_names(plan: Plan) -> dict[str, str]:
    """What each piece is called at the press: its colour and film, and its id where two agree.

    A piece that got no film is called by its fill in the artwork.

    >>> from advisor.job.records.plan import RefusedFilm
    >>> no = RefusedFilm(piece="fill-1b3a5c", film="flock-plush", rule="r", message="", instead="")
    >>> made = Plan(job="crew", artwork="kite", status="impossible", verdict="stop",
    ...     prefer="durable", press="clamshell-38x38", refused=(no,),
    ...     proof=Proof(optimal=True, bound=None, objective=None, measures=()))
    >>> piece_names(made)
    {'fill-1b3a5c': '#1b3a5c'}
    """
    fills = {entry.piece: _fill_of(entry.piece) for entry in plan.refused}
    plain = {piece.id: f"{piece.colour} {piece.film}" for piece in plan.pieces}
    called = list(plain.values())
    return fills | {
        piece: name if called.count(name) == 1 else f"{name} ({piece})"
        for piece, name in plain.items()
    }


def _fill_of(piece: str) -> str:
    """The fill that a piece's id tells, with its number where one fill makes several pieces."""
    told = re.fullmatch(r"fill-([0-9a-f]{6})(?:-(\d+))?", piece)
    if told is None:
        return piece
    return f"#{told[1]}" + (f" (number {told[2]})" if told[2] else "")


def said_meeting(upper: str, lower: str, meets: Meets) -> str:
    """How two pieces meet, in one clause; ``upper`` is the one in front.

    >>> said_meeting("gold", "navy", "lap")
    'gold laps over navy, which lies whole under it'
    """
    return {
        "lap": f"{upper} laps over {lower}, which lies whole under it",
        "inset-over": f"{upper} lies in a window cut in {lower}, its rim over the edge",
        "inset-under": (
            f"{upper} goes down first; {lower} is cut with a window whose rim laps over its edge"
        ),
        "butt": f"{upper} and {lower} meet edge to edge",
    }[meets]


def said_joint(
    joint: PlannedJoint, names: Mapping[str, str], units: Units, *, hidden: bool = False
) -> str:
    """A joint in one clause, with the width of its rim or gap."""
    upper, lower = names[joint.upper], names[joint.lower]
    if hidden:
        return f"{upper} and {lower} overlap only under another piece; both stay whole"
    said = said_meeting(upper, lower, joint.meets)
    if joint.trap_mm:
        said += f" by {units.length(joint.trap_mm)}"
    if joint.gap_mm:
        said += f", {units.length(joint.gap_mm)} apart"
    return said


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
        case "wait":
            return "Wait with the press open"
        case "pad":
            return "Take the pad out" if step.pad == "out" else f"Put {step.pad} under the print"
        case "turn":
            return "Open the garment and lay it flat"


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
        settings.append(show_s(step.dwell_s))
    if step.pressure_kpa is not None:
        kpa = f"{step.pressure_kpa:.0f} kPa"
        settings.append(f"{press.pressure_words(step.pressure_kpa)} ({kpa})" if press else kpa)
    if step.action == "press" and step.cover:
        settings.append(f"under {step.cover}")
    return tuple(settings)


def run_said(plan: Plan, run: Run, units: Units) -> str:
    """The garments of a run: how many of which, and how wide the print is on each."""
    return and_list(
        [
            f"{line.quantity} × {line.garment} ({line.area}, print "
            f"{units.length(line.width_mm)} wide)"
            for line in plan.lines_of(run)
        ]
    )


def ran_out(made: Plan) -> bool:
    """Whether looking longer might find a better plan, or a plan at all."""
    proof = made.proof
    return not proof.optimal and proof.bound != proof.objective


def proof_said(proof: Proof, status: str, prefer: str) -> str:
    """How sure it is that no better plan exists.

    >>> proof = Proof(optimal=True, bound=(0,), objective=(0,), measures=("cents",))
    >>> proof_said(proof, "planned", "cheapest")
    'proved to be the best (cheapest: lowest cost)'
    """
    if status == "unknown":
        return "time ran out before an answer was found; that is not to say that there is none"
    if status == "impossible":
        return "proved: no choice can be pressed" if proof.optimal else "no choice found; unproven"
    measured = ", then ".join(MEASURE_WORDS.get(name, name) for name in proof.measures)
    by = f"({prefer}: {measured})"
    if proof.optimal:
        return f"proved to be the best {by}"
    return f"the best found so far; not proven to be the best {by}{_not_ruled_out(proof)}"


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


def gathered(findings: Iterable[Finding]) -> list[tuple[Finding, str]]:
    """Findings that say the same of several places made one, with every place named.

    >>> said = [Finding(rule="hot-surface", severity="note", where=where, message="hot",
    ...                 why="burns", instead="gloves", basis="practice")
    ...         for where in ("step 1", "step 4")]
    >>> [where for _, where in gathered(said)]
    ['step 1, step 4']
    """
    alike: dict[tuple[str, ...], list[Finding]] = {}
    for finding in findings:
        key = (finding.rule, finding.severity, finding.message, finding.why, finding.instead)
        alike.setdefault(key, []).append(finding)
    return [
        (group[0], ", ".join(dict.fromkeys(finding.where for finding in group)))
        for group in alike.values()
    ]


def named(findings: Iterable[Finding], names: Mapping[str, str]) -> list[Finding]:
    """Findings that call pieces as the person at the press does, instead of by their ids.

    >>> said = Finding(rule="colour-match", severity="note", where="fill-2a9d8f", message="off",
    ...                why="seen", instead="ask", basis="practice")
    >>> named([said], {"fill-2a9d8f": "sea-green matte-thin"})[0].where
    'sea-green matte-thin'
    """
    return [
        finding.model_copy(
            update={
                "where": renamed(finding.where, names),
                "message": renamed(finding.message, names),
                "instead": renamed(finding.instead, names),
            }
        )
        for finding in findings
    ]


def renamed(text: str, names: Mapping[str, str]) -> str:
    """A sentence that calls pieces by their names instead of by their ids.

    >>> renamed("sparkle-fine (fill-f2c14e) bears 42 s", {"fill-f2c14e": "gold sparkle-fine"})
    'gold sparkle-fine bears 42 s'
    """
    if not names:
        return text
    ids = "|".join(re.escape(piece) for piece in sorted(names, key=len, reverse=True))
    # A rule names a piece by its film with the id after it; the name holds the film already.
    pattern = re.compile(
        rf"(?<![\w-])(?:(?P<film>[\w-]+) \((?P<held>{ids})\)|(?P<alone>{ids}))(?![\w-])"
    )

    def name(match: re.Match[str]) -> str:
        if match["alone"]:
            return names[match["alone"]]
        called = names[match["held"]]
        return called if match["film"] in called.split() else f"{match['film']} ({called})"

    return pattern.sub(name, text)
