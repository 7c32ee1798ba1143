"""Remedies at the cutter: another film of the same finish, or a wider trap."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import partial

from advisor.answers.records import PlanEdit
from advisor.answers.remedies.handling import peels_in_time
from advisor.answers.remedies.remedy import Changed, Remedy, edit, films_of, together, with_set
from advisor.job.records.plan import Plan, PlannedPiece
from rules.book.artwork.colour_match import ANOTHER_COLOUR_DELTA_E
from rules.book.colour_difference import colour_difference
from rules.catalogue import Catalogue
from rules.facts.film import Film
from rules.facts.finding import seriousness
from rules.facts.press import Press
from rules.facts.step import Step
from rules.facts.subjects import FilmOnFabric, FilmOnFilm
from rules.knowledge import Knowledge

__all__ = ["other_films", "wider_traps"]

MOST_TRIED = 6
"""So many films are tried for one."""

WIDER_BY_MM, WIDEST_MM = 0.5, 3.0
"""Steps of a trap, mm; one wider shows as a ridge. Common practice, no source."""


def other_films(plan: Plan, knowledge: Knowledge) -> Iterator[Remedy]:
    """For each film of a plan, others that show the same, pressed as they ask: the likeliest first.

    Films that the shelf has, in about the same colour; those come first of which rules say least
    where they would lie, then the cheapest.
    """
    known = knowledge.catalogue
    films = films_of(plan, known)
    for was in {film.id: film for film in films.values()}.values():
        pieces = [piece for piece in plan.pieces if films[piece.id] == was]
        shown = {piece.finish or was.finishes[0] for piece in pieces}
        fits = [
            other
            for other in known.films.values()
            if other != was and not other.printed and other.on_shelf_m > 0
            if shown <= {*other.finishes} and _comes_in_their_colours(other, pieces)
        ]
        objected = {film.id: _objected(plan, films, was, film, knowledge) for film in fits}
        fits.sort(key=lambda film: (objected[film.id], film.price_per_m, film.id))
        ways = [
            _refilmed(plan, pieces, was, other, known, coolly=coolly)
            for other in fits[:MOST_TRIED]
            for coolly in (False, True)
        ]
        yield Remedy(tuple(way for way in ways if way is not None))


def _nearest(film: Film, srgb: str) -> tuple[float, str, str]:
    return min((colour_difference(c.srgb, srgb), c.name, c.srgb) for c in film.colours)


def _comes_in_their_colours(film: Film, pieces: Sequence[PlannedPiece]) -> bool:
    return all(_nearest(film, piece.srgb)[0] < ANOTHER_COLOUR_DELTA_E for piece in pieces)


def _objected(
    plan: Plan, films: Mapping[str, Film], was: Film, other: Film, knowledge: Knowledge
) -> int:
    """How seriously rules object to a film where another lies, before anything is pressed."""

    def now(piece: str) -> Film:
        return other if films[piece] == was else films[piece]

    fabrics = [knowledge.catalogue.fabric(name) for run in plan.runs for name in run.fabrics]
    lying = [piece for piece in plan.pieces if films[piece.id] == was and piece.on_fabric]
    found = knowledge.judge(
        *(FilmOnFabric(other, fabric) for fabric in fabrics if lying),
        *(
            FilmOnFilm(now(joint.upper), now(joint.lower), rim=joint.meets != "lap")
            for joint in plan.open_joints
            if joint.meets != "butt" and was in (films[joint.upper], films[joint.lower])
        ),
    )
    return sum(10 ** (2 - 2 * seriousness(one.severity)) for one in found if one.severity != "note")


def _refilmed(
    plan: Plan,
    pieces: Sequence[PlannedPiece],
    was: Film,
    other: Film,
    known: Catalogue,
    *,
    coolly: bool,
) -> Changed | None:
    """The plan with that film in the place of another, pressed as all its films then ask."""
    changed = tuple(_cut_from(other, piece) if piece in pieces else piece for piece in plan.pieces)
    told = PlanEdit(
        what="film", pieces=tuple(piece.id for piece in pieces), was=was.id, to=other.id
    )
    swapped = Changed(plan.model_copy(update={"pieces": changed}), (told,))
    made = _set_for_films(swapped, known, coolly=coolly)
    return made and peels_in_time(made, known)


def _cut_from(film: Film, piece: PlannedPiece) -> PlannedPiece:
    delta_e, name, srgb = _nearest(film, piece.srgb)
    if piece.wanted is not None:
        delta_e = colour_difference(srgb, piece.wanted)
    return piece.model_copy(
        update={"film": film.id, "colour": name, "srgb": srgb, "delta_e": round(delta_e, 2)}
    )


def _set_for_films(changed: Changed, known: Catalogue, *, coolly: bool) -> Changed | None:
    """The same with dial, seconds and pressure as near as its films share; ``None`` if they do not.

    Args:
        coolly: with the dial as low as they share, and pressed as long.
    """
    press, films = known.press(changed.plan.press), films_of(changed.plan, known)
    for field in ("setpoint_c", "dwell_s", "pressure_kpa"):
        for now, at in together(changed.plan, partial(_value, field)).items():
            full = [changed.plan.steps[n] for n in at if changed.plan.steps[n].purpose == "full"]
            windows = [getattr(films[piece], field) for step in full for piece in step.pieces]
            if not windows:
                continue
            low, high = max(each.low for each in windows), min(each.high for each in windows)
            shared = [value for value in _settable(field, low, high, press) if low <= value <= high]
            wanted = {"setpoint_c": low, "dwell_s": high}.get(field, now) if coolly else now
            if low <= wanted <= high and wanted == now:
                continue
            if not shared:
                return None
            to = min(shared, key=partial(_apart, wanted))
            told = edit(changed.plan, field, at, now, to)
            set_so = with_set(changed.plan, at, **{field: to})
            changed = Changed(set_so, (*changed.edits, *([told] if to != now else [])))
    return changed


def _apart(one: float, other: float) -> float:
    return abs(one - other)


def _value(field: str, step: Step) -> float | None:
    """What a step sets, where it is one that a film's window is about."""
    of_window = field != "dwell_s" or step.purpose == "full"
    return getattr(step, field) if of_window else None


def _settable(field: str, low: float, high: float, press: Press) -> Iterable[float]:
    match field:
        case "setpoint_c":
            steps = range(press.dial_step(low, up=True), press.dial_step(high, up=False) + 1)
            return map(press.dial_c, steps)
        case "pressure_kpa":
            return press.pressures_kpa
    return (low, high)


def wider_traps(plan: Plan) -> Iterator[Remedy]:
    """Every inset's trap by steps wider."""
    insets = [joint for joint in plan.joints if joint.trap_mm > 0]
    if not insets:
        return
    now_mm = min(joint.trap_mm for joint in insets)
    ways = []
    for step in range(1, int(WIDEST_MM / WIDER_BY_MM) + 1):
        to_mm = step * WIDER_BY_MM
        if to_mm <= now_mm:
            continue
        joints = tuple(
            joint.model_copy(update={"trap_mm": max(joint.trap_mm, to_mm)})
            if joint in insets
            else joint
            for joint in plan.joints
        )
        pieces = tuple(dict.fromkeys(p for one in insets for p in (one.upper, one.lower)))
        told = PlanEdit(what="trap_mm", pieces=pieces, was=now_mm, to=to_mm)
        ways.append(Changed(plan.model_copy(update={"joints": joints}), (told,)))
    yield Remedy(tuple(ways), unit="mm")
