"""*Plan a job* and its parts, as a person finds them, without a browser."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
import yaml
from streamlit.testing.v1 import AppTest

from advisor.job.records.job import Job, Names, Wish
from advisor.job.records.plan import Change
from advisor.shop.place import STORE
from tests.advisor.command.command_line import JOB, KITE
from tests.ui.one_page import open_page, words_of
from ui.order.kept import keep_order
from ui.order.record import CustomerOrder, demo_order, own_order
from ui.pages.plan.repairs import repaired


def opened(order: CustomerOrder | None = None) -> AppTest:
    word = keep_order(order) if order else None
    page = open_page("plan", **({"job": word} if word else {}))
    page.default_timeout = 90
    return page.run()


def labelled(page: AppTest, kind: str, label: str, nth: int = 0) -> object:
    return [each for each in page.get(kind) if each.label.startswith(label)][nth]


def colours(page: AppTest) -> object:
    return next(each for each in page.pills if each.label.startswith("Choose a colour"))


def link_of(page: AppTest) -> str:
    word = page.query_params.get("job", "")
    return word if isinstance(word, str) else word[0]


JACKETS = demo_order("wind-jackets")
BAGS = demo_order("bags")


@pytest.mark.slow
def test_the_first_screen_answers_for_the_demo() -> None:
    page = opened()
    said = words_of(page)
    assert not page.exception
    assert "Tack navy" in said
    assert "Full press of" in said
    assert "min</dd>" in said


def test_a_link_reopens_the_exact_job() -> None:
    order = replace(JACKETS, job=JACKETS.job.model_copy(update={"prefer": "cheapest"}))
    page = opened(order)
    assert labelled(page, "selectbox", "What matters most").value == "cheapest"
    assert page.session_state["order"] == order
    assert link_of(page) == keep_order(order)


def test_an_address_that_was_cut_off_is_told_and_the_demo_stands() -> None:
    page = open_page("plan", job="cut-off")
    assert "no job is kept here as 'cut-off'; open its job file" in words_of(page)
    assert page.session_state["order"] == demo_order()
    assert link_of(page) == "crew-tees"


def test_the_address_of_an_earlier_state_goes_back_to_it() -> None:
    page = opened(JACKETS)
    quantity = labelled(page, "number_input", "How many")
    quantity.set_value(25).run()
    assert re.fullmatch(r"harbour-kite-jackets-[0-9a-f]{12}", link_of(page))
    page.query_params["job"] = "wind-jackets"
    page.run()
    assert labelled(page, "number_input", "How many").value == 10


def test_films_in_an_address_become_a_job_of_that_look() -> None:
    page = open_page(
        "plan", films="matte-smooth:navy,sparkle-fine:gold", meets="inset-over", on="child-tee",
        colour="black", prefer="cheapest",
    )  # fmt: skip
    job = page.session_state["order"].job
    assert [(w.film, w.colour) for w in job.looks.values()] == [
        ("matte-smooth", "navy"), ("sparkle-fine", "gold"),
    ]  # fmt: skip
    assert [joint.meets for joint in job.joints] == ["inset-over"]
    assert (job.garments[0].garment, job.garments[0].colour) == ("child-tee", "black")
    assert job.prefer == "cheapest"
    assert set(page.query_params) == {"job"}
    assert "Tack gold sparkle-fine" in words_of(page)


def test_an_address_with_a_film_that_nobody_has_is_told_and_the_demo_stands() -> None:
    page = open_page("plan", films="matte-smoth:navy")
    assert "matte-smooth" in words_of(page)
    assert page.session_state["order"] == demo_order()


def test_a_change_is_planned_told_put_in_the_link_and_taken_back() -> None:
    page = opened(JACKETS)
    before = link_of(page)
    quantity = labelled(page, "number_input", "How many")
    quantity.set_value(25).run()
    assert "What your change did" in words_of(page)
    assert "It costs" in words_of(page)
    assert link_of(page) != before
    page.button(key="plan-undo").click().run()
    assert labelled(page, "number_input", "How many").value == 10
    assert link_of(page) == before


def test_a_colour_is_chosen_and_its_finish_wished() -> None:
    page = opened(JACKETS)
    colours(page).set_value("#f2c14e").run()
    finish = labelled(page, "selectbox", "Finish")
    assert finish.value == "sparkle"
    finish.set_value("matte").run()
    assert not page.exception
    assert page.session_state["order"].job.looks["#f2c14e"].finish == "matte"


def test_looking_at_a_colour_changes_nothing() -> None:
    page = opened(JACKETS)
    for fill in ("#1b3a5c", "#f2c14e", "#ffffff"):
        colours(page).set_value(fill).run()
        assert not page.exception
    assert page.session_state["order"] == JACKETS


def test_a_colour_is_left_out_and_put_back() -> None:
    page = opened(JACKETS)
    colours(page).set_value("#f2c14e").run()
    labelled(page, "checkbox", "Leave this colour out").set_value(True).run()
    assert not page.exception
    assert page.session_state["order"].job.leave_out == ("#f2c14e",)
    assert "Gone: #f2c14e." in words_of(page)
    labelled(page, "checkbox", "Leave this colour out").set_value(False).run()
    assert page.session_state["order"] == JACKETS


def test_the_last_colour_cannot_be_left_out() -> None:
    fills = ("#1b3a5c", "#f2c14e", "#ffffff")
    order = own_order(JACKETS.job.model_copy(update={"leave_out": fills[1:]}), JACKETS.svg)
    page = opened(order)
    colours(page).set_value(fills[0]).run()
    assert labelled(page, "checkbox", "Leave this colour out").disabled
    colours(page).set_value(fills[1]).run()
    assert not labelled(page, "checkbox", "Leave this colour out").disabled


def test_other_units_leave_the_job_as_it_is() -> None:
    wish = {"default": Wish(finish="matte", most_setpoint_c=153)}
    order = own_order(JACKETS.job.model_copy(update={"looks": wish}), JACKETS.svg)
    page = opened(order)
    page.button_group(key="degrees").set_value("°F")
    page.button_group(key="lengths").set_value("inch").run()
    assert page.session_state["order"] == order
    assert labelled(page, "number_input", "Hottest setpoint, °F").value == 307
    assert labelled(page, "number_input", "Artwork width, inch").value == 3.15
    steps = next(e.value for e in page.get("html") if "<ol class" in e.value)
    assert "°F" in steps
    assert "°C" not in steps


def test_an_svg_is_dropped_and_its_job_planned() -> None:
    page = opened(JACKETS)
    svg = b'<svg xmlns="http://www.w3.org/2000/svg" width="60mm" height="60mm">'
    svg += b'<circle cx="50%" cy="50%" r="50%" fill="#e4572e"/></svg>'
    labelled(page, "file_uploader", "Drop").upload("<b>sun.svg", svg, "image/svg+xml").run()
    assert not page.exception
    job = page.session_state["order"].job
    assert job.job == "<b>sun"
    assert [(line.garment, line.quantity) for line in job.garments] == [("adult-tee", 1)]
    assert "coral" in words_of(page)


def test_a_hostile_svg_is_refused_in_a_sentence_and_the_job_stays() -> None:
    page = opened(JACKETS)
    svg = b'<!DOCTYPE s [<!ENTITY x SYSTEM "file:///etc/passwd">]><svg>&x;</svg>'
    name = "<img src=x onerror=alert(1)>.svg"
    labelled(page, "file_uploader", "Drop").upload(name, svg, "image/svg+xml").run()
    assert page.session_state["order"] == JACKETS
    [told] = [e.value for e in page.get("html") if 'role="alert"' in e.value]
    assert "&lt;img src=x onerror=alert(1)&gt;" in told
    assert "<img" not in told


def test_every_part_of_the_plan_opens() -> None:
    page = opened(JACKETS)
    for part, word in {
        "Layers": "Cut through",
        "Heat": "to spare",
        "Findings": "Cautions",
        "Care": "washtub, 30, one bar beneath",
        "Take away": "address reopens the exact job",
    }.items():
        page.session_state["plan-part"] = part
        page.run()
        assert not page.exception
        assert word in words_of(page)
    downloads = {button.label for button in page.get("download_button")}
    assert downloads == {"Job file", "Ticket to print", "Plan", "Cut files"}


def test_the_findings_call_films_and_presses_as_the_card_does() -> None:
    """The two colours in the job's own looks; an id of the drawing is nobody's name for a film."""
    svg = KITE.encode()
    job = Job.model_validate(
        yaml.safe_load(JOB.replace("sparkle-coarse, colour: gold", "flock-plush"))
    )
    page = opened(CustomerOrder(job, svg))
    page.session_state["plan-part"] = "Findings"
    said = words_of(page.run())
    assert not page.exception
    assert "the press of navy matte-smooth" in said
    assert "Navy matte-smooth gets its full press" in said
    assert "fill-1b3a5c" not in said


def test_the_care_card_can_be_taken_away_and_no_sample_is_told_where_none_is_asked_for() -> None:
    page = opened(JACKETS)
    assert "Sample first: what to do" not in [one.label for one in page.expander]
    page.session_state["plan-part"] = "Care"
    page.run()
    assert {button.label for button in page.get("download_button")} == {"Care card to print"}
    assert "not before 24 hours" in words_of(page)


def test_a_job_is_told_to_be_pressed_once_and_taken_back(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    # What it takes off the shelf stands in its own store, which others would read too.
    monkeypatch.setenv(STORE, str(tmp_path / "shop.sqlite"))
    page = opened(JACKETS)
    page.session_state["plan-part"] = "Take away"
    page.run()
    page.button(key="pressed-done").click().run()
    assert not page.exception
    assert "Pressed on " in words_of(page)
    assert re.search(r"matte-nylon: \d+\.\d\d m taken, \d+\.\d\d m left", words_of(page))
    assert "pressed-done" not in [button.key for button in page.button]
    assert page.button(key="pressed-count").disabled
    page.button(key="pressed-undo").click().run()
    assert "pressed-done" in [button.key for button in page.button]


def others(page: AppTest, shown: str) -> AppTest:
    page.session_state["plan-part"] = "Other plans"
    page.session_state["other-plans"] = shown
    return page.run()


def test_the_other_preferences_stand_side_by_side_and_can_be_taken() -> None:
    page = others(opened(JACKETS), "Something else matters most")
    assert [m.value for m in page.markdown].count("**Lowest cost**") == 1
    page.button(key="take-cheapest").click().run()
    assert page.session_state["order"].job.prefer == "cheapest"


@pytest.mark.slow
def test_a_plan_that_differs_can_be_taken() -> None:
    page = others(opened(JACKETS), "Plans that differ")
    assert "Differs" in words_of(page)
    page.button(key="take-differing-1").click().run()
    assert not page.exception
    job = page.session_state["order"].job
    assert all(job.wish_for(fill).film for fill in ("#1b3a5c", "#f2c14e"))
    assert "What your change did" in words_of(page)


@pytest.mark.slow
def test_why_not_another_film_is_answered() -> None:
    page = others(opened(JACKETS), "Why not another film?")
    film = labelled(page, "selectbox", "This film")
    film.set_value("mirror-sealed").run()
    assert not page.exception
    # Its sheet does not name nylon, so it wants a sample first, and costs what it costs.
    assert "navy matte-nylon is cut from mirror-sealed instead of matte-nylon" in words_of(page)


@pytest.mark.slow
def test_a_title_or_a_name_with_html_in_it_is_shown_as_text() -> None:
    hostile = "<img src=x onerror=alert(1)>"
    names = Names(file="x", box_mm=(2, 2, 40, 9), look=Wish(finish="matte"))
    order = own_order(
        JACKETS.job.model_copy(update={"job": hostile, "names": names}),
        JACKETS.svg,
        f"name\n{hostile}\n",
    )
    page = opened()
    page.session_state["order"] = order
    page.session_state["order_generation"] = 1
    page.run()
    assert not page.exception
    assert hostile not in "".join(each.value for each in page.get("html"))


def test_a_piece_is_left_out_where_that_is_what_makes_a_job_possible() -> None:
    dropped = [Change(kind="drop", where="the sun", to="", message="", pieces=("fill-f2c14e",))]
    after = repaired(JACKETS, dropped)
    page = opened(after)
    assert after.job.leave_out == ("fill-f2c14e",)
    assert "Press steps" in [tab.label for tab in page.tabs]


def test_an_impossible_job_shows_its_conflict_and_a_repair_applies_itself() -> None:
    flat = JACKETS.job.model_copy(
        update={"looks": {"default": Wish(film="sparkle-coarse")}, "samples_allowed": False}
    )
    page = opened(own_order(flat, JACKETS.svg))
    said = words_of(page)
    assert "This cannot be pressed as asked" in said
    assert "These cannot all hold" in said
    repairs = [b for b in page.button if (b.key or "").startswith("repair-apply")]
    assert repairs
    repairs[0].click().run()
    assert not page.exception
    assert page.session_state["order"].job != flat
    assert "Press steps" in [tab.label for tab in page.tabs]
    assert "It can be pressed now; before, it could not." in words_of(page)


def _wide(**more: object) -> CustomerOrder:
    lines = (JACKETS.job.garments[0].model_copy(update={"artwork_width_mm": 250.0}),)
    return JACKETS.changed(garments=lines, **more)


REPAIRED: dict[str, tuple[CustomerOrder, str]] = {
    "another press": (_wide(press="small-15x15"), "Press it on clamshell-38x38."),
    "a smaller print": (_wide(press="small-15x15"), " mm wide."),
    "a film to buy": (
        BAGS.changed(
            looks={"default": Wish(film="matte-cold-peel")},
            garments=(BAGS.job.garments[0].model_copy(update={"fabric": "cotton-canvas"}),),
        ),
        "Buy matte-cold-peel",
    ),
    "a hotter press": (
        BAGS.changed(looks={"default": Wish(finish="matte", most_setpoint_c=100)}),
        "Allow ",
    ),
    "a line left out": (
        JACKETS.changed(
            garments=(
                *JACKETS.job.garments,
                JACKETS.job.garments[0].model_copy(update={"fabric": "nylon-silicone-coated"}),
            )
        ),
        "out of this order.",
    ),
}  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("name", REPAIRED)
def test_a_change_of_each_kind_is_made_by_its_button(name: str) -> None:
    order, said = REPAIRED[name]
    page = opened(order)
    assert "This cannot be pressed as asked" in words_of(page)
    buttons = [b for b in page.button if (b.key or "").startswith("repair-apply")]
    (button,) = [b for b in buttons if said in b.help][:1]
    button.click().run()
    assert not page.exception
    assert "Press steps" in [tab.label for tab in page.tabs]


def test_the_next_best_film_is_told_at_the_press_that_lays_a_piece_and_only_there() -> None:
    page = opened(BAGS)
    assert "the next best is" not in words_of(page)
    page.toggle(key="next-best").set_value(True).run()
    rows = words_of(page).split('<li class="pp-step">')[1:]
    told = [row for row in rows if "the next best is" in row]
    assert len(told) > 0
    assert all(re.search("Tack|Full press", row.split("</summary>")[0]) for row in told)
    assert sum(row.count("the next best is") for row in told) == 3
