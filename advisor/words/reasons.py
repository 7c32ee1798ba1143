"""Reasons: turns reasons, which are typed facts, into plain sentences."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

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
from advisor.words.given_reasons import bond_line_sentences, given_sentences
from rules.facts.fact import Window
from rules.facts.film import Film
from rules.facts.garment import Obstruction
from rules.facts.step import Inside
from rules.facts.text import Text, and_list
from rules.facts.units import show_c, show_mm, show_s, show_um

__all__ = ["reason_text"]

LEAST_TOLD_GSM = 1.0
"""Less water than this, g/m², nobody notices."""


def reason_text(reason: Reason) -> Text:
    """A reason as one or more plain sentences.

    >>> print(reason_text(
    ...     PreheatReason(4, ("cotton-jersey-tee",), holds_gsm=11.8, leaves_gsm=7.2)))
    A quick preheat of 4 s drives damp and creases out of cotton-jersey-tee: 7.2 of its 11.8 g of
    water per m² leave. It shows that the pressure is right.
    """
    return Text(_sentences(reason))


def _water(reason: PreheatReason) -> str:
    """How much water a preheat is about; nothing where there is next to none."""
    holds, leaves = f"{reason.holds_gsm:.1f}", reason.leaves_gsm
    if reason.holds_gsm < LEAST_TOLD_GSM:
        return ""
    its = "its" if len(reason.fabrics) == 1 else "the"
    if leaves is None:
        return f", with {holds} g of water per m²"
    return f": {min(leaves, reason.holds_gsm):.1f} of {its} {holds} g of water per m² leave"


def _pad_in(reason: PadInReason) -> str:
    sinks = "the seams and facings of the opened garment sink"
    if reason.obstructions:
        sinks = f"the {_named(reason.obstructions)} ({_heights(reason.obstructions)}) sinks"
    return (
        f"{reason.pad.name} goes under the print: {sinks} into it, up to "
        f"{show_mm(reason.pad.takes_up_mm):g}, and the platen reaches the film."
    )


_INSIDE: dict[Inside, str] = {
    "lining": "Open the lining and draw the shell alone over the platen; a lining that does not "
    "open is smoothed under the print.",
    "sheet": "Lay a cover sheet inside the garment first: adhesive that strikes through its holes "
    "would glue front to back. Peel the sheet off inside while it is warm.",
}
"""What is done inside a garment before it is preheated, and why. Common practice, no source."""


def _sentences(reason: Reason) -> str:
    match reason:
        case SetpointReason():
            return _setpoint(reason)
        case PressureReason():
            return _pressure(reason)
        case OpenReason():
            return (
                f"Open the {_named(reason.obstructions)} and lay the garment flat, one layer on "
                "the platen, so that nothing hard lies under the print."
            )
        case PadInReason():
            return _pad_in(reason)
        case PadOutReason():
            return f"No obstruction calls for {reason.pad} any more; take it out."
        case PreheatReason():
            return (
                "".join(f"{_INSIDE[one]} " for one in reason.inside)
                + f"A quick preheat of {show_s(reason.dwell_s)} drives damp and creases out of "
                f"{and_list(reason.fabrics)}{_water(reason)}. It shows that the pressure is right."
                + (
                    f" The cover keeps the platen from marking {reason.spares}."
                    if reason.spares
                    else ""
                )
            )
        case TackReason():
            return _tack(reason)
        case WaitReason():
            return _wait(reason)
        case PeelReason():
            return _peel(reason)
        case FullReason():
            return _full(reason)
        case LiftReason():
            then = (
                "keep it at hand: it lies over the print again"
                if reason.bare
                else "look at every edge before the garment comes off"
            )
            return f"Lift {reason.cover.id} and {then}."
        case GivenReason():
            return given_sentences(reason)
        case TurnReason():
            return _turn(reason)


def _turn(reason: TurnReason) -> str:
    sentences = []
    if reason.batch:
        sentences.append(
            f"Finish every garment of the run at the {reason.before} first: the settings change "
            "now, and changing them for each garment would take far longer."
        )
    if reason.stays:
        sentences.append(f"The garment stays as it lies; the {reason.place} is next.")
    elif reason.turned:
        sentences.append(f"Lay the garment with the {reason.place} up.")
    else:
        sentences.append(f"Lay the {reason.place} on the platen by itself, the rest hanging off.")
    if reason.down:
        sentences.append(
            f"The {and_list(reason.down)} now lies face down: {reason.sheet} goes between it and "
            "the bed, so that neither marks the other."
        )
    if reason.beside and reason.cover:
        sentences.append(
            f"The platen comes down on the {and_list(reason.beside)} again: {reason.cover} lies "
            "over it in every longer press."
        )
    return " ".join(sentences)


def _named(obstructions: Sequence[Obstruction]) -> str:
    return and_list([o.kind for o in obstructions])


def _heights(obstructions: Sequence[Obstruction]) -> str:
    return f"{show_mm(max(o.height_mm for o in obstructions)):g} high"


def _ids(films: Sequence[Film]) -> str:
    return and_list([film.id for film in films])


def _suit_none(windows: Iterable[Window]) -> bool:
    """Whether no one value lies in all of them."""
    every = list(windows)
    return max(one.low for one in every) > min(one.high for one in every)


def _setpoint(reason: SetpointReason) -> str:
    share = (
        f"{_ids(reason.films)} takes"
        if len({film.id for film in reason.films}) == 1
        else f"{_ids(reason.films)} share"
    )
    suits = f"{share} {show_c(*reason.window_c)}"
    windows = {film.id: film.setpoint_c for film in reason.films}
    if _suit_none(windows.values()):
        suits = and_list(f"{name} takes {show_c(w.low, w.high)}" for name, w in windows.items())
        suits += "; no one setting suits them"
    sentence = f"{show_c(reason.setpoint_c)}: {suits}"
    if reason.full_application is not None:
        sentence += f", and this is the full application of {reason.full_application.id}"
    sentences = [sentence + "."]
    if reason.from_c is not None:
        sentences.append(
            f"From {show_c(reason.from_c)} the press takes {show_s(reason.change_s)}: finish every "
            "garment of the run at the first setpoint, then change once."
        )
    if reason.down_bears_c is not None:
        sentences.append(f"What is already down bears {show_c(reason.down_bears_c)}.")
    if reason.setpoint_c > reason.careful_c:
        sentences.append(
            f"The ironing symbol for {reason.careful_fibre} says {show_c(reason.careful_c)}, which "
            "is for a customer's iron and not for seconds under a press."
        )
    return " ".join(sentences)


def _pressure(reason: PressureReason) -> str:
    window = (
        f"the films take {reason.low_kpa:g} to {reason.high_kpa:g} kPa on the platen"
        if reason.suits
        else "no one pressure suits all the films; this is the nearest"
    )
    light = f"; set no firmer, for the platen marks {reason.spares}" if reason.spares else ""
    set_to = f"{reason.words} ({reason.pressure_kpa:.0f} kPa on the platen): {window}{light}."
    again = " again" if reason.again else ""
    if reason.pad == "out":
        return f"The pad is out, so the press needs more: set it{again} to {set_to}"
    if reason.pad is not None:
        return f"With {reason.pad} in, everything sits higher: set it{again} to {set_to}"
    return f"Set it to {set_to}"


def _tack(reason: TackReason) -> str:
    sentences = [
        f"{show_s(reason.dwell_s)} only tacks {and_list(reason.names)}: long enough for the "
        "adhesive to grab and the carrier to come off"
    ]
    if reason.grabs_s is not None and reason.bond_line_c is not None:
        reached, grabs = show_c(reason.bond_line_c), f"{reason.grabs_s:.1f} s"
        soften = sorted({film.softens_c for film in reason.films})
        if len(reason.names) == 1:
            heat = (
                f"it softens at {show_c(soften[0])} and gets to {reached}, grabbing after {grabs}"
            )
        else:
            alike = str(show_c(soften[0])) == str(show_c(soften[-1]))
            span = show_c(soften[-1]) if alike else show_c(soften[0], soften[-1])
            heat = (
                f"they soften at {span} and get to {reached} or more, all of them grabbing within "
                f"{grabs}"
            )
        sentences[0] += f" ({heat})"
    sentences[0] += "."
    if reason.waiting:
        sentences.append(
            f"Longer would risk shrink and lost registration before {and_list(reason.waiting)} "
            f"{'goes' if len(set(reason.waiting)) == 1 else 'go'} down."
        )
    sentences += _masked(reason.films)
    if reason.trimmed:
        sentences.append("These pieces share the press: trim their carriers apart first.")
    return " ".join(sentences)


def _wait(reason: WaitReason) -> str:
    peels = "peels" if len(set(reason.names)) == 1 else "peel"
    names = f"{and_list(reason.names)} {peels} {reason.peel}"
    cooled = "its bond line has then cooled to"
    if not reason.off_press:
        told = f"; {cooled} {show_c(reason.cools_to_c)}" if reason.cools_to_c is not None else ""
        return f"{names}: leave the press open for {show_s(reason.dwell_s)}{told}."
    told = f" ({cooled} {show_c(reason.cools_to_c)})" if reason.cools_to_c is not None else ""
    return (
        f"{names}: slide the garment off the press and let it cool for "
        f"{show_s(reason.dwell_s)}{told}; if there is a next one, load it meanwhile."
    )


def _masked(films: Sequence[Film]) -> list[str]:
    """What is said of films that are printed, cut and then lifted onto the garment."""
    printed = [film for film in films if film.printed]
    if not printed:
        return []
    return [
        f"{_ids(printed)} is printed, dried and cut first: lift it from its backing with a "
        "transfer mask, which is its carrier here."
    ]


def _peel(reason: PeelReason) -> str:
    verb = "peels" if len(set(reason.names)) == 1 else "peel"
    sentences = [f"{and_list(reason.names)} {verb} {reason.peel}."]
    heavy = [film for film in reason.films if film.carrier_marks]
    flaking = [film for film in reason.films if film.sheds]
    if heavy and reason.marked:
        sentences.append(
            f"Its heavy carrier ({show_um(max(film.carrier_um for film in heavy))}) would leave a "
            f"line in {_ids(reason.marked)} in a longer press."
        )
    if flaking:
        sentences.append("Loose flakes come away with the carrier now instead of in the print.")
    return " ".join(sentences)


def _full(reason: FullReason) -> str:
    low, high = reason.dwell_window_s
    window = f"{low:g} s" if low == high else f"{low:g} to {high:g} s"
    count = len({film.id for film in reason.films})
    setting = f"{show_s(reason.dwell_s)} at {show_c(reason.setpoint_c)}"
    both = "both" if count == 2 else "all"
    dwells = {film.id: film.dwell_s for film in reason.films}
    if _suit_none(dwells.values()):
        each = (f"{name} takes {w.low:g} to {w.high:g} s" for name, w in dwells.items())
        sentences = [f"{setting}: {and_list(each)}; no one time suits them."]
    elif reason.full_application is None:
        takes = f"{_ids(reason.films)} {'takes' if count == 1 else 'take'}"
        sentences = [f"{setting} is within what {takes}: {window} here."]
    elif count == 1:
        sentences = [f"{setting} is the full application of {reason.full_application.id}."]
    else:
        sentences = [
            f"{setting} is the full application of {reason.full_application.id}, so that "
            f"{_ids(reason.films)} {both} get theirs ({window})."
        ]
    if reason.cover is not None:
        does = ["covers the open faces"] if reason.open_faces else []
        does += [f"keeps the platen from marking {reason.spares}"] if reason.spares else []
        sentences.append(
            f"{reason.cover.id} {and_list(does or ['lies over the print'])}"
            + (
                ", and the line that a heavy carrier left presses out under it."
                if reason.lines_press_out
                else "."
            )
        )
    if reason.direct:
        foams = [film for film in reason.direct if film.foams]
        sentences.append(
            f"{_ids(foams)} foams, so it goes down last and nothing is pressed after it."
            if foams
            else f"{and_list(reason.direct_names)} is pressed with the carrier on."
        )
        sentences += _masked(reason.direct)
    if reason.needed_s is not None:
        sentences.append(f"Every bond line is bonded after {show_s(reason.needed_s)}.")
    sentences += bond_line_sentences(reason.bond_lines)
    if reason.later_stages:
        sentences.append("What is finished here is pressed again below its limits.")
    return " ".join(sentences)
