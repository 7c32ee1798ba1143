"""Pressed print: a print in its films, on one fabric, with the steps that press it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from advisor.job.records.plan import PlannedJoint
from advisor.job.records.print import Contact, Pair, PieceSize, Print, PrintPiece
from advisor.layering.joint_width import JointWidth, joint_width, joints_to_judge
from advisor.layering.meeting import columns, contacts
from advisor.layering.records.problem import Choice, Problem
from rules.errors import UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.sheet import Sheet
from rules.facts.step import Meets, Step
from rules.facts.subjects import Joint

__all__ = ["PressedPrint", "pressed_choice", "refuse_unknown_names", "width_as_made"]


@dataclass(frozen=True)
class PressedPrint:
    """What is judged: films, joints, places and steps together.

    Attributes:
        films: the film of each piece, bottom first; ``colours`` and ``delta_e`` what is chosen.
        widths: how wide each joint is made; a pair that is missing is not judged as a joint.
        lines: which lines of the print are pressed so, from 0.
        as_cut: what windows and gaps leave of the pieces that they make too fine.
        dial_c: where the garments before left the dial, °C.
        finishes: the finish wished for each piece, where that is known.
    """

    print: Print
    films: Mapping[str, Film]
    colours: Mapping[str, Colour]
    delta_e: Mapping[str, float]
    meets: Mapping[Pair, Meets]
    widths: Mapping[Pair, JointWidth]
    lines: tuple[int, ...]
    fabric: Fabric
    press: Press
    sheets: Mapping[str, Sheet]
    steps: tuple[Step, ...]
    as_cut: tuple[PrintPiece, ...] = ()
    dial_c: float | None = None
    finishes: Mapping[str, str] = field(default_factory=dict)

    @cached_property
    def lying(self) -> tuple[tuple[Contact, ...], tuple[str, ...]]:
        """Which film lies on which, and which pieces lie straight on the fabric."""
        return contacts(self.print.places, self.meets)

    @cached_property
    def columns(self) -> tuple[tuple[str, ...], ...]:
        """What lies over one another at each place, by piece, bottom first."""
        return columns(self.print.places, self.meets)

    @cached_property
    def schedule(self) -> Schedule:
        """Films and steps together, as the rules on steps and the heat look at them."""
        traps = [width.trap_mm for width in self.widths.values() if width.trap_mm > 0]
        return Schedule(
            fabric=self.fabric,
            press=self.press,
            films=self.films,
            over=tuple((contact.upper, contact.lower) for contact in self.lying[0]),
            steps=self.steps,
            sheets=self.sheets,
            size_mm={
                piece: max(size.extent_mm for size in self.sizes(piece)) for piece in self.films
            },
            trap_mm=min(traps, default=0.0),
            dial_c=self.dial_c,
        )

    @property
    def joints(self) -> Iterator[Joint]:
        """Each two pieces that meet, as wide as they are made, on these lines."""
        for pair, width in self.widths.items():
            yield from joints_to_judge(
                self.films[pair[0]],
                self.films[pair[1]],
                self.meets[pair],
                width,
                upper_sizes=self.sizes(pair[0]),
                rims_mm=self.rims_mm(pair),
                registration_mm=self.print.registration_mm,
                pieces=pair,
            )

    def in_colour(self, piece: str) -> tuple[Film, Colour]:
        """The film of a piece and its colour: the film's first where none is chosen."""
        film = self.films[piece]
        return film, self.colours.get(piece, film.colours[0])

    def sizes(self, piece: str) -> tuple[PieceSize, ...]:
        """The sizes of a piece on the lines that are pressed so."""
        every = self.print.piece(piece).sizes
        return tuple(every[line] for line in self.lines)

    def rims_mm(self, pair: Pair) -> tuple[float, ...]:
        """How wide the lower piece of a pair shows along the upper one on these lines, mm."""
        every = self.rims.get(pair, ())
        return tuple(every[line] for line in self.lines) if every else ()

    @cached_property
    def rims(self) -> Mapping[Pair, tuple[float, ...]]:
        """The thin rims of the print, mm, on every line."""
        return {meeting.pair: meeting.rims_mm for meeting in self.print.meetings}


def pressed_choice(problem: Problem, choice: Choice, steps: tuple[Step, ...]) -> PressedPrint:
    """A choice of films and ways as these steps press it, on the first fabric of the problem."""
    films = choice.films
    return PressedPrint(
        print=problem.print,
        films=films,
        colours=choice.colours,
        delta_e={piece: option.delta_e for piece, option in choice.options.items()},
        meets=choice.meets,
        widths={
            meeting.pair: joint_width(
                films[meeting.upper],
                films[meeting.lower],
                choice.meets[meeting.pair],
                sizes=[size for piece in meeting.pair for size in problem.piece(piece).sizes],
                registration_mm=problem.registration_mm,
            )
            for meeting in problem.meetings
            if not meeting.hidden
        },
        lines=(0,),
        fabric=problem.fabrics[0],
        press=problem.limits.press,
        sheets=problem.knowledge.catalogue.sheets,
        steps=steps,
    )


def width_as_made(print_: Print, films: Mapping[str, Film], joint: PlannedJoint) -> JointWidth:
    """A joint as wide as a plan makes it, over films that draw in as these do."""
    pair = (joint.upper, joint.lower)
    worked_out = joint_width(
        films[joint.upper],
        films[joint.lower],
        joint.meets,
        sizes=[size for piece in pair for size in print_.piece(piece).sizes],
        registration_mm=print_.registration_mm,
    )
    return replace(worked_out, trap_mm=joint.trap_mm, gap_mm=joint.gap_mm)


def refuse_unknown_names(
    steps: Sequence[Step], pieces: tuple[str, ...], sheets: Mapping[str, Sheet]
) -> None:
    """Refuse steps that name a piece, a pad or a cover sheet which is not there.

    Raises:
        UnknownNameError: the nearest names are offered.
    """
    pads = [sheet.id for sheet in sheets.values() if sheet.kind == "pad"]
    covers = [sheet.id for sheet in sheets.values() if sheet.kind == "cover"]
    for step in steps:
        for piece in step.pieces:
            if piece not in pieces:
                raise UnknownNameError(f"piece (step {step.n})", piece, pieces)
        if step.pad is not None and step.pad not in (*sheets, "out"):
            raise UnknownNameError(f"pad (step {step.n})", step.pad, pads)
        if step.cover is not None and step.cover not in sheets:
            raise UnknownNameError(f"cover sheet (step {step.n})", step.cover, covers)
