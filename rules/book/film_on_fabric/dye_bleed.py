"""Rule dye-bleed: a disperse dye turns to vapour in the press and stains the film above it."""

from dataclasses import replace
from math import inf

from rules.book.artwork.colour_match import ANOTHER_COLOUR_DELTA_E
from rules.book.colour_difference import colour_difference
from rules.book.film_on_fabric.instead import films_instead
from rules.book.lightness import DARK_BELOW, lightness, palest
from rules.book.rule import Found, Rule
from rules.book.tint import tinted
from rules.facts.fact import Colour
from rules.facts.film import Film
from rules.facts.subjects import AsPressed, FilmOnFabric
from rules.facts.text import and_list
from rules.facts.units import show_c, show_s

__all__ = ["DOUBLES_EACH_K", "DYE_MOVES_FROM_C", "RULE", "stain", "would_stain_more"]

DYE_MOVES_FROM_C = {"disperse-low": 118.0, "disperse-medium": 125.0, "disperse-high": 140.0}
"""Heat of the fabric from which a press of seconds stains, °C; the dial is then 10 to 15 K
hotter. Common practice, no source; the steps between the classes are generic."""

DOUBLES_EACH_K = 8.0
"""So many degrees more stain twice as much: an activation energy of 120 to 150 kJ/mol for disperse
dyes in polyester, from memory, at the heat of a press."""

STAIN_PER_S = 0.01
"""Share of the fabric's colour that a second at that heat brings into a film. Generic."""

WORTH_A_WORD, SHOWS, SPOILT = 2.0, 4.0, 24.0
"""Colour differences (CIEDE2000) that are worth a word, that a customer sees after some days, and
that spoil the print if so much of the dye goes over. Generic."""

PALE_FROM = 80.0
"""Lightness, 0 to 100, from which a colour counts as pale here: white, cream, pale grey, yellow,
lime. Common practice, no source."""

SHOWS_SHARE = 0.13
"""Share of the fabric's colour from which a pale film shows a strong dye, as white shows red:
CIEDE2000 shrinks what the eye sees of a yellow that turns orange or a white that navy greys. About
6 s in a fabric 9 K above the heat from which its dye moves, and no usual press below that heat.
Common practice, no source; the share is generic."""

SPOILT_SHARE = 0.8
"""Share of the fabric's colour from which a film is spoilt. Heat and seconds alone decide it, so
strong dyes are judged alike at the same heat, red, burgundy, navy or black; only a colour that
shows too little on the film is judged milder. Generic."""

DISPERSE_DYED = ("polyester", "acetate")
"""Fibres that disperse dyes colour."""

LAG_K, LAG_K_PER_UM = 4.0, 0.045
"""How much cooler than the dial the fabric stays under film and carrier, K, and for each
micrometre of them, K/µm, on a press that runs some degrees hot: what is not pressed yet is judged
by it. Generic; a test holds it against the films that ship."""

BETWEEN_HALVES_UM = 160.0
"""So many micrometres of film between take up as much of the dye as they let through, µm: about
two plain films. Generic."""

DIAL_STEP_K = 5.0
"""A film that is named instead is foreseen so much hotter than its coolest, K: one step of a dial.
Common practice, no source."""

OR_A_SAMPLE = "; otherwise press a sample and look at it again after some days"


def stain(pair: FilmOnFabric) -> float:
    """How far the fabric's dye moves the film's colour, as a colour difference (CIEDE2000).

    Never less than the film's coolest and shortest press brings, nor than what shows on a pale one.
    """
    return _share_and_shift(pair)[1]


def _share_and_shift(pair: FilmOnFabric) -> tuple[float, float]:
    """The share of the fabric's colour that gets into the film, and how far that moves its own."""
    film, fabric, pressed = pair.film, pair.fabric, pair.pressed
    moves_from_c = DYE_MOVES_FROM_C.get(fabric.dye_class)
    colour = pair.colour or palest(film.colours)
    blocked = any(one.blocks_dye for one in (film, *pair.over))
    if moves_from_c is None or blocked or lightness(colour.srgb) < DARK_BELOW:
        return 0.0, 0.0
    through_um = film.carrier_um + sum(one.thickness_um for one in (film, *pair.over))
    fabric_c = film.setpoint_c.low - LAG_K - LAG_K_PER_UM * through_um
    dose_s = _dose_s(film.dwell_s.low, fabric_c - moves_from_c)
    if pressed:
        as_pressed_s = sum(
            _dose_s(seconds, one_c + pressed.spread_c - moves_from_c)
            for _, seconds, one_c in _presses(pressed)
        )
        dose_s = max(dose_s, as_pressed_s)
    dyed = fabric.face_share_pct(DISPERSE_DYED) / 100
    let_through = 0.5 ** (sum(one.thickness_um for one in pair.over) / BETWEEN_HALVES_UM)
    share = round(min(1.0, STAIN_PER_S * dose_s * dyed) * let_through, 3)
    stained = tinted(colour.srgb, fabric.colour.srgb, share)
    shift = film.opacity * colour_difference(colour.srgb, stained)
    pale = lightness(colour.srgb) >= PALE_FROM
    if pale and share >= SHOWS_SHARE and shift >= WORTH_A_WORD:
        shift = max(shift, SHOWS)
    return share, shift


def _dose_s(seconds: float, above_k: float) -> float:
    """Seconds that stain as much at the heat from which the dye moves."""
    return float(seconds * 2 ** (above_k / DOUBLES_EACH_K))


def _presses(pressed: AsPressed) -> tuple[tuple[float, float, float], ...]:
    return pressed.presses or ((pressed.setpoint_c, pressed.seconds, pressed.fabric_c),)


def _heat(pressed: AsPressed) -> str:
    """How hot and how long the hottest presses were, and how long the cooler ones."""
    presses = _presses(pressed)
    hottest_c = max(dialled_c for dialled_c, _, _ in presses)
    hot_s = sum(seconds for dialled_c, seconds, _ in presses if dialled_c == hottest_c)
    cooler_s = sum(seconds for _, seconds, _ in presses) - hot_s
    cooler = f" and {show_s(cooler_s)} cooler" if cooler_s > 0 else ""
    may_get_c = pressed.fabric_c + pressed.spread_c
    unlucky = " on an unlucky press" if pressed.spread_c > 0 else ""
    return (
        f"pressed at {show_c(hottest_c)} for {show_s(hot_s)}{cooler} the fabric gets "
        f"{show_c(may_get_c)}{unlucky}"
    )


def _finds(pair: FilmOnFabric) -> Found | None:
    share, shift = _share_and_shift(pair) if pair.touches or pair.over else (0.0, 0.0)
    if shift < (SHOWS if pair.over else WORTH_A_WORD):
        return None
    film, fabric, pressed = pair.film, pair.fabric, pair.pressed
    colour = pair.colour or palest(film.colours)
    dye = f"the {fabric.dye_class} dye of {fabric.make} ({fabric.colour.name})"
    heat = _heat(pressed) if pressed else f"{film.id} needs at least {show_c(film.setpoint_c.low)}"
    moves = f"{dye} moves from about {show_c(DYE_MOVES_FROM_C[fabric.dye_class])}"
    if shift < SHOWS:
        return Found(
            f"{heat}; {moves}: {colour.name} keeps its colour, or nearly",
            severity="note",
            instead="keep to this heat and these seconds, and do not stack the garments while they "
            "are hot",
        )
    if pair.over:
        between = and_list([one.id for one in pair.over])
        return Found(
            f"{heat}; {moves}, and {between} {'do' if len(pair.over) > 1 else 'does'} not block "
            f"it: it may stain the {colour.name} above within days",
            severity="sample",
            instead=lambda: (
                "lay a dye-blocking film next to the fabric, take films that all bond cooler, or "
                "a dark colour; otherwise press a sample and look at it again "
                "after some days"
            ),
        )
    spoilt = share >= SPOILT_SHARE and shift >= SPOILT
    to_say = _to_say(pair)
    if spoilt and to_say:
        return Found(
            f"{heat}; {moves} and would spoil {colour.name}, but nobody has said "
            f"{and_list(to_say)}",
            severity="sample",
            instead=lambda: (
                f"say {and_list(to_say)}, and this is judged by it; else "
                f"{_instead(pair)}{OR_A_SAMPLE}"
            ),
        )
    return Found(
        f"{heat}; {moves} and would {'spoil' if spoilt else 'stain'} {colour.name}, at once or "
        "within days",
        severity="stop" if spoilt else "sample",
        instead=lambda: _instead(pair) + ("" if spoilt else OR_A_SAMPLE),
    )


def _to_say(pair: FilmOnFabric) -> list[str]:
    """The colours that nobody has said and by which the film would not be spoilt."""
    film, fabric = pair.film, pair.fabric
    unsaid = [] if fabric.colour_said else [f"the colour of the {fabric.make}"]
    if pair.colour is None or pair.colour.assumed:
        shifts = [stain(replace(pair, colour=colour)) for colour in film.colours]
        if min(shifts) < SPOILT:
            unsaid.insert(0, f"the colour of {film.id}")
    return unsaid


def _instead(pair: FilmOnFabric) -> str:
    """Films that show the same finish and keep the colour, and what else would help."""
    named = films_instead(pair, lambda other: _foreseen_shift(pair, other))
    dark = any(lightness(colour.srgb) < DARK_BELOW for colour in pair.film.colours)
    ways = [
        *([f"take {named}"] if named else []),
        *(["cut it in a dark colour"] if dark else []),
        "lay a dye-blocking film under it",
    ]
    none = "no film of this finish is sure to keep its colour here: "
    return f"{none if pair.shelf and not named else ''}{and_list(ways, last='or')}"


def _foreseen_shift(pair: FilmOnFabric, other: Film) -> float:
    """How far the dye would move another film's colour; infinite if a customer would see it.

    It is dialled a step above its coolest, and the fabric gets as near to the dial as it did under
    this film, or nearer by as much as the other is thinner.
    """
    pressed = pair.pressed
    through_um, own_um = (one.carrier_um + one.thickness_um for one in (other, pair.film))
    lag_k = pressed.setpoint_c - pressed.fabric_c if pressed else 0.0
    dialled_c = other.setpoint_c.low + DIAL_STEP_K
    foreseen = AsPressed(
        setpoint_c=dialled_c,
        spread_c=pressed.spread_c if pressed else 0.0,
        seconds=other.dwell_s.best,
        fabric_c=dialled_c - lag_k * min(1.0, through_um / own_um),
    )
    shifts = [
        stain(replace(pair, film=other, colour=colour, pressed=foreseen))
        for colour in _in_that_colour(pair.colour, other)
    ]
    return min((shift for shift in shifts if shift < SHOWS), default=inf)


def would_stain_more(pair: FilmOnFabric, other: Film) -> bool:
    """Whether a customer would see the dye in another film, and not in this one."""
    return stain(pair) < SHOWS and _foreseen_shift(pair, other) == inf


def _in_that_colour(chosen: Colour | None, film: Film) -> tuple[Colour | None, ...]:
    """What a film would be cut in for a colour that is chosen: none where it lacks the like."""
    if chosen is None or chosen.assumed:
        return (None,)
    if film.printed:
        return (chosen,)
    near = min(film.colours, key=lambda one: colour_difference(one.srgb, chosen.srgb))
    return (near,) if colour_difference(near.srgb, chosen.srgb) < ANOTHER_COLOUR_DELTA_E else ()


RULE = Rule(
    id="dye-bleed",
    judges="film_on_fabric",
    severity="stop",
    summary="On polyester with disperse dye, a pale film is pressed too cool for the dye to move, "
    "or it or a film below it blocks it.",
    why="A disperse dye that was steamed into polyester by heat leaves it by heat: it wanders "
    "into a pale film, through one that does not block it too, in the press or over the "
    "following days, the more the hotter and the longer it was pressed.",
    instead="take a dye-blocking film, one that bonds cooler, or a dark colour",
    basis="practice",
    source="common practice, no source; colour differences of CIEDE2000, thresholds generic; the "
    f"{show_c(150, 180, 210, between=' and ')} of ISO 105-P01 are conditions of a test, not onsets",
    good={"film": "dye-blocking-matte", "fabric": "polyester-jersey"},
    bad={"film": "matte-smooth", "fabric": "polyester-jersey"},
    finds=_finds,
)
