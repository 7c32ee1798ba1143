"""Found always: what rules object to whatever is chosen, since they do not look at what is."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from advisor.layering.records.prepared import OrderLine, PreparedJob
from advisor.solver.records import Cut
from rules.facts.sheet import Sheet
from rules.facts.step import Step
from rules.facts.subjects import GarmentOnPress, Pressing
from rules.facts.text import Text

__all__ = ["found_always", "on_press"]


class _ReadsWhatIsChosenError(Exception):
    """A rule looked at what a plan chooses, so what it says may not hold of another plan."""


class _Chosen:
    """Stands for what a plan chooses: to look at it is to ask what was chosen."""

    def _read(self, *_: object) -> Any:
        raise _ReadsWhatIsChosenError

    __getattribute__ = __eq__ = __hash__ = __repr__ = __bool__ = _read


class _Some(_Chosen):
    """What is chosen, of which there is always some."""

    def __bool__(self, *_: object) -> Any:
        return True


def found_always(prepared: PreparedJob) -> tuple[Cut, ...]:
    """What no plan of a job can do anything about: a rule stops or samples it whatever is pressed.

    Each rule on what finished steps show is asked with nothing chosen: it objects to every plan if
    it objects before it has looked at what is chosen. What a rule of safety finds on a garment with
    no film on it is no film's doing. Where evidence has a say nothing is known.
    """
    known = prepared.problem.knowledge
    cuts: dict[tuple[str, ...], Cut] = {}
    for judges, subject in () if known.evidence else _unchosen(prepared):
        for rule in known.rules.by_id.values():
            if rule.judges != judges:
                continue
            try:
                found, severity = rule.finds(subject), rule.severity_on(subject)
                if found is None or severity is None or severity == "note":
                    continue
                message = Text(found.message() if callable(found.message) else found.message)
                where = found.where if found.where is not None else subject.where
            except (_ReadsWhatIsChosenError, TypeError):
                continue
            said = (rule.id, Text(where), message)
            cuts.setdefault(said, Cut((), (), message, severity, rule.id, cause=said))
    return tuple(cuts.values())


def on_press(
    prepared: PreparedJob,
    line: OrderLine,
    *,
    width_mm: float | None = None,
    steps: tuple[Step, ...] = (),
    sheets: tuple[Sheet, ...] = (),
) -> GarmentOnPress | None:
    """A line's garment with its print on the press, as wide as asked or as ``width_mm`` says.

    ``None`` where only a fabric was named.
    """
    if line.garment is None:
        return None
    artwork, width_mm = prepared.artwork, width_mm or line.asked.artwork_width_mm
    return GarmentOnPress(
        garment=line.garment,
        area=line.area,
        press=prepared.problem.limits.press,
        width_mm=width_mm,
        height_mm=width_mm * artwork.height_mm / artwork.width_mm,
        steps=steps,
        sheets=sheets,
    )


def _unchosen(prepared: PreparedJob) -> Iterator[tuple[str, Any]]:
    """What finished steps are judged by, with what every plan of a job has in common alone."""
    chosen: Any = _Chosen()
    some: Any = _Some()
    yield "bond_line", chosen
    for line in prepared.lines:
        pressed = on_press(prepared, line, steps=some, sheets=chosen)
        if line.garment is None or pressed is None:
            continue
        yield "garment", pressed
        yield (
            "safety",
            Pressing(
                fabric=line.fabric,
                wearer=line.garment.wearer,
                nightwear=line.garment.nightwear,
                films=(),
                sheets=chosen,
                steps=some,
            ),
        )
