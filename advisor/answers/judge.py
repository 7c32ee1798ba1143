"""Judge: every rule on one print as it lies and as it is pressed, planned or typed alike."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from advisor.job.records.print import Contact
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import Finding, worst_first
from rules.facts.garment import Wearer
from rules.facts.schedule import Schedule
from rules.facts.sheet import Sheet
from rules.facts.step import Step
from rules.facts.subjects import (
    ArtworkPiece,
    BondLine,
    FilmOnFabric,
    FilmOnFilm,
    GarmentOnPress,
    Joint,
    Pressing,
    Stack,
)
from rules.rulebook import Rulebook

__all__ = ["Print", "judge_print", "sheets_used"]


@dataclass(frozen=True, slots=True)
class Print:
    """One print on one fabric, with everything that the rules look at.

    Attributes:
        contacts: which film lies on which, in the order they are pressed.
        on_fabric: pieces that lie straight on the fabric.
        stacks: films over one another at the deepest and at the thickest place, bottom first.
        garments: each garment of the run on the press; empty for a typed stack.
        bond_lines: what the heat simulation saw; empty where it was not asked.
    """

    schedule: Schedule
    colours: Mapping[str, Colour | None]
    contacts: tuple[Contact, ...]
    on_fabric: tuple[str, ...]
    stacks: tuple[tuple[Film, ...], ...]
    joints: tuple[Joint, ...] = ()
    artwork: tuple[ArtworkPiece, ...] = ()
    garments: tuple[GarmentOnPress, ...] = ()
    bond_lines: tuple[BondLine, ...] = ()
    wearer: Wearer = "adult"
    nightwear: bool = False


def judge_print(print_: Print, rules: Rulebook) -> tuple[Finding, ...]:
    """What every rule finds, most serious first, each finding once."""
    schedule = print_.schedule
    films, fabric = schedule.films, schedule.fabric
    findings = rules.judge(
        *(
            FilmOnFabric(
                film,
                fabric,
                touches=piece in print_.on_fabric,
                colour=print_.colours.get(piece),
            )
            for piece, film in films.items()
        ),
        *(
            FilmOnFilm(films[contact.upper], films[contact.lower], contact.rim)
            for contact in print_.contacts
        ),
        *print_.joints,
        *(Stack(fabric, stack) for stack in print_.stacks),
        *print_.bond_lines,
        *schedule.scheduled,
        *print_.garments,
        *print_.artwork,
        Pressing(
            fabric=fabric,
            wearer=print_.wearer,
            nightwear=print_.nightwear,
            films=tuple(films.values()),
            sheets=sheets_used(schedule.steps, schedule.sheets),
            steps=schedule.steps,
        ),
    )
    return worst_first(findings)


def sheets_used(steps: tuple[Step, ...], sheets: Mapping[str, Sheet]) -> tuple[Sheet, ...]:
    """The covers and pads that the steps name, in the order of their first use."""
    names = [name for step in steps for name in (step.cover, step.pad) if name]
    return tuple(sheets[name] for name in dict.fromkeys(names) if name in sheets)
