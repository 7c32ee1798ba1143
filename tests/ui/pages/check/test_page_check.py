"""What a person sees on *Is this risky?* while stacking films and changing presses."""

import pytest
from streamlit.testing.v1 import AppTest

from rules.facts.step import Step
from tests.ui.one_page import open_page, words_of
from ui.pages.check.stack import edited_steps


def widget(page: AppTest, kind: str, step: str) -> object:
    """The widget of that kind for one setting of one step, as in ``"8.dwell_s"``."""
    return next(each for each in page.get(kind) if (each.key or "").startswith(f"{step}-"))


def test_the_demo_stack_goes_and_says_so_with_its_notes() -> None:
    said = words_of(open_page("check"))
    assert "Go: no rule objects" in said
    assert "bare metal from 65 °C burns skin" in said


def test_matte_over_sparkle_is_stopped_with_why_and_what_instead() -> None:
    said = words_of(open_page("check", stack="sparkle-coarse,matte-smooth"))
    assert "Do not press: sparkle-coarse has a textured sparkle face" in said
    assert "Put the film with the difficult face on top" in said
    assert "pl-stop" in said


def test_moving_the_lower_film_up_turns_the_verdict() -> None:
    page = open_page("check")
    page.button(key="up-0").click().run()
    assert "Do not press" in words_of(page)
    page.button(key="down-1").click().run()
    assert "Go: no rule objects" in words_of(page)


def test_a_film_is_laid_on_top_and_taken_off_again() -> None:
    page = open_page("check")
    page.selectbox(key="next-film").set_value("flock-plush").run()
    page.button(key="lay").click().run()
    assert "**3.** flock-plush" in words_of(page)
    page.button(key="off-2").click().run()
    assert "flock-plush" not in "".join(m.value for m in page.markdown)


def test_an_empty_stack_says_what_to_do() -> None:
    page = open_page("check", stack="")
    assert "Lay a film on the fabric" in page.info[0].value


def test_the_stack_stands_in_the_link_and_comes_back_from_it() -> None:
    page = open_page("check")
    page.button(key="up-0").click().run()
    assert page.query_params["stack"] == "sparkle-coarse,matte-smooth"
    again = open_page("check", stack="sparkle-coarse,matte-smooth")
    assert "Do not press" in words_of(again)


def test_names_in_a_link_that_are_no_films_are_left_out() -> None:
    page = open_page("check", stack="<script>,matte-smooth,../../etc/passwd")
    assert not page.exception
    assert "**1.** matte-smooth" in words_of(page)
    assert "script" not in words_of(page)


def test_a_dwell_that_is_far_too_short_is_found_at_once() -> None:
    page = open_page("check")
    widget(page, "number_input", "8.dwell_s").set_value(2.0).run()  # type: ignore[attr-defined]
    said = words_of(page)
    assert "Go: no rule objects" not in said
    assert "changed" in said
    page.button(key="undo").click().run()
    assert "Go: no rule objects" in words_of(page)


def test_changed_settings_come_back_with_the_link() -> None:
    page = open_page("check")
    widget(page, "number_input", "8.dwell_s").set_value(2.0).run()  # type: ignore[attr-defined]
    edits = page.query_params["edits"]
    again = open_page("check", stack="matte-smooth,sparkle-coarse", edits=edits)
    dwell = widget(again, "number_input", "8.dwell_s")
    assert dwell.value == 2.0  # type: ignore[attr-defined]


def test_changing_the_stack_drops_the_settings_of_the_old_one() -> None:
    page = open_page("check")
    widget(page, "number_input", "8.dwell_s").set_value(2.0).run()  # type: ignore[attr-defined]
    page.button(key="off-1").click().run()
    assert "Undo all changes" not in [button.label for button in page.button]


def test_taking_the_cover_away_brings_the_rule_that_asks_for_it() -> None:
    page = open_page("check")
    widget(page, "selectbox", "8.cover").set_value("none").run()  # type: ignore[attr-defined]
    assert "cover-exposed-face" in words_of(page)


def test_a_setpoint_in_fahrenheit_is_the_same_press() -> None:
    page = open_page("check")
    page.button_group(key="degrees").set_value("°F").run()
    setpoint = widget(page, "number_input", "8.setpoint_c")
    assert setpoint.label == "Setpoint, °F"  # type: ignore[attr-defined]
    assert setpoint.value == 320.0  # type: ignore[attr-defined]
    setpoint.set_value(390.0).run()  # type: ignore[attr-defined]
    assert "Do not press" in words_of(page)


@pytest.mark.parametrize(
    "changes",
    [{"1.dwell_s": "-4"}, {"1.peel": "frozen"}, {"1.setpoint_c": "1e9"}, {"x": "y"}, {"1.n": "7"}],
)
def test_changes_that_no_step_takes_are_left_out(changes: dict[str, str]) -> None:
    step = Step(n=1, action="press", purpose="full", pieces=("base",), setpoint_c=160, dwell_s=15)
    assert edited_steps([step], changes) == (step,)
