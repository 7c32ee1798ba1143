"""Given reasons: what a step that someone wrote does, beside what its films ask for."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from advisor.layering.records.reasons import GivenReason
from rules.facts.film import Film
from rules.facts.practice import (
    LEAST_PREHEAT_S,
    LEAST_TACK_S,
    LONGEST_PREHEAT_S,
    LONGEST_TACK_S,
)
from rules.facts.text import and_list
from rules.facts.units import show_c, show_s

__all__ = ["bond_line_sentences", "given_sentences"]


def given_sentences(reason: GivenReason) -> str:
    """A step as it was written, in one or two sentences.

    >>> from rules.catalogue import load_catalogue
    >>> from rules.facts.step import Step
    >>> step = Step(n=1, action="peel", pieces=("base",), peel="cold")
    >>> film = load_catalogue().film("matte-smooth")
    >>> given_sentences(GivenReason(step, (film,), ("navy matte-smooth",)))
    'As written, navy matte-smooth is peeled cold; matte-smooth peels hot.'
    """
    said, asks = _done(reason), _asked(reason)
    first = f"As written, {said}; {asks}." if asks else f"As written, {said}."
    return " ".join([first, *bond_line_sentences(reason.bond_lines)])


def bond_line_sentences(lines: Sequence[tuple[str, float, float]]) -> list[str]:
    """How hot each film's adhesive gets and how long it bonds, by film, °C and s."""
    told = [
        f"{film} reaches {show_c(peak_c)} ({seconds:.0f} s bonding)"
        for film, peak_c, seconds in lines
    ]
    return [f"At the bond lines, {and_list(told)}."] if told else []


def _done(reason: GivenReason) -> str:
    """What the step does, with its own numbers."""
    step, names = reason.step, and_list(reason.names)
    seconds = show_s(step.dwell_s) if step.dwell_s is not None else "no stated time"
    at = f" at {show_c(step.setpoint_c)}" if step.setpoint_c is not None else ""
    one = len(set(reason.names)) == 1
    match step.action:
        case "setpoint":
            return f"the dial is set{at.replace(' at ', ' to ')}" if at else "the dial is set"
        case "pressure":
            kpa = step.pressure_kpa
            return f"the pressure is {kpa:.0f} kPa" if kpa is not None else "the pressure is set"
        case "preheat":
            return f"the preheat takes {seconds}{at}"
        case "press" if step.purpose == "tack":
            return f"{names} {'is' if one else 'are'} tacked for {seconds}{at}"
        case "press":
            return f"{names} {'is' if one else 'are'} finished in {seconds}{at}"
        case "wait" if step.off_press:
            return f"the garment cools for {seconds} off the press"
        case "wait":
            return f"the press stays open for {seconds}"
        case "peel" if step.pieces:
            return f"{names} {'is' if one else 'are'} peeled {step.peel or ''}".rstrip()
        case "peel":
            return f"{step.cover or 'the cover'} is lifted"
        case "pad":
            return (
                "the pad is taken out" if step.pad == "out" else f"{step.pad} goes under the print"
            )
        case "turn":
            return "the garment is opened and laid flat"


def _asked(reason: GivenReason) -> str:
    """What its films, or the trade, ask of such a step."""
    match reason.step.action:
        case "setpoint":
            return _each(reason.films, lambda film: f"takes {_window_c(film)}")
        case "pressure":
            return _each(
                reason.films,
                lambda film: f"takes {film.pressure_kpa.low:g} to {film.pressure_kpa.high:g} kPa",
            )
        case "preheat":
            return f"{LEAST_PREHEAT_S:g} to {LONGEST_PREHEAT_S:g} s drive damp and creases out"
        case "press" if reason.step.purpose == "tack":
            grabs = _each(reason.films, lambda film: f"grabs from {show_c(film.softens_c)}")
            return f"a tack takes {LEAST_TACK_S:g} to {LONGEST_TACK_S:g} s, and {grabs}"
        case "press":
            return _each(
                reason.films,
                lambda film: (
                    f"takes {film.dwell_s.low:g} to {film.dwell_s.high:g} s at {_window_c(film)}"
                ),
            )
        case "wait" | "peel":
            return _each(reason.films, lambda film: f"peels {film.peel}")
        case _:
            return ""


def _window_c(film: Film) -> str:
    return f"{show_c(film.setpoint_c.low, film.setpoint_c.high)}"


def _each(films: Sequence[Film], asks: Callable[[Film], str]) -> str:
    """What each of the films asks for; one that comes twice is told once."""
    return and_list([f"{film.id} {asks(film)}" for film in {f.id: f for f in films}.values()])
