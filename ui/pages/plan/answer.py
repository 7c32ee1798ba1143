"""Answer: the verdict on a job, what it costs, what changed, and the plan in all its parts."""

from __future__ import annotations

import streamlit as st

from advisor.artwork.reader import Artwork
from advisor.job.records.plan import Plan
from advisor.words.card import press_cards
from advisor.words.plan import (
    cooling_words,
    findings_on_card,
    piece_names,
    proof_words,
    run_words,
)
from advisor.words.plan_changes import differences
from advisor.words.verdicts import verdict_sentence
from ui.address import href
from ui.order.record import CustomerOrder
from ui.order.visit import order_before, undo
from ui.pages.plan.care import show_care, show_sample
from ui.pages.plan.files import show_files
from ui.pages.plan.heat import show_heat
from ui.pages.plan.layers import show_layers
from ui.pages.plan.others import plan_figures, show_others, show_refused
from ui.pages.plan.pressed import show_pressed
from ui.pages.plan.repairs import show_repairs
from ui.pages.plan.steps import card_html, choose_run, show_timeline, shown_steps, steps_html
from ui.session import catalogue, units
from ui.show import facts, findings, lead, links, remark, sentence, sentences, verdict_badge
from ui.tasks import next_best_task, plan_task
from ui.waiting import answer_before, wait_for

__all__ = ["answer"]

PARTS = ["Press steps", "Layers", "Heat", "Findings", "Other plans", "Care", "Take away"]


def answer(order: CustomerOrder, plan: Plan, artwork: Artwork) -> None:
    """The whole answer, its parts in tabs of which only the open one is worked out."""
    if plan.status != "planned":
        show_repairs(order, plan)
        _changed(order, plan)
        show_refused(plan)
        show_files(order, plan, artwork)
        return
    _head(plan)
    show_sample(plan)
    _changed(order, plan)
    tabs = st.tabs(PARTS, on_change="rerun", key="plan-part")
    steps, layers, heat, found, others, care, files = tabs
    if steps.open:
        with steps:
            _steps(order, plan)
    if layers.open:
        with layers:
            show_layers(plan, artwork)
    if heat.open:
        with heat:
            show_heat(order, plan, choose_run(plan, key="run-heat", units=units()))
    if found.open:
        with found:
            _findings(plan)
    if others.open:
        with others:
            show_others(order, plan)
            show_refused(plan)
    if care.open:
        with care:
            show_care(plan)
    if files.open:
        with files:
            show_files(order, plan, artwork)
            show_pressed(order, plan, artwork)


def _head(plan: Plan) -> None:
    verdict_badge(plan.verdict)
    lead(verdict_sentence(plan.verdict, plan.findings).shown(units()))
    facts(plan_figures(plan))
    remark(sentence(proof_words(plan.proof, plan.status, plan.prefer)))
    links({"To the press with it": href("press", job=st.query_params.get("job"))})
    if plan.notes:
        with st.expander("Notes on the artwork"):
            for note in plan.notes:
                st.text(note)


def _changed(order: CustomerOrder, plan: Plan) -> None:
    """What the last change did to the plan, with a way back."""
    before = order_before()
    was = answer_before(plan_task(before)) if before else None
    if before is None or was is None or was is plan or before.svg != order.svg:
        return
    with st.container(border=True, key="plan-changed"):
        said = differences(was, plan, units())
        st.markdown("**What your change did**" if said else "**Your change made no difference.**")
        sentences(said)
        st.button("Take the change back", key="plan-undo", on_click=undo, icon=":material/undo:")


def _steps(order: CustomerOrder, plan: Plan) -> None:
    run = choose_run(plan, key="run-steps", units=units())
    lead(f"For {run_words(plan, run, units())}. {cooling_words(run, units())}".rstrip())
    press = catalogue().press(plan.press)
    card = next(card for card in press_cards(plan, press) if run in card.runs)
    st.html(card_html(card, units()))
    show_timeline(plan, run, known=catalogue(), units=units())
    shown = list(shown_steps(plan, run, known=catalogue(), units=units()))
    every = st.toggle("Open the reasons of every step", key="every-reason")
    beside = st.toggle("Say what the next best film of each piece would cost", key="next-best")
    place, films = st.empty(), dict[str, str]()
    if beside:
        if answer_before(next_best_task(order)) is None:
            # The steps can be read meanwhile.
            place.html(steps_html(shown, units(), reasons_open=every))
        names = piece_names(plan)
        for one in wait_for(next_best_task(order)) or ():
            films[one.piece] = sentence(f"{names[one.piece]}: {one.said.shown(units())}")
    place.html(steps_html(shown, units(), reasons_open=every or beside, films=films))


def _findings(plan: Plan) -> None:
    here, cautions = findings_on_card(plan)
    findings(here)
    if cautions:
        st.subheader("Cautions")
        remark("Local rules, licensed practice and the makers' instructions come first.")
        findings(cautions)
