"""*Why*: every rule with its why, its instead, what it rests on, and an example of each kind."""

from __future__ import annotations

from typing import Any

import streamlit as st

from advisor.words.examples import said
from advisor.words.reference import JUDGED
from advisor.words.verdicts import SEVERITIES
from rules.book.example_subjects import USUAL_FABRIC, USUAL_PRESS, subjects_from
from rules.book.rule import Example, Rule
from rules.facts.basis import BASIS_MEANING
from rules.facts.text import Text
from rules.rulebook import rulebook
from ui.address import href
from ui.drawing.example import example_picture
from ui.session import catalogue, units
from ui.show import drawing, lead, link_html, remark, sentence, values_table

__all__ = ["page"]


def page() -> None:
    """The page."""
    st.title("Why")
    if (named := rulebook().by_id.get(st.query_params.get("rule", ""))) is not None:
        _alone(named)
        return
    words, judged, severity = st.columns([2, 1.4, 1.1])
    sought = words.text_input(
        "Search the rules", key="sought", bind="query-params", placeholder="carrier, shrink, dye …"
    )
    about = judged.selectbox(
        "About", ["all", *JUDGED], format_func=lambda name: JUDGED.get(name, "Everything"),
        key="about", bind="query-params",
    )  # fmt: skip
    worst = severity.selectbox(
        "At worst", ["any", *SEVERITIES], key="worst", bind="query-params",
        format_func=_severity,
    )  # fmt: skip
    found = [
        rule
        for rule in rulebook().by_id.values()
        if about in {"all", rule.judges}
        and worst in {"any", rule.severity}
        and _mentions(rule, (sought or "").lower().split())
    ]
    if not found:
        st.info("No rule speaks of that. Try one word, or set the two filters back to everything.")
        return
    lead(f"{len(found)} of {len(rulebook().by_id)} rules.")
    heading = ""
    for rule in sorted(found, key=lambda rule: list(JUDGED).index(rule.judges)):
        if rule.judges != heading:
            heading = rule.judges
            st.header(JUDGED[heading])
        with st.expander(rule.summary, expanded=len(found) == 1):
            _show(rule)


def _alone(rule: Rule[Any]) -> None:
    """The one rule that the address names: a finding led here."""
    back = link_html("Back to where you were", href("why"), kind="pl-way pl-back")
    every = link_html("All rules", href("why"), kind="pl-way")
    st.html(f'<nav class="pl-ways" aria-label="Go on from here">{back}{every}</nav>')
    st.header(rule.summary)
    _show(rule)


def _severity(name: str) -> str:
    return next((words.label for each, words in SEVERITIES.items() if each == name), "Anything")


def _show(rule: Rule[Any]) -> None:
    shown = units()
    pictures = [_picture(rule, example) for example in (rule.good, rule.bad)]
    told = ((rule.good, "It passes"), (rule.bad, "It objects to"))
    for place, picture, (example, words) in zip(st.columns(2), pictures, told, strict=True):
        with place:
            # Where the two look alike, what differs is a value that its words tell.
            if len(set(pictures)) > 1:
                drawing(picture, "", most_px=476)
            remark(sentence(f"{words} {said(example).shown(shown)}"))
    values_table(
        rule.id,
        [
            ("At worst", SEVERITIES[rule.severity].label, SEVERITIES[rule.severity].meaning),
            ("Why", Text(rule.why).shown(shown), ""),
            ("Instead", Text(rule.instead).shown(shown), ""),
            ("Rests on", BASIS_MEANING[rule.basis], Text(rule.source).shown(shown)),
        ],
        heads=("", "What it says", ""),
    )


def _picture(rule: Rule[Any], example: Example) -> str:
    known = catalogue()
    return example_picture(
        subjects_from(rule.judges, example, known),
        fabric=known.fabric(USUAL_FABRIC), press=known.press(USUAL_PRESS), units=units(),
    )  # fmt: skip


def _mentions(rule: Rule[Any], sought: list[str]) -> bool:
    text = " ".join((rule.id, rule.summary, rule.why, rule.instead, rule.source)).lower()
    return all(word in text for word in sought)
