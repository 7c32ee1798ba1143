"""Print shown: what a plan's JSON shows of its print beside each part, which is never read back."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from advisor.job.records.print import Print

__all__ = ["hide_print", "refuse_contradiction", "show_print"]

_SHOWN_OF_PRINT = {
    "": ("stacks", "registration_mm"),
    "pieces": ("fill", "sizes"),
    "joints": ("hidden",),
    "garments": ("garment", "area", "quantity", "width_mm", "height_mm"),
}
"""What a document shows of the print beside each part of the plan: for those who read it, never
read back."""


def show_print(document: dict[str, Any], print_: Print) -> None:
    """Add to a document what its print says; what the print lacks is shown nowhere."""
    pieces = {piece.id: piece for piece in print_.pieces}
    meetings = {meeting.pair: meeting for meeting in print_.meetings}
    for entry in document["pieces"]:
        if (piece := pieces.get(entry["id"])) is not None:
            entry["fill"] = piece.fill
            entry["sizes"] = [
                {
                    "width_mm": size.width_mm,
                    "height_mm": size.height_mm,
                    "least_stroke_mm": size.least_stroke_mm,
                    "least_gap_mm": size.least_gap_mm,
                    "small_islands": small,
                    "smallest_island_mm2": min(size.island_areas_mm2, default=None),
                }
                for size, small in zip(piece.sizes, entry["small_islands"], strict=False)
            ]
    for entry in document["joints"]:
        if (meeting := meetings.get((entry["upper"], entry["lower"]))) is not None:
            entry["hidden"] = meeting.hidden
    for run in document["runs"]:
        for entry in run["garments"]:
            if entry["line"] < len(print_.lines):
                line = print_.lines[entry["line"]]
                entry |= {key: getattr(line, key) for key in _SHOWN_OF_PRINT["garments"]}
    document["stacks"] = [list(place.stack) for place in print_.places]
    document["registration_mm"] = print_.registration_mm


def refuse_contradiction(given: Any, shown: Any, at: str = "") -> None:
    """Refuse a document that was changed where it only shows what its print says.

    Raises:
        ValueError: it names the first value that differs, and what it is by the print.
    """
    if isinstance(given, dict) and isinstance(shown, dict):
        part = at.rstrip(".0123456789").rpartition(".")[2]
        for key in _SHOWN_OF_PRINT.get(part, ()):
            if key in given and key in shown and given[key] != shown[key]:
                where, was, is_now = _first_difference(f"{at}.{key}", given[key], shown[key])
                raise ValueError(
                    f"{where.lstrip('.')} is {was!r}, and by the print it is {is_now!r}; change it "
                    "in print, and leave it out here"
                )
        for key, value in given.items():
            if key in {"pieces", "joints", "runs", "garments"}:
                refuse_contradiction(value, shown.get(key), f"{at}.{key}".lstrip("."))
    elif isinstance(given, list | tuple) and isinstance(shown, list):
        for number, (one, other) in enumerate(zip(given, shown, strict=False)):
            refuse_contradiction(one, other, f"{at}.{number}")


def _first_difference(at: str, given: Any, shown: Any) -> tuple[str, Any, Any]:
    """Where two values first differ, and what stands there in each."""
    inside: Iterable[tuple[Any, Any, Any]] = ()
    if isinstance(given, dict) and isinstance(shown, dict) and given.keys() == shown.keys():
        inside = ((key, given[key], shown[key]) for key in given)
    elif isinstance(given, list) and isinstance(shown, list) and len(given) == len(shown):
        inside = zip(range(len(given)), given, shown, strict=True)
    for key, one, other in inside:
        if one != other:
            return _first_difference(f"{at}.{key}", one, other)
    return at, given, shown


def hide_print(document: Any, part: str = "") -> Any:
    """The document without what it shows of the print; what is no part of a plan stays."""
    if not isinstance(document, dict):
        return document
    hidden = {k: v for k, v in document.items() if k not in _SHOWN_OF_PRINT.get(part, ())}
    for key in ("pieces", "joints", "runs", "garments"):
        if isinstance(hidden.get(key), list | tuple):
            hidden[key] = [hide_print(entry, key) for entry in hidden[key]]
    return hidden
