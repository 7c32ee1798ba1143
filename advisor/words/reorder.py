"""Reorder in words: what is not as it was when a job was pressed."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from advisor.answers.records import Reordered, Since
from advisor.words.values import label_of, value_words
from rules.facts.text import Text
from rules.facts.units import Units

__all__ = ["reordered_text", "since_text"]


def since_text(since: Since) -> Text:
    """One change in a sentence.

    >>> print(since_text(Since(kind="price", what="matte-smooth", field="price_per_m", was=5.8,
    ...     now=6.2)))
    matte-smooth: its price per metre was 5.80 and is 6.20
    >>> print(since_text(Since(kind="gone", what="our-glitter")))
    our-glitter is on the shelf no more
    >>> print(since_text(Since(kind="value", what="ours", field="dwell_s",
    ...     was={"low": 10, "best": 12, "high": 15}, now={"low": 10, "best": 14, "high": 15})))
    ours: its dwell (best) was 12 s and is 14 s
    """
    match since.kind:
        case "gone" if since.field:
            return Text(f"{since.what} comes in {since.was} no more")
        case "gone":
            return Text(f"{since.what} is on the shelf no more")
        case "anew":
            return Text(f"{since.what} is planned anew, in other films")
        case "quantity" if since.was == since.now:
            return Text(
                "another list of names, or one that is called otherwise; the same films, pressed "
                "as suits them now"
            )
        case "quantity":
            return Text(
                f"{since.now} {'garment' if since.now == 1 else 'garments'}, then {since.was}; the "
                "same films, pressed as suits so many"
            )
        case "unread":
            return Text(f"the plan of {since.what} is of an older Presslore and cannot be read")
        case "price":
            return Text(
                f"{since.what}: its {_label(since.field)} was {since.was:.2f} and is "
                f"{since.now:.2f}"
            )
        case "value":
            return Text(f"{since.what}: {'; '.join(_parts(since.field, since.was, since.now))}")
        case "rule":
            return Text(f"{since.what} now says {since.severity}: {since.where}: ") + since.message
    return Text(f"{since.what} says {since.severity} of {since.where} no more")


def reordered_text(reordered: Reordered) -> Reordered:
    """The same with its sentences put in."""
    told = tuple(one.model_copy(update={"message": since_text(one)}) for one in reordered.since)
    on = reordered.pressed_on
    said = f"as it was pressed on {on}; --afresh looks for the best of today"
    if any(one.kind == "quantity" for one in reordered.since):
        said = f"in the films of {on}; --afresh looks for the best of today"
    if any(one.kind == "anew" for one in reordered.since):
        said = (
            f"in the films of {on} as far as they are there; --afresh looks for the best of today"
        )
    if reordered.plan is None:
        said = f"pressed on {on}; it cannot be pressed so again, and is planned afresh"
    return reordered.model_copy(update={"since": told, "said": Text(said)})


def _label(field: str) -> str:
    label = label_of(field)
    return label[:1].lower() + label[1:]


def _parts(field: str, was: Any, now: Any) -> list[str]:
    """The parts of a value that differ, each as it was and as it is."""
    if isinstance(was, Mapping) and isinstance(now, Mapping):
        differ = [part for part in now if was.get(part) != now[part]]
        return [
            f"its {_label(field)} ({part.replace('_', ' ')}) was "
            f"{_said(field, was.get(part))} and is {_said(field, now[part])}"
            for part in differ
        ]
    if isinstance(was, list) and isinstance(now, list):
        gone = [_named(one) for one in was if one not in now]
        new = [_named(one) for one in now if one not in was]
        words = (("without", gone), ("with", new))
        return [f"its {_label(field)} are {how} {', '.join(of)}" for how, of in words if of]
    return [f"its {_label(field)} was {_said(field, was)} and is {_said(field, now)}"]


def _said(field: str, value: Any) -> str:
    return value_words(field, value, Units()) if not isinstance(value, Mapping) else _named(value)


def _named(value: Any) -> str:
    return str(value.get("name", dict(value))) if isinstance(value, Mapping) else str(value)
