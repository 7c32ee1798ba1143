"""Alternatives and why not: what another wish gains and loses against the best plan."""

from __future__ import annotations

from dataclasses import replace

import pytest

from advisor.job.records.job import Wish
from advisor.job.records.plan import Proof
from advisor.layering.assessment import MEASURES, objective
from advisor.layering.records.assessment import Assessment
from advisor.layering.records.problem import Problem
from advisor.solver.alternatives import alternatives, layers
from advisor.solver.listing import list_choices
from advisor.solver.proof import optimise
from advisor.solver.why_not import Question, WhyNot, read_question, why_not
from advisor.words.plan_changes import gains_and_losses
from rules.errors import BadInputError, UnknownNameError
from rules.facts.text import Text
from tests.advisor.solver.solver_problems import text_on_star

SPARKLE_BEHIND = text_on_star(star=Wish(film="sparkle-fine"))
BEST = optimise(SPARKLE_BEHIND).assessment


def best_with(problem: Problem, **wanted: str) -> tuple[int, ...]:
    """The least objective among all listed choices that meet in another way or take a film."""
    return min(
        objective(one.measures, problem.prefer)
        for one in list_choices(problem).assessments
        if one.measures is not None
        and all(
            one.choice.options[piece].film.id == film or one.choice.meets["text", "star"] == film
            for piece, film in wanted.items()
        )
    )


def test_each_alternative_is_the_best_that_differs_so() -> None:
    assert BEST is not None
    found = alternatives(SPARKLE_BEHIND, BEST)
    butted = [one for one in found if one.assessment.choice.meets["text", "star"] == "butt"]
    assert [one.assessment.choice.films for one in butted] == [BEST.choice.films]
    assert butted[0].assessment.measures is not None
    assert objective(butted[0].assessment.measures, "durable") == best_with(
        SPARKLE_BEHIND, text="butt"
    )
    assert all(beside(BEST, one.assessment)[1] and one.optimal for one in found)
    reached = [
        objective(one.assessment.measures, "durable") for one in found if one.assessment.measures
    ]
    assert reached == sorted(reached)


def test_a_layer_less_is_offered_where_pieces_lap() -> None:
    lapped = text_on_star(star=Wish(film="matte-smooth"), text=Wish(film="sparkle-fine"))
    best = optimise(lapped).assessment
    assert best is not None
    assert layers(lapped, best) == 2
    flat = [one for one in alternatives(lapped, best) if layers(lapped, one.assessment) == 1]
    assert flat
    gains, loses = beside(best, flat[0].assessment)
    assert "120 µm thinner at the thickest place" in gains
    assert any("edges weaker" in said for said in loses)


def test_a_plan_against_itself_gains_and_loses_nothing() -> None:
    assert BEST is not None
    assert beside(BEST, BEST) == ([], [])


def beside(best: Assessment, other: Assessment) -> tuple[list[Text], list[Text]]:
    """What another plan gains and loses against the best."""
    proofs = [
        Proof(
            optimal=True,
            bound=None,
            objective=objective(one.measures, "durable") if one.measures else None,
            measures=MEASURES["durable"],
        )
        for one in (best, other)
    ]
    return gains_and_losses(proofs[0], proofs[1], "€")


def rules_against(answer: WhyNot) -> list[str]:
    return [one.rule for one in answer.impossible.conflict] if answer.impossible else []


def test_why_not_lapped_names_the_rule_and_the_way_out() -> None:
    answer = why_not(SPARKLE_BEHIND, BEST, "text over star")
    assert answer.known
    assert rules_against(answer) == ["wish", "wish-meets", "wish", "top-surface"]
    assert answer.impossible is not None
    smallest = answer.impossible.repairs[0].changes
    assert [(change.kind, change.to) for change in smallest] == [("meets", "inset-under")]


def test_why_not_another_film_says_what_it_costs() -> None:
    answer = why_not(SPARKLE_BEHIND, BEST, "text=matte-thin")
    assert BEST is not None
    assert answer.assessment is not None
    assert answer.assessment.choice.films["text"].id == "matte-thin"
    assert beside(BEST, answer.assessment) == ([], ["€0.05 dearer a garment"])


def test_why_not_a_film_that_does_not_name_the_fibre_is_a_sample_more() -> None:
    answer = why_not(SPARKLE_BEHIND, BEST, "text=matte-nylon")
    assert BEST is not None
    assert BEST.measures is not None
    assert answer.assessment is not None
    assert answer.assessment.measures is not None
    assert answer.assessment.measures.samples == BEST.measures.samples + 1
    unnamed = next(f for f in answer.assessment.findings if f.rule == "fibre-bond")
    assert "does not name 100 % cotton" in unnamed.message


def test_a_wish_that_the_best_plan_grants_is_said_to_be_granted() -> None:
    answer = why_not(SPARKLE_BEHIND, BEST, Question("text", film="matte-smooth"))
    assert BEST is not None
    assert answer.assessment is not None
    assert beside(BEST, answer.assessment) == ([], [])
    assert answer.assessment.choice.films == BEST.choice.films


def test_pieces_may_be_named_by_the_film_that_they_have() -> None:
    asked = read_question("matte-smooth butt sparkle-fine", SPARKLE_BEHIND, BEST)
    assert asked == Question("text", lower="star", way="butt")


@pytest.mark.parametrize("sign", ["#", ""])
def test_pieces_may_be_named_by_their_fill_with_or_without_its_sign(sign: str) -> None:
    fills = {"text": "#c9a227", "star": "#1b3a5c"}
    filled = tuple(
        replace(one, piece=replace(one.piece, fill=fills[one.id])) for one in SPARKLE_BEHIND.pieces
    )
    asked = read_question(f"{sign}C9A227 butt {sign}1b3a5c", replace(SPARKLE_BEHIND, pieces=filled))
    assert asked == Question("text", lower="star", way="butt")


@pytest.mark.parametrize(
    ("question", "error", "said"),
    [
        ("star over text", BadInputError, "lies behind it"),
        ("star=foam-low", BadInputError, "does not give the look"),
        ("moon=matte-thin", UnknownNameError, "no piece is called 'moon'"),
        ("why", BadInputError, "ask PIECE=FILM or PIECE over PIECE"),
    ],
)
def test_a_question_that_cannot_be_asked_is_refused_in_words(
    question: str, error: type[Exception], said: str
) -> None:
    with pytest.raises(error, match=said):
        why_not(SPARKLE_BEHIND, BEST, question)
