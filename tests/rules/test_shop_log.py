"""What a shop has logged, weighed against what the rules find."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rules.book.example_subjects import USUAL_FABRIC, USUAL_PRESS, subjects_from
from rules.book.outcomes import FAILURES, OUTCOMES, SOUND, WEIGHED
from rules.book.trials import LIKE, WASHES
from rules.facts.fabric import Fabric
from rules.facts.finding import Finding, seriousness
from rules.facts.subjects import BondLine, FilmOnFabric, FilmOnFilm, Subject
from rules.facts.trial import Setting, Trial
from rules.knowledge import Knowledge, load_knowledge
from rules.shop_log import ShopLog

BOOK = load_knowledge()
SHELF = BOOK.catalogue
TEE, PRESS = SHELF.fabric(USUAL_FABRIC), SHELF.press(USUAL_PRESS)
MATTE, GLOSS, SPARKLE = map(SHELF.film, ("matte-smooth", "gloss-smooth", "sparkle-coarse"))
AS_LOGGED = Setting(155, 16)
MATTE_ON_GLOSS = Trial(MATTE.id, GLOSS.id, (), TEE.id, PRESS.id, SOUND, 29, WASHES,
                       cloth_colour=TEE.colour.srgb, setting=AS_LOGGED)  # fmt: skip
MATTE_ON_TEE = replace(MATTE_ON_GLOSS, below=TEE.id)
SEALED = FilmOnFilm(MATTE, GLOSS)
"""What the rules want a sample of: a face that is closed and slick."""


def with_log(*trials: Trial, fabric: Fabric = TEE, set_to: Setting | None = AS_LOGGED) -> Knowledge:
    known = replace(BOOK, evidence=(ShopLog(trials, SHELF),))
    films = (MATTE, GLOSS, SPARKLE)
    settings = None if set_to is None else {film.id: set_to for film in films}
    return known.pressed_at(PRESS, fabric, settings=settings)


def severity(rule: str, found: Sequence[Finding]) -> str | None:
    return next((one.severity for one in found if one.rule == rule), None)


def test_a_sample_that_29_garments_of_it_have_outlived_is_a_note_and_28_are_too_few() -> None:
    assert severity("sealed-face", BOOK.judge(SEALED)) == "sample"
    fewer = with_log(replace(MATTE_ON_GLOSS, garments=28)).judge(SEALED)
    (told,) = [one for one in fewer if one.rule == "sealed-face"]
    assert told.severity == "sample"
    assert told.seen == (
        "Pressed 28 times here, all sound after 5 washes: at least 0.90 of them last, at 95 %; "
        "1 more that holds lifts the sample."
    )
    (lifted,) = [one for one in with_log(MATTE_ON_GLOSS).judge(SEALED) if one.rule == told.rule]
    assert (lifted.severity, lifted.basis, lifted.message) == ("note", "shop", told.message)


@pytest.mark.parametrize(
    "no_trial_of_it",
    [
        replace(MATTE_ON_GLOSS, washes=WASHES - 1),
        replace(MATTE_ON_GLOSS, press="swing-arm-40x50"),
        replace(MATTE_ON_GLOSS, setting=Setting(154, 16)),
        replace(MATTE_ON_GLOSS, setting=Setting(155, 15)),
        replace(MATTE_ON_GLOSS, cloth="polyester-jersey"),
        replace(MATTE_ON_GLOSS, film="foam-raised"),
        replace(MATTE_ON_GLOSS, film=GLOSS.id, below=MATTE.id, garments=1),
    ],
    ids=["too few washes", "another press", "now hotter", "now longer", "another fibre",
         "another family", "the other way round"],
)  # fmt: skip
def test_what_was_spared_or_is_something_else_lifts_no_sample(no_trial_of_it: Trial) -> None:
    many = replace(no_trial_of_it, garments=1000 * no_trial_of_it.garments)
    if no_trial_of_it.garments == 1:
        many = no_trial_of_it
    assert severity("sealed-face", with_log(many).judge(SEALED)) == "sample"


@pytest.mark.parametrize(
    "like",
    [
        replace(MATTE_ON_GLOSS, setting=None),
        replace(MATTE_ON_GLOSS, setting=Setting(160, 20)),
        replace(MATTE_ON_GLOSS, cloth="cotton-fleece"),
    ],
    ids=["nobody said how", "hotter and longer than now", "another cotton"],
)
def test_what_is_like_it_counts_for_a_quarter_and_says_so(like: Trial) -> None:
    garments = math.ceil(math.log(0.05) / math.log(0.90) / LIKE)
    one_short = with_log(replace(like, garments=garments - 1)).judge(SEALED)
    (told,) = [one for one in one_short if one.rule == "sealed-face"]
    assert told.severity == "sample"
    assert f"{garments - 1} garments of like stacks or settings count for 28.25" in told.seen
    assert severity("sealed-face", with_log(replace(like, garments=garments)).judge(SEALED)) == (
        "note"
    )


def test_a_thicker_film_is_not_lifted_by_what_a_thinner_one_of_its_family_bore() -> None:
    thick = MATTE.model_copy(update={"id": "thick", "face_um": MATTE.face_um + 1})
    many = with_log(replace(MATTE_ON_GLOSS, garments=1000))
    thin = MATTE.model_copy(update={"id": "thin"})
    assert severity("sealed-face", many.judge(FilmOnFilm(thick, GLOSS))) == "sample"
    assert severity("sealed-face", many.judge(FilmOnFilm(thin, GLOSS))) == "note"


@pytest.mark.parametrize("outcome", FAILURES)
@pytest.mark.parametrize(
    ("trial", "subject"),
    [(MATTE_ON_TEE, FilmOnFabric(MATTE, TEE)), (MATTE_ON_GLOSS, SEALED)],
    ids=["on the cloth", "on a film"],
)
def test_a_failure_asks_for_a_sample_until_enough_have_held(
    outcome: str, trial: Trial, subject: FilmOnFabric | FilmOnFilm
) -> None:
    failed = replace(trial, outcome=outcome, garments=1, washes=1)
    failure = FAILURES[outcome]
    found = with_log(failed).judge(subject)
    (asks,) = [one for one in found if one.rule in failure.rules and one.severity == "sample"
               and "Pressed once here" in one.seen]  # fmt: skip
    assert asks.rule in BOOK.rules.by_id
    outlived = with_log(failed, replace(trial, garments=46)).judge(subject)
    assert asks.rule not in {one.rule for one in outlived if one.severity == "sample"}


def test_a_failure_of_another_kind_neither_counts_as_sound_nor_against_a_rule() -> None:
    faded = replace(MATTE_ON_GLOSS, outcome="fade", garments=100)
    without = with_log(replace(MATTE_ON_GLOSS, garments=28)).judge(SEALED)
    found = with_log(replace(MATTE_ON_GLOSS, garments=28), faded).judge(SEALED)
    assert set(without) <= set(found)
    assert {one.rule for one in found} - {one.rule for one in without} == {"wash-limit"}


def test_what_kept_a_dark_film_clean_says_nothing_of_a_white_one() -> None:
    jersey = SHELF.fabric("polyester-jersey:navy")
    white, black = (
        next(one for one in MATTE.colours if one.name == name) for name in ("white", "black")
    )
    of_black = Trial(MATTE.id, jersey.make, (), jersey.make, PRESS.id, SOUND, 40, 25,
                     black.srgb, jersey.colour.srgb, AS_LOGGED)  # fmt: skip
    asked = FilmOnFabric(MATTE, jersey, colour=white)
    stained = Finding(rule="dye-bleed", severity="sample", where="", message="", why="It moves.",
                      instead="", basis="practice")  # fmt: skip

    def left(trial: Trial) -> str:
        known = with_log(trial, fabric=jersey)
        (found,) = known.evidence[0].weigh(asked, (stained,), known.at)
        return found.severity

    assert left(of_black) == "sample"
    assert left(replace(of_black, film_colour=white.srgb)) == "note"
    assert left(replace(of_black, film_colour=white.srgb, cloth_colour=None)) == "sample"


def test_a_film_through_others_is_lifted_by_garments_with_just_these_between() -> None:
    asked = FilmOnFabric(MATTE, TEE, touches=False, over=(SPARKLE, GLOSS), colour=MATTE.colours[0])
    stained = Finding(rule="dye-bleed", severity="sample", where="", message="", why="It moves.",
                      instead="", basis="practice")  # fmt: skip
    over_both = replace(
        MATTE_ON_GLOSS, under=(SPARKLE.id,), film_colour=MATTE.colours[0].srgb,
        cloth_colour=TEE.colour.srgb,
    )  # fmt: skip
    for trial, then in ((over_both, "note"), (replace(over_both, under=()), "sample")):
        known = with_log(trial)
        (found,) = known.evidence[0].weigh(asked, (stained,), known.at)
        assert found.severity == then


def test_before_there_are_steps_the_log_promises_no_less_than_after() -> None:
    hotter = replace(MATTE_ON_GLOSS, setting=Setting(150, 10))
    assert severity("sealed-face", with_log(hotter, set_to=None).judge(SEALED)) == "note"
    assert severity("sealed-face", with_log(hotter).judge(SEALED)) == "sample"


# --- whatever is logged ---------------------------------------------------------------------------

RULES = sorted(BOOK.rules.by_id)


@pytest.mark.parametrize("rule", RULES)
def test_no_stop_of_any_rule_is_ever_lifted(rule: str) -> None:
    judged = BOOK.rules.by_id[rule]
    for subject in subjects_from(judged.judges, judged.bad, SHELF):
        films, fabric = _laid(subject)
        trials = [
            Trial(upper, below, under, fabric.make, PRESS.id, SOUND, 1000, 100, colour, ground,
                  Setting(400, 600))
            for upper, below, under in films
            for colour in {one.srgb for one in SHELF.film(upper).colours}
            for ground in {fabric.colour.srgb}
        ]  # fmt: skip
        known = replace(BOOK, evidence=(ShopLog(tuple(trials), SHELF),)).pressed_at(PRESS, fabric)
        stops = [one for one in BOOK.judge(subject) if one.severity == "stop"]
        assert [one for one in known.judge(subject) if one.severity == "stop"] == stops


def _laid(subject: Subject) -> tuple[list[tuple[str, str, tuple[str, ...]]], Fabric]:
    """What may have been logged of a subject's films."""
    known = SHELF.films
    if isinstance(subject, FilmOnFabric) and subject.film.id in known:
        pile = (subject.fabric.make, *(film.id for film in subject.over))
        return [(subject.film.id, pile[-1], pile[1:-1])], subject.fabric
    if isinstance(subject, FilmOnFilm) and {subject.upper.id, subject.lower.id} <= set(known):
        return [(subject.upper.id, subject.lower.id, ())], TEE
    if isinstance(subject, BondLine) and subject.film.id in known:
        return [(subject.film.id, subject.below, ())], TEE
    return [], TEE


LOGGED = st.builds(
    Trial,
    film=st.sampled_from([MATTE.id, GLOSS.id]),
    below=st.sampled_from([GLOSS.id, TEE.id, "cotton-fleece"]),
    under=st.sampled_from([None, ()]),
    cloth=st.sampled_from([TEE.id, "cotton-fleece"]),
    press=st.sampled_from([PRESS.id, "swing-arm-40x50"]),
    outcome=st.sampled_from(list(OUTCOMES)),
    garments=st.integers(1, 60),
    washes=st.integers(0, 30),
    setting=st.sampled_from([None, AS_LOGGED, Setting(165, 30), Setting(150, 10)]),
)
SUBJECTS = (FilmOnFabric(MATTE, TEE), FilmOnFabric(GLOSS, TEE), SEALED, FilmOnFilm(GLOSS, GLOSS))


@given(st.lists(LOGGED, max_size=6), LOGGED, st.sampled_from(list(FAILURES)))
def test_success_never_worsens_a_verdict_and_a_failure_never_betters_it(
    logged: list[Trial], one_more: Trial, outcome: str
) -> None:
    def harm(trials: Sequence[Trial]) -> dict[tuple[str, str], int]:
        found = with_log(*trials).judge(*SUBJECTS)
        return {(one.rule, one.where): 2 - seriousness(one.severity) for one in found}

    before = harm(logged)
    better = harm([*logged, replace(one_more, outcome=SOUND)])
    worse = harm([*logged, replace(one_more, outcome=outcome)])
    assert all(before.get(said, 0) >= least for said, least in better.items())
    assert all(worse.get(said, 0) >= least for said, least in before.items())


def test_only_rules_that_there_are_speak_of_failures() -> None:
    assert set(RULES) >= WEIGHED
