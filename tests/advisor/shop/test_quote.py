"""A quote: against an order reckoned by hand, traced to its facts, bare of them for a customer."""

from __future__ import annotations

from dataclasses import asdict, replace
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from random import Random

import pytest

from advisor.cutting.records.rolls import OrderTaken, RollTaken
from advisor.job.records.job import Rates
from advisor.job.records.plan import Plan, Proof, Run, RunGarment
from advisor.job.records.print import NOTHING_PRINTED, PrintLine
from advisor.shop.figures import Figures, keep_figures, kept_figures
from advisor.shop.money import coin_of, currency_code, shown_in
from advisor.shop.quote import quote
from advisor.shop.quote_page import quote_page
from advisor.shop.records import Quote, QuoteLine
from rules.catalogue import load_catalogue
from rules.errors import BadInputError
from rules.facts.finding import Finding
from rules.facts.step import Step
from rules.facts.text import Text

SHELF = load_catalogue()
SAMPLE = Finding(
    rule="top-surface", severity="sample", where=Text("a"), message=Text("b"), why=Text("c"),
    instead=Text("d"), basis="practice",
)  # fmt: skip
PLAN = Plan(
    job="kites", artwork="kite", status="planned", verdict="sample", prefer="cheapest",
    press="clamshell-38x38",
    proof=Proof(optimal=True, bound=None, objective=None, measures=("cents",)),
    print=replace(
        NOTHING_PRINTED,
        lines=(PrintLine("adult-tee", "front", "cotton-jersey-tee", 20, 200.0, 150.0),),
    ),
    steps=(
        Step(n=1, run=1, action="press", purpose="full", setpoint_c=149, dwell_s=10),
        Step(n=2, run=1, action="press", purpose="full", setpoint_c=160, dwell_s=10),
    ),
    runs=(
        Run(
            run=1, fabrics=("cotton-jersey-tee",),
            garments=(RunGarment(line=0, minutes_each=3.05, cost_each=1.0),),
        ),
    ),
    findings=(SAMPLE,),
)  # fmt: skip
TAKEN = OrderTaken(
    rolls=(RollTaken(film="matte-smooth", colour="navy", metres=2.5, price_per_m=7.4),),
    cut_m=40.0,
    carriers=40,
    names=20,
)
BY_HAND = {
    "film matte-smooth navy": "18.50",  # 2.50 m at 7.40
    "cutting": "4.00",  # 40 m at 100 mm/s is 400 s; 36.00 an hour is a cent a second
    "weeding": "14.00",  # 40 m at 20 s and 40 carriers at 15 s are 1400 s
    "pressing": "36.00",  # 20 at 3.05 min are 3660 s, less 60 s for 11 °C at 11 °C a minute
    "names": "4.00",  # 20 at 20 s
    "garments": "130.00",  # 20 at 6.50
    "spoilage": "14.46",  # 2 % of themselves and 5 % for a sample, of 206.50
    "set-up": "11.40",  # 900 s, a run of 60 s, a roll of 120 s, the dial 60 s
    "overhead": "17.35",  # 25 % of 4.00 + 14.00 + 36.00 + 4.00 + 11.40
    "margin": "107.02",  # 249.71 is 70 % of the price
    "rounding": "0.07",  # 356.73 / 20 is 17.8365, so 17.84 each
}


def made(**changes: object) -> Quote:
    given = {"rates": Rates(), "figures": Figures(), "catalogue": SHELF, **changes}
    plan, taken = given.pop("plan", PLAN), given.pop("taken", TAKEN)
    return quote(plan, taken, **given)  # type: ignore[arg-type]


def test_an_order_reckoned_by_hand() -> None:
    whole = made()
    assert {line.what: str(line.amount) for line in whole.lines} == BY_HAND
    assert (str(whole.each), str(whole.total)) == ("17.84", "356.80")
    told = {at.quantity: (str(at.each), str(at.total)) for at in whole.breaks}
    assert told[20] == ("17.84", "356.80")
    # Half of everything but the set-up: 131.98 and its margin 56.56, so 18.86 each.
    assert told[10] == ("18.86", "188.60")
    # 0.93 + 0.20 + 0.70 + 1.80 + 0.20 + 6.50, spoilage 0.72, set-up 11.40, overhead 3.58,
    # margin 11.16.
    assert told[1] == ("37.19", "37.19")


def test_spoilage_says_what_it_is_made_of() -> None:
    (spoilage,) = (line for line in made().lines if line.what == "spoilage")
    assert spoilage.basis == (
        "7 % of all of the above: 2 % always and 5 % for the sample to press first"
    )
    clean = made(plan=PLAN.model_copy(update={"findings": ()}))
    (spoilage,) = (line for line in clean.lines if line.what == "spoilage")
    assert spoilage.basis == "2 % of all of the above"


def of_two_lines(*samples: int | None) -> Plan:
    """20 tees and 10 bags, each 200 × 150 mm in 3 min, with the samples that each line asks for."""
    bags = PrintLine("drawstring-bag", "front", "polyester-woven:navy", 10, 200.0, 150.0)
    garments = tuple(
        RunGarment(line=n, minutes_each=3.0, cost_each=1.0, samples=count)
        for n, count in enumerate(samples)
    )
    run = PLAN.runs[0].model_copy(update={"garments": garments})
    lines = replace(PLAN.print, lines=(*PLAN.print.lines, bags))
    return PLAN.model_copy(update={"print": lines, "steps": PLAN.steps[:1], "runs": (run,)})


def spoilage_of(plan: Plan) -> QuoteLine:
    (line,) = (line for line in made(plan=plan).lines if line.what == "spoilage")
    return line


def test_the_sample_of_one_line_is_charged_to_its_own_garments_alone() -> None:
    tee, bag = (SHELF.garment(name).price_each for name in ("adult-tee", "drawstring-bag"))
    # By hand: 40.50 of film, cutting and names are 1.35 a garment, and 3 min at 60 ct are 1.80.
    of_tees, of_bags = (number * (Decimal(str(each)) + Decimal("3.15")) for number, each in (
        (20, tee), (10, bag)))  # fmt: skip
    two_pct, seven_pct = Decimal("0.02"), Decimal("0.07")

    def coins(amount: Decimal) -> Decimal:
        return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)

    asked = spoilage_of(of_two_lines(0, 1))
    assert asked.amount == coins(two_pct * of_tees + seven_pct * of_bags)
    assert asked.basis.endswith(
        "2 % always and 5 % for each sample to press first, of what its own garments cost: "
        "1 sample for the 10 × drawstring-bag navy"
    )
    # Where each asks for its own, or nobody asked line by line, both bear it.
    for alike in (of_two_lines(1, 1), of_two_lines(None, None)):
        assert spoilage_of(alike).amount == coins(seven_pct * (of_tees + of_bags))
    assert spoilage_of(of_two_lines(0, 0)).amount == coins(two_pct * (of_tees + of_bags))


def test_who_asks_for_no_sample_pays_for_none() -> None:
    tees_beside_samples, bags_with = made(plan=of_two_lines(0, 1)).items
    tees, bags = made(plan=of_two_lines(0, 0)).items
    assert tees_beside_samples.each - tees.each <= Decimal("0.01")
    assert bags_with.each > bags.each + Decimal("0.20")


def test_each_kind_of_garment_bears_what_it_costs() -> None:
    jacket = PrintLine("lined-jacket", "back", "nylon-coated", 2, 280.0, 270.0)
    lines = (*PLAN.print.lines, jacket)
    mixed = PLAN.model_copy(
        update={
            "print": replace(PLAN.print, lines=lines),
            "runs": (
                PLAN.runs[0].model_copy(
                    update={
                        "garments": (
                            RunGarment(line=0, minutes_each=3.05, cost_each=1.0),
                            RunGarment(line=1, minutes_each=6.1, cost_each=2.0),
                        )
                    }
                ),
            ),
        }
    )
    whole = made(plan=mixed)
    tee, lined = whole.items
    # The jacket alone costs more to buy than a tee is sold for.
    assert lined.each > Decimal(str(SHELF.garment("lined-jacket").price_each)) > tee.each
    assert tee.amount + lined.amount == whole.total == sum(line.amount for line in whole.lines)
    # By hand: bought, pressed at a cent a second less the minute at the dial that 22 share, and
    # 40.50 of film and cutting by square mm.
    dial, share = Decimal("0.60") / 22, Decimal("40.50") / (20 * 30_000 + 2 * 75_600)
    own = [
        Decimal("6.50") + Decimal("1.83") - dial + 30_000 * share,
        Decimal("36.00") + Decimal("3.66") - dial + 75_600 * share,
    ]
    price = sum(line.amount for line in whole.lines if line.what != "rounding")
    for item, cost in zip(whole.items, own, strict=True):
        exact = price * cost / (20 * own[0] + 2 * own[1])
        assert Decimal(0) <= item.each - exact < Decimal("0.01")


def test_it_adds_up_and_more_garments_never_cost_more_each() -> None:
    whole = made(figures=Figures(breaks=tuple(range(1, 21)), margin_pct=33.3))
    assert sum(line.amount for line in whole.lines) == whole.total
    assert sum(item.amount for item in whole.items) == whole.total
    for at in whole.breaks:
        assert at.each * at.quantity == at.total
    assert [at.each for at in whole.breaks] == sorted(
        (at.each for at in whole.breaks), reverse=True
    )


def order_of(quantities: list[int], rng: Random) -> Plan:
    """An order with a line of some garment for each quantity."""
    garments = [rng.choice(["adult-tee", "lined-jacket", "child-tee"]) for _ in quantities]
    lines = tuple(
        PrintLine(name, "front", "cotton-jersey-tee", quantity, rng.uniform(50, 300), 150.0)
        for name, quantity in zip(garments, quantities, strict=True)
    )
    each = tuple(
        RunGarment(line=n, minutes_each=round(rng.uniform(0.5, 9), 5), cost_each=1.0)
        for n in range(len(lines))
    )
    run = PLAN.runs[0].model_copy(update={"garments": each})
    return PLAN.model_copy(
        update={"print": replace(PLAN.print, lines=lines), "runs": (run,), "findings": ()}
    )


@pytest.mark.parametrize("seed", range(12))
def test_the_price_of_one_times_so_many_is_the_total_in_every_row(seed: int) -> None:
    rng = Random(seed)
    for currency in ("EUR", "JPY", "KWD", "USD", "HUF"):
        quantities = [rng.randint(1, 60) for _ in range(rng.randint(1, 4))]
        rates = Rates(currency=currency, rate_per_hour=rng.uniform(5, 1000))
        whole = made(plan=order_of(quantities, rng), rates=rates)
        coin = Decimal(1).scaleb(-{"EUR": 2, "JPY": 0, "KWD": 3, "USD": 2, "HUF": 2}[currency])
        for row in (*whole.items, *whole.for_customer.breaks):
            all_of_it = getattr(row, "amount", None) or getattr(row, "total", None)
            if row.each is not None:
                assert row.each % coin == 0
                assert row.each * row.quantity == all_of_it
        prices = {item.each for item in whole.items}
        [ordered] = [row for row in whole.breaks if row.quantity == sum(quantities)]
        assert ordered.total == whole.total == sum(item.amount for item in whole.items)
        assert ordered.each == whole.each == (prices.pop() if len(prices) == 1 else None)


def test_kinds_of_garment_with_a_price_each_have_none_for_them_all() -> None:
    whole = made(plan=order_of([8, 6, 11], Random(3)))
    assert len({item.each for item in whole.items}) > 1
    page = quote_page(whole.for_customer)
    assert "<td>25</td><td>by garment</td>" in page
    assert " each." not in page.partition("<table>")[0]


def test_other_quantities_of_a_mixed_order_are_its_mix_each_kind_at_its_own_price() -> None:
    """A jacket bears more minutes than a tee: no price of "one of 10" is true of either."""
    mixed, figures = order_of([8, 12], Random(3)), Figures(breaks=(1, 10, 12, 50))
    lines = replace(
        mixed.print,
        lines=tuple(
            replace(line, garment=name)
            for line, name in zip(mixed.print.lines, ("lined-jacket", "child-tee"), strict=True)
        ),
    )
    # One setting: the minutes of each garment then hold no share of turning the dial.
    mixed = mixed.model_copy(update={"print": lines, "steps": mixed.steps[:1]})
    whole = made(plan=mixed, figures=figures)
    # 8 and 12 come in whole garments as 2 and 3: by fives.
    assert [(at.quantity, at.each) for at in whole.breaks] == [
        (5, None), (10, None), (15, None), (20, None), (50, None),
    ]  # fmt: skip
    each = {at.quantity: at.total / at.quantity for at in whole.breaks}
    assert sorted(each.values(), reverse=True) == list(each.values())
    half = lines.lines[0].quantity // 2, lines.lines[1].quantity // 2
    smaller = replace(
        lines,
        lines=tuple(replace(line, quantity=n) for line, n in zip(lines.lines, half, strict=True)),
    )
    less = TAKEN.model_copy(
        update={
            "rolls": (TAKEN.rolls[0].model_copy(update={"metres": 1.25}),),
            "cut_m": 20.0, "carriers": 20, "names": 10,
        }
    )  # fmt: skip
    ordered = made(plan=mixed.model_copy(update={"print": smaller}), taken=less, figures=figures)
    (ten,) = (at for at in whole.breaks if at.quantity == 10)
    assert ten.total == ordered.total
    assert "By quantity, each in the mix of this order" in quote_page(whole.for_customer)


def test_every_amount_can_be_reckoned_again_from_its_facts() -> None:
    whole = made(figures=Figures(margin_pct=41, overhead_pct=13, spoil_pct=3.5))
    at = {line.what: (line.amount, dict(line.facts)) for line in whole.lines}

    def near(what: str, amount: float) -> None:
        assert float(at[what][0]) == pytest.approx(amount, abs=0.00501), what

    film = at["film matte-smooth navy"][1]
    near("film matte-smooth navy", film["metres"] * film["price_per_m"])
    for what in ("cutting", "weeding", "pressing", "names", "set-up"):
        near(what, at[what][1]["seconds"] * at[what][1]["rate_per_hour"] / 3600)
    cut = at["cutting"][1]
    assert cut["seconds"] == cut["cut_m"] * 1000 / cut["cut_mm_per_s"]
    press = at["pressing"][1]
    assert press["seconds"] == press["steps_s"] - press["dial_s"]
    goods = at["garments"][1]
    near("garments", goods["adult-tee garments"] * goods["adult-tee price_each"])
    before = list(at)[: list(at).index("spoilage")]
    near(
        "spoilage", sum(float(at[what][0]) for what in before) * at["spoilage"][1]["percent"] / 100
    )
    near("overhead", at["overhead"][1]["work"] * 0.13)
    margin = at["margin"][1]
    near("margin", margin["cost"] * margin["percent"] / (100 - margin["percent"]))
    for what, (_, facts) in at.items():
        line = next(each for each in whole.lines if each.what == what)
        for value in facts.values():
            if what in {"cutting", "weeding", "names"} and value not in {facts["seconds"]}:
                assert f"{value:g}" in line.basis or f"{value:.2f}" in line.basis


def test_a_change_of_one_fact_changes_what_rests_on_it_alone() -> None:
    usual = {line.what: line.amount for line in made().lines}
    dearer = replace_price(2 * 7.4)
    changed = {line.what: line.amount for line in made(taken=dearer).lines}
    different = {what for what in usual if usual[what] != changed[what]}
    assert different == {"film matte-smooth navy", "spoilage", "margin", "rounding"}
    quick = {line.what: line.amount for line in made(figures=Figures(cut_mm_per_s=50)).lines}
    different = {what for what in usual if usual[what] != quick[what]}
    assert different == {"cutting", "spoilage", "overhead", "margin", "rounding"}


def replace_price(price_per_m: float) -> OrderTaken:
    roll = TAKEN.rolls[0].model_copy(update={"price_per_m": price_per_m})
    return TAKEN.model_copy(update={"rolls": (roll,)})


def test_the_customer_sees_nothing_of_the_shops_own_figures() -> None:
    whole = made()
    page = quote_page(whole.for_customer)
    assert "€356.80" in page
    assert "Adult&#39;s tee, printed on the front, 200 × 150 mm" in page
    for told in (page.partition("</style>")[2], str(asdict(whole.for_customer))):
        for line in whole.lines:
            assert line.basis not in told
            if line.amount not in {at.each for at in whole.breaks}:
                assert f"{line.amount:,}" not in told
        for word in ("margin", "overhead", "spoil", "minute", "hour", "matte", "weed", "set-up"):
            assert word not in told.lower()


def test_a_page_holds_what_people_type_as_text_alone() -> None:
    page = quote_page(replace(made(), job="<script>alert(1)</script>").for_customer)
    assert "<script>" not in page
    assert "&lt;script&gt;" in page


def test_money_is_written_as_a_place_writes_it() -> None:
    assert shown_in(Decimal("1234.50"), "EUR", "de") == "1.234,50\xa0€"
    assert shown_in(Decimal("1234.50"), "GBP", "en_GB") == "£1,234.50"
    assert "1.234,50" in quote_page(
        replace(made(), total=Decimal("1234.50")).for_customer, locale="de"
    )
    with pytest.raises(BadInputError, match="'klingon' is no language"):
        shown_in(Decimal(1), "EUR", "klingon")


def test_a_currency_without_small_coins_is_reckoned_in_whole_ones() -> None:
    whole = made(rates=Rates(currency="JPY", rate_per_hour=1000))
    assert coin_of("JPY") == 1
    assert all(line.amount == int(line.amount) for line in whole.lines)
    assert whole.each == int(whole.each)


def test_a_currency_is_known_by_its_sign_or_its_letters() -> None:
    assert {said: currency_code(said) for said in ("€", "$", "£", "eur", "CHF")} == {
        "€": "EUR", "$": "USD", "£": "GBP", "eur": "EUR", "CHF": "CHF",
    }  # fmt: skip
    with pytest.raises(BadInputError, match=r"rates\.currency: 'beads' is no currency"):
        made(rates=Rates(currency="beads"))


def test_what_is_not_planned_cannot_be_quoted() -> None:
    with pytest.raises(BadInputError, match="is impossible: there is nothing to quote"):
        made(plan=PLAN.model_copy(update={"status": "impossible", "runs": ()}))


# --- the shop's figures ---------------------------------------------------------------------------


def test_figures_are_kept_for_every_quote(tmp_path: Path) -> None:
    store = tmp_path / "shop.sqlite"
    assert kept_figures(store) == Figures()
    assert not store.exists()
    keep_figures({"margin_pct": "35", "breaks": "1, 12,48"}, store=store)
    keep_figures({"overhead_pct": "10"}, store=store)
    assert kept_figures(store) == Figures(margin_pct=35, breaks=(1, 12, 48), overhead_pct=10)


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("margin", "3", "nearest: margin_pct"),
        ("margin_pct", "100", "margin_pct: '100': write at most 95"),
        ("margin_pct", "much", "margin_pct: 'much'"),
        ("breaks", "0, 3", "breaks: a quantity is 1 or more"),
        ("cut_mm_per_s", "0", "write more than 0"),
    ],
)
def test_a_figure_that_cannot_be_is_refused(
    tmp_path: Path, name: str, text: str, says: str
) -> None:
    with pytest.raises(BadInputError, match=says):
        keep_figures({name: text}, store=tmp_path / "shop.sqlite")
    assert kept_figures(tmp_path / "shop.sqlite") == Figures()
