"""Plans that hold, each spoilt by one slip, with the fault that this slip gives in a shop.

What a slip gives is common practice, no source, or follows from what is computed for the plan: a
hotter dial moves more dye, a shorter press bonds less. The slip is told as the thing that was done
and the side to which it was done wrong, and nothing is looked up in what ranks the causes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, Literal

from advisor import plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.facts.step import Step

__all__ = ["FAULTY", "Faulty", "base", "spoilt"]

_UNDER = '<rect width="120" height="80" fill="{}"/>'
_OVER = (
    '<rect x="30" y="20" width="60" height="40" fill="{}"/>',
    '<circle cx="60" cy="40" r="12" fill="{}"/>',
)

_BASES: dict[str, dict[str, Any]] = {
    "glitter on a cotton tee": {
        "garment": "adult-tee", "width": 240,
        "looks": {"#1b2a49": "matte-smooth", "#f2c14e": "sparkle-coarse"},
    },
    "glitter over a hoodie's pocket seam": {
        "garment": "adult-hoodie", "area": "pocket", "width": 110,
        "looks": {"#1b2a49": "matte-smooth", "#f2c14e": "sparkle-fine"},
    },
    "glitter inset in matte": {
        "garment": "adult-tee", "width": 200, "meets": "inset-over",
        "looks": {"#1b2a49": "matte-smooth", "#f2c14e": "sparkle-fine"},
    },
    "cold-peeled gloss over matte": {
        "garment": "adult-tee", "width": 150,
        "looks": {"#1b2a49": "matte-smooth", "#c8102e": "gloss-smooth"},
    },
    "foam over matte": {
        "garment": "adult-tee", "width": 120,
        "looks": {"#1b2a49": "matte-smooth", "#f2c14e": "foam-low"},
    },
    "white on a stretchy tee": {
        "garment": "fitted-tee", "width": 150, "looks": {"#ffffff": "stretch-matte"},
    },
    "white on a coated jacket": {
        "garment": "wind-jacket", "area": "back", "width": 200,
        "looks": {"#ffffff": "matte-nylon"},
    },
    "white on a polyester bag": {
        "garment": "drawstring-bag", "width": 150, "looks": {"#ffffff": "dye-blocking-matte"},
    },
    "white on a sports polo": {
        "garment": "sports-polo", "area": "back", "width": 120,
        "looks": {"#ffffff": "satin-low-temperature"},
    },
    "white on a felt pennant": {
        "garment": "felt-pennant", "width": 120, "looks": {"#ffffff": "matte-low-temperature"},
    },
    "white on a red sports jersey": {
        "garment": "sports-jersey", "area": "front", "width": 200,
        "looks": {"#ffffff": "stretch-low-temperature"},
    },
    "three films on a tote": {
        "garment": "canvas-tote", "width": 240,
        "looks": {"#1b2a49": "matte-smooth", "#fbfbf8": "matte-thin", "#c9a14a": "sparkle-fine"},
    },
    "a film that hardly stretches on a stretchy tee": {
        "garment": "fitted-tee", "width": 150, "looks": {"#ffffff": "matte-smooth"},
    },
    "a film that lets dye through on a red jersey": {
        "garment": "sports-jersey", "area": "front", "width": 200,
        "looks": {"#ffffff": "matte-smooth"},
    },
    "gold foil on a tote": {
        "garment": "canvas-tote", "width": 200,
        "looks": {"#1b2a49": "matte-smooth", "#d4a017": "metallic-smooth"},
    },
}  # fmt: skip

(
    TEE,
    HOODIE,
    INSET,
    COLD,
    FOAM,
    FITTED,
    JACKET,
    BAG,
    POLO,
    PENNANT,
    JERSEY,
    TOTE,
    TIGHT,
    STAINED,
    FOIL,
) = _BASES


@cache
def base(name: str) -> Plan:
    """A plan that nothing stops, and most of which want no sample."""
    asked = _BASES[name]
    colours = list(asked["looks"])
    shapes = _UNDER.format(colours[0]) + "".join(
        over.format(colour) for over, colour in zip(_OVER, colours[1:], strict=False)
    )
    line = {"garment": asked["garment"], "quantity": 1, "artwork_width_mm": asked["width"]}
    if "area" in asked:
        line["area"] = asked["area"]
    joints = [
        {"upper": upper, "lower": lower, "meets": asked["meets"]}
        for lower, upper in pairwise(colours)
        if "meets" in asked
    ]
    job = {
        "job": name, "artwork": "art.svg", "garments": [line],
        "looks": {colour: {"film": film} for colour, film in asked["looks"].items()},
        "joints": joints,
    }  # fmt: skip
    with TemporaryDirectory() as folder:
        (Path(folder) / "art.svg").write_text(
            '<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" '
            f'viewBox="0 0 120 80">{shapes}</svg>'
        )
        return plan(Job.model_validate(job), folder=Path(folder))


Slip = Callable[[Plan], Plan]
Way = Literal["up", "down"] | None


@dataclass(frozen=True)
class Faulty:
    """A plan spoilt by one slip.

    Attributes:
        of: the plan as it should have been, by name.
        slip: what was done wrong.
        fault: what a shop then sees.
        undone: which thing is to be done otherwise, and to which side.
    """

    of: str
    said: str
    slip: Slip
    fault: str
    undone: tuple[str, Way]


def spoilt(one: Faulty) -> Plan:
    """The plan as it was pressed."""
    return one.slip(base(one.of))


def _numbered(made: Plan, steps: Sequence[Step]) -> Plan:
    numbered = (step.model_copy(update={"n": n}) for n, step in enumerate(steps, 1))
    return made.model_copy(update={"steps": tuple(numbered)})


def _changed(which: Callable[[Step], bool], **values: Any) -> Slip:
    return lambda made: _numbered(
        made, [s.model_copy(update=values) if which(s) else s for s in made.steps]
    )


def _left_out(which: Callable[[Step], bool]) -> Slip:
    return lambda made: _numbered(made, [step for step in made.steps if not which(step)])


def _is(action: str, purpose: str | None = None) -> Callable[[Step], bool]:
    return lambda step: step.action == action and purpose in {None, step.purpose}


def _hotter_by(kelvin: float) -> Slip:
    def slip(made: Plan) -> Plan:
        return _numbered(
            made,
            [
                s.model_copy(update={"setpoint_c": s.setpoint_c + kelvin}) if s.setpoint_c else s
                for s in made.steps
            ],
        )

    return slip


def _first_tack(seconds: float) -> Slip:
    def slip(made: Plan) -> Plan:
        first = next(step.n for step in made.steps if step.purpose == "tack")
        return _changed(lambda step: step.n == first, dwell_s=seconds)(made)

    return slip


def _no_cover(made: Plan) -> Plan:
    bare = _left_out(lambda step: step.action == "peel" and bool(step.cover))(made)
    return _changed(lambda step: True, cover=None)(bare)


def _carrier_left_on(made: Plan) -> Plan:
    """What is laid last goes straight into the full press, its carrier on, and is peeled then."""
    steps = list(made.steps)
    tack = max(n for n, step in enumerate(steps) if step.purpose == "tack")
    peel = next(n for n, step in enumerate(steps) if n > tack and step.action == "peel")
    peeled = steps[peel]
    return _numbered(made, [s for n, s in enumerate(steps) if n not in {tack, peel}] + [peeled])


def _no_pressure_after_the_pad(made: Plan) -> Plan:
    pad = next(n for n, step in enumerate(made.steps) if step.action == "pad")
    pressure = next(n for n, step in enumerate(made.steps) if step.action == "pressure")
    steps = list(made.steps)
    steps.insert(pad, steps.pop(pressure))
    return _numbered(made, steps)


def _in_film(number: int, film: str, colour: str, srgb: str, **settings: float) -> Slip:
    """A piece cut from another film, pressed at that film's own setpoint and seconds."""

    def slip(made: Plan) -> Plan:
        pieces = list(made.pieces)
        pieces[number] = pieces[number].model_copy(
            update={"film": film, "colour": colour, "srgb": srgb}
        )
        made = made.model_copy(update={"pieces": tuple(pieces)})
        if "setpoint_c" in settings:
            made = _changed(lambda s: s.setpoint_c is not None, setpoint_c=settings["setpoint_c"])(
                made
            )
        if "dwell_s" in settings:
            made = _changed(_is("press", "full"), dwell_s=settings["dwell_s"])(made)
        return made

    return slip


def _trapped(width_mm: float) -> Slip:
    return lambda made: made.model_copy(
        update={"joints": tuple(j.model_copy(update={"trap_mm": width_mm}) for j in made.joints)}
    )


_FULL, _PREHEAT, _WAIT = _is("press", "full"), _is("preheat"), _is("wait")
_COOLER, _HOTTER = ("setpoint_c", "down"), ("setpoint_c", "up")


def _under(cover: str) -> Slip:
    return _changed(lambda step: step.cover is not None, cover=cover)


def _knob_at(pressure_kpa: float) -> Slip:
    return _changed(lambda step: step.pressure_kpa is not None, pressure_kpa=pressure_kpa)


FAULTY: tuple[Faulty, ...] = tuple(
    Faulty(of, said, slip, fault, undone)
    for of, said, slip, fault, undone in [
        # Adhesive that never got hot enough grabs and comes off in the wash.
        (TEE, "dial 25 low", _hotter_by(-25), "edge-lift", _HOTTER),
        (HOODIE, "dial 20 low", _hotter_by(-20), "edge-lift", _HOTTER),
        (FITTED, "dial 20 low", _hotter_by(-20), "edge-lift", _HOTTER),
        (JACKET, "dial 15 low", _hotter_by(-15), "edge-lift", _HOTTER),
        (COLD, "dial 30 low", _hotter_by(-30), "bubble", _HOTTER),
        (TEE, "5 s", _changed(_FULL, dwell_s=5.0), "edge-lift", ("dwell_s", "up")),
        (HOODIE, "6 s", _changed(_FULL, dwell_s=6.0), "edge-lift", ("dwell_s", "up")),
        (COLD, "7 s", _changed(_FULL, dwell_s=7.0), "edge-lift", ("dwell_s", "up")),
        (FITTED, "4 s", _changed(_FULL, dwell_s=4.0), "edge-lift", ("dwell_s", "up")),
        (BAG, "8 s", _changed(_FULL, dwell_s=8.0), "edge-lift", ("dwell_s", "up")),
        (TEE, "no full press", _left_out(_FULL), "edge-lift", ("finish", None)),
        (HOODIE, "no full press", _left_out(_FULL), "edge-lift", ("finish", None)),
        (TOTE, "dial 20 low", _hotter_by(-20), "crack", _HOTTER),
        (TOTE, "9 s", _changed(_FULL, dwell_s=9.0), "edge-lift", ("dwell_s", "up")),
        (FOIL, "8 s", _changed(_FULL, dwell_s=8.0), "edge-lift", ("dwell_s", "up")),
        (JERSEY, "dial 10 low", _hotter_by(-10), "edge-lift", _HOTTER),
        (JERSEY, "6 s", _changed(_FULL, dwell_s=6.0), "edge-lift", ("dwell_s", "up")),
        (TOTE, "a thick cover", _under("thin-cotton-cover"), "edge-lift", ("cover", None)),
        (TIGHT, "5 s", _changed(_FULL, dwell_s=5.0), "edge-lift", ("dwell_s", "up")),
        (STAINED, "dial 25 low", _hotter_by(-25), "edge-lift", _HOTTER),
        # Films that get too hot blister and draw in; fibres yellow, glaze or shrink.
        (TEE, "dial 25 high", _hotter_by(25), "bubble", _COOLER),
        (FITTED, "dial 25 high", _hotter_by(25), "shrink", _COOLER),
        (COLD, "dial 25 high", _hotter_by(25), "wrinkle", _COOLER),
        (JACKET, "dial 60 high", _hotter_by(60), "scorch", _COOLER),
        (PENNANT, "dial 50 high", _hotter_by(50), "scorch", _COOLER),
        (PENNANT, "dial 50 high", _hotter_by(50), "mark", _COOLER),
        (TEE, "60 s", _changed(_FULL, dwell_s=60.0), "shrink", ("dwell_s", "down")),
        (HOODIE, "50 s", _changed(_FULL, dwell_s=50.0), "crack", ("dwell_s", "down")),
        (FITTED, "90 s", _changed(_FULL, dwell_s=90.0), "scorch", ("dwell_s", "down")),
        (COLD, "60 s", _changed(_FULL, dwell_s=60.0), "bubble", ("dwell_s", "down")),
        (TEE, "preheat 60 s", _changed(_PREHEAT, dwell_s=60.0), "scorch", ("preheat_s", "down")),
        (TOTE, "dial 15 high", _hotter_by(15), "shrink", _COOLER),
        (TIGHT, "dial 30 high", _hotter_by(30), "crack", _COOLER),
        (TIGHT, "60 s", _changed(_FULL, dwell_s=60.0), "crack", ("dwell_s", "down")),
        (FOIL, "dial 20 high", _hotter_by(20), "wrinkle", _COOLER),
        (PENNANT, "60 s", _changed(_FULL, dwell_s=60.0), "scorch", ("dwell_s", "down")),
        (TOTE, "preheat 40 s", _changed(_PREHEAT, dwell_s=40.0), "scorch", ("preheat_s", "down")),
        # A disperse dye that is heated goes over into what is pale above it.
        (POLO, "dial 35 high", _hotter_by(35), "bleed", _COOLER),
        (POLO, "dial 45 high", _hotter_by(45), "bleed", _COOLER),
        (BAG, "a film that lets dye through",
            _in_film(0, "matte-smooth", "white", "#fbfbf8", setpoint_c=160.0, dwell_s=15.0),
            "bleed", ("film", None)),
        (POLO, "a film that wants more heat",
            _in_film(0, "satin-smooth", "white", "#fbfbf8", setpoint_c=155.0, dwell_s=15.0),
            "bleed", ("film", None)),
        (JERSEY, "dial 25 high", _hotter_by(25), "bleed", _COOLER),
        (JERSEY, "70 s", _changed(_FULL, dwell_s=70.0), "bleed", ("dwell_s", "down")),
        (JERSEY, "a film that wants more heat",
            _in_film(0, "stretch-matte", "white", "#fbfbf8", setpoint_c=155.0, dwell_s=15.0),
            "bleed", ("film", None)),
        # Damp turns to steam under the film, and creases stay in it.
        (TEE, "no preheat", _left_out(_PREHEAT), "bubble", ("preheat_s", "up")),
        (HOODIE, "no preheat", _left_out(_PREHEAT), "bubble", ("preheat_s", "up")),
        (COLD, "no preheat", _left_out(_PREHEAT), "wrinkle", ("preheat_s", "up")),
        (FITTED, "no preheat", _left_out(_PREHEAT), "shrink", ("preheat_s", "up")),
        (TOTE, "preheat 1 s", _changed(_PREHEAT, dwell_s=1.0), "bubble", ("preheat_s", "up")),
        (TIGHT, "no preheat", _left_out(_PREHEAT), "bubble", ("preheat_s", "up")),
        (STAINED, "no preheat", _left_out(_PREHEAT), "bubble", ("preheat_s", "up")),
        (PENNANT, "no preheat", _left_out(_PREHEAT), "edge-lift", ("preheat_s", "up")),
        # A carrier that is peeled before its adhesive has set takes the film up with it.
        (COLD, "peeled hot", _left_out(_WAIT), "edge-lift", ("wait_s", "up")),
        (COLD, "peeled hot", _left_out(_WAIT), "crooked", ("wait_s", "up")),
        (JACKET, "peeled hot", _left_out(_WAIT), "edge-lift", ("wait_s", "up")),
        (BAG, "peeled after 8 s", _changed(_WAIT, dwell_s=8.0), "wrinkle", ("wait_s", "up")),
        (FOAM, "peeled hot", _left_out(_WAIT), "edge-lift", ("wait_s", "up")),
        # A tack as long as a full press shrinks the lower piece before the next one is laid.
        (TEE, "tack 25 s", _first_tack(25.0), "fabric-shows", ("tack_s", "down")),
        (TEE, "tack 20 s", _first_tack(20.0), "shrink", ("tack_s", "down")),
        (INSET, "tack 30 s", _first_tack(30.0), "fabric-shows", ("tack_s", "down")),
        (HOODIE, "tack 12 s", _first_tack(12.0), "wrinkle", ("tack_s", "down")),
        (TEE, "tack 0.5 s", _first_tack(0.5), "crooked", ("tack_s", "up")),
        (TOTE, "tack 15 s", _first_tack(15.0), "fabric-shows", ("tack_s", "down")),
        (FOIL, "tack 12 s", _first_tack(12.0), "shrink", ("tack_s", "down")),
        # The edge of a heavy carrier and its flakes are pressed into what lies open beside it.
        (TEE, "carrier left on", _carrier_left_on, "carrier-line", ("peel_first", None)),
        (TEE, "carrier left on", _carrier_left_on, "flakes", ("peel_first", None)),
        (HOODIE, "carrier left on", _carrier_left_on, "flakes", ("peel_first", None)),
        # Open faces stick to a bare platen, shine, and leave flakes on it.
        (TEE, "no cover", _no_cover, "mark", ("cover", None)),
        (TEE, "no cover", _no_cover, "flakes", ("cover", None)),
        (COLD, "no cover", _no_cover, "mark", ("cover", None)),
        (COLD, "no cover", _no_cover, "crooked", ("cover", None)),
        (TEE, "a glossy cover", _under("gloss-film-cover"), "mark", ("cover", None)),
        (TEE, "a small cover", _under("small-ptfe-cover"), "mark", ("cover", None)),
        (TOTE, "no cover", _no_cover, "scorch", ("cover", None)),
        (PENNANT, "no cover", _no_cover, "mark", ("cover", None)),
        # What stands proud keeps the platen off the film beside it and is crushed itself.
        (HOODIE, "no pad", _left_out(_is("pad")), "edge-lift", ("pad", None)),
        (HOODIE, "no pad", _left_out(_is("pad")), "mark", ("pad", None)),
        (HOODIE, "no pad", _left_out(_is("pad")), "bubble", ("pad", None)),
        (HOODIE, "knob left as it was", _no_pressure_after_the_pad, "mark", ("reset", None)),
        (JACKET, "knob left as it was", _no_pressure_after_the_pad, "edge-lift", ("reset", None)),
        (TEE, "light", _knob_at(15.0), "edge-lift", ("pressure_kpa", "up")),
        (COLD, "light", _knob_at(15.0), "bubble", ("pressure_kpa", "up")),
        (FOAM, "firm over foam", _knob_at(45.0), "mark", ("pressure_kpa", "down")),
        # Films where they do not belong.
        (FITTED, "a film that does not stretch",
            _in_film(0, "matte-smooth", "white", "#fbfbf8"),
            "crack", ("film", None)),
        (JACKET, "a film that is not made for the coating",
            _in_film(0, "matte-low-temperature", "white", "#fbfbf8"), "edge-lift", ("film", None)),
        (COLD, "a face that takes no film under another",
            _in_film(0, "sparkle-soft", "gold", "#d9b44a"), "edge-lift", ("film", None)),
        (INSET, "a narrow trap", _trapped(0.2), "fabric-shows", ("trap_mm", "up")),
    ]
)  # fmt: skip
"""What was planned, what went wrong, what a shop sees, and what undoes it."""
