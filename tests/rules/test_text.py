"""Text: quantities and names of pieces stay typed until a sentence is shown."""

import copy
import json
import pickle

import numpy as np
import pytest

from rules.facts.finding import Finding
from rules.facts.text import Text, and_list, piece_name, typed_sentences, with_typed_sentences
from rules.facts.units import (
    Units,
    show_by_c,
    show_c,
    show_mm,
    show_s,
    show_size,
    show_um,
)

ABROAD = Units(fahrenheit=True, inches=True)
LONG = Text(
    f"{piece_name('fill-2a9d8f', 'matte-thin')} at {show_c(150, 180, 210, between=' and ')}, "
    f"± {show_by_c(5)}, {show_size(50.8, 25.4)}, {show_um(127)}, {show_s(90)}, "
    f"over {piece_name('base')}"
)


def test_a_text_is_its_plain_sentence_in_celsius_and_millimetres() -> None:
    plain = (
        "matte-thin (fill-2a9d8f) at 150, 180 and 210 °C, ± 5 °C, 51 × 25 mm, 127 µm, "
        "1 min 30 s, over base"
    )
    assert plain == LONG
    assert hash(LONG) == hash(plain)
    assert {plain: 1}[LONG] == 1
    assert json.dumps({"why": LONG}) == json.dumps({"why": plain})
    assert type(str(LONG)) is str


def test_a_text_is_shown_in_any_units_and_with_names() -> None:
    names = {"fill-2a9d8f": "sea-green matte-thin", "base": "navy"}
    assert LONG.shown(ABROAD, names) == (
        "sea-green matte-thin at 302, 356 and 410 °F, ± 9 °F, 2 × 1 in, 5 mil, 1 min 30 s, "
        "over navy"
    )
    assert LONG.named(names).shown(ABROAD) == LONG.shown(ABROAD, names)


@pytest.mark.parametrize(
    "made",
    [
        copy.copy(LONG),
        copy.deepcopy(LONG),
        pickle.loads(pickle.dumps(LONG)),
        Text(LONG),
        Text(f"{LONG}"),
        Text() + LONG,
        "" + LONG,
        with_typed_sentences(str(LONG), json.loads(json.dumps(typed_sentences([LONG])))),
        Finding(
            rule="r", severity="note", where="", message=LONG, why="", instead="", basis="practice"
        ).model_copy(deep=True).message,
    ],
)  # fmt: skip
def test_no_copy_of_a_text_loses_its_parts(made: Text) -> None:
    assert made == LONG
    assert made.parts == LONG.parts


def test_texts_join_and_repeat_once() -> None:
    hot, cold = Text(f"hot at {show_c(160)}"), Text(f"cold at {show_c(20)}")
    joined = Text(and_list([hot, cold, hot]))
    assert joined == "hot at 160 °C and cold at 20 °C"
    assert joined.shown(ABROAD) == "hot at 320 °F and cold at 68 °F"
    assert (hot + "!").shown(ABROAD) == "hot at 320 °F!"


def test_a_finding_takes_an_fstring_or_a_plain_string() -> None:
    found = Finding.model_validate(
        {"rule": "r", "severity": "note", "where": "step 1", "message": f"at {show_c(160)}",
         "why": "", "instead": "", "basis": "practice"}
    )  # fmt: skip
    assert found.message.shown(ABROAD) == "at 320 °F"
    assert found.model_dump()["message"] == "at 160 °C"
    assert '"message":"at 160 °C"' in found.model_dump_json()
    assert Finding.model_validate_json(found.model_dump_json()) == found


@pytest.mark.parametrize(
    "odd",
    ["\ue000",
     "\ue000x\ue002",
     "\ue000temperature\ue001hot\ue001 \ue001\ue002",
     "\ue000temperature\ue0011\ue001 \ue001999999999f\ue002",
     "\ue000time\ue001a\ue001\ue001\ue002"],
)  # fmt: skip
def test_marks_that_enclose_no_quantity_are_letters_like_others(odd: str) -> None:
    assert Text(odd) == odd
    assert Text(f"{odd} at {show_c(160)}").shown(ABROAD) == f"{odd} at 320 °F"


@pytest.mark.parametrize("odd", [3, [3], [{"kind": "weight"}], [{"piece": "a", "odd": "b"}]])
def test_parts_that_are_none_are_refused(odd: object) -> None:
    with pytest.raises(ValueError, match=r"no (part|sentences)"):
        with_typed_sentences({}, [odd])


def test_a_number_of_another_library_is_a_number() -> None:
    text = Text(f"a gap of {show_mm(np.float64(0.51))} and {show_c(np.float32(160))}")
    assert str(text) == "a gap of 0.51 mm and 160 °C"
    assert text.shown(Units(fahrenheit=True)) == "a gap of 0.51 mm and 320 °F"
