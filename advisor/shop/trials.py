"""Trials: the shop's log as evidence, counted by stack in its store."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rules.book.outcomes import SOUND
from rules.book.trials import WASHES
from rules.facts.trial import Setting, Trial

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from advisor.shop.records import LoggedPress

__all__ = ["all_trials", "count", "films_of", "films_text"]


def films_text(under: tuple[str, ...] | None) -> str | None:
    """Films as a row of the store holds them.

    >>> films_text(("gold", "red")), films_text(()), films_text(None)
    ('gold,red', '', None)
    """
    return None if under is None else ",".join(under)


def films_of(text: str | None) -> tuple[str, ...] | None:
    """The films that such a row holds."""
    return None if text is None else tuple(text.split(",")) if text else ()


def count(connection: Connection, told: LoggedPress, *, taken_out: bool = False) -> None:
    """Count an entry of the log in, or out again."""
    from sqlalchemy import and_, delete, insert, update

    from advisor.shop.tables import logged_counts

    garments = logged_counts.c.garments
    change = -told.garments if taken_out else told.garments
    for bond in told.bonds:
        row: dict[str, Any] = {
            "film": bond.film,
            "below": bond.below,
            "under": films_text(bond.under),
            "cloth": told.fabric,
            "press": told.press,
            "film_colour": bond.colour,
            "cloth_colour": told.colour,
            "setpoint_c": bond.setpoint_c,
            "dwell_s": bond.dwell_s,
            "outcome": bond.outcome,
            "washes": told.washes,
        }
        alike = and_(
            *(logged_counts.c[name].is_not_distinct_from(value) for name, value in row.items())
        )
        added = update(logged_counts).where(alike).values(garments=garments + change)
        if not connection.execute(added).rowcount:
            connection.execute(insert(logged_counts).values(garments=change, **row))
    connection.execute(delete(logged_counts).where(garments == 0))


def all_trials(connection: Connection) -> tuple[Trial, ...]:
    """What was tried and speaks for or against something: the failed, and the sound once washed."""
    from sqlalchemy import func, or_, select

    from advisor.shop.tables import logged_counts as counts

    told_by = [column for column in counts.c if column.name not in {"number", "washes", "garments"}]
    asked = (
        select(*told_by, func.sum(counts.c.garments), func.min(counts.c.washes))
        .where(or_(counts.c.outcome != SOUND, counts.c.washes >= WASHES))
        .group_by(*told_by)
    )
    return tuple(
        Trial(
            film, below, films_of(under), cloth, press, outcome, garments, washes,
            film_colour, cloth_colour,
            None if setpoint_c is None or dwell_s is None else Setting(setpoint_c, dwell_s),
        )
        for film, below, under, cloth, press, film_colour, cloth_colour, setpoint_c, dwell_s,
        outcome, garments, washes in connection.execute(asked)
    )  # fmt: skip
