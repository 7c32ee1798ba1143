"""Cards of *What can give this look?*: an answer, two compared, and what was refused."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape

import streamlit as st

from advisor.answers.records import Answer, LookAnswer, OtherWay, Refused
from advisor.words.verdicts import VERDICTS
from rules.errors import PressloreError
from rules.facts.meeting import MEETING_WORDS
from rules.facts.sheet import Sheet
from rules.rulebook import rulebook
from ui.address import href, moved, write
from ui.drawing.profile import laying_order
from ui.drawing.section import section
from ui.drawing.texture import Coloured
from ui.fields import chosen_ground
from ui.session import catalogue, last_cover, units
from ui.show import (
    drawing,
    facts,
    findings,
    lead,
    link_html,
    links,
    sentence,
    values_table,
    verdict_badge,
)
from ui.tasks import StackQuestion, check_stack

__all__ = ["answer_card", "comparison", "drawn", "refusals"]


def answer_card(place: int, best: Answer, found: LookAnswer) -> None:
    """One choice of films: drawn, judged, the reason in a line, the rest on demand."""
    with st.container(border=True, key=f"answer-{place}"):
        picture, words = st.columns([1.15, 1], gap="medium", vertical_alignment="center")
        with picture:
            drawing(drawn(best, found), _description(best))
        with words:
            verdict_badge(best.verdict)
            st.subheader(f"{place}. {_title(best)}")
            lead(sentence(best.reason.shown(units())))
            facts(_facts(best))
            links(
                {
                    "Plan with these films": _plan_link(best, found),
                    "Check this": _check_link(best, found),
                }
            )
            with st.expander("Findings, order and other ways"):
                findings(best.findings)
                order = ", then ".join(" with ".join(group) for group in best.press_order)
                st.markdown(f"**Order at the press:** {order}.")
                if best.others:
                    st.markdown("**The same films laid otherwise**, each to be checked:")
                    ways = "".join(
                        f"<li>{link_html(_title(other), _check_link(other, found))}: "
                        f"{escape(_known(other))}</li>"
                        for other in best.others
                    )
                    st.html(f'<ul class="pl-sentences">{ways}</ul>')
            st.button(
                f"Compare answer {place}", key=f"compare-{place}", on_click=_compare,
                args=[_label(best)],
            )  # fmt: skip


def comparison(answers: Sequence[Answer], found: LookAnswer) -> None:
    """Two answers side by side, once Compare was pressed on two cards; held in the link."""
    known = {_label(each): each for each in answers}
    picked = [name for name in _compared() if name in known]
    write(compare="+".join(picked) or None)
    if len(picked) == 1:
        lead(f"{picked[0]} is picked; press Compare on another answer to see the two together.")
    if len(picked) != 2:
        return
    left, right = known[picked[0]], known[picked[1]]
    with st.container(border=True, key="comparison"):
        st.button("End the comparison", key="end-comparison", on_click=_end_comparison)
        for column, each in zip(st.columns(2), (left, right), strict=True):
            with column:
                verdict_badge(each.verdict)
                st.subheader(_title(each))
                drawing(drawn(each, found), _description(each))
                findings(each.findings, none="Nothing to say against it.")
        names = _facts(left).keys()
        values_table(
            "Side by side",
            [(name, _facts(left)[name], _facts(right)[name]) for name in names],
            heads=("", _title(left), _title(right)),
            even=True,
        )


def refusals(found: LookAnswer) -> None:
    """What the rules refused, by rule, with what would change that."""
    if not found.refused:
        return
    by_rule: dict[str, list[Refused]] = {}
    for each in found.refused:
        by_rule.setdefault(each.rule, []).append(each)
    st.header(f"Refused: {len(found.refused)} ways")
    for name, ways in by_rule.items():
        count = f"{len(ways)} way" + ("s" if len(ways) > 1 else "")
        with st.expander(f"{rulebook().rule(name).summary} ({count})"):
            first = ways[0]
            findings(first.findings)
            rest = dict.fromkeys(" under ".join(way.films) for way in ways[1:])
            if rest:
                st.markdown(f"**The same for:** {', '.join(rest)}.")


def drawn(answer: Answer, found: LookAnswer) -> str:
    """An answer as a cross-section, under the cover of its last press."""
    shelf = catalogue()
    looks = [
        Coloured(shelf.film(name), colour)
        for name, colour in zip(answer.films, answer.colours, strict=True)
    ]
    return section(
        looks,
        fabric=shelf.fabric(found.fabric),
        meets=answer.meets,
        carriers=laying_order(answer.meets)[-1:],
        cover=_cover(answer, found),
        units=units(),
        title=_title(answer),
    )


def _cover(answer: Answer, found: LookAnswer) -> Sheet | None:
    """The sheet that the press steps of these films lay over the last full press."""
    try:
        asked = StackQuestion(_in_colours(answer), _ground(found), found.press, answer.meets)
        report = check_stack(asked)
        return last_cover(report.steps)
    except PressloreError:
        return None


def _compared() -> list[str]:
    if "compared" not in st.session_state or moved("compare"):
        named = st.query_params.get("compare", "")
        st.session_state["compared"] = named.split("+")[:2] if named else []
    kept: list[str] = st.session_state["compared"]
    return kept


def _compare(label: str) -> None:
    others = [name for name in _compared() if name != label]
    st.session_state["compared"] = [*others[-1:], label]


def _end_comparison() -> None:
    st.session_state["compared"] = []


def _ground(found: LookAnswer) -> str:
    """The garment or fabric that was asked about."""
    return chosen_ground() or found.fabric


def _check_link(laid: Answer | OtherWay, found: LookAnswer) -> str:
    return href("check", stack=",".join(_in_colours(laid)), **_asked(laid, found))


def _plan_link(laid: Answer, found: LookAnswer) -> str:
    prefer: str = st.session_state["prefer"]
    return href("plan", films=",".join(_in_colours(laid)), prefer=prefer, **_asked(laid, found))


def _asked(laid: Answer | OtherWay, found: LookAnswer) -> dict[str, str | None]:
    """How films lie, on what and at which press, as an address says it."""
    on, _, colour = _ground(found).partition(":")
    return {
        "meets": ",".join(laid.meets) or None,
        "on": on,
        "colour": colour or None,
        "press": found.press,
    }


def _in_colours(laid: Answer | OtherWay) -> tuple[str, ...]:
    """The films, each with the colour that it was judged in."""
    looks = zip(laid.films, laid.colours, strict=True)
    return tuple(f"{film}:{colour}" for film, colour in looks)


def _known(other: OtherWay) -> str:
    """What is known of another way."""
    if other.verdict is None:
        return "no rule stops it; its heat was not weighed"
    return VERDICTS[other.verdict].meaning


def _title(answer: Answer | OtherWay) -> str:
    """The films from the front to the back, with how each lies on the next."""
    words = answer.films[-1]
    for film, way in zip(reversed(answer.films[:-1]), reversed(answer.meets), strict=True):
        words += f" {MEETING_WORDS[way].on} {film}"
    return words


def _label(answer: Answer) -> str:
    return " over ".join(reversed(answer.films))


def _description(answer: Answer) -> str:
    looks = zip(answer.films, answer.colours, strict=True)
    named = ", then ".join(f"{film} in {colour}" for film, colour in looks)
    return f"Cross-section from the fabric up: {named}"


def _facts(answer: Answer) -> dict[str, str]:
    shown = units()
    pressed = [
        f"{shown.temperature(setpoint)} for {shown.time(dwell)}"
        for setpoint, dwell in zip(answer.setpoints_c, answer.dwells_s, strict=True)
    ]
    return {
        "Press": ", then ".join(pressed),
        "Thickness": shown.thickness(answer.thickness_um),
        "At the press": f"{answer.minutes:.1f} min",
        "Film and time": f"{answer.cost:.2f} €",
    }
