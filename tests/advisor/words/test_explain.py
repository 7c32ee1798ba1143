"""Explain: every reason of a press step, word for word."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from advisor.layering.records.reasons import (
    FullReason,
    GivenReason,
    LiftReason,
    OpenReason,
    PadInReason,
    PadOutReason,
    PeelReason,
    PreheatReason,
    PressureReason,
    Reason,
    SetpointReason,
    TackReason,
    TurnReason,
    WaitReason,
)
from advisor.words.reasons import reason_text
from rules.catalogue import load_catalogue
from rules.facts.film import Film
from rules.facts.garment import Obstruction
from rules.facts.step import Step

SHELF = load_catalogue()
PRESS = SHELF.press("clamshell-38x38")
ZIP = Obstruction(kind="zip", place="in", height_mm=4, opens=True)
SEAM = Obstruction(kind="seam", place="in", height_mm=2)


def like(name: str, **changes: Any) -> Film:
    return Film.model_validate(SHELF.film(name).model_dump() | changes)


MATTE = like("matte-smooth", softens_c=90)
SPARKLE = like("sparkle-coarse", softens_c=75, carrier_um=175)
FOAM = SHELF.film("foam-raised")
SETPOINT = SetpointReason(
    setpoint_c=160,
    window_c=(155, 165),
    films=(MATTE, SPARKLE),
    full_application=MATTE,
    careful_c=200,
    careful_fibre="cotton",
)
PRESSURE = PressureReason(
    pressure_kpa=30, words="medium", low_kpa=25, high_kpa=40, suits=True, pad=None, press=PRESS
)
TACK = TackReason(
    films=(MATTE,),
    names=("navy matte-smooth",),
    dwell_s=2,
    setpoint_c=160,
    waiting=("gold sparkle-coarse",),
    trimmed=False,
)
FULL = FullReason(
    films=(MATTE, SPARKLE),
    setpoint_c=160,
    dwell_s=15,
    dwell_window_s=(12, 18),
    full_application=MATTE,
    cover=SHELF.sheet("ptfe-cover"),
    lines_press_out=True,
    direct=(),
    direct_names=(),
    later_stages=0,
)

BOTH = ((MATTE, SPARKLE), ("navy matte-smooth", "gold sparkle-coarse"))


def given(films: tuple[Film, ...], names: tuple[str, ...], **step: Any) -> GivenReason:
    return GivenReason(Step.model_validate({"n": 1, **step}), films, names)


SAID: list[tuple[str, Reason, str]] = [
    (
        "a setpoint that films share",
        SETPOINT,
        "160 °C: matte-smooth and sparkle-coarse share 155 to 165 °C, and this is the full "
        "application of matte-smooth.",
    ),
    (
        "a setpoint above what the fabric is ironed at",
        replace(SETPOINT, careful_c=150, careful_fibre="polyester"),
        "160 °C: matte-smooth and sparkle-coarse share 155 to 165 °C, and this is the full "
        "application of matte-smooth. The ironing symbol for polyester says 150 °C, which is for "
        "a customer's iron and not for seconds under a press.",
    ),
    (
        "a change of setpoint between stages",
        replace(
            SETPOINT,
            films=(SPARKLE,),
            setpoint_c=130,
            window_c=(125, 135),
            full_application=None,
            from_c=160,
            change_s=600,
            down_bears_c=165,
        ),
        "130 °C: sparkle-coarse takes 125 to 135 °C. From 160 °C the press takes 10 min: finish "
        "every garment of the run at the first setpoint, then change once. What is already down "
        "bears 165 °C.",
    ),
    (
        "a pressure",
        PRESSURE,
        "Set it to medium (30 kPa on the platen): the films take 25 to 40 kPa on the platen.",
    ),
    (
        "a pressure with a pad in",
        replace(PRESSURE, pad="foam-pad-small"),
        "With foam-pad-small in, everything sits higher: set it again to medium (30 kPa on the "
        "platen): the films take 25 to 40 kPa on the platen.",
    ),
    (
        "a pressure once the pad is out",
        replace(PRESSURE, pad="out"),
        "The pad is out, so the press needs more: set it again to medium (30 kPa on the platen): "
        "the films take 25 to 40 kPa on the platen.",
    ),
    (
        "a pressure that suits no one",
        replace(PRESSURE, suits=False),
        "Set it to medium (30 kPa on the platen): no one pressure suits all the films; this is "
        "the nearest.",
    ),
    (
        "turning a garment over",
        TurnReason(
            place="back",
            before="chest left",
            turned=True,
            stays=False,
            batch=False,
            down=("chest left",),
            sheet="ptfe-cover",
        ),
        "Lay the garment with the back up. The chest left now lies face down: ptfe-cover goes "
        "between it and the bed, so that neither marks the other.",
    ),
    (
        "a place of its own after the settings change",
        TurnReason(
            place="sleeve left",
            before="back",
            turned=False,
            stays=False,
            batch=True,
        ),
        "Finish every garment of the run at the back first: the settings change now, and changing "
        "them for each garment would take far longer. Lay the sleeve left on the platen by itself, "
        "the rest hanging off.",
    ),
    (
        "a second print on one side",
        TurnReason(
            place="back",
            before="yoke",
            turned=True,
            stays=True,
            batch=False,
            beside=("yoke",),
            cover="ptfe-cover",
        ),
        "The garment stays as it lies; the back is next. The platen comes down on the yoke again: "
        "ptfe-cover lies over it in every longer press.",
    ),
    (
        "opening a garment",
        OpenReason((ZIP,)),
        "Open the zip and lay the garment flat, one layer on the platen, so that nothing hard "
        "lies under the print.",
    ),
    (
        "a pad",
        PadInReason(SHELF.sheet("foam-pad-small"), (ZIP, SEAM)),
        f"{SHELF.sheet('foam-pad-small').name} goes under the print: the zip and seam (4 mm high) "
        f"sinks into it, up to {SHELF.sheet('foam-pad-small').takes_up_mm:g} mm, and the platen "
        "reaches the film.",
    ),
    (
        "a pad in a garment that was opened",
        PadInReason(SHELF.sheet("foam-pad-small"), ()),
        f"{SHELF.sheet('foam-pad-small').name} goes under the print: the seams and facings of the "
        f"opened garment sink into it, up to {SHELF.sheet('foam-pad-small').takes_up_mm:g} mm, and "
        "the platen reaches the film.",
    ),
    (
        "no pad any more",
        PadOutReason("foam-pad-small"),
        "No obstruction calls for foam-pad-small any more; take it out.",
    ),
    (
        "a preheat of two fabrics",
        PreheatReason(4, ("cotton-jersey-tee", "cotton-jersey-child"), 11.8, 7.2),
        "A quick preheat of 4 s drives damp and creases out of cotton-jersey-tee and "
        "cotton-jersey-child: 7.2 of the 11.8 g of water per m² leave. It shows that the pressure "
        "is right.",
    ),
    (
        "a preheat that was not followed",
        PreheatReason(4, ("cotton-jersey-tee",), 11.8),
        "A quick preheat of 4 s drives damp and creases out of cotton-jersey-tee, with 11.8 g of "
        "water per m². It shows that the pressure is right.",
    ),
    (
        "a preheat of what holds next to no water",
        PreheatReason(4, ("polyester-jersey",), 0.6, 0.4),
        "A quick preheat of 4 s drives damp and creases out of polyester-jersey. It shows that the "
        "pressure is right.",
    ),
    (
        "a tack before another",
        TACK,
        "2 s only tacks navy matte-smooth: long enough for the adhesive to grab and the carrier "
        "to come off. Longer would risk shrink and lost registration before gold sparkle-coarse "
        "goes down.",
    ),
    (
        "a simulated tack of two pieces at once",
        replace(
            TACK,
            films=(MATTE, SPARKLE),
            names=("white matte-smooth", "gold sparkle-coarse"),
            waiting=(),
            trimmed=True,
            grabs_s=1.24,
            bond_line_c=101.6,
        ),
        "2 s only tacks white matte-smooth and gold sparkle-coarse: long enough for the adhesive "
        "to grab and the carrier to come off (they soften at 75 to 90 °C and get to "
        "102 °C or more, all of them grabbing within 1.2 s). These pieces share the press: trim "
        "their carriers apart first.",
    ),
    (
        "a wait before a cold peel",
        WaitReason(("red matte-cold-peel",), "cold", 60, 38.4, off_press=True),
        "red matte-cold-peel peels cold: slide the garment off the press and let it cool for 1 min "
        "(its bond line has then cooled to 38 °C); if there is a next one, load it meanwhile.",
    ),
    (
        "a wait of two films before a warm peel",
        WaitReason(("gold flock-plush", "red flock-plush"), "warm", 10),
        "gold flock-plush and red flock-plush peel warm: leave the press open for 10 s.",
    ),
    (
        "a hot peel of a clean carrier",
        PeelReason(("navy matte-smooth",), "hot", (MATTE,), ()),
        "navy matte-smooth peels hot.",
    ),
    (
        "a hot peel of sparkle over matte",
        PeelReason(("gold sparkle-coarse",), "hot", (SPARKLE,), (MATTE,)),
        "gold sparkle-coarse peels hot. Its heavy carrier (175 µm) would leave a line in "
        "matte-smooth in a longer press. Loose flakes come away with the carrier now instead of "
        "in the print.",
    ),
    (
        "the final press",
        FULL,
        "15 s at 160 °C is the full application of matte-smooth, so that matte-smooth and "
        "sparkle-coarse both get theirs (12 to 18 s). ptfe-cover covers the open faces, and the "
        "line that a heavy carrier left presses out under it.",
    ),
    (
        "the final press, simulated",
        replace(
            FULL,
            lines_press_out=False,
            needed_s=11,
            bond_lines=(("matte-smooth", 128.6, 9.7), ("sparkle-coarse", 137.2, 12.1)),
        ),
        "15 s at 160 °C is the full application of matte-smooth, so that matte-smooth and "
        "sparkle-coarse both get theirs (12 to 18 s). ptfe-cover covers the open faces. Every bond "
        "line is bonded after 11 s. At the bond lines, matte-smooth reaches 129 °C (10 s bonding) "
        "and sparkle-coarse reaches 137 °C (12 s bonding).",
    ),
    (
        "a foam going down last",
        replace(
            FULL,
            films=(FOAM,),
            full_application=FOAM,
            dwell_window_s=(15, 15),
            direct=(FOAM,),
            direct_names=("red foam-raised",),
            lines_press_out=False,
        ),
        "15 s at 160 °C is the full application of foam-raised. ptfe-cover covers the open faces. "
        "foam-raised foams, so it goes down last and nothing is pressed after it.",
    ),
    (
        "a lone film under its own carrier",
        replace(
            FULL,
            films=(MATTE,),
            cover=None,
            direct=(MATTE,),
            direct_names=("navy matte-smooth",),
            lines_press_out=False,
        ),
        "15 s at 160 °C is the full application of matte-smooth. navy matte-smooth is pressed "
        "with the carrier on.",
    ),
    (
        "a first stage",
        replace(FULL, films=(MATTE,), lines_press_out=False, later_stages=1),
        "15 s at 160 °C is the full application of matte-smooth. ptfe-cover covers the open faces. "
        "What is finished here is pressed again below its limits.",
    ),
    (
        "lifting the cover",
        LiftReason(SHELF.sheet("ptfe-cover")),
        "Lift ptfe-cover and look at every edge before the garment comes off.",
    ),
    (
        "a dial that someone set",
        given((MATTE, SPARKLE), (), action="setpoint", setpoint_c=170),
        "As written, the dial is set to 170 °C; matte-smooth takes 150 to 165 °C and "
        "sparkle-coarse takes 155 to 165 °C.",
    ),
    (
        "a pressure that someone set",
        given((MATTE,), (), action="pressure", pressure_kpa=12),
        "As written, the pressure is 12 kPa; matte-smooth takes 20 to 45 kPa.",
    ),
    (
        "a preheat of one second",
        given((), (), action="preheat", dwell_s=1, setpoint_c=160),
        "As written, the preheat takes 1 s at 160 °C; 2 to 10 s drive damp and creases out.",
    ),
    (
        "a tack of nine seconds",
        given(*BOTH, action="press", purpose="tack", dwell_s=9, setpoint_c=160, pieces=("a", "b")),
        "As written, navy matte-smooth and gold sparkle-coarse are tacked for 9 s at 160 °C; a "
        "tack takes 1 to 5 s, and matte-smooth grabs from 90 °C and sparkle-coarse grabs from "
        "75 °C.",
    ),
    (
        "a full press that someone lengthened",
        replace(
            given(
                (MATTE,),
                ("navy matte-smooth",),
                action="press",
                purpose="full",
                dwell_s=22,
                setpoint_c=160,
                pieces=("a",),
            ),
            bond_lines=(("matte-smooth", 148.2, 19.7),),
        ),
        "As written, navy matte-smooth is finished in 22 s at 160 °C; matte-smooth takes 12 to "
        "18 s at 150 to 165 °C. At the bond lines, matte-smooth reaches 148 °C (20 s bonding).",
    ),
    (
        "a wait that someone wrote",
        given((MATTE,), (), action="wait", dwell_s=30),
        "As written, the press stays open for 30 s; matte-smooth peels hot.",
    ),
    (
        "a wait off the press",
        given((), (), action="wait", dwell_s=30, off_press=True),
        "As written, the garment cools for 30 s off the press.",
    ),
    (
        "a pad that someone chose",
        given((), (), action="pad", pad="felt-pad"),
        "As written, felt-pad goes under the print.",
    ),
    (
        "a cover that someone lifts",
        given((), (), action="peel", cover="ptfe-cover"),
        "As written, ptfe-cover is lifted.",
    ),
    (
        "a garment that someone opens",
        given((), (), action="turn"),
        "As written, the garment is opened and laid flat.",
    ),
]


@pytest.mark.parametrize(("reason", "sentence"), [s[1:] for s in SAID], ids=[s[0] for s in SAID])
def test_a_reason_is_said_in_these_words(reason: Reason, sentence: str) -> None:
    assert reason_text(reason) == sentence


def test_every_kind_of_reason_is_covered_here() -> None:
    assert {type(reason) for _, reason, _ in SAID} == set(Reason.__args__)
