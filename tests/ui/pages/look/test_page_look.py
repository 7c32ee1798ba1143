"""What a person sees on *What can give this look?*."""

import re
from urllib.parse import parse_qsl

import pytest

from advisor import look
from tests.ui.one_page import open_page, words_of


def test_the_demo_answers_with_sparkle_on_matte_and_why() -> None:
    said = words_of(open_page("look"))
    assert "1. sparkle-fine on matte-smooth" in said
    assert "Sparkle-fine laps over matte-smooth, which lies whole under it" in said
    assert ">Go</span>" in said


def test_every_card_carries_a_cross_section_told_in_words() -> None:
    said = words_of(open_page("look"))
    drawn = re.findall(r'alt="(Cross-section from the fabric up[^"]*)"', said)
    assert len(drawn) == 5
    assert drawn[0].endswith("matte-smooth in white, then sparkle-fine in gold")


def test_what_the_rules_refuse_stands_there_with_what_would_change_it() -> None:
    said = words_of(open_page("look"))
    assert re.search(r"A film bonds only to a face that takes a film on top\. \(\d+ ways\)", said)
    assert "Instead:" in said


def test_without_a_finish_the_page_says_what_to_do() -> None:
    page = open_page("look")
    page.button_group(key="finishes").set_value([]).run()
    assert "Pick one to four finishes" in page.info[0].value


def test_more_than_four_finishes_is_told_in_one_sentence() -> None:
    page = open_page("look")
    many = ["matte", "sparkle", "plush", "glow", "mirror"]
    page.button_group(key="finishes").set_value(many).run()
    assert not page.exception
    assert page.error[0].value.startswith("5 finishes at once")


def test_more_answers_come_on_demand() -> None:
    page = open_page("look")
    assert "6. " not in words_of(page)
    page.button(key="more").click().run()
    assert "10. " in words_of(page)


def test_two_answers_can_be_compared_from_their_cards() -> None:
    page = open_page("look")
    page.button(key="compare-1").click().run()
    assert "press Compare on another answer" in words_of(page)
    page.button(key="compare-3").click().run()
    said = words_of(page)
    assert "Side by side" in said
    assert said.count("355 µm") >= 2


def test_only_the_last_two_picked_are_compared_until_that_is_ended() -> None:
    page = open_page("look")
    for place in (1, 2, 3):
        page.button(key=f"compare-{place}").click().run()
    picked = page.query_params["compare"]
    second, third = look("matte", "sparkle", fabric="adult-tee").answers[1:3]
    assert picked == "+".join(" over ".join(reversed(each.films)) for each in (second, third))
    assert "Side by side" in words_of(open_page("look", compare=picked))
    page.button(key="end-comparison").click().run()
    assert "Side by side" not in words_of(page)
    assert "compare" not in page.query_params


@pytest.mark.parametrize(("laid", "word"), [("inset-under", "set in"), ("butt", "beside")])
def test_answers_can_be_narrowed_to_one_way_of_meeting(laid: str, word: str) -> None:
    page = open_page("look")
    page.button_group(key="laid").set_value(laid).run()
    titles = [title.value for title in page.subheader]
    assert titles
    assert all(word in title for title in titles)


def test_fahrenheit_reaches_every_setting_that_is_said() -> None:
    page = open_page("look")
    page.button_group(key="degrees").set_value("°F").run()
    said = words_of(page)
    assert "320 °F for 15 s" in said
    assert "°C" not in re.sub(r'src="[^"]*"', "", said)


def test_inches_tell_thickness_in_mil() -> None:
    page = open_page("look")
    page.button_group(key="lengths").set_value("inch").run()
    assert "14 mil" in words_of(page)


def test_an_empty_shelf_for_a_look_leaves_the_refusals() -> None:
    page = open_page("look")
    page.button_group(key="finishes").set_value(["mirror"]).run()
    page.selectbox(key="on").set_value("polypropylene-non-woven").run()
    said = words_of(page)
    assert "No film on the shelf gives this look here" in said
    assert "Choose Any way" not in said
    assert "Refused:" in said


def test_a_way_in_which_no_films_can_be_laid_sends_to_any_way() -> None:
    page = open_page("look")
    page.button_group(key="finishes").set_value(["mirror"]).run()
    page.button_group(key="laid").set_value("lap").run()
    said = words_of(page)
    assert "Choose Any way" in said
    assert "No film on the shelf gives this look here" not in said


@pytest.mark.parametrize("way", ["Check this", " set in "])
def test_films_and_other_ways_of_laying_them_lead_to_their_check(way: str) -> None:
    page = open_page("look", on="child-tee", colour="navy", press="swing-arm-40x50")
    links = re.findall(r'href="check\?([^"]*)">([^<]*)<', words_of(page))
    asked = dict(parse_qsl(next(link for link, words in links if way in words)))
    assert asked["press"] == "swing-arm-40x50"
    assert asked["colour"] == "navy"
    checked = open_page("check", **asked)
    assert not checked.exception
    assert not checked.error
    assert checked.session_state["meets"] == asked["meets"].split(",")
    assert checked.selectbox(key="on").value == asked["on"]
    assert checked.selectbox(key="colour").value == "navy"
    assert checked.selectbox(key="press").value == "swing-arm-40x50"
