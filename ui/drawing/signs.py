"""Signs: the shapes of a verdict (octagon, triangle, disc, square) for those who see no colour."""

from __future__ import annotations

from rules.facts.finding import Severity, Verdict

__all__ = ["sign"]

_SHAPES: dict[str, tuple[str, str, str, str]] = {
    "stop": (
        '<path class="f" d="M7.6 1.5h8.8l6.1 6.1v8.8l-6.1 6.1H7.6l-6.1-6.1V7.6z"/>'
        '<path class="m" d="M7 12h10"/>',
        "Stop", "#8f1414", "#ffb4ab",
    ),
    "sample": (
        '<path class="f" d="M12 1.8L23 21.5H1z"/><path class="m" d="M12 9v6M12 17.4v1.4"/>',
        "Sample first", "#6b4700", "#ffd78a",
    ),
    "go": (
        '<circle class="f" cx="12" cy="12" r="10.5"/>'
        '<path class="m" d="M6.8 12.4l3.6 3.6 6.8-7.4"/>',
        "Go", "#0e5a31", "#a3e4ba",
    ),
    "note": (
        '<rect class="f" x="2" y="2" width="20" height="20" rx="4"/>'
        '<path class="m" d="M12 11v6M12 6.6v1"/>',
        "Note", "#244a6b", "#b5d5f2",
    ),
}  # fmt: skip


def sign(kind: Verdict | Severity) -> str:
    """The sign of a verdict or a severity, as an SVG document.

    >>> "Sample first" in sign("sample")
    True
    """
    shape, word, light, dark = _SHAPES[kind]
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 24 24" width="24" height="24">'
        f"<title>{word}</title><style>.f{{fill:{light}}}.m{{fill:none;stroke:#fff;stroke-width:2.6;"
        "stroke-linecap:round}@media (prefers-color-scheme:dark){"
        f".f{{fill:{dark}}}.m{{stroke:#12191d}}}}</style>{shape}</svg>"
    )
