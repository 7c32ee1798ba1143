"""Shared films: an order is never dearer for that its prints were planned one by one."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from advisor import plan_order
from advisor.answers import shared_films
from advisor.answers.in_order import worth
from advisor.job.demo import DEMO_FOLDER
from advisor.job.records.order import Order, read_order
from advisor.job.records.order_plan import OrderPlan
from rules.catalogue import load_catalogue
from rules.facts.film import Film
from rules.knowledge import Knowledge, load_knowledge
from tests.advisor.answers.prints_orders import block, letters, written
from tests.advisor.answers.prints_orders import planned as of_order

SHELF = load_catalogue()
MATTE = {"finish": "matte"}
CREW = read_order(DEMO_FOLDER / "festival-crew.yaml", SHELF)


def with_looks(films: Mapping[str, str]) -> Order:
    """The crew's order with the films of its letterings pinned, by their place."""
    document = CREW.model_dump()
    for line in document["garments"]:
        for one in line["prints"]:
            if one["at"] in films:
                one.update(film=films[one["at"]], finish=None)
    return Order.model_validate(document)


def planned(order: Order = CREW, *, more: tuple[Film, ...] = ()) -> OrderPlan:
    knowledge: Knowledge = load_knowledge()
    films = dict(SHELF.films) | {film.id: film for film in more}
    shelf = replace(knowledge.catalogue, films=films)
    return plan_order(
        order, folder=DEMO_FOLDER, knowledge=replace(knowledge, catalogue=shelf), time_limit_s=120
    )


def of(made: OrderPlan, name: str) -> list[str]:
    return [piece.film for piece in made.print(name).plan.pieces]


@pytest.fixture(scope="module")
def crew() -> OrderPlan:
    return planned()


@pytest.fixture(scope="module")
def alone() -> OrderPlan:
    """The same with every print in the films that are best for it alone."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(shared_films, "MOST_TRIED", 0)
        return planned()


def test_the_order_comes_to_no_more_than_with_one_film_pinned(
    crew: OrderPlan, alone: OrderPlan
) -> None:
    pinned = planned(with_looks({"yoke": "matte-smooth", "back": "matte-smooth"}))
    assert crew.whole.cost == pinned.whole.cost < alone.whole.cost
    assert of(crew, "yoke-name") == of(crew, "yoke-name-2") == ["matte-smooth"]
    assert of(alone, "yoke-name") == ["matte-thin"]


def test_a_print_in_a_shared_film_says_why_and_is_not_called_proved(
    crew: OrderPlan, alone: OrderPlan
) -> None:
    proved = {one.id: one.plan.proof.optimal for one in crew.prints}
    assert proved == {
        "chest-left": True, "yoke-name": False, "back-number": True,
        "yoke-name-2": False, "back-number-2": True,
    }  # fmt: skip
    [said, _] = crew.whole.notes
    assert said == (
        "yoke-name: cut from matte-smooth, as 4 others are: the order comes to "
        f"€{crew.whole.cost:.2f} and 43 min so, and to €{alone.whole.cost:.2f} and 43 min with "
        "all prints in the films best for each alone, this in matte-thin"
    )
    # What no film of the shelf may do is told of the whole shelf.
    assert crew.print("yoke-name").plan.refused == alone.print("yoke-name").plan.refused


def other(film: str, **values: Any) -> Film:
    """A film of the shop's own that suits a print alone at least as well as one that ships."""
    own = SHELF.film(film)
    document = own.model_dump() | {"id": f"my-{film}", "name": "ours"} | values
    return Film.model_validate(document)


def by(low: float, best: float, high: float) -> dict[str, float]:
    return {"low": low, "best": best, "high": high}


ADDED = {
    "cheaper at another heat": [
        other("matte-smooth", price_per_m=6.5, setpoint_c=by(140, 145, 150))
    ],
    "two of them": [
        other("matte-smooth", price_per_m=6.5, setpoint_c=by(140, 145, 150)),
        other("matte-thin", price_per_m=3, setpoint_c=by(166, 170, 174), bears_c=180),
    ],
}


@pytest.mark.parametrize("more", ADDED.values(), ids=ADDED)
def test_a_film_more_on_the_shelf_makes_no_order_dearer(more: list[Film], crew: OrderPlan) -> None:
    made = planned(more=tuple(more))
    assert made.whole.status == "planned"
    assert made.whole.verdict == "go"
    assert made.whole.cost <= crew.whole.cost


def test_prints_that_name_their_films_keep_them(alone: OrderPlan) -> None:
    made = planned(with_looks({"yoke": "matte-thin", "back": "matte-smooth"}))
    assert of(made, "yoke-name") == ["matte-thin"]
    assert of(made, "back-number") == ["matte-smooth"]
    assert made.whole.notes == ()
    # What is told of these films is what planning them comes to.
    assert made.whole.cost == alone.whole.cost


TEAM = "name,number\nAna,7\nBen,12\n"
BADGE = """<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">
<path d="M0 0H100V100H0z" fill="#101010"/><path d="M20 20H80V80H20z" fill="#f2c14e"/></svg>"""


def of_team(folder: Path, **wish: Any) -> OrderPlan:
    """A jersey's badge with a sparkle on it, and white letterings of a wish at three places."""
    (folder / "badge.svg").write_text(BADGE, encoding="utf-8")
    looks = {"default": {"finish": "matte"}, "#f2c14e": {"finish": "sparkle", "colour": "gold"}}
    badge = {"at": "chest-left", "artwork": "badge.svg", "width_mm": 80, "looks": looks}
    lettered = [
        letters("yoke", "name", 40, colour="white", **wish),
        letters("back", "number", 120, colour="white", **wish),
        letters("sleeve-left", "number", 40, colour="white", **wish),
    ]
    return of_order(
        folder,
        [badge, *lettered],
        people=TEAM,
        garment="sports-jersey",
        colour="red",
        press="swing-arm-40x50",
    )


def test_no_film_wished_for_all_letterings_is_better_than_what_the_order_takes(
    tmp_path: Path,
) -> None:
    free = of_team(tmp_path, finish="matte")
    for film in ("matte-low-temperature", "stretch-low-temperature", "matte-nylon"):
        pinned = of_team(tmp_path, film=film)
        assert pinned.whole.status == "planned"
        assert worth(free.whole) <= worth(pinned.whole), film
    # One white for all, at one dial: neither a second roll nor a second heat.
    assert len({of(free, one.id)[0] for one in free.prints if one.lettering}) == 1
    assert sum(step.action == "setpoint" for step in free.whole.steps) == 1


def test_another_dial_makes_no_colour_right(tmp_path: Path) -> None:
    """Reflective film shows grey by day where gold is wanted, however hot it is pressed."""
    own = block("chest-left", finish="reflective", colour="#d8a21b")
    alone, both = (
        of_order(tmp_path, [own, *beside])
        for beside in ([], [block("back", film="matte-low-temperature")])
    )
    for made in (alone, both):
        assert made.whole.verdict == "sample"
        assert any(found.rule == "colour-match" for found in made.whole.findings)
        counted = made.print("chest-left").plan.proof
        assert dict(zip(counted.measures, counted.objective or (), strict=True))["samples"] > 0
    assert alone.whole.cost == pytest.approx(alone.print("chest-left").plan.cost, abs=0.01)
    assert not any("pressed at" in note for note in alone.whole.notes)


def test_prints_meet_at_the_one_dial_that_lies_between_what_suits_each(tmp_path: Path) -> None:
    """One film takes 145 to 155 °C and likes 150, the other 155 to 165 °C and likes 160."""
    more = [
        other("matte-smooth", setpoint_c=by(145, 150, 155)),
        other("matte-thin", setpoint_c=by(155, 160, 165), bears_c=175),
    ]
    films = {film.id: film for film in more}
    known = load_knowledge()
    known = replace(known, catalogue=replace(known.catalogue, films=films))
    prints = [block("chest-left", film="my-matte-smooth"), block("back", film="my-matte-thin")]
    made = plan_order(written(tmp_path, prints), knowledge=known).whole
    assert [step.setpoint_c for step in made.steps if step.action == "setpoint"] == [155]


def test_a_coated_jacket_is_pressed_as_coolly_as_bonds_however_many_prints_it_bears(
    tmp_path: Path,
) -> None:
    """It is a sample for its finish, and a film's colour is one more; heat mends neither."""
    one = block("chest-left", finish="reflective", colour="#d8a21b")
    for prints in ([one], [one, {**one, "at": "back"}]):
        made = of_order(tmp_path, prints, garment="rain-jacket", press="clamshell-40x50")
        asked = {found.rule for found in made.whole.findings if found.severity == "sample"}
        assert {"coated-fabric", "colour-match"} <= asked
        [film] = {piece.film for piece in made.whole.pieces}
        dials = [step.setpoint_c for step in made.whole.steps if step.action == "setpoint"]
        low_c, press = SHELF.film(film).setpoint_c.low, SHELF.press(made.whole.press)
        assert dials == [press.dial_c(press.dial_step(low_c, up=True))]
        assert not any("pressed at" in note for note in made.whole.notes)


def test_what_its_cloth_limits_is_pressed_no_hotter_for_what_else_is_ordered(
    tmp_path: Path,
) -> None:
    """Polypropylene near its limit, beside fleece that takes 50 °C more."""
    shutil.copy(DEMO_FOLDER / "badge.svg", tmp_path)
    badge = {"artwork": "badge.svg", "looks": {"default": {"finish": "matte"}}, "width_mm": 120}
    path = written(
        tmp_path,
        [{"at": "front", **badge}],
        garment="shopping-bag",
        quantity=20,
        colour="green",
        press="swing-arm-40x50",
    )
    document = json.loads(path.read_text())
    by_itself = plan_order(path)
    hoodies = {
        "garment": "hoodie",
        "quantity": 5,
        "colour": "navy",
        "prints": [{"at": "back", **badge}],
    }
    path.write_text(json.dumps({**document, "garments": [*document["garments"], hoodies]}))
    made = plan_order(path)
    assert made.print("centre-front").plan.steps == by_itself.print("centre-front").plan.steps
    assert not any("pressed at" in note for note in made.whole.notes)


def test_a_garment_that_alone_would_need_no_sample_is_told_with_its_films(tmp_path: Path) -> None:
    """Fleece and a coated jacket bear one badge, cut from one film for both."""
    shutil.copy(DEMO_FOLDER / "badge.svg", tmp_path)

    def lines(**jackets: object) -> list[dict[str, Any]]:
        badge = {"at": "chest-left", "artwork": "badge.svg", "width_mm": 80}
        hoodies = {"garment": "hoodie", "quantity": 5, "colour": "navy", "prints": [badge]}
        jacket = {"garment": "wind-jacket", "quantity": 3, "prints": [{**badge, **jackets}]}
        return [hoodies, {**jacket, "colour": "black"}]

    def made(**jackets: object) -> OrderPlan:
        path = written(tmp_path, [], press="swing-arm-40x50", looks={"default": MATTE})
        document = json.loads(path.read_text())
        path.write_text(json.dumps({**document, "garments": lines(**jackets)}))
        return plan_order(path, time_limit_s=60)

    shared = made()
    assert shared.whole.verdict == "sample"
    [told] = [note for note in shared.whole.notes if "wind-jacket black by themselves" in note]
    cut_from = dict(re.findall(r"([a-z]+) ([a-z]+-[a-z-]+)", str(told).split(" in ", 1)[1]))
    pieces = shared.print("chest-left").plan.pieces
    looks = {f"#{one.id.removeprefix('fill-')}": {"film": cut_from[one.colour]} for one in pieces}
    # They are planned apart in these very films, and then neither garment asks for a sample.
    apart = made(looks=looks)
    assert apart.whole.verdict == "go"
    assert len(apart.prints) == 2


def test_films_that_every_order_of_places_harms_are_passed_over(tmp_path: Path) -> None:
    """Letterings beside a plush chest print, some of whose other films bear no second press."""
    lettered = [
        letters(at, column, height_mm, finish="matte", colour="red")
        for at, column, height_mm in (("yoke", "name", 30), ("back", "number", 90))
    ]
    prints = [block("chest-left", 70, finish="plush"), *lettered]
    crew = "name,number\nAna,7\nBen,12\nChristopher,10\n"
    made = of_order(
        tmp_path, prints, people=crew, garment="wind-jacket", colour="black", quantity=3
    )
    assert made.whole.status == "planned"
