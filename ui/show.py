"""Show: our own small pieces of HTML, drawings, verdicts, findings and facts, all escaped."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from html import escape

import streamlit as st

from advisor.words.verdicts import SEVERITIES, VERDICTS
from rules.facts.basis import BASIS_MEANING
from rules.facts.finding import Finding, Severity, Verdict, seriousness
from rules.facts.text import Text
from rules.facts.units import Units
from ui.address import href
from ui.drawing.ink import data_uri
from ui.drawing.signs import sign
from ui.session import units

__all__ = [
    "asked_below", "asked_here", "badge_html", "drawing", "facts", "finding_html", "findings",
    "lead", "link_html", "links", "refusal", "remark", "sentence", "sentences", "values_table",
    "verdict_badge", "wide_and_narrow",
]  # fmt: skip


def drawing(svg: str, alt: str, *, most_px: int = 560) -> None:
    """Show a drawing, as an image: what an artwork brings along cannot run in it.

    Args:
        alt: what the drawing shows, for those who do not see it; empty where words beside it
            say the same.
        most_px: the widest that it is shown.
    """
    st.html(
        f'<figure class="pl-drawing" style="max-width:{most_px}px">'
        f'<img src="{data_uri(svg)}" alt="{escape(alt)}"></figure>'
    )


def wide_and_narrow(draw: Callable[[float], str], alt: str) -> None:
    """Show a drawing that is made once for a wide page and once for a phone.

    Args:
        draw: the SVG for a width, px.
        alt: what it shows; empty where words beside it say the same.
    """
    images = (
        f'<img class="pl-{kind}" src="{data_uri(draw(width))}" alt="{escape(alt)}">'
        for kind, width in (("wide", 780), ("narrow", 358))
    )
    st.html(f'<figure class="pl-drawing">{"".join(images)}</figure>')


def badge_html(kind: Verdict | Severity, *, large: bool = False) -> str:
    """A verdict or a severity by word, shape and colour.

    >>> badge_html("go").endswith("Go</span>")
    True
    """
    word = VERDICTS["go"].label if kind == "go" else SEVERITIES[kind].label
    if large and kind != "note":
        word = VERDICTS[kind].label
    size = " large" if large else ""
    return (
        f'<span class="pl-badge pl-{kind}{size}"><img src="{data_uri(sign(kind))}" alt="">'
        f"{escape(word)}</span>"
    )


def verdict_badge(verdict: Verdict, *, large: bool = True) -> None:
    """Show a verdict."""
    st.html(badge_html(verdict, large=large))


def finding_html(finding: Finding, units: Units) -> str:
    """A finding as one card: what, where, why, what was seen, what instead, its basis."""

    def said(words: Text) -> str:
        return escape(sentence(words.shown(units)))

    seen = f"<p><strong>Seen:</strong> {said(finding.seen)}</p>" if finding.seen else ""
    return (
        f'<article class="pl-finding pl-{finding.severity}"><div class="pl-head">'
        f"{badge_html(finding.severity)}"
        f'<span class="pl-where">{escape(finding.where.shown(units))}</span></div>'
        f"<p>{said(finding.message)}</p>"
        f"<p><strong>Why:</strong> {said(finding.why)}</p>"
        f"{seen}"
        f"<p><strong>Instead:</strong> {said(finding.instead)}</p>"
        f'<p class="pl-small">Rule {link_html(finding.rule, href("why", rule=finding.rule))}; '
        f"rests on: {escape(BASIS_MEANING[finding.basis])}</p></article>"
    )


def findings(found: Iterable[Finding], *, none: str = "Nothing to say against this.") -> None:
    """Show every finding, the most serious first; ``none`` where there is none."""
    ordered = sorted(found, key=lambda f: seriousness(f.severity))
    cards = [finding_html(f, units()) for f in ordered]
    st.html("".join(cards) if cards else f'<p class="pl-soft">{escape(none)}</p>')


def sentences(words: Iterable[str], *, title: str = "", small: bool = False) -> None:
    """Show a list of short sentences, under a title where one is given."""
    kind = "pl-sentences pl-small" if small else "pl-sentences"
    head = f'<p class="pl-small">{escape(title)}</p>' if title else ""
    items = "".join(f"<li>{escape(each)}</li>" for each in words)
    st.html(f'{head}<ul class="{kind}">{items}</ul>')


def link_html(words: str, to: str, *, kind: str = "") -> str:
    """A link to another page, opened in place of this one; the back button leads back.

    >>> link_html("Check this", "check?stack=foil&on=tee")
    '<a class="pl-link" href="check?stack=foil&amp;on=tee">Check this</a>'
    """
    return f'<a class="{f"pl-link {kind}".strip()}" href="{escape(to)}">{escape(words)}</a>'


def links(named: Mapping[str, str]) -> None:
    """Show where one can go on from here, each as what one does there."""
    ways = "".join(link_html(words, to, kind="pl-way") for words, to in named.items())
    st.html(f'<nav class="pl-ways" aria-label="Go on from here">{ways}</nav>')


def asked_below() -> None:
    """A way down to what asks, where that stands after the answer, as on a phone."""
    st.html('<a class="pl-jump" href="#asked">Change what is asked</a>')


def asked_here() -> None:
    """Where `asked_below` leads."""
    st.html('<div id="asked"></div>')


def lead(words: str) -> None:
    """One sentence that leads a page or a card."""
    st.html(f'<p class="pl-lead">{escape(words)}</p>')


def refusal(sentence: str) -> None:
    """Show why something cannot be done, in one sentence."""
    st.html(f'<p class="pl-finding pl-stop" role="alert">{escape(sentence)}</p>')


def remark(words: str) -> None:
    """Show a remark in small type."""
    st.html(f'<p class="pl-soft" style="font-size:.92rem;margin:0">{escape(words)}</p>')


def facts(named: Mapping[str, str]) -> None:
    """Show a few facts in a row, each with its name over it."""
    items = "".join(
        f"<div><dt>{escape(name)}</dt><dd>{escape(value)}</dd></div>"
        for name, value in named.items()
    )
    st.html(f'<dl class="pl-facts">{items}</dl>')


def values_table(
    caption: str,
    rows: Sequence[tuple[str, str, str]],
    *,
    heads: Sequence[str],
    even: bool = False,
) -> None:
    """Show a table of names, values and a last word on each, such as what it rests on.

    Args:
        even: the last column weighs as much as the one before it.
    """
    kind = "pl-values pl-even" if even else "pl-values"
    head = "".join(f'<th scope="col">{escape(name)}</th>' for name in heads)
    body = "".join(
        f'<tr><th scope="row">{escape(name)}</th><td>{escape(value)}</td>'
        f"<td>{escape(last)}</td></tr>"
        for name, value, last in rows
    )
    st.html(
        f'<table class="{kind}"><caption>{escape(caption)}</caption>'
        f"<thead><tr>{head}</tr></thead><tbody>{body}</tbody></table>"
    )


def sentence(words: str) -> str:
    """The words as a sentence: a capital first, a stop last.

    >>> sentence("it bonds"), sentence("Go!")
    ('It bonds.', 'Go!')
    """
    words = words.strip()
    return words[:1].upper() + words[1:] + ("" if words.endswith((".", "!", "?")) else ".")
