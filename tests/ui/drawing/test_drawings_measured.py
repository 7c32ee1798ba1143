"""Drawings as a browser lays them out: words stand clear of one another and inside the paper."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations
from typing import Any

import pytest

from advisor import plan
from advisor.answers.heat import heat_report
from advisor.answers.judge_plan import pressed_prints
from advisor.artwork.reader import Artwork, read_artwork
from advisor.heat.moments import step_times
from advisor.heat.records import StepTime
from advisor.job.demo import DEMO_FOLDER, demo_job
from advisor.job.records.plan import Plan
from advisor.words.plan import piece_names
from rules.book.example_subjects import USUAL_FABRIC, USUAL_PRESS, subjects_from
from rules.catalogue import load_catalogue
from rules.facts.step import Meets
from rules.facts.units import Units
from rules.rulebook import rulebook
from ui.drawing.apart import layers_apart
from ui.drawing.example import example_picture
from ui.drawing.heat_strips import heat_strips
from ui.drawing.section import section
from ui.drawing.texture import Coloured
from ui.drawing.timeline import Lane, timeline
from ui.pages.plan.layers import looks_of

SHELF = load_catalogue()
DEMOS = ("crew-tees", "wind-jackets", "bags")
LEAST_LETTER_PX = 11.0
WORDS = """() => [...document.querySelectorAll("svg text")].map(text => {
  const at = text.getBoundingClientRect()
  return [text.textContent, at.left, at.top, at.right, at.bottom,
          parseFloat(getComputedStyle(text).fontSize)]
})"""
STACKS = [
    ("matte-smooth", "sparkle-coarse"),
    ("dye-blocking-low-temperature", "matte-low-temperature", "sparkle-low-temperature"),
    ("high-build-soft", "metallic-low-temperature", "flock-plush"),
    ("matte-smooth", "matte-smooth", "matte-smooth", "matte-smooth", "sparkle-fine"),
]


@lru_cache(maxsize=4)
def planned(name: str) -> tuple[Plan, Artwork]:
    job = demo_job(name)
    return plan(job, folder=DEMO_FOLDER), read_artwork(DEMO_FOLDER / job.artwork)


def times_of(made: Plan, run: int = 0) -> tuple[StepTime, ...]:
    return step_times(pressed_prints(made, made.runs[run], SHELF)[0].schedule)


def drawn(name: str, width: float) -> str:
    made, _ = planned(name)
    names, fabric = piece_names(made), SHELF.fabric(made.runs[0].fabrics[0])
    pieces = {piece.id: Lane(names[piece.id], piece.srgb) for piece in made.pieces}
    garment = Lane(fabric.id, fabric.colour.srgb)
    return timeline(times_of(made), pieces, garment=garment, units=Units(), width=width)


def overlapping(words: list[list[Any]]) -> list[tuple[str, str]]:
    """Pairs of words whose boxes share more than a hair."""
    return [
        (one[0], other[0])
        for one, other in combinations(words, 2)
        if min(one[3], other[3]) - max(one[1], other[1]) > 1
        and min(one[4], other[4]) - max(one[2], other[2]) > 3
    ]


def laid_out(tab: Any, svg: str, width: float) -> list[list[Any]]:
    """Every word of a drawing with its box on a page as wide as it is shown, in px."""
    tab.set_viewport_size({"width": int(width), "height": 900})
    tab.set_content(f'<body style="margin:0"><div style="width:{width}px">{svg}</div></body>')
    found: list[list[Any]] = tab.evaluate(WORDS)
    return found


def clear(words: list[list[Any]], width: float) -> None:
    assert words
    assert overlapping(words) == []
    assert [word for word, left, top, *_ in words if min(left, top) < 0] == []
    assert [word for word, _, _, right, *_ in words if right > width] == []


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("width", [358, 780])
def test_a_timelines_words_stand_clear_of_one_another(tab: Any, name: str, width: int) -> None:
    words = laid_out(tab, drawn(name, width), width)
    clear(words, width)
    assert min(size for *_, size in words) >= LEAST_LETTER_PX


@pytest.mark.parametrize("name", DEMOS)
@pytest.mark.parametrize("width", [358, 780])
def test_each_bond_line_has_a_strip_of_heat_whose_words_stand_clear(
    tab: Any, name: str, width: int
) -> None:
    made, _ = planned(name)
    pressed = pressed_prints(made, made.runs[0], SHELF)[0]
    report = heat_report(pressed.schedule, pressed.columns, uncertain=False)
    words = laid_out(tab, heat_strips(report, piece_names(made), units=Units(), width=width), width)
    clear(words, width)
    assert min(size for *_, size in words) >= LEAST_LETTER_PX
    # The face on top has one of its own.
    said = " ".join(word for word, *_ in words)
    assert said.count(" on ") == len(report.courses) - 1
    assert sum(word.startswith("bonds ") for word, *_ in words) == len(report.courses) - 1


@pytest.mark.parametrize("films", STACKS)
def test_a_sections_labels_stand_clear_of_one_another(tab: Any, films: tuple[str, ...]) -> None:
    looks = [Coloured(SHELF.film(film)) for film in films]
    ways: list[Meets] = ["lap"] * (len(films) - 1)
    for fabric in ("cotton-jersey-tee", "polyester-elastane-jersey"):
        svg = section(
            looks, fabric=SHELF.fabric(fabric), meets=ways, carriers=[len(films) - 1],
            cover=SHELF.sheet("ptfe-cover"),
        )  # fmt: skip
        clear(laid_out(tab, svg, 476), 476)


@pytest.mark.parametrize("name", DEMOS)
def test_the_labels_of_layers_pulled_apart_stand_clear(tab: Any, name: str) -> None:
    made, artwork = planned(name)
    fabric = SHELF.fabric(made.runs[0].fabrics[0])
    svg = layers_apart(artwork, made, looks_of(made, SHELF), fabric=fabric)
    clear(laid_out(tab, svg, 760), 760)


@pytest.mark.parametrize("name", DEMOS)
def test_a_timeline_draws_each_press_as_long_as_it_takes(tab: Any, name: str) -> None:
    made, _ = planned(name)
    laid_out(tab, drawn(name, 780), 780)
    widths = tab.evaluate(
        """() => [...document.querySelectorAll("svg > rect.hot")].map(
        r => r.getBoundingClientRect().width)"""
    )
    pressed = [t.ends_s - t.closes_s for t in times_of(made) if t.closes_s is not None]
    assert len(widths) == len(pressed)
    px_per_s = [width / seconds for width, seconds in zip(widths, pressed, strict=True)]
    assert max(px_per_s) == pytest.approx(min(px_per_s), rel=0.02)


VALUES_ALONE = {
    "stretch-match", "wash-limit", "pale-on-dark", "overlay-stretch", "peel-order", "show-through",
    "pressure-window", "press-range", "childrens-wear", "nightwear",
}  # fmt: skip
"""Rules whose two examples look alike: what differs is a value that their words tell."""


@pytest.mark.parametrize("rule", rulebook().by_id.values(), ids=lambda rule: rule.id)
def test_a_rules_good_and_bad_example_are_drawn_and_can_be_told_apart(tab: Any, rule: Any) -> None:
    drawn = [
        example_picture(
            subjects_from(rule.judges, example, SHELF), fabric=SHELF.fabric(USUAL_FABRIC),
            press=SHELF.press(USUAL_PRESS), units=Units(),
        )
        for example in (rule.good, rule.bad)
    ]  # fmt: skip
    assert (drawn[0] == drawn[1]) == (rule.id in VALUES_ALONE)
    for svg in drawn:
        words = laid_out(tab, svg, 476)
        assert overlapping(words) == []
        assert [word for word, left, top, *_ in words if min(left, top) < 0] == []
        assert [word for word, _, _, right, *_ in words if right > 476] == []
