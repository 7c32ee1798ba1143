"""The CSS of an SVG: style sheets, inline style and presentation attributes, as one cascade."""

from __future__ import annotations

import re
from collections.abc import Mapping
from contextlib import suppress
from itertools import groupby
from typing import Any
from xml.etree.ElementTree import Element

import tinycss2
from cssselect2 import ElementWrapper, Matcher, SelectorError, compile_selector_list

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.document import Document, tag_of

__all__ = ["Styles", "declarations", "url_of"]

MOST_RULES = 2_000
MOST_SELECTOR = 500
"""Longer selectors, in characters, take long to compile, and no drawing needs them."""

# Properties that children inherit (SVG 1.1 appendix N, SVG 2 property index).
INHERITED = frozenset(
    (
        "clip-rule",
        "color",
        "fill",
        "fill-opacity",
        "fill-rule",
        "font-size",
        "marker-end",
        "marker-mid",
        "marker-start",
        "paint-order",
        "stroke",
        "stroke-dasharray",
        "stroke-dashoffset",
        "stroke-linecap",
        "stroke-linejoin",
        "stroke-miterlimit",
        "stroke-opacity",
        "stroke-width",
        "visibility",
    )
)
_URL = re.compile(r"""url\(\s*["']?\s*([^"')]*?)\s*["']?\s*\)\s*(.*)""", re.IGNORECASE | re.DOTALL)
# Tests that walk all siblings or all that lies below would take a hostile sheet's time squared.
_COSTLY = re.compile(r":has|~(?!=)|-of-type|:nth-|:last-|:only-", re.IGNORECASE)
# What nonsense raises in the library, which compiles selectors to code.
_SELECTOR_ERRORS = (SelectorError, SyntaxError, AttributeError, RecursionError, MemoryError)


def url_of(value: str) -> tuple[str, str] | None:
    """What a ``url()`` refers to, and what stands after it; None for other values.

    >>> url_of("url('#sea') teal"), url_of("teal")
    (('#sea', 'teal'), None)
    """
    match = _URL.match(value)
    return (match.group(1), match.group(2).strip()) if match else None


def declarations(css: Any) -> tuple[dict[str, str], dict[str, str]]:
    """Split a declaration block, as text or tokens, into normal and ``!important`` properties.

    >>> declarations("fill: url(data:a;b) ; stroke:red!important; nonsense")
    ({'fill': 'url(data:a;b)'}, {'stroke': 'red'})
    """
    normal: dict[str, str] = {}
    important: dict[str, str] = {}
    for part in tinycss2.parse_blocks_contents(css, skip_comments=True, skip_whitespace=True):
        if part.type != "declaration":
            continue
        tokens = [token for token in part.value if token.type != "comment"]
        if value := _text(tokens):
            (important if part.important else normal)[part.lower_name] = value
    return normal, important


def _text(tokens: list[Any]) -> str:
    """Tokens as they are written; empty for brackets nested beyond reason."""
    try:
        return str(tinycss2.serialize(tokens)).strip()
    except RecursionError:
        return ""


class Styles:
    """The style sheets of a document, and the style that each of its elements gets.

    Attributes:
        left_out: selectors and at-rules that are not understood or that a still picture never
            meets, as the sheet writes them.

    >>> from advisor.artwork.svg.document import read_document
    >>> document, _ = read_document('<svg><style>.a, g > .b:not(use) {fill: teal; stroke: teal} '
    ...     'a:hover {fill: red}</style><g class="a" fill="red" style="stroke: blue"/></svg>')
    >>> styles = Styles(document)
    >>> styles.left_out
    ['a:hover']
    >>> style = styles.of(document.root[1], {"color": "black"})
    >>> style["color"], style["fill"], style["stroke"]
    ('black', 'teal', 'blue')
    """

    def __init__(self, document: Document) -> None:
        self.left_out: list[str] = []
        self._matcher = Matcher()
        self._inline: dict[str, tuple[dict[str, str], dict[str, str]]] = {}
        for element in document.root.iter():
            kind = element.get("type", "text/css").strip().lower()
            if tag_of(element) == "style" and kind in ("text/css", ""):
                self._read_sheet("".join(element.itertext()))
        self._node: dict[Element, ElementWrapper] = {}
        # A document without rules, as most are, goes without the wrappers.
        if self._matcher.order:
            nodes = ElementWrapper.from_xml_root(document.root).iter_subtree()
            self._node = {node.etree_element: node for node in nodes}

    def _read_sheet(self, text: str) -> None:
        for rule in tinycss2.parse_stylesheet(text, skip_comments=True, skip_whitespace=True):
            if rule.type == "qualified-rule":
                declared = declarations(rule.content)
                for comma, tokens in groupby(rule.prelude, key=lambda token: bool(token == ",")):
                    if not comma:
                        self._add(list(tokens), declared)
            elif rule.type == "at-rule" and rule.content and rule.lower_at_keyword != "font-face":
                self.left_out.append(f"@{rule.at_keyword} {_text(rule.prelude)}".strip())

    def _add(self, tokens: list[Any], declared: tuple[dict[str, str], dict[str, str]]) -> None:
        """Add one selector; one that is not understood leaves the others of its list alone."""
        text, selector = _text(tokens), None
        if text and len(text) <= MOST_SELECTOR and not _COSTLY.search(text):
            with suppress(*_SELECTOR_ERRORS):
                (selector,) = compile_selector_list(tokens)
        if selector is None or selector.never_matches or selector.pseudo_element:
            self.left_out.append(text)
            return
        self._matcher.add_selector(selector, declared)
        if self._matcher.order > MOST_RULES:
            raise ArtworkError(
                f"the style sheet has more than {MOST_RULES:,} rules; save as plain SVG "
                "with presentation attributes"
            )

    def of(self, element: Element, inherited: Mapping[str, str]) -> dict[str, str]:
        """The properties of an element: inherited ones, then its own by CSS precedence.

        Attributes give way to the style sheet, that to inline style, and all to ``!important``
        (SVG 1.1 §6.4; CSS cascade).
        """
        own = {name: value.strip() for name, value in element.items()}
        blocks = []
        if self._node:
            blocks += [block for *_, block in self._matcher.match(self._node[element])]
        if inline := own.get("style"):
            if inline not in self._inline:
                self._inline[inline] = declarations(inline)
            blocks.append(self._inline[inline])
        for importance in (0, 1):
            for block in blocks:
                own.update(block[importance])
        style = {name: value for name, value in inherited.items() if name in INHERITED}
        for name, value in own.items():
            word = value.lower()
            if word == "inherit" or (word == "unset" and name in INHERITED):
                if name in inherited:
                    style[name] = inherited[name]
            elif word in ("initial", "unset", "revert"):
                style.pop(name, None)
            else:
                style[name] = value
        return style
