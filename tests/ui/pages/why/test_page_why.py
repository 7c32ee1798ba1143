"""What a person sees on *Why*."""

from rules.rulebook import rulebook
from tests.ui.one_page import open_page, words_of


def test_every_rule_stands_there_once() -> None:
    page = open_page("why")
    shown = [expander.label for expander in page.expander]
    assert sorted(shown) == sorted(rule.summary for rule in rulebook().by_id.values())


def test_a_rule_is_told_with_why_instead_basis_and_both_examples() -> None:
    said = words_of(open_page("why", sought="top-surface"))
    rule = rulebook().rule("top-surface")
    for words in (rule.why, rule.instead, "common practice, no source"):
        assert words in said
    assert "sparkle-coarse on matte-smooth" in said
    assert "matte-smooth on sparkle-coarse" in said


def test_a_search_finds_by_any_word() -> None:
    page = open_page("why")
    page.text_input(key="sought").set_value("dye bleed").run()
    assert 0 < len(page.expander) < 10


def test_a_search_for_nothing_known_says_what_to_do() -> None:
    page = open_page("why")
    page.text_input(key="sought").set_value("<script>alert(1)</script>").run()
    assert "No rule speaks of that" in page.info[0].value


def test_rules_are_narrowed_by_what_they_judge_and_by_their_worst_word() -> None:
    page = open_page("why")
    page.selectbox(key="about").set_value("safety").run()
    page.selectbox(key="worst").set_value("note").run()
    expected = [
        rule.summary
        for rule in rulebook().by_id.values()
        if rule.judges == "safety" and rule.severity == "note"
    ]
    assert [expander.label for expander in page.expander] == expected
