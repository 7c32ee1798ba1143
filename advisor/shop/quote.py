"""Quote: what an order is to cost, every number of it traceable to what it comes from.

Money is reckoned in decimals. Each line is rounded to the smallest coin and what follows is
reckoned from the rounded lines, so that a person with a calculator finds the same total.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, ROUND_UP, Decimal
from itertools import pairwise
from math import ceil, gcd
from typing import TYPE_CHECKING

from advisor.cutting.records.rolls import LAID
from advisor.shop.money import as_written, coin_of, currency_code
from advisor.shop.records import CustomerItem, Quote, QuoteBreak, QuoteLine
from advisor.shop.spoilage import Spoilage
from rules.errors import BadInputError
from rules.facts.practice import ROLL_S, SET_UP_S
from rules.facts.text import Text, and_list
from rules.facts.units import show_mm, show_size

if TYPE_CHECKING:
    from advisor.cutting.records.rolls import OrderTaken
    from advisor.job.records.job import Rates
    from advisor.job.records.plan import Plan, Run
    from advisor.shop.figures import Figures
    from rules.catalogue import Catalogue

__all__ = ["quote"]

WORK = ("cutting", "weeding", "pressing", "names", "set-up")
"""The lines that overhead is laid on."""

OF_LINE = ("pressing", "garments")
"""What is known of every garment by itself."""


@dataclass(frozen=True)
class _Part:
    """A line to come: what it costs once, and for the garments of the order as they are."""

    what: str
    garments: Decimal
    once: Decimal
    basis: str
    facts: Mapping[str, float]


def quote(
    plan: Plan, taken: OrderTaken, *, rates: Rates, figures: Figures, catalogue: Catalogue
) -> Quote:
    """What an order is to cost, before tax.

    Args:
        plan: the job planned.
        taken: what it takes of film, cutting and weeding.
        rates: what time and spoilage cost in this shop.
        figures: what else the shop reckons with.
        catalogue: where its garments and its press are.

    Raises:
        BadInputError: there is no plan to quote, a line names no garment, or the currency is not
            known.
        UnknownNameError: a garment or the press is not in the catalogue.
    """
    if plan.status != "planned" or not plan.quantity:
        raise BadInputError(f"the job {plan.job!r} is {plan.status}: there is nothing to quote")
    code = currency_code(rates.currency)
    coin, ordered = coin_of(code), plan.quantity
    parts = [
        *_films(taken),
        *_cut(taken, rates, figures),
        _pressed(plan, rates, catalogue),
        *_named(taken, rates, figures),
        _garments(plan, catalogue),
    ]
    direct = _direct(plan, parts, rates, catalogue)
    spoiled = Spoilage(plan, direct, figures.spoil_pct, rates.spoiled_per_sample_pct)
    set_up = _set_up(plan, taken, rates, figures, catalogue)

    def reckoned(quantity: int) -> tuple[QuoteLine, ...]:
        return _lines(parts, set_up, Decimal(quantity) / ordered, coin, figures, spoiled)

    borne = {n: cost * (100 + spoiled.percent_of(n)) for n, cost in direct.items()}

    def sold(quantity: int) -> tuple[CustomerItem, ...]:
        return _items(plan, _sum(reckoned(quantity)), borne, coin, catalogue, quantity=quantity)

    lines, items = reckoned(ordered), sold(ordered)
    total = sum((item.amount for item in items), Decimal(0))
    told = "the price of each garment" if len(items) > 1 else "the price of one garment"
    rounding = {f"each {item.what!s}": float(item.each) for item in items}
    lines = (
        *lines,
        QuoteLine("rounding", total - _sum(lines), f"{told} rounded up to {coin}", rounding),
    )
    # So many garments at least have the mix of the order in whole garments.
    mix = ordered // gcd(*(item.quantity for item in items))
    asked = {ceil(quantity / mix) * mix for quantity in figures.breaks}
    breaks = {quantity: _break(sold(quantity)) for quantity in sorted({ordered, *asked})}
    return Quote(
        job=plan.job,
        currency=code,
        quantity=ordered,
        items=items,
        lines=lines,
        each=breaks[ordered].each,
        total=total,
        breaks=tuple(breaks.values()),
    )


def _break(items: Sequence[CustomerItem]) -> QuoteBreak:
    prices = {item.each for item in items}
    return QuoteBreak(
        sum(item.quantity for item in items),
        prices.pop() if len(prices) == 1 else None,
        sum((item.amount for item in items), Decimal(0)),
    )


def _lines(
    parts: list[_Part],
    set_up: _Part,
    share: Decimal,
    coin: Decimal,
    figures: Figures,
    spoiled: Spoilage,
) -> tuple[QuoteLine, ...]:
    """The lines for a share of the order, its garments mixed as they are; before rounding."""

    def money(amount: Decimal) -> Decimal:
        return amount.quantize(coin, ROUND_HALF_UP)

    lines = [
        QuoteLine(part.what, money(part.garments * share + part.once), part.basis, part.facts)
        for part in parts
    ]
    spoilt = money(_sum(lines) * spoiled.percent / 100)
    lines.append(QuoteLine("spoilage", spoilt, spoiled.told, {"percent": float(spoiled.percent)}))
    lines.append(QuoteLine(set_up.what, money(set_up.once), set_up.basis, set_up.facts))
    work = sum((line.amount for line in lines if line.what in WORK), Decimal(0))
    overhead = money(work * as_written(figures.overhead_pct) / 100)
    lines.append(
        QuoteLine(
            "overhead", overhead, f"{figures.overhead_pct:g} % on the work: {', '.join(WORK)}",
            {"percent": figures.overhead_pct, "work": float(work)},
        )
    )  # fmt: skip
    cost = _sum(lines)
    margin = money(cost * as_written(figures.margin_pct) / (100 - as_written(figures.margin_pct)))
    lines.append(
        QuoteLine(
            "margin", margin, f"{figures.margin_pct:g} % of the price, on a cost of {cost}",
            {"percent": figures.margin_pct, "cost": float(cost)},
        )
    )  # fmt: skip
    return tuple(lines)


def _films(taken: OrderTaken) -> list[_Part]:
    return [
        _Part(
            f"film {roll.film} {roll.colour}",
            as_written(roll.metres) * as_written(roll.price_per_m),
            Decimal(0),
            f"{roll.metres:.2f} m off the roll at {roll.price_per_m:.2f} a metre, "
            f"{LAID[taken.laid]}",
            {"metres": roll.metres, "price_per_m": roll.price_per_m},
        )
        for roll in taken.rolls
    ]


def _cut(taken: OrderTaken, rates: Rates, figures: Figures) -> list[_Part]:
    cut_s = as_written(taken.cut_m) * 1000 / as_written(figures.cut_mm_per_s)
    weed_s = as_written(taken.cut_m) * as_written(figures.weed_s_per_m)
    weed_s += taken.carriers * as_written(figures.weed_s_per_carrier)
    return [
        _work(
            "cutting", cut_s, rates,
            f"{taken.cut_m:.2f} m of cut line at {show_mm(figures.cut_mm_per_s)}/s",
            {"cut_m": taken.cut_m, "cut_mm_per_s": figures.cut_mm_per_s},
        ),
        _work(
            "weeding", weed_s, rates,
            f"{taken.cut_m:.2f} m of cut line at {figures.weed_s_per_m:g} s a metre and "
            f"{_counted(taken.carriers, 'carrier')} at {figures.weed_s_per_carrier:g} s",
            {
                "cut_m": taken.cut_m, "weed_s_per_m": figures.weed_s_per_m,
                "carriers": taken.carriers, "weed_s_per_carrier": figures.weed_s_per_carrier,
            },
        ),
    ]  # fmt: skip


def _pressed(plan: Plan, rates: Rates, catalogue: Catalogue) -> _Part:
    """The steps of every garment; turning the dial is set-up, whatever the quantity."""
    seconds = sum(
        (as_written(garment.minutes_each) * 60 * plan.print.lines[garment.line].quantity
         for run in plan.runs for garment in run.garments),
        Decimal(0),
    )  # fmt: skip
    turned_s = _dial_s(plan, catalogue)
    less = f", less {turned_s / 60:.1f} min of turning the dial" if turned_s else ""
    return _work(
        "pressing", max(seconds - turned_s, Decimal(0)), rates,
        f"the steps of {_counted(plan.quantity, 'garment')}, {seconds / 60:.1f} min{less}",
        {"steps_s": float(seconds), "dial_s": float(turned_s), "garments": plan.quantity},
    )  # fmt: skip


def _named(taken: OrderTaken, rates: Rates, figures: Figures) -> list[_Part]:
    if not taken.names:
        return []
    facts = {"names": taken.names, "name_s": figures.name_s}
    told = f"{_counted(taken.names, 'name')} at {figures.name_s:g} s"
    return [_work("names", taken.names * as_written(figures.name_s), rates, told, facts)]


def _garments(plan: Plan, catalogue: Catalogue) -> _Part:
    bought: dict[str, int] = {}
    for run in plan.runs:
        for line in plan.lines_of(run):
            if line.garment is None:
                raise BadInputError("a line of the plan names a fabric and no garment to buy")
            bought[line.garment] = bought.get(line.garment, 0) + line.quantity
    prices = {name: catalogue.garment(name).price_each for name in bought}
    amount = sum((as_written(prices[name]) * number for name, number in bought.items()), Decimal(0))
    told = ", ".join(f"{number} {name} at {prices[name]:.2f}" for name, number in bought.items())
    facts: dict[str, float] = {f"{name} garments": number for name, number in bought.items()}
    facts |= {f"{name} price_each": price for name, price in prices.items()}
    return _Part("garments", amount, Decimal(0), told, facts)


def _set_up(
    plan: Plan, taken: OrderTaken, rates: Rates, figures: Figures, catalogue: Catalogue
) -> _Part:
    turned_s = _dial_s(plan, catalogue)
    runs, rolls = len(plan.runs), len(taken.rolls)
    seconds = (
        as_written(figures.set_up_min) * 60
        + runs * as_written(SET_UP_S)
        + rolls * as_written(ROLL_S)
        + turned_s
    )
    told = (
        f"{figures.set_up_min:g} min for the order, {_counted(runs, 'run')} at {SET_UP_S:g} s, "
        f"{_counted(rolls, 'roll')} at {ROLL_S:g} s"
    )
    if turned_s:
        told += f", {turned_s / 60:.1f} min of turning the dial"
    part = _work(
        "set-up", seconds, rates, told,
        {
            "set_up_min": figures.set_up_min, "runs": runs, "run_s": SET_UP_S, "rolls": rolls,
            "roll_s": ROLL_S, "dial_s": float(turned_s),
        },
    )  # fmt: skip
    return _Part(part.what, Decimal(0), part.garments, part.basis, part.facts)


def _dial_s(plan: Plan, catalogue: Catalogue) -> Decimal:
    """Seconds in which the press changes its setpoint, once in each run, s."""
    return sum((_dial_of_run_s(plan, run, catalogue) for run in plan.runs), Decimal(0))


def _dial_of_run_s(plan: Plan, run: Run, catalogue: Catalogue) -> Decimal:
    change = catalogue.press(plan.press).change_seconds
    turned_s = sum(change(earlier, later) for earlier, later in pairwise(_settings(plan, run)))
    return as_written(round(turned_s, 1))


def _settings(plan: Plan, run: Run) -> list[float]:
    return [
        step.setpoint_c
        for step in plan.steps
        if step.run == run.run and step.purpose == "full" and step.setpoint_c is not None
    ]


def _work(
    what: str, seconds: Decimal, rates: Rates, told: str, facts: Mapping[str, float]
) -> _Part:
    amount = seconds * as_written(rates.rate_per_hour) / 3600
    basis = Text(f"{told}: {seconds / 60:.1f} min at {rates.rate_per_hour:g} an hour")
    facts = {**facts, "seconds": float(seconds), "rate_per_hour": rates.rate_per_hour}
    return _Part(what, amount, Decimal(0), basis, facts)


def _direct(
    plan: Plan, parts: Sequence[_Part], rates: Rates, catalogue: Catalogue
) -> dict[int, Decimal]:
    """What one garment of each line costs by itself: bought, pressed, and its share of the film.

    Film, cutting and weeding are shared by the size of the prints. Turning the dial is no
    garment's own: that is set-up.
    """
    film = sum((part.garments for part in parts if part.what not in OF_LINE), Decimal(0))
    areas = {
        n: as_written(line.width_mm) * as_written(line.height_mm)
        for n, line in enumerate(plan.print.lines)
    }
    pressed: dict[int, Decimal] = {}
    for run in plan.runs:
        dial_s = _dial_of_run_s(plan, run, catalogue)
        turned = dial_s / 60 / sum(line.quantity for line in plan.lines_of(run))
        pressed |= {
            one.line: max(as_written(one.minutes_each) - turned, Decimal(0)) for one in run.garments
        }
    in_all = sum(areas[n] * plan.print.lines[n].quantity for n in pressed) or Decimal(1)
    return {
        n: as_written(catalogue.garment(plan.print.lines[n].garment or "").price_each)
        + minutes * as_written(rates.rate_per_hour) / 60
        + film * areas[n] / in_all
        for n, minutes in pressed.items()
    }


def _items(
    plan: Plan,
    price: Decimal,
    direct: Mapping[int, Decimal],
    coin: Decimal,
    catalogue: Catalogue,
    *,
    quantity: int,
) -> tuple[CustomerItem, ...]:
    """The garments with their prices: what is no garment's own is laid on in proportion.

    Args:
        quantity: of garments in all, in the mix of the order.
    """
    lines = plan.print.lines
    sold = {n: lines[n].quantity * quantity // plan.quantity for n in direct}
    in_all = sum((cost * sold[n] for n, cost in direct.items()), Decimal(0))
    items = []
    for n in (garment.line for run in plan.runs for garment in run.garments):
        line = lines[n]
        name = catalogue.garment(line.garment or "").name
        colour = line.fabric.partition(":")[2]
        name += f" {colour}" if colour else ""
        places = (line.area or "").replace("-", " ").split(", ")
        where = f", printed on the {and_list(places)}" if line.area else ""
        # Several prints on a garment are each of their own size.
        one = f", {show_size(line.width_mm, line.height_mm)}"
        size = one if len(places) == 1 else ""
        share = direct[n] / in_all if in_all else Decimal(1) / quantity
        each = (price * share).quantize(coin, ROUND_UP)
        items.append(CustomerItem(Text(f"{name}{where}{size}"), sold[n], each, each * sold[n]))
    return tuple(items)


def _counted(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _sum(lines: list[QuoteLine] | tuple[QuoteLine, ...]) -> Decimal:
    return sum((line.amount for line in lines), Decimal(0))
