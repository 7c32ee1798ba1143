"""The shop's log: what became of the garments that were pressed, bond line by bond line."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from advisor.shop.entries import opened
from advisor.shop.place import store_path
from advisor.shop.records import OUTCOMES, BondTally, LoggedBond, LoggedPress
from rules.book.trials import SURE, share_that_holds
from rules.errors import BadInputError, UnknownNameError, told_together

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


def pressed_stack(fabric: str, films: Iterable[str], press: str, known: Catalogue) -> LoggedPress:
    """A stack of films, each laid over the one before, of which nothing is told yet.

    Raises:
        BadInputError: names are on no shelf; all of them are told.
    """
    wrong: list[str] = []

    def meant(find: Any, name: str) -> str:
        try:
            return str(find(name).id).partition(":")[0]
        except UnknownNameError as error:
            wrong.append(str(error))
            return name

    ground = meant(known.fabric, fabric)
    laid = [ground, *(meant(known.film, film.partition(":")[0]) for film in films)]
    if len(laid) == 1:
        wrong.append("the stack has no film; name at least one")
    on = meant(known.press, press)
    if wrong:
        raise told_together(wrong)
    bonds = (LoggedBond(*pair, "sound") for pair in zip(laid[1:], laid, strict=False))
    return _untold(ground, on, bonds)


def pressed_by_plan(plan: Plan, fabric: str | None, known: Catalogue) -> LoggedPress:
    """What a plan presses on one of its fabrics, of which nothing is told yet.

    Raises:
        BadInputError: it presses on several and none of them is named, or nothing at all.
    """
    on = [*dict.fromkeys(line.fabric.partition(":")[0] for line in plan.bond_lines)]
    if not on:
        raise BadInputError(
            f"the plan of {plan.job!r} presses nothing: nothing can have come of it"
        )
    if fabric is None and len(on) > 1:
        raise BadInputError(
            f"the plan of {plan.job!r} presses on {', '.join(on)}; say which with --fabric"
        )
    ground = on[0] if fabric is None else known.fabric(fabric).id.partition(":")[0]
    if ground not in on:
        raise BadInputError(f"the plan of {plan.job!r} presses on {', '.join(on)}, not on {ground}")
    lines = [line for line in plan.bond_lines if line.fabric.partition(":")[0] == ground]
    pairs = dict.fromkeys((line.film, line.below.partition(":")[0]) for line in lines)
    return _untold(ground, plan.press, (LoggedBond(*pair, "sound") for pair in pairs))


def _untold(fabric: str, press: str, bonds: Iterable[LoggedBond]) -> LoggedPress:
    return LoggedPress(fabric, press, tuple(bonds), 1, 0, "", date.today())


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
        rows = [{"number": number, "place": place, **bond} for place, bond in enumerate(bonds)]
        connection.execute(insert(logged_bonds), rows)
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
    of_bond = (logged_bonds.c.film, logged_bonds.c.below, logged_bonds.c.outcome)
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
    of_bond = ("film", "below", "outcome")
    rest = {name: value for name, value in rows[0].items() if name not in of_bond}
    return LoggedPress(
        bonds=tuple(LoggedBond(*(row[name] for name in of_bond)) for row in rows), **rest
    )


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
