"""The CSS of an SVG: style sheets, inline style and presentation attributes, as one cascade."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from advisor.artwork.records import ArtworkError
from advisor.artwork.svg.file import Document, tag_of

__all__ = ["INHERITED", "StyleRule", "cascade", "declarations", "document_rules", "style_rules"]

MOST_RULES = 2_000

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
        "stroke-linecap",
        "stroke-linejoin",
        "stroke-miterlimit",
        "stroke-opacity",
        "stroke-width",
        "visibility",
    )
)
# Not inherited, and read by this reader.
OWN = frozenset(
    (
        "clip-path",
        "cx",
        "cy",
        "display",
        "filter",
        "height",
        "mask",
        "mix-blend-mode",
        "opacity",
        "overflow",
        "r",
        "rx",
        "ry",
        "stop-color",
        "stop-opacity",
        "transform",
        "transform-origin",
        "vector-effect",
        "width",
        "x",
        "y",
    )
)

_COMMENT = re.compile(r"/\*.*?(?:\*/|\Z)|<!--|-->", re.DOTALL)
_COMPOUND = re.compile(r"(\*|[A-Za-z][\w-]*)?((?:[.#][\w-]+)*)\Z")


@dataclass(frozen=True, slots=True)
class StyleRule:
    """One selector of a style sheet with its declarations.

    ``steps`` runs from the subject outwards: (combinator to the next step, tag, ids, classes).
    """

    steps: tuple[tuple[str, str, frozenset[str], frozenset[str]], ...]
    specificity: tuple[int, int, int]
    normal: Mapping[str, str]
    important: Mapping[str, str]


def declarations(text: str) -> tuple[dict[str, str], dict[str, str]]:
    """Split a declaration block into normal and ``!important`` properties.

    >>> declarations("fill: url(data:a;b) ; stroke:red!important; nonsense")
    ({'fill': 'url(data:a;b)'}, {'stroke': 'red'})
    """
    normal: dict[str, str] = {}
    important: dict[str, str] = {}
    for part in _split_declarations(text):
        name, colon, value = part.partition(":")
        name, value = name.strip().lower(), value.strip()
        if not colon or not name or not value:
            continue
        bare, bang, word = value.rpartition("!")
        if bang and word.strip().lower() == "important":
            important[name] = bare.strip()
        else:
            normal[name] = value
    return normal, important


def _split_declarations(text: str) -> Iterable[str]:
    """Split at semicolons that stand outside quotes and brackets."""
    begin, depth, quote = 0, 0, ""
    for at, sign in enumerate(text):
        if quote:
            quote = "" if sign == quote else quote
        elif sign in "\"'":
            quote = sign
        elif sign in "()":
            depth = max(0, depth + (1 if sign == "(" else -1))
        elif sign == ";" and not depth:
            yield text[begin:at]
            begin = at + 1
    yield text[begin:]


def style_rules(text: str) -> tuple[tuple[StyleRule, ...], tuple[str, ...]]:
    """Read a style sheet: rules with tag, class, id, descendant and child selectors.

    Returns
    -------
    rules : tuple of StyleRule
        In the order of the sheet.
    left_out : tuple of str
        Selectors and at-rules that are not understood.

    Examples
    --------
    >>> rules, left_out = style_rules(".sea, g > path.sky {fill: teal} a:hover {fill: red}")
    >>> [rule.specificity for rule in rules], left_out
    ([(0, 1, 0), (0, 1, 2)], ('a:hover',))
    """
    text = _COMMENT.sub(" ", text)
    rules: list[StyleRule] = []
    left_out: list[str] = []
    at = 0
    while (brace := text.find("{", at)) >= 0:
        prelude = text[at:brace].rpartition(";")[2].strip()
        end = _block_end(text, brace)
        if prelude.startswith("@"):
            if not prelude.startswith("@font-face"):
                left_out.append(prelude)
            at = end + 1
            continue
        normal, important = declarations(text[brace + 1 : end])
        for selector in prelude.split(","):
            steps = _selector(selector)
            if steps is None:
                left_out.append(selector.strip())
                continue
            ids = sum(len(step[2]) for step in steps)
            classes = sum(len(step[3]) for step in steps)
            tags = sum(step[1] not in ("", "*") for step in steps)
            rules.append(StyleRule(steps, (ids, classes, tags), normal, important))
            if len(rules) <= MOST_RULES:
                continue
            raise ArtworkError(
                f"the style sheet has more than {MOST_RULES:,} rules; save as plain SVG "
                "with presentation attributes"
            )
        at = end + 1
    return tuple(rules), tuple(left_out)


def _block_end(text: str, brace: int) -> int:
    """The place of the brace that closes a block, or the text's end."""
    depth = 0
    for match in re.compile(r"[{}]").finditer(text, brace):
        depth += 1 if match.group() == "{" else -1
        if not depth:
            return match.start()
    return len(text)


def _selector(
    selector: str,
) -> tuple[tuple[str, str, frozenset[str], frozenset[str]], ...] | None:
    """Read one selector from its subject outwards; None when it is not understood."""
    words = selector.replace(">", " > ").split()
    steps: list[tuple[str, str, frozenset[str], frozenset[str]]] = []
    combinator = ""
    for word in reversed(words):
        if word == ">":
            if combinator != " " or not steps:
                return None
            combinator = ">"
            continue
        match = _COMPOUND.match(word)
        if match is None:
            return None
        tag, marks = match.group(1) or "", re.findall(r"[.#][\w-]+", match.group(2))
        if steps:
            steps[-1] = (combinator, *steps[-1][1:])
        steps.append(
            (
                "",
                tag,
                frozenset(mark[1:] for mark in marks if mark[0] == "#"),
                frozenset(mark[1:] for mark in marks if mark[0] == "."),
            )
        )
        combinator = " "
    return tuple(steps) if steps and combinator == " " else None


def document_rules(document: Document) -> tuple[tuple[StyleRule, ...], tuple[str, ...]]:
    """Read every ``<style>`` of a document, sorted by specificity (stable in sheet order)."""
    sheets = [
        "".join(element.itertext())
        for element in document.root.iter()
        if tag_of(element) == "style"
        and element.get("type", "text/css").strip().lower() in ("text/css", "")
    ]
    rules, left_out = style_rules("\n".join(sheets))
    return tuple(sorted(rules, key=lambda rule: rule.specificity)), left_out


def _matches_compound(
    element: Element, step: tuple[str, str, frozenset[str], frozenset[str]]
) -> bool:
    _, tag, ids, classes = step
    if tag not in ("", "*") and tag != tag_of(element):
        return False
    if ids and ids != {element.get("id")}:
        return False
    return not classes or classes <= set(element.get("class", "").split())


def _matches(rule: StyleRule, element: Element, document: Document) -> bool:
    """Match outwards from the subject, trying every ancestor where a space allows it."""
    if not _matches_compound(element, rule.steps[0]):
        return False
    candidates = [element]
    for previous, step in zip(rule.steps, rule.steps[1:], strict=False):
        reached: dict[Element, None] = {}
        for candidate in candidates:
            for above in document.ancestors(candidate):
                if _matches_compound(above, step):
                    reached[above] = None
                if previous[0] == ">":
                    break
        candidates = list(reached)
        if not candidates:
            return False
    return True


def cascade(
    element: Element,
    inherited: Mapping[str, str],
    *,
    rules: Iterable[StyleRule] = (),
    document: Document,
) -> dict[str, str]:
    """Return the properties of an element: inherited ones, then its own by CSS precedence.

    Presentation attributes give way to the style sheet, that to inline style, and all to
    ``!important`` (SVG 1.1 §6.4; CSS cascade).

    Examples
    --------
    >>> from advisor.artwork.svg.file import read_document
    >>> document, _ = read_document('<svg xmlns="http://www.w3.org/2000/svg"><g class="a" '
    ...     'fill="red" style="stroke: blue"/></svg>')
    >>> rules, _ = style_rules(".a {fill: teal; stroke: teal}")
    >>> cascade(document.root[0], {"color": "black"}, rules=rules, document=document)
    {'color': 'black', 'fill': 'teal', 'stroke': 'blue'}
    """
    own: dict[str, str] = {
        name: value.strip()
        for name, value in element.attrib.items()
        if name in INHERITED or name in OWN
    }
    important: dict[str, str] = {}
    for rule in rules:
        if _matches(rule, element, document):
            own.update(rule.normal)
            important.update(rule.important)
    inline, inline_important = declarations(element.get("style", ""))
    own.update(inline)
    own.update(important)
    own.update(inline_important)
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
