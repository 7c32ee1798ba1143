"""The shop's figures: what its quotes reckon with, until it says its own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import Field, ValidationError

from advisor.shop.entries import opened
from advisor.shop.place import store_path
from rules.catalogue import first_problem
from rules.errors import BadInputError, UnknownNameError
from rules.facts.fact import Record
from rules.facts.practice import ROLL_S, SET_UP_S

if TYPE_CHECKING:
    from advisor.job.records.job import Rates

__all__ = ["Figures", "all_figures", "keep_figures", "kept_figures"]

OF_A_JOB = ("rate_per_hour", "spoiled_per_sample_pct")
"""What a quote reckons with that a job says, under its rates."""


class Figures(Record):
    """What a quote reckons with besides the job's own rates. All are generic until the shop says.

    Attributes:
        cut_mm_per_s: how fast the cutter goes, corners and lifts included.
        weed_s_per_m: seconds of weeding for each metre of cut line.
        weed_s_per_carrier: seconds to trim a carrier and begin on it.
        name_s: seconds to read, set and check one person's name.
        set_up_min: minutes for an order before the first garment: files, talk, a trial press.
        spoil_pct: garments spoiled of themselves, of a hundred.
        overhead_pct: rent, power and all that no order pays for by itself, on the work.
        margin_pct: what is left of the price once all of it is paid.
        breaks: quantities that a quote tells the price for.
    """

    cut_mm_per_s: float = Field(default=100.0, gt=0, le=2000)
    weed_s_per_m: float = Field(default=20.0, ge=0, le=1000)
    weed_s_per_carrier: float = Field(default=15.0, ge=0, le=1000)
    name_s: float = Field(default=20.0, ge=0, le=1000)
    set_up_min: float = Field(default=15.0, ge=0, le=1000)
    spoil_pct: float = Field(default=2.0, ge=0, le=100)
    overhead_pct: float = Field(default=25.0, ge=0, le=1000)
    margin_pct: float = Field(default=30.0, ge=0, le=95)
    breaks: tuple[int, ...] = Field(default=(1, 10, 25, 50, 100), max_length=20)


def kept_figures(store: Path | None = None) -> Figures:
    """The shop's figures as its store keeps them, and the usual ones for the rest.

    Raises:
        BadInputError: the store cannot be read.
    """
    if not (store or store_path()).exists():
        return Figures()
    from sqlalchemy import select

    from advisor.shop.tables import figures

    with opened(store) as connection:
        kept = {row.name: row.value for row in connection.execute(select(figures))}
    # A figure that is reckoned with no more stays in the store, and out of the quote.
    return Figures.model_validate({n: v for n, v in kept.items() if n in Figures.model_fields})


def all_figures(kept: Figures, rates: Rates) -> dict[str, tuple[Any, str]]:
    """Every figure that enters a quote besides prices and measures, each with who says it.

    >>> from advisor.job.records.job import Rates
    >>> all_figures(Figures(), Rates())["rate_per_hour"]
    (36.0, "the job, under rates: the hour of all work, the press's too")
    """
    told = {name: (value, f"you: --set {name}=…") for name, value in kept}
    whose = (
        "the job, under rates: the hour of all work, the press's too",
        "the job, under rates: garments spoiled for each finding of kind sample",
    )
    for name, says in zip(OF_A_JOB, whose, strict=True):
        told[name] = (getattr(rates, name), says)
    told["run_s"] = (SET_UP_S, "always: to set up the press for a run")
    told["roll_s"] = (ROLL_S, "always: to change the roll in the cutter")
    return told


def keep_figures(changes: Mapping[str, str], *, store: Path | None = None) -> Figures:
    """Keep figures of the shop's for every quote to come.

    Args:
        changes: by name, as they were typed; several numbers with commas between.
        store: the file of the store; without it, where the shop keeps it.

    Raises:
        BadInputError: there is no such figure, or it is out of its limits.
    """
    typed: dict[str, Any] = {}
    for name, text in changes.items():
        if name in OF_A_JOB:
            raise BadInputError(f"is said by each job, as in rates: {{{name}: 40}}", field=name)
        if name not in Figures.model_fields:
            raise UnknownNameError("figure", name, Figures.model_fields)
        typed[name] = [n.strip() for n in text.split(",")] if name == "breaks" else text.strip()
    was = kept_figures(store)
    try:
        now = Figures.model_validate({**was.model_dump(), **typed})
    except ValidationError as error:
        raise first_problem(error, source="") from None
    if any(quantity < 1 for quantity in now.breaks):
        raise BadInputError("a quantity is 1 or more", field="breaks")
    from sqlalchemy import delete, insert

    from advisor.shop.tables import figures

    with opened(store) as connection:
        for name in typed:
            connection.execute(delete(figures).where(figures.c.name == name))
            value = now.model_dump(mode="json")[name]
            connection.execute(insert(figures).values({"name": name, "value": value}))
    return now
