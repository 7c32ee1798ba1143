"""Steps: the press steps of a plan, as one picture against the clock and one under the other."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape

import streamlit as st

from advisor.answers.judge_plan import pressed_prints
from advisor.heat.moments import step_times
from advisor.job.records.plan import Plan, Run
from advisor.words.card import PressCard
from advisor.words.plan import piece_names, run_words, short_title, step_settings
from advisor.words.rests_on import rests_on
from rules.catalogue import Catalogue
from rules.facts.step import Step
from rules.facts.units import Units
from ui.drawing.ink import data_uri
from ui.drawing.pictogram import pictograms
from ui.drawing.timeline import Lane, presses_in_words, timeline
from ui.show import wide_and_narrow

__all__ = [
    "StepShown", "card_html", "choose_run", "show_timeline", "shown_steps", "steps_html",
]  # fmt: skip


@dataclass(frozen=True)
class StepShown:
    """A step in words and drawn, for a card or for the screen at the press.

    Attributes:
        title: what to do.
        settings: what to set, in the person's units.
        pad: the pad that lies under the print meanwhile.
        picture: the step from the side, as an SVG.
        rests_on: the values that its numbers come from.
    """

    step: Step
    title: str
    settings: Sequence[str]
    pad: str | None
    picture: str
    rests_on: Sequence[str]


def shown_steps(plan: Plan, run: Run, *, known: Catalogue, units: Units) -> Iterator[StepShown]:
    """The steps of a run, each drawn with what already lies there."""
    names, press = piece_names(plan), known.press(plan.press)
    steps = [step for step in plan.steps if step.run == run.run]
    colours = {piece.id: piece.srgb for piece in plan.pieces}
    films = {p.id: known.film(p.film) for p in plan.pieces if p.film in known.films}
    fabric = known.fabric(run.fabrics[0]).colour.srgb
    for step, (picture, pad) in zip(steps, pictograms(steps, colours, fabric=fabric), strict=True):
        settings = step_settings(step, press, units=units)
        rests = rests_on(step, steps, films, units)
        yield StepShown(step, short_title(step, names), settings, pad, picture, rests)


def choose_run(plan: Plan, *, key: str, units: Units) -> Run:
    """The garments that are pressed alike, chosen where there are several kinds."""
    if len(plan.runs) == 1:
        return plan.runs[0]
    runs = {run.run: run for run in plan.runs}
    number = st.selectbox(
        "Garments pressed alike", runs, key=key,
        format_func=lambda n: run_words(plan, runs[n], units),
    )  # fmt: skip
    return runs[number]


def card_html(card: PressCard, units: Units) -> str:
    """The press card: what one reads at the press, in a few lines."""
    rows = "".join(
        f"<tr><th>{escape(line.what.shown(units))}</th><td>{escape(line.do.shown(units))}</td></tr>"
        for line in card.lines
    )
    return f'<table class="pp-card"><caption>Press card</caption>{rows}</table>'


def show_timeline(plan: Plan, run: Run, *, known: Catalogue, units: Units) -> None:
    """All steps of a run as one picture."""
    schedule = pressed_prints(plan, run, known)[0].schedule
    names, cloth = piece_names(plan), schedule.fabric
    pieces = {piece.id: Lane(names[piece.id], piece.srgb) for piece in plan.pieces}
    garment, times = Lane(cloth.id, cloth.colour.srgb), step_times(schedule)
    wide_and_narrow(
        lambda width: timeline(times, pieces, garment=garment, units=units, width=width),
        presses_in_words(times, units),
    )


def steps_html(
    steps: Sequence[StepShown],
    units: Units,
    *,
    reasons_open: bool = False,
    films: Mapping[str, str] | None = None,
) -> str:
    """The steps of a run, one under the other; the reasons of each on demand.

    Args:
        films: by piece why it is cut from its film, told at the press that lays it.
    """
    told, rows = dict(films or {}), []
    for shown in steps:
        laid = shown.step.pieces if shown.step.action == "press" else ()
        why = [told.pop(piece) for piece in laid if piece in told]
        rows.append(_row(shown, units, "open" if reasons_open else "", why))
    return f'<ol class="pp-steps">{"".join(rows)}</ol>'


def _row(shown: StepShown, units: Units, opened: str, films: Sequence[str]) -> str:
    step = shown.step
    own = "".join(f"<span>{escape(setting)}</span>" for setting in _own_settings(shown, units))
    line = (
        f'<img src="{data_uri(shown.picture)}" alt="">'
        f'<span class="pp-title"><b>{step.n}</b> {escape(shown.title)}</span>'
        f'<span class="pp-settings">{own}</span>'
    )
    return (
        f'<li class="pp-step"><details {opened}><summary>{line}</summary>'
        f'<div class="pp-why">{_reasons(shown, units, films)}</div></details></li>'
    )


def _own_settings(shown: StepShown, units: Units) -> Sequence[str]:
    """What a step sets or takes itself; the pressure is told where it is set."""
    if shown.step.action == "pressure":
        return shown.settings
    return step_settings(shown.step.model_copy(update={"pressure_kpa": None}), units=units)


def _reasons(shown: StepShown, units: Units, films: Sequence[str]) -> str:
    sources = escape("; ".join(shown.rests_on))
    rests = f'<p class="pl-small">Rests on: {sources}.</p>' if sources else ""
    why = shown.step.why.shown(units) or "The plan gives no reason for it."
    beside = "".join(f"<p>{escape(film)}</p>" for film in films)
    return f"<p>{escape(why)}</p>{beside}{rests}"
