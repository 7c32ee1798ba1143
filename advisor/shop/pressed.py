"""Pressed jobs: what was cut, what was pressed as which plan, and the film that it took."""

from __future__ import annotations

import hashlib
from collections.abc import Collection, Iterable, Mapping
from contextlib import suppress
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from advisor.cutting.records.rolls import OrderTaken, RollTaken
from advisor.shop.entries import opened, put, stored
from advisor.shop.knowledge import laid_on_shelf
from advisor.shop.place import store_path
from advisor.shop.records import FilmTaken, OwnEntry, PressedJob
from rules.catalogue import Catalogue, load_catalogue
from rules.errors import BadInputError
from rules.facts.fact import Fact
from rules.facts.text import Text

if TYPE_CHECKING:
    from sqlalchemy import Connection

    from advisor.job.records.job import Job
    from advisor.job.records.order import Order
    from advisor.job.records.order_plan import OrderPlan
    from advisor.job.records.plan import Plan

__all__ = [
    "all_pressed", "job_key", "keep_cut", "key_of_any_quantity", "known_of", "last_alike",
    "last_cut", "last_pressed", "pressed_before", "take_back", "take_back_numbered",
    "taken_as_cut", "told_pressed", "took_of",
]  # fmt: skip

_COUNTED = {"on_shelf_m", "basis", "basis_default"}
"""What changes of a film without the film being another."""


ANY_QUANTITY = "any-quantity"
"""Where the key of a job in whatever quantity is kept with it."""


def job_key(job: Job | Order, *files: bytes) -> str:
    """What tells a job from any other: what is asked, with its drawings and its list of names."""
    told = b"\0".join((job.model_dump_json().encode(), *files))
    return hashlib.sha256(told).hexdigest()


def key_of_any_quantity(job: Job | Order, *drawings: bytes, by_list: bool = False) -> str:
    """The same of a job in whatever quantity; a list of names or people is of one quantity.

    Args:
        by_list: with what its list is called, as it was kept once: shops name a list by its month.
    """
    one = {"quantity": 1, "sizes": None}
    garments = tuple(
        line.model_copy(update={name: one[name] for name in one if name in type(line).model_fields})
        for line in job.garments
    )
    asked: dict[str, object] = {"garments": garments}
    if not by_list and getattr(job, "people", None):
        asked["people"] = ""
    if not by_list and (names := getattr(job, "names", None)):
        asked["names"] = names.model_copy(update={"file": ""})
    return job_key(job.model_copy(update=asked), *drawings)


def keep_cut(key: str, taken: OrderTaken | None, *, store: Path | None) -> None:
    """Keep what a job takes as it was cut last.

    Args:
        key: of `job_key`.
        taken: nothing where it was cut and nobody nested it: how it lies on its rolls is not known.

    Raises:
        BadInputError: the store cannot be written.
    """
    if taken is None and not (store or store_path()).exists():
        return
    from sqlalchemy import delete, insert

    from advisor.shop.tables import cut_jobs

    with opened(store) as connection:
        connection.execute(delete(cut_jobs).where(cut_jobs.c.key == key))
        if taken is not None:
            rolls = tuple(roll.model_copy(update={"note": Text()}) for roll in taken.rolls)
            kept = taken.model_copy(update={"rolls": rolls}).model_dump(mode="json")
            connection.execute(insert(cut_jobs), {"key": key, "taken": kept})


def last_cut(key: str, *, store: Path | None) -> OrderTaken | None:
    """What a job took as it was nested and cut last, at the prices of then, or nothing.

    Raises:
        BadInputError: the store cannot be read.
    """
    if not (store or store_path()).exists():
        return None
    from sqlalchemy import select

    from advisor.shop.tables import cut_jobs

    with opened(store) as connection:
        kept = connection.execute(select(cut_jobs.c.taken).where(cut_jobs.c.key == key)).scalar()
    # Nothing was kept, or in a form that is not read any more.
    with suppress(ValidationError):
        return OrderTaken.model_validate(kept)
    return None


def taken_as_cut(
    key: str, films: Collection[tuple[str, str]], *, catalogue: Catalogue, store: Path | None
) -> OrderTaken | None:
    """What a job took as it was cut, at the prices of today, or nothing where nobody nested it.

    Args:
        films: those of the plan with their colours; what was cut of others is not this plan.

    Raises:
        BadInputError: the store cannot be read.
    """
    taken = last_cut(key, store=store)
    if taken is None or {(roll.film, roll.colour) for roll in taken.rolls} != {*films}:
        return None
    rolls = tuple(
        roll.model_copy(update={"price_per_m": catalogue.film(roll.film).price_per_m})
        for roll in taken.rolls
    )
    return taken.model_copy(update={"rolls": rolls})


def last_pressed(key: str, *, store: Path | None) -> PressedJob | None:
    """The job as it was pressed last, or nothing.

    Raises:
        BadInputError: the store cannot be read.
    """
    if not (store or store_path()).exists():
        return None
    with opened(store) as connection:
        return _last(connection, key)


def last_alike(
    key: str, job: Job | Order, *drawings: bytes, store: Path | None
) -> PressedJob | None:
    """The job as it was pressed last, or else as it was pressed last in another quantity.

    Args:
        key: of `job_key`.

    Raises:
        BadInputError: the store cannot be read.
    """
    from sqlalchemy import select

    from advisor.shop.tables import pressed_jobs

    if not (store or store_path()).exists():
        return None
    with opened(store) as connection:
        if same := _last(connection, key):
            return same
        of_job = select(pressed_jobs).where(pressed_jobs.c.job == job.job)
        rows = connection.execute(of_job.order_by(pressed_jobs.c.number.desc())).all()
    alike = {key_of_any_quantity(job, *drawings, by_list=by_list) for by_list in (False, True)}
    for row in rows:
        if row._mapping["shelf"].get(ANY_QUANTITY) in alike:
            return _read_row(row._mapping)
    return None


def told_pressed(
    key: str,
    plan: Plan,
    rolls: Iterable[RollTaken],
    *,
    catalogue: Catalogue,
    order: OrderPlan | None = None,
    alike: str = "",
    store: Path | None,
    again: bool = False,
) -> PressedJob:
    """Keep that a job was pressed, and count the film that it took off the shelf.

    What a film lacks on the shelf is told, not refused: the job is pressed. A film that the shop
    has only in a folder of its own is not counted there.

    Args:
        key: of `job_key`.
        rolls: what it took of each film and colour.
        order: the whole of it, where a garment has several prints.
        alike: of `key_of_any_quantity`, by which a reorder of more or fewer is known.
        catalogue: where the films, the fabrics and the press are that it was pressed with.
        store: the file of the store.
        again: count it once more where it was pressed before.

    Raises:
        BadInputError: it is impossible, or was pressed before and nobody said that it was again.
    """
    if plan.status != "planned":
        raise BadInputError(f"the job {plan.job!r} is {plan.status}: it cannot have been pressed")
    document = plan.model_dump(mode="json") if order is None else order.document()
    with opened(store) as connection:
        before = _last(connection, key)
        if before is not None and not again:
            raise pressed_before(before)
        taken = _counted_down(connection, rolls)
        now = PressedJob(
            key, plan.job, document, {**known_of(plan, catalogue), ANY_QUANTITY: alike}, taken,
            datetime.now(UTC).replace(tzinfo=None, microsecond=0),
        )  # fmt: skip
        return replace(now, number=_insert(connection, now))


def pressed_before(before: PressedJob) -> BadInputError:
    """The refusal of a job that was counted already."""
    return BadInputError(
        f"was pressed on {before.on} and its film is counted; --again counts it once more, --undo "
        "takes that back",
        field=before.job,
    )


def all_pressed(*, store: Path | None) -> list[PressedJob]:
    """All that was pressed and not taken back, the newest first.

    Raises:
        BadInputError: the store cannot be read.
    """
    from sqlalchemy import select

    from advisor.shop.tables import pressed_jobs

    if not (store or store_path()).exists():
        return []
    with opened(store) as connection:
        rows = connection.execute(select(pressed_jobs).order_by(pressed_jobs.c.number.desc())).all()
    return [_read_row(row._mapping) for row in rows]


def took_of(connection: Connection, film: str) -> bool:
    """Whether some job that was pressed and not taken back took metres of a film."""
    from sqlalchemy import select

    from advisor.shop.tables import pressed_jobs

    every = connection.execute(select(pressed_jobs.c.taken)).scalars()
    return any(each["film"] == film and each["counted_m"] > 0 for taken in every for each in taken)


def take_back(key: str, *, job: str = "", store: Path | None) -> PressedJob:
    """Forget that a job was pressed the last time, and put its film back on the shelf.

    What was pressed before the job was edited is another job: it is told with its number, and left.

    Args:
        job: its name, by which such others are found.

    Returns:
        The job with the metres of each film that are back, and what is on the shelf now.

    Raises:
        BadInputError: nothing of it is left to take back.
    """
    last = last_pressed(key, store=store)
    if last is not None:
        return take_back_numbered(last.number, store=store)
    why = "this job, as it stands in its file, was not told to be pressed: nothing is left to undo"
    other = next((one for one in all_pressed(store=store) if one.job == job), None)
    if other is not None:
        why += (
            f"; {job} as it was asked otherwise was, on {other.on} ({other.films}): "
            f"`presslore run undo {other.number}` takes that back"
        )
    raise BadInputError(why)


def take_back_numbered(number: int, *, store: Path | None) -> PressedJob:
    """The same of what was pressed under that number.

    Raises:
        BadInputError: nothing was, or it is taken back already.
    """
    from sqlalchemy import delete, select

    from advisor.shop.tables import pressed_jobs

    nothing = BadInputError(
        f"nothing is left to undo under number {number}; `presslore run list` tells what was "
        "pressed"
    )
    if not (store or store_path()).exists():
        raise nothing
    this = pressed_jobs.c.number == number
    with opened(store) as connection:
        row = connection.execute(select(pressed_jobs).where(this)).first()
        if row is None:
            raise nothing
        was, back = _read_row(row._mapping), []
        for each in was.taken:
            counted_m, on_shelf_m = _count(connection, each.film, each.counted_m)
            back.append(replace(each, counted_m=-counted_m, left_m=on_shelf_m))
        connection.execute(delete(pressed_jobs).where(this))
    return replace(was, taken=tuple(back))


def _counted_down(connection: Connection, rolls: Iterable[RollTaken]) -> tuple[FilmTaken, ...]:
    metres: dict[str, float] = {}
    for roll in rolls:
        metres[roll.film] = round(metres.get(roll.film, 0.0) + roll.metres, 4)
    return tuple(
        FilmTaken(film, wanted_m, *_count(connection, film, -wanted_m))
        for film, wanted_m in metres.items()
    )


def _count(connection: Connection, film: str, by_m: float) -> tuple[float, float]:
    """Count metres of a film; how many were counted off the shelf, and how many are left."""
    entries = stored(connection)
    known, _ = laid_on_shelf(load_catalogue(), entries)
    if film not in known.films:
        return 0.0, 0.0
    had_m = known.film(film).on_shelf_m
    left_m = round(max(0.0, had_m + by_m), 4)
    was = next(
        (one for one in entries if (one.kind, one.name) == ("films", film)),
        OwnEntry("films", film, {}),
    )
    put(connection, [replace(was, values={**was.values, "on_shelf_m": left_m})])
    return round(had_m - left_m, 4), left_m


def known_of(plan: Plan, catalogue: Catalogue) -> dict[str, dict[str, dict[str, Any]]]:
    """What is known of a plan's films, fabrics and press, by kind and id, as plain data.

    Raises:
        UnknownNameError: the catalogue has one of them no more.
    """
    films = dict.fromkeys(piece.film for piece in plan.pieces)
    fabrics = dict.fromkeys(name for run in plan.runs for name in run.fabrics)
    of: dict[str, Mapping[str, Fact]] = {
        "films": {name: catalogue.film(name) for name in films},
        "fabrics": {name: catalogue.fabric(name) for name in fabrics},
        "presses": {plan.press: catalogue.press(plan.press)},
    }
    return {
        kind: {name: fact.model_dump(mode="json", exclude=_COUNTED) for name, fact in facts.items()}
        for kind, facts in of.items()
    }


def _last(connection: Connection, key: str) -> PressedJob | None:
    from sqlalchemy import select

    from advisor.shop.tables import pressed_jobs

    of_job = select(pressed_jobs).where(pressed_jobs.c.key == key)
    found = connection.execute(of_job.order_by(pressed_jobs.c.number.desc()).limit(1)).first()
    return None if found is None else _read_row(found._mapping)


def _read_row(row: Mapping[Any, Any]) -> PressedJob:
    taken = tuple(FilmTaken(**each) for each in row["taken"])
    return PressedJob(
        row["key"], row["job"], row["plan"], row["shelf"], taken, row["pressed_at"], row["number"]
    )


def _insert(connection: Connection, job: PressedJob) -> int:
    """Keep it; its number."""
    from dataclasses import asdict

    from sqlalchemy import insert

    from advisor.shop.tables import pressed_jobs

    row = {
        "key": job.key, "job": job.job, "plan": dict(job.plan), "shelf": dict(job.shelf),
        "taken": [asdict(each) for each in job.taken], "pressed_at": job.pressed_at,
    }  # fmt: skip
    (number,) = connection.execute(insert(pressed_jobs).values(row)).inserted_primary_key or (0,)
    return int(number)
