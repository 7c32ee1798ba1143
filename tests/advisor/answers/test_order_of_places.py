"""Order of places: every order weighed by hand, beside the order that is taken."""

from __future__ import annotations

import json
from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from advisor import check, plan_order
from advisor.answers.place_steps import Laid, PressState, laid_steps, part_of
from advisor.answers.pressed_again import pressed_again
from advisor.answers.prints import run_of
from advisor.job.records.order_plan import OrderPlan, PlannedPrint
from rules.catalogue import load_catalogue
from rules.knowledge import load_knowledge
from tests.advisor.answers.prints_orders import CREW, block, letters, planned, written

SHELF = load_catalogue()
LOAD_S, CLOSE_S, TURN_S, SET_UP_S = 25, 3, 10, 60
BODY = {"centre-front", "chest-left", "back", "nape"}


def presses(one: PlannedPrint) -> list[tuple[float, float]]:
    """What the dial says and the seconds of each time the platen comes down, the preheat first."""
    steps = (s for s in one.plan.steps if s.action in {"preheat", "press"})
    return [(step.setpoint_c or 0, step.dwell_s or 0) for step in steps]


def harms(order: tuple[PlannedPrint, ...]) -> bool:
    """Whether a later place takes a film on the body beyond what it bears, read off its card.

    Through the two panels of a tee no press of a usual length brings what lies face down to where
    its adhesive bonds, as the tests of heat face down work out: only what has risen is
    harmed there, by the pressure.
    """
    for at, one in enumerate(order):
        for piece in one.plan.pieces:
            film = SHELF.film(piece.film)
            laid = next(
                n
                for n, s in enumerate(one.plan.steps)
                if s.action == "press" and piece.id in s.pieces
            )
            own_s = sum(s.dwell_s or 0 for s in one.plan.steps[laid:] if s.action == "press")
            later = [p for other in order[at + 1 :] if together(one, other) for p in presses(other)]
            if later and film.foams:
                return True
            later = [p for other in order[at + 1 :] if beside(one, other) for p in presses(other)]
            if later and max(c for c, _ in later) > film.bears_c:
                return True
            if later and own_s + sum(s for _, s in later) > film.bears_s:
                return True
    return False


def together(one: PlannedPrint, other: PlannedPrint) -> bool:
    return one.at in BODY and other.at in BODY


def beside(one: PlannedPrint, other: PlannedPrint) -> bool:
    return together(one, other) and one.side == other.side


def seconds(order: tuple[PlannedPrint, ...], quantity: int) -> float:
    """One garment at the press: each place by itself, and what lies between two."""
    press, total = SHELF.press("clamshell-38x38"), 0.0
    for before, one in zip((None, *order[:-1]), order, strict=True):
        total += 60 * one.plan.runs[0].garments[0].minutes_each - LOAD_S
        if before is None:
            total += LOAD_S
            continue
        first, last = settings(one)[0], settings(before)[-1]
        changes = sum(len({c for c, _ in presses(p)}) > 1 for p in (before, one))
        off = any(step.off_press for p in (before, one) for step in p.plan.steps)
        if first == last and not changes and not off:
            total += TURN_S if together(before, one) else LOAD_S
        else:
            dial_s = press.change_seconds(last[0], first[0]) if last[0] != first[0] else 0
            set_up_s = SET_UP_S if last[1:] != first[1:] else 0
            total += LOAD_S + (dial_s + set_up_s) / quantity
    return total


def settings(one: PlannedPrint) -> list[tuple[Any, ...]]:
    """Dial, pressure and pad of each press."""
    pad = next((step.pad for step in one.plan.steps if step.action == "pad"), None)
    steps = (s for s in one.plan.steps if s.action in {"preheat", "press"})
    return [(step.setpoint_c, step.pressure_kpa, pad) for step in steps]


CASES = {
    "matte front and back": ({"film": "matte-smooth"}, {"film": "matte-smooth"}, None),
    "foam on the front": ({"film": "foam-raised"}, {"film": "matte-smooth"}, None),
    "foam on the back": ({"film": "matte-smooth"}, {"film": "foam-raised"}, None),
    "cold peel on the front": ({"finish": "plush"}, {"film": "matte-smooth"}, {"finish": "matte"}),
    "sealed and foam": ({"finish": "mirror"}, {"film": "foam-raised"}, {"finish": "gloss"}),
    "thin on the front": ({"film": "matte-thin"}, {"finish": "sparkle"}, {"film": "matte-thin"}),
    "plush on the back": ({"film": "matte-smooth"}, {"film": "flock-short"}, None),
    "long on the back": ({"film": "dye-blocking-thin"}, {"film": "high-build-matte"}, None),
    "hot on the back": ({"film": "matte-low-temperature"}, {"film": "matte-thick"}, None),
}


@pytest.mark.parametrize("looks", CASES.values(), ids=CASES)
def test_the_order_is_the_quickest_of_those_that_harm_nothing(
    looks: tuple[dict[str, Any], dict[str, Any], dict[str, Any] | None], tmp_path: Path
) -> None:
    front, back, sleeve = looks
    asked = [block("centre-front", **front), block("back", **back)]
    asked += [block("sleeve-left", 60, **sleeve)] if sleeve else []
    made = planned(tmp_path, asked, quantity=12)
    orders = {tuple(one.id for one in order): order for order in permutations(made.prints)}
    sound = {ids: order for ids, order in orders.items() if not harms(order)}
    if not sound:
        assert made.whole.status == "unknown"
        return
    taken = made.laid[0].prints
    assert made.whole.status == "planned"
    assert taken in sound
    least_s = min(seconds(order, 12) for order in sound.values())
    assert made.laid[0].seconds_each == pytest.approx(least_s, abs=0.1)
    assert seconds(sound[taken], 12) == pytest.approx(least_s, abs=0.1)
    assert made.laid[0].refused == len(orders) - len(sound)


def test_foam_on_both_sides_is_pressed_in_no_order(tmp_path: Path) -> None:
    made = planned(
        tmp_path, [block("centre-front", film="foam-raised"), block("back", film="foam-raised")]
    )
    assert (made.whole.status, made.whole.verdict) == ("unknown", "stop")
    assert made.whole.steps == ()
    assert {clash.rule for clash in made.whole.conflict} >= {"foam-risen"}
    assert "every one of the 2 orders" in made.laid[0].why


def test_a_sleeve_lies_by_itself_so_foam_on_it_harms_nothing(tmp_path: Path) -> None:
    made = planned(
        tmp_path, [block("sleeve-left", 60, film="foam-raised"), block("back", film="foam-raised")]
    )
    assert made.whole.status == "planned"
    assert made.laid[0].refused == 0


def test_what_lies_face_down_has_a_sheet_under_it_and_only_its_heat_counts(
    tmp_path: Path,
) -> None:
    film = {"film": "dye-blocking-thin"}
    made = planned(tmp_path, [block("centre-front", **film), block("back", **film)])
    turn = next(step for step in made.whole.steps if step.action == "turn")
    assert turn.cover is not None
    by_clock_s = sum(s.dwell_s or 0 for s in made.whole.steps if s.action in {"press", "preheat"})
    assert by_clock_s > 0.85 * SHELF.film("dye-blocking-thin").bears_s
    assert not [f for f in made.whole.findings if f.rule == "pressed-seconds"]


def test_what_lies_beside_is_pressed_for_all_the_seconds_of_a_print(tmp_path: Path) -> None:
    asked = [
        block("chest-left", film="dye-blocking-thin"),
        block("chest-right", film="matte-thick"),
    ]
    made = planned(tmp_path, asked)
    assert made.laid[0].prints == ("chest-right", "chest-left")
    assert made.laid[0].refused == 1


def test_what_was_felt_through_the_garment_between_is_no_setting_of_the_dial(
    tmp_path: Path,
) -> None:
    """Back, front and back again, all at one setting: the front reached the back far cooler."""
    prints = [letters("yoke", "name"), block("chest-left"), letters("back", "number")]
    made = planned(tmp_path, prints, people=CREW)
    press, known = SHELF.press(made.whole.press), load_knowledge()
    in_order: list[Laid] = []
    stands, n = PressState(), 1
    for one in made.prints:
        films = {piece.id: SHELF.film(piece.film) for piece in one.plan.pieces}
        laid = laid_steps(
            part_of(one, run_of(one, [0]), films), [each.part for each in in_order], stands,
            first_n=n, run=1, quantity=2, press=press, sheets=SHELF.sheets,
        )  # fmt: skip
        in_order.append(laid)
        stands, n = laid.after, n + len(laid.steps)
    steps = [step for laid in in_order for step in laid.steps]
    assert len({step.setpoint_c for step in steps} - {None}) == 1
    assert [laid.part.side[1] for laid in in_order] == ["back", "front", "back"]
    found = pressed_again(in_order[2], in_order[:2], known, press=press)
    assert "setpoint-change" not in {finding.rule for finding in found}


def test_the_cloth_that_lies_on_the_press_is_that_of_the_garments_of_its_own_run(
    tmp_path: Path,
) -> None:
    """A tee and a polo share the run of their chests, and each has a back of its own."""
    chest, people = block("chest-left"), "name,number,garment\nAna,7,adult-tee\nBen,12,polo\n"
    path = written(tmp_path, [chest], people=people)
    order = json.loads(path.read_text(encoding="utf-8"))
    worn = (("adult-tee", "name"), ("polo", "number"))
    order["garments"] = [
        {"garment": garment, "quantity": 1, "prints": [chest, letters("yoke", column)]}
        for garment, column in worn
    ]
    path.write_text(json.dumps(order), encoding="utf-8")
    made = plan_order(path)
    assert made.whole.status == "planned"
    (shared,) = made.print("chest-left").plan.runs
    cloths = [SHELF.garment(garment).fabric.id for garment, _ in worn]
    assert shared.fabrics == tuple(cloths)
    for line, cloth in enumerate(cloths):
        run = run_of(made.print("chest-left"), [line])
        assert (run.fabrics, [garment.line for garment in run.garments]) == ((cloth,), [line])


def test_a_side_is_preheated_once_while_the_garment_stays_on_the_press(tmp_path: Path) -> None:
    made = planned(tmp_path, [block("centre-front"), block("back"), block("nape", 45)])
    sides = [step for step in made.whole.steps if step.action == "preheat"]
    assert len(sides) == 2


def test_a_name_and_a_number_on_one_side_share_a_press(tmp_path: Path) -> None:
    asked = [letters("yoke", "name"), letters("back", "number", 150)]
    made = planned(tmp_path, asked, people=CREW)
    presses = [step for step in made.whole.steps if step.action == "press"]
    assert [step.pieces for step in presses] == [("yoke-name/names", "back-number/names")]
    assert len(set(made.laid[0].first_n)) == 1
    assert made.whole.minutes < sum(one.plan.minutes for one in made.prints)


def test_two_of_three_on_a_side_share_a_press_where_the_third_cannot(tmp_path: Path) -> None:
    asked = [
        block("chest-left", film="matte-smooth"),
        block("chest-right", film="foam-raised"),
        {**block("front", film="matte-smooth"), "at": {"area": "front", "below_mm": 200}},
    ]
    made = planned(tmp_path, asked)
    assert made.whole.status == "planned"
    first = dict(zip(made.laid[0].prints, made.laid[0].first_n, strict=True))
    assert first["chest-left"] == first["centre-front"] < first["chest-right"]
    assert made.laid[0].refused == 1


def test_what_no_order_spares_is_told_with_what_to_do_instead(tmp_path: Path) -> None:
    made = planned(
        tmp_path, [block("centre-front", film="foam-raised"), block("back", film="foam-raised")]
    )
    told = {(clash.rule, str(clash.where)) for clash in made.whole.conflict}
    assert ("foam-risen", "the back, pressed after the centre front") in told
    assert all("; " in clash.message for clash in made.whole.conflict)


def test_letters_of_which_one_bears_less_take_a_setting_that_suits_both(tmp_path: Path) -> None:
    thin = letters("yoke", "name", film="matte-thin", colour="navy")
    made = planned(tmp_path, [thin, letters("back", "number", 150)], people=CREW)
    press = next(step for step in made.whole.steps if step.purpose == "full")
    for name in ("matte-thin", "matte-smooth"):
        film = SHELF.film(name)
        assert film.setpoint_c.holds(press.setpoint_c or 0)
        assert film.dwell_s.low <= (press.dwell_s or 0) <= film.dwell_s.high


def test_every_step_is_numbered_and_the_settings_follow_from_them(tmp_path: Path) -> None:
    made = planned(
        tmp_path,
        [block("centre-front"), block("back", film="foam-raised"), block("sleeve-left", 60)],
    )
    steps = made.whole.steps
    assert [step.n for step in steps] == list(range(1, len(steps) + 1))
    dial, pressure, pad = None, None, None
    for step in steps:
        if step.action == "setpoint":
            dial = step.setpoint_c
        elif step.action == "pressure":
            pressure = step.pressure_kpa
        elif step.action == "pad":
            pad = None if step.pad == "out" else step.pad
        elif step.action in {"press", "preheat"}:
            assert (step.setpoint_c, step.pressure_kpa) == (dial, pressure)
    assert pad is None or any(step.pad == pad for step in steps)


def test_the_plan_of_each_print_is_that_of_a_job_by_itself(tmp_path: Path) -> None:
    both = planned(tmp_path, [block("centre-front"), block("back", finish="sparkle")])
    alone = planned(tmp_path, [block("back", finish="sparkle")])
    assert both.print("back").plan == alone.print("back").plan
    assert _films(both)["back"] == _films(alone)["back"]


def _films(made: OrderPlan) -> dict[str, list[str]]:
    return {one.id: [piece.film for piece in one.plan.pieces] for one in made.prints}


def test_another_pad_for_the_next_print_has_the_pressure_set_again(tmp_path: Path) -> None:
    found = planned(
        tmp_path,
        [
            block("chest-left", 70, film="matte-nylon", colour="navy"),
            block("back", 200, film="matte-nylon", colour="navy"),
        ],
        garment="wind-jacket",
    )
    steps = list(found.whole.steps)
    pads = [n for n, step in enumerate(steps) if step.action == "pad" and step.pad != "out"]
    assert len({steps[n].pad for n in pads}) == 2
    for n in pads:
        after = [step.action for step in steps[n + 1 :]]
        assert after.index("pressure") < after.index("preheat")
    rules = {finding.rule for finding in check(found).findings}
    assert "pressure-reset" not in rules


def test_an_order_adds_up_to_what_its_objective_minutes_and_cost_say(tmp_path: Path) -> None:
    prints = [block("chest-left", 70), block("back", finish="sparkle"), letters("yoke", "name")]
    made = planned(tmp_path, prints, people=CREW, quantity=14)
    whole = made.whole
    of = dict(zip(whole.proof.measures, whole.proof.objective or (), strict=True))
    seconds = sum(laid.seconds_each * 14 for laid in made.laid)
    assert whole.minutes == round(seconds / 60, 1)
    assert of["seconds"] == round(seconds / 14)
    assert abs(of["cents"] * 14 / 100 - whole.cost) <= 0.005 * 14 + 0.005
    assert of["samples"] == sum(finding.severity == "sample" for finding in whole.findings)
    assert not whole.proof.optimal
    assert whole.proof.bound is None


def test_an_order_of_one_print_is_proved_as_far_as_its_print_is(tmp_path: Path) -> None:
    made = planned(tmp_path, [block("chest-left", finish="sparkle")], quantity=14)
    [own] = made.prints
    assert own.plan.proof.optimal
    assert made.whole.proof == own.plan.proof


@pytest.mark.parametrize(("width_mm", "together"), [(150, True), (175, False), (190, False)])
def test_prints_share_a_press_only_where_both_lie_in_its_even_heat(
    tmp_path: Path, width_mm: float, together: bool
) -> None:
    """A platen of 380 mm presses 360 mm evenly, and the second hangs 20 mm below the first."""
    other = block("back", width_mm, film="matte-smooth", colour="navy")
    made = planned(tmp_path, [block("back", width_mm), other])
    full = [step for step in made.whole.steps if step.purpose == "full"]
    assert (len(full) == 1) == together
