"""Rule preheat-dry: the bare garment is pressed dry and flat before the first film."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, preheat
from rules.facts.finding import Severity
from rules.facts.moisture import preheat_s
from rules.facts.practice import LEAST_PREHEAT_S, LONGEST_PREHEAT_S
from rules.facts.subjects import GarmentOnPress
from rules.facts.units import show_s

__all__ = ["RULE"]

DRY_FABRIC_PCT = 1.0
"""Moisture regain under which there is little to drive out, percent: polyester holds 0.4 (ASTM
D1909, from memory)."""

SHORT_SHARE = 0.5
"""Share of the usual preheat below which it is short. Common practice, no source."""


_SCORCHES_FROM_S: tuple[tuple[float, Severity], ...] = ((120.0, "stop"), (30.0, "sample"))
"""Seconds of preheat from which the bare fabric is scorched, glazed or shrunk, and from which it
may be. Common practice, no source."""


def _finds(job: GarmentOnPress) -> Found | None:
    actions = [step.action for step in job.steps]
    if "press" not in actions:
        return None
    before = job.steps[: actions.index("press")]
    dwell_s = sum(step.dwell_s or 0.0 for step in before if step.action == "preheat")
    fabric, where = job.garment.fabric, job.garment.id
    usual_s = preheat_s(fabric)
    least_s = max(LEAST_PREHEAT_S, SHORT_SHARE * usual_s)
    holds = f"{fabric.id} holds {fabric.water_gsm:.1f} g of water per m²"
    if dwell_s <= 0:
        return Found(
            f"the first film goes down without a preheat; {holds}",
            where,
            severity="note" if fabric.holds_water_pct < DRY_FABRIC_PCT else "sample",
            instead=f"press the bare garment {show_s(usual_s)} first",
        )
    if dwell_s < least_s:
        return Found(
            f"{dwell_s:g} s of preheat is short; {holds}",
            where,
            severity="note",
            instead=f"preheat about {show_s(usual_s)}",
        )
    if dwell_s > LONGEST_PREHEAT_S:
        scorched = next((worse for from_s, worse in _SCORCHES_FROM_S if dwell_s >= from_s), None)
        return Found(
            f"{dwell_s:g} s of preheat is more than drying needs; {holds}",
            where,
            severity=scorched or "note",
            instead=f"preheat about {show_s(usual_s)}",
        )
    return None


RULE = Rule(
    id="preheat-dry",
    judges="garment",
    severity="stop",
    summary="The bare garment is preheated before the first film.",
    why="Damp turns to steam under the film and keeps it from bonding; creases stay in the print, "
    "and a fabric that shrinks under the film puckers it.",
    instead="press the bare garment about 4 s first",
    basis="practice",
    source="common practice, no source",
    good={"garment": "adult-tee", "steps": [preheat(), full("base")]},
    bad={"garment": "adult-tee", "steps": [full("base")]},
    finds=_finds,
)
