"""Rule fumes: plastics that give off harmful fumes when they are overheated."""

from __future__ import annotations

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.subjects import Pressing
from rules.facts.units import show_c

__all__ = ["RULE"]

PVC_NOTE_C, PVC_SAMPLE_C = 160.0, 180.0
"""PVC gives off hydrogen chloride, fast from 160 to 180 °C; from memory."""

PTFE_SERVICE_C, PTFE_FUME_C = 260.0, 300.0
"""PTFE sheets are rated for use up to 260 °C (from memory) and give off fume from about 300 °C."""

PU_NOTE_C = 200.0
"""Polyurethane begins to break down from about 200 °C, isocyanates among what it gives off; from
memory."""


def _finds(job: Pressing) -> Found | None:
    hottest_c = job.hottest_c
    at = f"at {show_c(hottest_c)}"
    pvc = _made_of(job, "pvc") + [job.fabric.id] * (job.fabric.coating == "pvc")
    if pvc and hottest_c > PVC_NOTE_C:
        return Found(
            f"{', '.join(pvc)} contains PVC and is pressed {at}; overheated it gives off "
            f"hydrogen chloride, fast from {show_c(PVC_NOTE_C)} to {show_c(PVC_SAMPLE_C)}",
            at,
            severity="sample" if hottest_c > PVC_SAMPLE_C else "note",
            instead=f"press at or below {show_c(PVC_NOTE_C)}, take a film without PVC, and "
            "ventilate the room",
        )
    ptfe = [sheet.id for sheet in job.sheets if "ptfe" in sheet.thermal_material]
    if ptfe and hottest_c >= PTFE_SERVICE_C:
        return Found(
            f"{', '.join(ptfe)} is used {at}, the end of its range; PTFE gives off harmful fume "
            f"from about {show_c(PTFE_FUME_C)}",
            at,
            instead=f"stay below {show_c(PTFE_SERVICE_C)}, check the platen with a second "
            "thermometer, and ventilate the room",
        )
    polyurethane = _made_of(job, "polyurethane")
    if polyurethane and hottest_c > PU_NOTE_C:
        return Found(
            f"{', '.join(polyurethane)} is polyurethane and is pressed {at}, where it begins to "
            "break down",
            at,
            severity="note",
            instead=f"press at or below {show_c(PU_NOTE_C)} and ventilate the room",
        )
    return None


def _made_of(job: Pressing, material: str) -> list[str]:
    """The films of which face, adhesive or carrier is that material, by id, once each."""
    return list(
        dict.fromkeys(
            film.id
            for film in job.films
            for made_of in (film.face_material, film.adhesive_material, film.carrier_material)
            if made_of.startswith(material)
        )
    )


_PVC = {"films": [{"like": "matte-smooth", "face_material": "pvc-flexible"}]}

RULE = Rule(
    id="fumes",
    judges="safety",
    severity="sample",
    summary="No plastic under the platen is heated to where it gives off harmful fumes.",
    why="Hydrogen chloride and the fumes of PTFE and polyurethane harm lungs, and the first also "
    "rusts the press.",
    instead="press cooler, take another film, and ventilate the room; follow the safety data sheet "
    "and local workplace limits",
    basis="memory",
    source="decomposition temperatures from memory; follow the safety data sheets",
    good={**_PVC, "steps": [full("base", setpoint_c=160)]},
    bad={**_PVC, "steps": [full("base", setpoint_c=185)]},
    finds=_finds,
)
