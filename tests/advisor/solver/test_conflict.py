"""Conflict: nothing in it can be spared, its words are fixed, and every repair works."""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import product
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, assume, given, settings
from hypothesis import strategies as st

import advisor.solver.conflict as conflict_module
from advisor.answers.impossible import planned_changes
from advisor.job.records.job import Rates, Wish
from advisor.job.records.print import PieceSize, PrintPiece
from advisor.layering.candidates import every_option
from advisor.layering.meeting import contacts
from advisor.layering.records.problem import Choice, Option, Problem
from advisor.solver.conflict import conflict_model, impossible_parts, minimal_conflict
from advisor.solver.conflict_facts import facts_of
from advisor.solver.cpsat import Solution, solved
from advisor.solver.impossible import explain_impossible
from advisor.solver.leaving_out import without
from advisor.solver.listing import list_choices
from advisor.solver.model import PlanModel
from advisor.solver.plain_plan import first_plan
from advisor.solver.proof import Cut
from advisor.solver.records import Impossible, RepairChange, RuleInstance
from advisor.solver.repairs import repairs
from advisor.words.conflict import conflict_text, fact_text
from rules.errors import ProgramError
from tests import ROOT
from tests.advisor.solver.solver_problems import BOOK, SHELF, problems, stacked, text_on_star

# A problem that fails is long to print; that warning would hide what failed.
pytestmark = pytest.mark.filterwarnings("ignore::hypothesis.errors.HypothesisWarning")

brief = settings(
    max_examples=1000 if os.environ.get("PRESSLORE_FULL") else 60,
    deadline=None,
    phases=[Phase.explicit, Phase.reuse, Phase.generate],
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


def film(name: str) -> Wish:
    return Wish(film=name)


LAP = ("lap",)

SAID: dict[str, tuple[Problem, str]] = {
    "text lapped on sparkle": (
        text_on_star(ways=("lap",)),
        "Because star is to be sparkle, text is to lap over star and text is to be matte, this "
        "cannot be: sparkle-warm-peel has a textured sparkle face that takes no film on top, so "
        "matte-cold-peel will lift (and so for every pairing of text and star). The smallest "
        "change that works: inset text in star, star's rim over its edge.",
    ),
    "a coating that takes nothing": (
        text_on_star(fabric="nylon-silicone-coated", ways=("lap",)),
        "Because star is to be sparkle, this cannot be: nylon-silicone-coated has a silicone "
        "coating, and sparkle-warm-peel is not made to bond to it (and so for every film "
        "for star).",
    ),
    "no sample on a stretchy fabric": (
        text_on_star(samples_allowed=False, fabric="acrylic-knit", ways=("butt",)),
        "Because star is to be sparkle and no sample may be pressed first, these cannot all hold: "
        "sparkle-soft does not name 100 % acrylic of acrylic-knit among the fibres that it bonds "
        "to (and so for 1 more film); and acrylic-knit stretches 70 % and sparkle-warm-peel only "
        "5 %; 28 % would follow it (and so for 3 more films). The smallest change that works: "
        "allow a sample to be pressed and washed first.",
    ),
    "text lapped on foam": (
        text_on_star(star=film("foam-raised"), text=film("matte-smooth"), ways=("lap",)),
        "Because star is to be foam-raised, text is to lap over star and text is to be "
        "matte-smooth, these cannot all hold: star foams, so that nothing is pressed after it; "
        "and what lies on top goes down later, so that star and text follow one another. The "
        "smallest change that works: inset text in star, star's rim over its edge.",
    ),
    "a hot film on a cool one": (
        stacked(
            {"sea": film("matte-low-temperature"), "sun": film("matte-thick")},
            ways={("sun", "sea"): LAP},
        ),
        "Because sea is to be matte-low-temperature, sun is to lap over sea and sun is to be "
        "matte-thick, these cannot all hold: sea bears 140 °C once it is down and is pressed at "
        "110 to 130 °C; what lies on top goes down later, so that sea and sun follow one another; "
        "and sun is pressed at 155 to 170 °C. The smallest change that works: inset sun in sea, "
        "sea's rim over its edge.",
    ),
    "an inset that is all rim": (
        text_on_star(
            ways=("inset-over",),
            narrowest_mm=2.0,
            star=film("matte-smooth"),
            text=film("sparkle-coarse"),
        ),
        "Because star is to be matte-smooth, text is to be inset in star, its rim over the edge "
        "and text is to be sparkle-coarse, this cannot be: sparkle-coarse is 2 mm at its "
        "narrowest less a 1 mm rim on either side: 0 mm is left within the rim, and it holds from "
        "2 mm. The smallest change that works: lap text over star.",
    ),
    "two laps, neither of which holds": (
        stacked(
            {
                "sea": Wish(finish="reflective"),
                "sun": Wish(finish="mirror"),
                "word": Wish(finish="matte"),
            },
            ways={("sun", "sea"): LAP, ("word", "sun"): LAP},
        ),
        "Because sea is to be reflective, sun is to lap over sea and sun is to be mirror, this "
        "cannot be: reflective-beaded has a beaded reflective face that takes no film on top, so "
        "mirror-sealed will lift (and so for every pairing of sun and sea). The smallest change "
        "that works: butt sun against sea and inset word in sun, sun's rim over its edge.",
    ),
    "a film that bears few seconds under one that needs many": (
        stacked(
            {"sea": film("gloss-quick"), "sun": film("sparkle-warm-peel")},
            ways={("sun", "sea"): LAP},
        ),
        "Because sea is to be gloss-quick, sun is to lap over sea and sun is to be "
        "sparkle-warm-peel, these cannot all hold: sea bears 14 s of pressing in all; what lies "
        "on top goes down later, so that sea and sun follow one another; and sun is pressed for "
        "15 to 25 s. The smallest change that works: butt sun against sea.",
    ),
    "two foams that want different heat": (
        stacked(
            {"sea": film("foam-low-temperature"), "sun": film("foam-raised")},
            ways={("sun", "sea"): ("butt",)},
        ),
        "Because sea is to be foam-low-temperature and sun is to be foam-raised, these cannot all "
        "hold: sea foams, so that nothing is pressed after it; sea is pressed at 118 to 135 °C; "
        "sun foams, so that nothing is pressed after it; and sun is pressed at 155 to 170 °C. The "
        "smallest change that works: leave sea out.",
    ),
    "a rim on pile": (
        stacked(
            {"sea": film("flock-plush"), "sun": film("metallic-foil")},
            ways={("sun", "sea"): ("inset-over",)},
        ),
        "Because sea is to be flock-plush, sun is to be inset in sea, its rim over the edge and "
        "sun is to be metallic-foil, this cannot be: flock-plush has a fibrous flock face that "
        "takes no film on top, so metallic-foil will lift. The smallest change that works: butt "
        "sun against sea.",
    ),
}


@pytest.mark.slow
@pytest.mark.parametrize(("problem", "words"), SAID.values(), ids=SAID.keys())
def test_a_conflict_is_said_in_these_words(problem: Problem, words: str) -> None:
    assert said(problem, explain_impossible(problem)) == words


def is_impossible(problem: Problem) -> bool:
    """Whether films are open to every piece and yet there is no plan: the best is not sought."""
    if not all(piece.options for piece in problem.pieces):
        return False
    return first_plan(problem, deadline=time.monotonic() + 60) == "none"


def said(problem: Problem, found: Impossible) -> str:
    """The conflict and the smallest repair in words."""
    smallest = found.repairs[0].changes if found.repairs else ()
    return str(conflict_text(found.conflict, planned_changes(smallest, problem.print.lines)))


@pytest.mark.slow
@brief
@given(problems(most_films=2), st.booleans())
def test_no_member_of_a_conflict_can_be_spared(problem: Problem, with_others: bool) -> None:
    assume(is_impossible(problem))
    others = {piece.id: OTHERS[piece.id] if with_others else () for piece in problem.pieces}
    conflict, _ = minimal_conflict(problem, beyond=others.__getitem__)
    part = impossible_parts(problem)[0]
    model, asked = conflict_model(part, beyond={p.id: others[p.id] for p in part.pieces})
    asks: dict[int, Any] = {}
    for tag, literal in asked.items():
        for n, one in enumerate(conflict):
            same = set(tag[1:]) - {"stack"} == set(one.pieces)
            if len(tag) == 3:
                same = f"{tag[1]} on {tag[2]}" == one.where
            if same and _rule(tag) == one.rule:
                asks[n] = literal
    assert len(asks) == len(conflict)
    assert not holds(model, list(asks.values()))
    for spared in asks:
        left = [literal for n, literal in asks.items() if n != spared]
        assert holds(model, left), fact_text(conflict[spared])


@pytest.mark.slow
@brief
@given(problems(most_films=2, most_pieces=3), st.booleans())
def test_a_conflict_holds_by_trying_everything(problem: Problem, with_others: bool) -> None:
    """Enumerated over films and ways, with nothing of the model: all together forbid every choice,
    and without any one of them some choice is left."""
    assume(is_impossible(problem))
    others = {piece.id: OTHERS[piece.id][:3] if with_others else () for piece in problem.pieces}
    conflict, fewest = minimal_conflict(problem, beyond=others.__getitem__)
    # What is said of heat, presses and stacks is not told by films and ways alone.
    assert fewest
    assume(all(one.kind == "wish" or one.asked for one in conflict))
    assert not _any_choice(problem, conflict, others)
    for one in conflict:
        left = [other for other in conflict if other != one]
        assert _any_choice(problem, left, others), fact_text(one)


def _any_choice(
    problem: Problem, held: Sequence[RuleInstance], others: Mapping[str, Sequence[Option]]
) -> bool:
    """Whether films and ways can be chosen so that none of the facts is broken."""
    kept = {one.pieces[0] for one in held if one.rule == "wish"}
    # Without another film to be cut from, a piece without its wish bears all.
    free = {piece.id for piece in problem.pieces if piece.id not in kept and not others[piece.id]}
    samples = problem.samples_allowed or all(one.rule != "wish-samples" for one in held)
    counts = {"stop"} if samples else {"stop", "sample"}
    narrowed = {one.pair for one in held if one.rule == "wish-meets"}
    films = [
        piece.options if piece.id in kept else (*piece.options, *others[piece.id])
        for piece in problem.pieces
    ]
    ways = [m.ways if m.pair in narrowed else m.open_ways for m in problem.meetings]
    for options, met in product(product(*films), product(*ways)):
        choice = Choice(
            {p.id: o for p, o in zip(problem.pieces, options, strict=True)},
            {m.pair: way for m, way in zip(problem.meetings, met, strict=True)},
        )
        drawn = {
            (rule, pieces)
            for rule, severity, pieces in _drawn(problem, choice)
            if severity in counts and not free & set(pieces)
        }
        if not any(one.asked and (one.rule, one.pair or one.pieces) in drawn for one in held):
            return True
    return False


def _drawn(problem: Problem, choice: Choice) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """What the rules find: rule, severity and pieces, of two the upper first."""
    touching, on_fabric = contacts(problem.places, choice.meets)
    films = choice.films
    for piece, option in choice.options.items():
        lying = option.fabric_findings if piece in on_fabric else ()
        for one in (*option.findings, *lying):
            yield one.rule, one.severity, (piece,)
    for contact in touching:
        upper, lower = contact.upper, contact.lower
        for one in problem.on_film(films[upper], films[lower], rim=contact.rim):
            yield one.rule, one.severity, (upper, lower)
    for meeting in problem.meetings:
        upper, lower = meeting.pair
        way = choice.meets[meeting.pair]
        if not meeting.hidden:
            for one in problem.at_joint(meeting, films[upper], films[lower], way):
                yield one.rule, one.severity, meeting.pair


def _shelf_for(piece: str) -> tuple[Option, ...]:
    wish = Wish(finish="matte")
    printed = PrintPiece(piece, "#101010", (PieceSize(100.0, 60.0, 5.0),))
    cloth = [SHELF.fabric("cotton-jersey-tee")]
    every = every_option(printed, wish, fabrics=cloth, knowledge=BOOK, rates=Rates())
    # A film that foams spares every other piece a tack: what is not named is to stay as wished.
    return tuple(option for option in every if not option.film.foams)


OTHERS = {piece: _shelf_for(piece)[:: 3 + n] for n, piece in enumerate(("p0", "p1", "p2", "p3"))}
"""Films beyond the wish of each piece of a random problem."""


def holds(model: PlanModel, assumed: list[Any]) -> bool:
    """Whether there is a plan where all that is asked for holds."""
    model.cp.clear_assumptions()
    model.cp.add_assumptions(assumed)
    return solved(model.cp, deadline=time.monotonic() + 60).found


@pytest.mark.slow
def test_ctrl_c_is_heard_after_a_conflict_was_sought() -> None:
    # A program of its own: were it not heard, it would end this one without a word.
    asked = """
import os, signal, time
from tests.advisor.solver.solver_problems import text_on_star
from advisor.solver.conflict import minimal_conflict
minimal_conflict(text_on_star(ways=("lap",)))
try:
    os.kill(os.getpid(), signal.SIGINT)
    time.sleep(10)
except KeyboardInterrupt:
    print("heard")
"""
    if sys.platform == "win32":
        pytest.skip("signals are another thing there")
    ended = subprocess.run(
        [sys.executable, "-c", asked],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert (ended.returncode, ended.stdout) == (0, "heard\n"), ended.stderr


def _rule(tag: tuple[str, ...]) -> str:
    return "foam-last" if tag[0] == "foams" else tag[0]


@pytest.mark.slow
@brief
@given(problems(most_films=2, most_pieces=3))
def test_every_repair_works_and_none_of_its_changes_can_be_spared(problem: Problem) -> None:
    assume(is_impossible(problem))
    swaps = {"p0": text_on_star().pieces[1].options[:2]}
    for repair in repairs(problem, swaps=lambda p: {"look": swaps[p]} if p in swaps else {}):
        assert repair.assessment.possible
        assert _possible(_with(problem, repair.changes, swaps))
        for n in range(len(repair.changes)):
            fewer = repair.changes[:n] + repair.changes[n + 1 :]
            assert not _possible(_with(problem, fewer, swaps))


def _possible(problem: Problem) -> bool:
    return bool(problem.pieces) and list_choices(problem).best is not None


def _with(
    problem: Problem, changes: tuple[RepairChange, ...], swaps: dict[str, tuple[Option, ...]]
) -> Problem:
    for change in changes:
        if change.kind == "drop":
            problem = without(problem, *change.pieces)
        elif change.kind == "sample":
            problem = replace(problem, samples_allowed=True)
        elif change.kind == "film":
            pieces = tuple(
                replace(piece, options=swaps[piece.id]) if piece.id in change.pieces else piece
                for piece in problem.pieces
            )
            problem = replace(problem, pieces=pieces)
        else:
            problem = replace(problem, print=problem.print.with_ways({change.pieces: change.to}))
    return problem


def test_repairs_come_with_the_least_change_first() -> None:
    found = repairs(text_on_star(ways=("lap",)))
    assert [[change.kind for change in repair.changes] for repair in found] == [
        ["meets"],
        ["meets"],
        ["drop"],
        ["drop"],
    ]
    assert [repair.size for repair in found] == sorted(repair.size for repair in found)


def test_another_film_of_the_look_comes_before_one_of_another() -> None:
    on_wool = text_on_star(star=film("sparkle-fine"), fabric="wool-felt", ways=("lap",))
    matte = text_on_star(star=Wish(finish="matte"), fabric="wool-felt").pieces[0].options
    found = repairs(
        on_wool,
        swaps=lambda piece: {"film": matte[:1], "look": matte[1:]} if piece == "star" else {},
    )
    assert [(c.kind, c.look, c.to) for c in found[0].changes] == [("film", False, matte[0].film.id)]
    # Where one of the wished look will do, none of another is offered in its place.
    assert not any(change.look for repair in found for change in repair.changes)


def test_what_stood_between_two_pieces_lets_them_meet_once_it_is_left_out() -> None:
    three = stacked(
        {"sea": Wish(finish="matte"), "sun": Wish(finish="sparkle"), "word": Wish(finish="matte")}
    )
    left = without(three, "sun")
    assert [(meeting.pair, meeting.hidden) for meeting in left.meetings] == [
        (("word", "sea"), False)
    ]
    assert "inset-under" in left.meetings[0].ways


def test_what_heat_refuted_is_part_of_the_conflict() -> None:
    problem = stacked({"sea": film("matte-smooth")})
    cut = Cut((("sea", "matte-smooth"),), (), "heat does not reach the adhesive of sea in 18 s")
    conflict, _ = minimal_conflict(problem, cuts=[cut])
    assert [one.rule for one in conflict] == ["wish", "bond-line-heat"]
    assert fact_text(conflict[1]) == cut.sentence


def test_what_refuses_every_plan_is_told_without_what_else_is_wrong() -> None:
    problem = text_on_star(fabric="nylon-silicone-coated", ways=("lap",), samples_allowed=False)
    cut = Cut((), (), "this garment takes no film", "sample", "nightwear")
    conflict, fewest = minimal_conflict(problem, cuts=[cut])
    assert [one.rule for one in conflict] == ["wish-samples", "nightwear"]
    assert fewest
    allowed, _ = minimal_conflict(replace(problem, samples_allowed=True), cuts=[cut])
    assert "nightwear" not in {one.rule for one in allowed}


@pytest.mark.parametrize("name", SAID)
def test_out_of_time_at_any_moment_what_is_told_still_cannot_hold(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    problem = SAID[name][0]
    every = len(minimal_conflict(problem)[0])
    part = impossible_parts(problem)[0]
    known: list[list[Any]] = []

    def facts(part: Problem, tags: list[Any], *more: Any) -> list[RuleInstance]:
        known.append(tags)
        return facts_of(part, tags, *more)

    monkeypatch.setattr(conflict_module, "facts_of", facts)
    least, asked_times = -1, 0
    while least != every:
        left = asked_times

        def ending(model: Any, **more: Any) -> Solution:
            nonlocal left
            left -= 1
            return Solution("unknown") if left < 0 else solved(model, **more)

        monkeypatch.setattr(conflict_module, "solved", ending)
        conflict, fewest = minimal_conflict(problem)
        assert fewest == (left >= 0)
        if conflict and not any(piece.options == () for piece in part.pieces):
            model, asked = conflict_model(part)
            assert not holds(model, [asked[tag] for tag in known[-1]])
        least, asked_times = len(conflict) if fewest else -1, asked_times + 1
        assert asked_times < 60


def test_a_conflict_keeps_to_its_seconds_and_says_that_it_did() -> None:
    found = explain_impossible(text_on_star(ways=("lap",)), time_limit_s=0.0)
    assert found == Impossible((), (), fewest=False)


def test_what_can_be_planned_has_no_conflict() -> None:
    with pytest.raises(ProgramError, match="can be planned"):
        minimal_conflict(text_on_star())
