"""Judge: every rule on one print as it lies and as it is pressed, planned or typed alike."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from advisor.answers.pressed_print import PressedPrint
from advisor.heat.timed import judged_lines
from advisor.job.records.plan import BondLineResult
from advisor.job.records.print import NAMES_PIECE
from advisor.layering.judged import (
    artwork_pieces,
    merged_into,
    names_are_on_garment,
    names_on_garment,
    on_garment,
    seen_at,
)
from advisor.layering.stacks import stack_findings, stacks_of
from rules.catalogue import Catalogue
from rules.facts.finding import Finding, once_per_cause, worst_first
from rules.facts.garment import Wearer
from rules.facts.schedule import Schedule
from rules.facts.sheet import Sheet
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

__all__ = ["Judgement", "judge_print"]

Judgement = tuple[tuple[Finding, ...], tuple[BondLineResult, ...]]


def judge_print(pressed: PressedPrint, knowledge: Knowledge) -> Judgement:
    """What rules and evidence find, most serious first and each once, and the bond lines."""
    schedule = pressed.schedule
    lines = judged_lines(schedule, pressed.columns, knowledge.catalogue.materials)
    knowledge = knowledge.pressed_at(pressed.press, pressed.fabric, settings=schedule.settings)
    findings = (
        *knowledge.judge(*_subjects(pressed, knowledge.catalogue, lines)),
        *stack_findings(
            stacks_of(pressed.columns, pressed.films),
            lambda films: knowledge.judge(Stack(pressed.fabric, films)),
        ),
    )
    results = tuple(
        _bond_line_result(piece, line, pressed, knowledge) for piece, line in lines.items()
    )
    return once_per_cause(worst_first(findings)), results


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
        *pressed.joints,
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
    covered = all(
        at.step.cover for at in schedule.scheduled if at.closes_hot and at.step.purpose != "tack"
    )
    pressed_s, (_, on_fabric) = schedule.states[-1].pressed_s, pressed.lying
    under = {piece: () if piece in on_fabric else _under(pressed, piece) for piece in pressed.films}
    presses = {
        # Steps that were edited may lay a piece where the one under it was never pressed.
        piece: _presses_over(
            schedule, piece, next(bond_lines[p] for p in (*under[piece], piece) if p in bond_lines)
        )
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
                covered=covered,
                press=pressed.press,
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


def _bond_line_result(
    piece: str, line: BondLine, pressed: PressedPrint, knowledge: Knowledge
) -> BondLineResult:
    """A piece's bond line as a report shows it, with what the shop has seen of it."""
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
        fabric=pressed.fabric.id,
        tried=knowledge.tried(_films_to(piece, line, pressed), pressed.fabric),
    )


def _films_to(piece: str, line: BondLine, pressed: PressedPrint) -> tuple[str, ...]:
    """The films up to a piece's, bottom first, at the place of its bond line."""
    piles = [pile[: pile.index(piece) + 1] for pile in pressed.columns if piece in pile]
    films = [tuple(pressed.films[one].id for one in pile) for pile in piles]
    ground = pressed.fabric.id
    return next((pile for pile in films if (ground, *pile)[-2] == line.below), films[0])
