"""Judge: every rule on one print as it lies and as it is pressed, planned or typed alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from advisor.heat.timed import judged_lines
from advisor.job.records.plan import BondLineResult, PlannedJoint
from advisor.job.records.print import NAMES_PIECE, Contact, Pair, PieceSize, Print, PrintPiece
from advisor.layering.joint_width import JointWidth, joint_width, joints_to_judge
from advisor.layering.judged import (
    InColour,
    artwork_pieces,
    merged_into,
    names_are_on_garment,
    names_on_garment,
    on_garment,
    seen_at,
)
from advisor.layering.meeting import columns, contacts
from advisor.layering.records.problem import Choice, Problem
from advisor.layering.stacks import stack_findings, stacks_of
from rules.catalogue import Catalogue
from rules.errors import UnknownNameError
from rules.facts.fabric import Fabric
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.finding import Finding, once_per_cause, worst_first
from rules.facts.garment import Wearer
from rules.facts.press import Press
from rules.facts.schedule import Schedule
from rules.facts.sheet import Sheet
from rules.facts.step import Meets, Step
from rules.facts.subjects import (
    AsPressed,
    BondLine,
    FilmOnFabric,
    FilmOnFilm,
    GarmentOnPress,
    Pressing,
    Stack,
    Subject,
)
from rules.knowledge import Knowledge

__all__ = [
    "Judgement",
    "PressedPrint",
    "judge_print",
    "pressed_choice",
    "refuse_unknown_names",
    "width_as_made",
]

Judgement = tuple[tuple[Finding, ...], tuple[BondLineResult, ...]]


@dataclass(frozen=True)
class PressedPrint:
    """A print in its films, on one fabric, with the steps that press it.

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

    def in_colour(self, piece: str) -> InColour:
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
        delta_e={},
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


def judge_print(pressed: PressedPrint, knowledge: Knowledge) -> Judgement:
    """What rules and evidence find, most serious first and each once, and the bond lines."""
    lines = judged_lines(pressed.schedule, pressed.columns, knowledge.catalogue.materials)
    findings = (
        *knowledge.judge(*_subjects(pressed, knowledge.catalogue, lines)),
        *stack_findings(
            stacks_of(pressed.columns, pressed.films),
            lambda films: knowledge.judge(Stack(pressed.fabric, films)),
        ),
    )
    results = tuple(_bond_line_result(*line, pressed.fabric.id) for line in lines.items())
    return once_per_cause(worst_first(findings)), results


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


def _subjects(
    pressed: PressedPrint, catalogue: Catalogue, bond_lines: Mapping[str, BondLine]
) -> list[Subject]:
    films, fabric, print_ = pressed.films, pressed.fabric, pressed.print
    touching, _ = pressed.lying
    on_press = _on_press(pressed, catalogue)
    return [
        *_on_fabric(pressed, catalogue, bond_lines),
        *(
            FilmOnFilm(
                films[contact.upper],
                films[contact.lower],
                contact.rim,
                pressed.colours.get(contact.upper),
                pressed.colours.get(contact.lower),
            )
            for contact in touching
        ),
        *(
            joint
            for pair, width in pressed.widths.items()
            for joint in joints_to_judge(
                films[pair[0]],
                films[pair[1]],
                pressed.meets[pair],
                width,
                upper_sizes=pressed.sizes(pair[0]),
                rims_mm=pressed.rims_mm(pair),
                registration_mm=print_.registration_mm,
                pieces=pair,
            )
        ),
        *(
            seen
            for meeting in print_.meetings
            for seen in seen_at(print_, meeting, *(pressed.in_colour(p) for p in meeting.pair))
        ),
        *(
            names_on_garment(pressed.in_colour(piece), fabric)
            for piece in films
            if piece == NAMES_PIECE and names_are_on_garment(print_)
        ),
        *on_garment(print_, {piece: pressed.in_colour(piece) for piece in films}, fabric),
        *(seen for piece in films for seen in merged_into(print_, piece, pressed.in_colour(piece))),
        *print_.set_aside,
        *bond_lines.values(),
        *pressed.schedule.scheduled,
        *on_press,
        *(
            subject
            for piece, film in films.items()
            for subject in artwork_pieces(
                print_.piece(piece),
                film,
                pressed.delta_e.get(piece, 0.0),
                lines=pressed.lines,
                wished_finish=pressed.finishes.get(piece, ""),
            )
        ),
        *(
            subject
            for piece in pressed.as_cut
            for subject in artwork_pieces(
                piece, films[piece.id], None, lines=pressed.lines, as_cut=True
            )
        ),
        Pressing(
            fabric=fabric,
            wearer=_youngest([one.garment.wearer for one in on_press]),
            nightwear=any(one.garment.nightwear for one in on_press),
            films=tuple(films.values()),
            sheets=_sheets_used(pressed),
            steps=pressed.steps,
        ),
    ]


def _on_fabric(
    pressed: PressedPrint, catalogue: Catalogue, bond_lines: Mapping[str, BondLine]
) -> list[FilmOnFabric]:
    """Each film on the fabric, with what all steps together do to both."""
    schedule, shelf = pressed.schedule, tuple(catalogue.films.values())
    closed = [at.after.setpoint_c for at in schedule.scheduled if at.closes_hot]
    hottest_c = max((setpoint_c for setpoint_c in closed if setpoint_c is not None), default=None)
    pressed_s, (_, on_fabric) = schedule.states[-1].pressed_s, pressed.lying
    under = {piece: () if piece in on_fabric else _under(pressed, piece) for piece in pressed.films}
    presses = {
        piece: _presses_over(schedule, piece, bond_lines[(*under[piece], piece)[0]])
        for piece in pressed.films
        if piece in bond_lines
    }
    return [
        FilmOnFabric(
            film,
            pressed.fabric,
            touches=piece in on_fabric,
            over=tuple(pressed.films[one] for one in under[piece]),
            colour=pressed.colours.get(piece),
            pressed=None
            if hottest_c is None or piece not in bond_lines
            else AsPressed(
                setpoint_c=hottest_c,
                spread_c=pressed.press.flat_c,
                seconds=pressed_s.get(piece, 0.0),
                fabric_c=max(
                    (fabric_c for _, _, fabric_c in presses[piece]),
                    default=bond_lines[piece].peak_c,
                ),
                presses=presses[piece],
            ),
            shelf=shelf,
        )
        for piece, film in pressed.films.items()
    ]


def _presses_over(
    schedule: Schedule, piece: str, lowest: BondLine
) -> tuple[tuple[float, float, float], ...]:
    """Of each press over a piece: what the dial said, °C, its seconds, the fabric's hottest, °C.

    Args:
        lowest: the bond line on the fabric under it; its film may have been pressed before, or,
            in a plan edited by hand, after: the fabric is then taken for as hot as the dial said.
    """
    dialled = [
        (at.after.setpoint_c, seconds)
        for at in schedule.scheduled
        if at.after.setpoint_c is not None
        and (seconds := at.after.pressed_s.get(piece, 0.0) - at.before.pressed_s.get(piece, 0.0))
    ]
    seen = min(len(dialled), len(lowest.press_peaks_c))
    unseen_c = [dial_c for dial_c, _ in dialled[: len(dialled) - seen]]
    peaks_c = [*unseen_c, *lowest.press_peaks_c[len(lowest.press_peaks_c) - seen :]]
    return tuple((*press, fabric_c) for press, fabric_c in zip(dialled, peaks_c, strict=True))


def _under(pressed: PressedPrint, piece: str) -> tuple[str, ...]:
    """The pieces under one, bottom first, where the fewest of them block dye, or the fewest lie."""
    piles = [pile[: pile.index(piece)] for pile in pressed.columns if piece in pile]
    films = pressed.films
    return min(
        piles, key=lambda pile: (sum(films[one].blocks_dye for one in pile), len(pile)), default=()
    )


def _on_press(pressed: PressedPrint, catalogue: Catalogue) -> tuple[GarmentOnPress, ...]:
    found = []
    for number in pressed.lines:
        line = pressed.print.lines[number]
        if line.garment is not None:
            garment = catalogue.garment(line.garment)
            found.append(
                GarmentOnPress(
                    garment=garment,
                    area=garment.print_area(line.area),
                    press=pressed.press,
                    width_mm=line.width_mm,
                    height_mm=line.height_mm,
                    steps=pressed.steps,
                    sheets=tuple(pressed.sheets.values()),
                )
            )
    return tuple(found)


def _youngest(wearers: Sequence[Wearer]) -> Wearer:
    order: tuple[Wearer, ...] = ("infant", "child", "adult", "nobody")
    return min(wearers, key=order.index, default="adult")


def _sheets_used(pressed: PressedPrint) -> tuple[Sheet, ...]:
    """The covers and pads that the steps name, in the order of their first use."""
    names = [name for step in pressed.steps for name in (step.cover, step.pad) if name]
    return tuple(pressed.sheets[name] for name in dict.fromkeys(names) if name in pressed.sheets)


def _bond_line_result(piece: str, line: BondLine, fabric: str) -> BondLineResult:
    """A piece's bond line as a report shows it; ``fabric`` is the one it was pressed on, by id."""
    # The unlucky end is exactly the usual course where heat had no cause to weigh it.
    weighed = line.low_seconds_bonding < line.seconds_bonding
    return BondLineResult(
        piece=piece,
        film=line.film.id,
        below=line.below,
        peak_c=round(line.peak_c, 1),
        seconds_bonding=round(line.seconds_bonding, 1),
        needed_s=line.film.bonds_s,
        low_seconds_bonding=round(line.low_seconds_bonding, 1) if weighed else None,
        fabric=fabric,
    )
