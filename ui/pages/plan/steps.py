"""Steps: the press steps of a plan as cards, each drawn, with its settings and its reasons."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

import streamlit as st

from advisor.job.records.plan import Plan, Run
from advisor.words.card import PressCard
from advisor.words.plan import piece_names, run_words, step_settings, step_title
from rules.catalogue import Catalogue
from rules.facts.step import Step
from rules.facts.units import Units
from ui.drawing.ink import data_uri
from ui.drawing.pictogram import pictograms

__all__ = ["StepShown", "card_html", "choose_run", "shown_steps", "steps_html"]


@dataclass(frozen=True)
class StepShown:
    """A step in words and drawn, for a card or for the screen at the press.

    Attributes:
        title: what to do.
        settings: what to set, in the person's units.
        pad: the pad that lies under the print meanwhile.
        picture: the step from the side, as an SVG.
    """

    step: Step
    title: str
    settings: Sequence[str]
    pad: str | None
    picture: str


def shown_steps(plan: Plan, run: Run, *, known: Catalogue, units: Units) -> Iterator[StepShown]:
    """The steps of a run, each drawn with what already lies there."""
    names, press = piece_names(plan), known.press(plan.press)
    steps = [step for step in plan.steps if step.run == run.run]
    colours = {piece.id: piece.srgb for piece in plan.pieces}
    fabric = known.fabric(run.fabrics[0]).colour.srgb
    for step, (picture, pad) in zip(steps, pictograms(steps, colours, fabric=fabric), strict=True):
        settings = step_settings(step, press, units=units)
        yield StepShown(step, step_title(step, names), settings, pad, picture)


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


def steps_html(steps: Sequence[StepShown], units: Units) -> str:
    """The cards of a run."""
    return f'<ol class="pp-steps">{"".join(_card(shown, units) for shown in steps)}</ol>'


def _card(shown: StepShown, units: Units) -> str:
    step = shown.step
    settings = "".join(f"<span>{escape(setting)}</span>" for setting in shown.settings)
    why = f'<p class="pp-why">{escape(step.why.shown(units))}</p>' if step.why else ""
    kind = step.purpose or step.action
    return (
        f'<li class="pp-step pp-{kind}"><img src="{data_uri(shown.picture)}" alt="">'
        f'<div><p class="pp-title"><b>{step.n}</b> {escape(shown.title)}</p>'
        f'<p class="pp-settings">{settings}</p>{why}</div></li>'
    )
