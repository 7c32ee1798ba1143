"""The shop's log: what became of the garments that were pressed, bond line by bond line."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import asdict, fields, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.shop.entries import opened
from advisor.shop.place import store_path
from advisor.shop.records import BondTally, LoggedBond, LoggedPress
from advisor.shop.trials import count, films_of, films_text
from rules.book.outcomes import OUTCOMES
from rules.book.trials import SURE, share_that_holds
from rules.errors import BadInputError, UnknownNameError, told_together
from rules.facts.trial import Setting, settings_of
from rules.facts.units import show_c

if TYPE_CHECKING:
    from advisor.job.records.plan import Plan
    from rules.catalogue import Catalogue

__all__ = [
    "all_logged", "keep_logged", "logged_as_typed", "pressed_by_plan", "pressed_stack",
    "remove_logged", "tallied",
]  # fmt: skip

LONGEST_NOTE = 500
MOST_GARMENTS = 10_000
MOST_WASHES = 1_000
MOST_DWELL_S = 600


def pressed_stack(
    fabric: str,
    films: Iterable[str],
    press: str,
    known: Catalogue,
    *,
    setpoint_c: float | None = None,
    dwell_s: float | None = None,
) -> LoggedPress:
    """A stack of films, each laid over the one before, of which nothing is told yet.

    Args:
        fabric: by id, or as ``ID:colour``, as each film may be.
        setpoint_c, dwell_s: what its full presses were set to, °C and s together.

    Raises:
        BadInputError: names are on no shelf, or no press is set so; all of that is told.
    """
    wrong: list[str] = []

    def meant(find: Any, name: str) -> Any:
        try:
            return find(name)
        except UnknownNameError as error:
            wrong.append(str(error))
            return None

    def coloured(name: str) -> tuple[str, str | None]:
        word, colon, colour = name.partition(":")
        film = meant(known.film, word)
        if film is None or not colon:
            return word if film is None else film.id, None
        named = meant(lambda said: known.film_colour(said, film), colour)
        srgb = next((one.srgb for one in film.colours if one.name == named), named)
        return film.id, srgb

    ground, on = meant(known.fabric, fabric), meant(known.press, press)
    laid = [coloured(film) for film in films]
    if not laid:
        wrong.append("the stack has no film; name at least one")
    if (setpoint_c is None) != (dwell_s is None):
        wrong.append("--setpoint and --dwell: give both, or neither")
    if on and setpoint_c is not None and not on.setpoint_low_c <= setpoint_c <= on.setpoint_high_c:
        dial = f"{show_c(on.setpoint_low_c)!s} to {show_c(on.setpoint_high_c)!s}"
        wrong.append(f"--setpoint: {on.id} is never set to {show_c(setpoint_c)!s}; give {dial}")
    if dwell_s is not None and not 0 < dwell_s <= MOST_DWELL_S:
        wrong.append(f"--dwell: {dwell_s:g} s; give more than 0 and at most {MOST_DWELL_S} s")
    if wrong:
        raise told_together(wrong)
    names = [film for film, _ in laid]
    bonds = [
        LoggedBond(
            film, (ground.make, *names)[i], "sound", tuple(names[: max(0, i - 1)]), colour,
            setpoint_c, dwell_s,
        )
        for i, (film, colour) in enumerate(laid)
    ]  # fmt: skip
    return _untold(ground.make, on.id, bonds, ground.colour.srgb if ground.colour_said else None)


def pressed_by_plan(plan: Plan, fabric: str | None, known: Catalogue) -> LoggedPress:
    """What a plan presses on one of its fabrics, of which nothing is told yet.

    Raises:
        BadInputError: it presses on several and none of them is named, or nothing at all.
    """
    on = [*dict.fromkeys(_cloth(one) for run in plan.runs for one in run.fabrics)]
    if not on or not plan.pieces:
        raise BadInputError(
            f"the plan of {plan.job!r} presses nothing: nothing can have come of it"
        )
    if fabric is None and len(on) > 1:
        raise BadInputError(
            f"the plan of {plan.job!r} presses on {', '.join(on)}; say which with --fabric"
        )
    ground = on[0] if fabric is None else known.fabric(fabric).make
    if ground not in on:
        raise BadInputError(f"the plan of {plan.job!r} presses on {', '.join(on)}, not on {ground}")
    runs = [run for run in plan.runs if ground in map(_cloth, run.fabrics)]
    cloths = {one for run in runs for one in run.fabrics if _cloth(one) == ground}
    said = [known.fabric(one) for one in cloths]
    colours = {one.colour.srgb if one.colour_said else None for one in said}
    settings = [settings_of(s for s in plan.steps if s.run == run.run) for run in runs]
    # By pieces and steps, which may have been edited since the bond lines were told.
    bonds = [_planned(plan, line, ground, settings) for line in _bond_lines(plan, ground)]
    return _untold(ground, plan.press, bonds, _the_one(colours))


def _planned(
    plan: Plan, line: tuple[str, str], ground: str, settings: Iterable[Mapping[str, Setting]]
) -> LoggedBond:
    """A bond line as the plan lays and sets it; what it does in more than one way is unknown."""
    piles = [
        (piece, under)
        for piece, film, under in _piles(plan)
        if (film, (ground, *under)[-1]) == line
    ]
    pieces = {piece for piece, _ in piles}
    under = _the_one({pile[:-1] for _, pile in piles})
    colour = _the_one({piece.srgb for piece in plan.pieces if piece.id in pieces})
    set_to = _the_one({of_run.get(piece) for of_run in settings for piece in pieces})
    heat = (None, None) if set_to is None else (set_to.setpoint_c, set_to.dwell_s)
    return LoggedBond(*line, "sound", under, colour, *heat)


def _piles(plan: Plan) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """Each piece at each place with its film, and the films under it there, bottom first."""
    films = {piece.id: piece.film for piece in plan.pieces}
    for place in plan.print.places:
        laid = place.laid(plan.meets)
        for i, piece in enumerate(laid):
            yield piece, films[piece], tuple(films[one] for one in laid[:i])


def _bond_lines(plan: Plan, ground: str) -> list[tuple[str, str]]:
    """Each film with what it lies straight on, in the order in which pieces go down."""
    rank = {piece.id: piece.rank for piece in plan.pieces}
    piles = sorted(_piles(plan), key=lambda pile: (rank[pile[0]], len(pile[2])))
    return [*dict.fromkeys((film, (ground, *under)[-1]) for _, film, under in piles)]


def _the_one(some: set[Any]) -> Any:
    """What is the same all over; ``None`` where it is not."""
    return next(iter(some)) if len(some) == 1 else None


def _cloth(fabric: str) -> str:
    return fabric.partition(":")[0]


def _untold(
    fabric: str, press: str, bonds: Iterable[LoggedBond], colour: str | None
) -> LoggedPress:
    of_line: dict[str, LoggedBond] = {}
    for bond in bonds:
        # A film that lies on itself twice is one line to whoever tells what became of it.
        if (was := of_line.setdefault(bond.line, bond)) != bond:
            of_line[bond.line] = replace(was, under=None)
    return LoggedPress(fabric, press, tuple(of_line.values()), 1, 0, "", date.today(), colour)


def logged_as_typed(
    untold: LoggedPress,
    *,
    outcome: str,
    lines: Iterable[str],
    washes: str,
    garments: str,
    note: str,
    when: str | None,
) -> LoggedPress:
    """What was pressed, with what became of it as somebody typed it.

    Args:
        outcome: of every bond line that ``lines`` does not name, as ``FILM-ON-WHAT=outcome``.

    Raises:
        BadInputError: any of it cannot be read; all of that is told.
    """
    wrong: list[str] = []
    became = {bond.line: outcome for bond in untold.bonds}
    told_of: set[str] = set()
    _refuse_unknown("--outcome", outcome, wrong)
    for typed in lines:
        line, _, one = (part.strip() for part in typed.partition("="))
        if line not in became:
            wrong.append(f"--line: {line!r} is no bond line of it; there are {', '.join(became)}")
        elif line in told_of:
            wrong.append(f"--line: {line!r} is given twice; say once what became of it")
        _refuse_unknown(f"--line {line}", one, wrong)
        told_of.add(line)
        became[line] = one
    told = LoggedPress(
        untold.fabric,
        untold.press,
        tuple(replace(bond, outcome=became[bond.line]) for bond in untold.bonds),
        garments=_count("--garments", garments, 1, MOST_GARMENTS, wrong),
        washes=_count("--washes", washes, 0, MOST_WASHES, wrong),
        note=" ".join(note.split()),
        colour=untold.colour,
        pressed_on=_day(when, wrong),
    )
    if len(told.note) > LONGEST_NOTE:
        wrong.append(
            f"--note: is {len(told.note)} characters long; give at most {LONGEST_NOTE} of them"
        )
    if wrong:
        raise told_together(wrong)
    return told


def _refuse_unknown(where: str, outcome: str, wrong: list[str]) -> None:
    if outcome not in OUTCOMES:
        wrong.append(f"{where}: {UnknownNameError('outcome', outcome, OUTCOMES)}")


def _count(where: str, text: str, least: int, most: int, wrong: list[str]) -> int:
    try:
        number = int(text)
    except ValueError:
        number = -1
    if not least <= number <= most:
        wrong.append(f"{where}: {text!r} is no whole number from {least} to {most}")
    return number


def _day(text: str | None, wrong: list[str]) -> date:
    today = date.today()
    if text is None:
        return today
    try:
        day = date.fromisoformat(text)
    except ValueError:
        wrong.append(f"--when: {text!r} is no day, such as {today}")
        return today
    if day > today:
        wrong.append(f"--when: {text} is yet to come; today is {today}")
    return day


_OF_BOND = tuple(field.name for field in fields(LoggedBond))


def keep_logged(told: LoggedPress, *, store: Path | None) -> LoggedPress:
    """Keep it in the shop's log; the same with its number.

    Raises:
        BadInputError: the store cannot be written.
    """
    from sqlalchemy import insert

    from advisor.shop.tables import logged_bonds, logged_presses

    row = asdict(told)
    bonds = row.pop("bonds")
    del row["number"]
    with opened(store) as connection:
        made = connection.execute(insert(logged_presses).values(row)).inserted_primary_key or (0,)
        number = int(made[0])
        rows = [
            {**bond, "number": number, "place": place, "under": films_text(bond["under"])}
            for place, bond in enumerate(bonds)
        ]
        connection.execute(insert(logged_bonds), rows)
        count(connection, told)
    return replace(told, number=number)


def all_logged(
    *,
    film: str | None = None,
    fabric: str | None = None,
    number: int | None = None,
    store: Path | None,
) -> list[LoggedPress]:
    """What is logged, the newest first; only with a film in it, or on a fabric, where named.

    Args:
        number: only what is logged under it.

    Raises:
        BadInputError: the store cannot be read.
    """
    from sqlalchemy import select

    from advisor.shop.tables import logged_bonds, logged_presses

    if not (store or store_path()).exists():
        return []
    numbers = logged_presses.c.number
    of_bond = [logged_bonds.c[name].label(f"of_{name}") for name in _OF_BOND]
    asked = select(*logged_presses.c, *of_bond).join(logged_bonds)
    if film is not None:
        of_film = (logged_bonds.c.film == film) | (logged_bonds.c.below == film)
        asked = asked.where(numbers.in_(select(logged_bonds.c.number).where(of_film)))
    if fabric is not None:
        asked = asked.where(logged_presses.c.fabric == fabric)
    if number is not None:
        asked = asked.where(numbers == number)
    with opened(store) as connection:
        rows = connection.execute(asked.order_by(numbers.desc(), logged_bonds.c.place)).all()
    by_number: dict[int, list[dict[str, Any]]] = {}
    for row in rows:
        by_number.setdefault(row.number, []).append(dict(row._mapping))
    return [_read(of_one) for of_one in by_number.values()]


def _read(rows: list[dict[str, Any]]) -> LoggedPress:
    rest = {name: value for name, value in rows[0].items() if not name.startswith("of_")}
    bonds = []
    for row in rows:
        of_bond = {name: row[f"of_{name}"] for name in _OF_BOND}
        bonds.append(LoggedBond(**{**of_bond, "under": films_of(of_bond["under"])}))
    return LoggedPress(bonds=tuple(bonds), **rest)


def remove_logged(number: int, *, store: Path | None) -> LoggedPress:
    """Take what is logged under that number out again.

    Raises:
        BadInputError: nothing is.
    """
    from sqlalchemy import delete

    from advisor.shop.tables import logged_presses

    found = all_logged(number=number, store=store)
    if not found:
        raise BadInputError(
            f"nothing is logged under number {number}; `presslore log show` tells what is"
        )
    with opened(store) as connection:
        connection.execute(delete(logged_presses).where(logged_presses.c.number == number))
        count(connection, found[0], taken_out=True)
    return found[0]


def tallied(presses: Iterable[LoggedPress]) -> tuple[BondTally, ...]:
    """How each bond line did on each fabric at each press, and what share of them so holds."""
    of: dict[tuple[str, ...], list[tuple[LoggedPress, LoggedBond]]] = {}
    for one in presses:
        for bond in one.bonds:
            key = (bond.film, bond.below, one.fabric, one.press)
            of.setdefault(key, []).append((one, bond))
    tallies = []
    for (film, below, fabric, press), each in of.items():
        trials = sum(one.garments for one, _ in each)
        sound = sum(one.garments for one, bond in each if bond.outcome == "sound")
        washes = min(one.washes for one, _ in each)
        share = share_that_holds(sound, trials)
        tallies.append(BondTally(film, below, fabric, press, trials, sound, washes, share, SURE))
    return tuple(tallies)
