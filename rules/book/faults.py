"""Faults: what can be wrong with a print once it is pressed, and which slips show as it.

A cause names the rules whose breach shows as this fault, and the change that would still them; what
each rule says of a plan, and by how much, is the rule's own matter. The order of the causes is how
often a shop meets them; it decides between causes that a plan speaks for alike. All of it is common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from rules.book.care import FIRST_WASH_H

__all__ = ["FAULTS", "SLIPS", "Cause", "Cure", "Fault"]

Cure = Literal[
    "hotter", "cooler", "longer", "shorter", "longer-tack", "shorter-tack", "longer-wait",
    "shorter-wait", "longer-preheat", "shorter-preheat", "firmer", "softer", "reset", "cover",
    "thinner-cover", "pad", "peel-first", "finish", "film", "trap",
]  # fmt: skip

SLIPS: Mapping[Cure, str] = MappingProxyType({
    "hotter": "it was pressed too cool",
    "cooler": "it was pressed too hot",
    "longer": "the full press was too short",
    "shorter": "the full press was too long",
    "longer-tack": "the tack was too short",
    "shorter-tack": "the tack was too long",
    "longer-wait": "the carrier was peeled too early",
    "shorter-wait": "the carrier was peeled too late",
    "longer-preheat": "the garment was not dried before the first film",
    "shorter-preheat": "the bare garment was preheated too long",
    "firmer": "the pressure was too light",
    "softer": "the pressure was too firm",
    "reset": "the pressure was not set again when the pad went in or out",
    "cover": "no cover sheet, or not the right one, lay over the open faces",
    "thinner-cover": "the cover sheet kept back too much of the heat",
    "pad": "nothing under the garment took up what stands proud",
    "peel-first": "a heavy or flaking carrier stayed on in a long press",
    "finish": "a piece never had its full press",
    "film": "the film does not suit what it lies on",
    "trap": "the trap is too narrow for how far the pieces move",
})  # fmt: skip
"""What went wrong, by the change that undoes it."""


@dataclass(frozen=True, slots=True)
class Cause:
    """One way in which a fault comes about.

    Attributes:
        look_at: what tells it from the other causes of the same fault, on the garment or the press.
        cure: the change of a plan that undoes it; ``None`` where no plan says it.
        rules: those that object to it, by id; none where no plan says it.
        slip, instead: what went wrong and what to do, where no plan says it.
    """

    look_at: str
    cure: Cure | None = None
    rules: tuple[str, ...] = ()
    slip: str = ""
    instead: str = ""


@dataclass(frozen=True, slots=True)
class Fault:
    """A fault as a person sees it, and what it comes from, the most usual first."""

    seen: str
    causes: tuple[Cause, ...]


def _by(cure: Cure, rules: str, look_at: str) -> Cause:
    return Cause(look_at, cure, tuple(rules.split()))


def _untold(slip: str, look_at: str, instead: str) -> Cause:
    return Cause(look_at, slip=slip, instead=instead)


_STRIPS = "check the platen with temperature strips, in its middle and its corners"
_PAIR = "top-surface sealed-face texture-only-on-top foam-last"

FAULTS: Mapping[str, Fault] = MappingProxyType({
    "edge-lift": Fault("an edge lifts after washing", (
        _by("finish", "all-finished",
            "the piece comes off whole, its adhesive still as it was on the roll"),
        _by("hotter", "setpoint-window bond-line-heat",
            "the adhesive side of the lifted edge is smooth and shiny and no threads stand in it, "
            "over the whole print alike; a strip under the film reads less than the film bonds at"),
        _by("longer", "dwell-window bond-line-heat",
            "the adhesive is smooth and shiny where most layers lie and holds where one lies, and "
            "a strip under the film gets hot enough, but late"),
        _by("pad", "pad-under-obstruction",
            "it lifts along a seam, a zip or a button and holds a finger's breadth away"),
        _by("reset", "pressure-reset pressure-window",
            "it lifts everywhere a little, and only since the pad went in or out"),
        _by("firmer", "pressure-window",
            "the weave of the fabric is not printed into the adhesive, and a strip of paper slides "
            "out of the closed press"),
        _by("longer-wait", "peel-wait",
            "the edge stood up with the carrier already, and the adhesive has drawn strings"),
        _by("film", f"fibre-bond coated-fabric {_PAIR} stretch-match",
            "the adhesive comes off clean and took the print of the weave, or of the face below: "
            "it was hot enough and found nothing to hold"),
        _by("longer-preheat", "preheat-dry bond-line-heat",
            "the lifted edge runs from small blisters, more of them on thick or damp garments"),
        _by("trap", "trap-width", "it lifts only along the joint of two pieces"),
        _by("thinner-cover", "bond-line-heat",
            "a thinner cover lets a strip under the film get hotter in the same seconds"),
        _by("peel-first", "flake-transfer carrier-off-first",
            "flakes or a scrap of carrier lie between the two films"),
        _untold("the platen is cooler than its dial says, or in places",
            "prints from one side or corner of the platen lift, and others hold", _STRIPS),
        _untold("it was washed too soon, or hotter than the care card says",
            f"others of the same batch that were first washed after {FIRST_WASH_H} h hold",
            f"wait {FIRST_WASH_H} h before the first wash, and keep to the care card"),
    )),
    "wrinkle": Fault("the film or the fabric wrinkles", (
        _by("shorter-tack", "registration-shrink tack-before-next pressed-seconds",
            "the lower film has drawn in under the upper, so that its edge shows as a ripple"),
        _by("cooler", "setpoint-window registration-shrink fabric-heat-limit",
            "all films are rippled, the thin ones most; a strip on the platen reads too much"),
        _by("shorter", "dwell-window pressed-seconds",
            "the ripples run round the edge of a film that lay in every press"),
        _by("longer-preheat", "preheat-dry",
            "the fabric is puckered around the print, or a crease of it runs under the film"),
        _by("film", "overlay-stretch stretch-match",
            "it lay flat in the press and ripples once the garment was pulled"),
        _by("longer-wait", "peel-wait", "the ripples run across the way the carrier was peeled"),
        _by("longer-tack", "tack-before-next", "the piece slipped as the next was laid"),
        _by("pad", "pad-under-obstruction", "the wrinkle follows a seam or a zip"),
        _by("reset", "pressure-reset pressure-window", "it began when the pad went in or out"),
        _untold("the garment was stretched, or its lining folded, as it was laid",
            "the print is flat only while the garment is pulled the way it lay",
            "lay it without pulling, the lining off the platen or smooth, and let the preheat "
            "flatten it"),
    )),
    "carrier-line": Fault("the edge of a carrier shows as a line", (
        _by("peel-first", "carrier-line",
            "the line lies a little outside the upper piece and follows how its carrier was "
            "trimmed"),
        _by("shorter-tack", "tack-before-next carrier-line cover-exposed-face",
            "the same line, though every carrier was peeled after its tack"),
        _by("softer", "pressure-window", "the line is deep, and the weave stands out in the face"),
        _by("cover", "sheet-covers-print cover-exposed-face cover-leaves-face",
            "the line is straight and follows the cover sheet, or does not press out again"),
        _by("cooler", "setpoint-window", "the whole face is glossier than it was"),
        _by("longer-wait", "peel-wait", "the line is a tear in the face, not a dent"),
        _untold("the carrier was cut too near the piece",
            "the line lies within a few millimetres of the piece, where the face is seen",
            "leave the carrier wide, so that its edge lies beyond the print"),
    )),
    "flakes": Fault("flakes lie on another film", (
        _by("peel-first", "flake-transfer",
            "the flakes are pressed into the face where the carrier lay over it"),
        _by("cover", "flake-transfer cover-exposed-face",
            "flakes stick to the platen too, and to the next garment"),
        _by("shorter-tack", "flake-transfer tack-before-next",
            "the flakes lie where the carrier lay, and sit fast after a tack"),
        _by("longer-wait", "peel-wait", "grains came off with the carrier and left bare spots"),
        _untold("flakes were not brushed off before the next piece or press",
            "they lie loose, and a soft brush or a lint roller takes them off",
            "brush or roll off loose flakes after each peel, and wipe cover sheet and platen"),
    )),
    "bleed": Fault("the fabric's dye comes through", (
        _by("cooler", "dye-bleed",
            "it shows at once or after a day, all over the pale film; a strip under the film reads "
            "more than the dye bears"),
        _by("shorter", "dye-bleed",
            "what lay in every press is stained and what was laid last is not"),
        _by("film", "dye-bleed",
            "it comes within days even at the coolest press that the film bonds at"),
        _untold("the garments were stacked hot, or stored warm",
            "the stain has the shape of what lay on it, or only inner garments of the stack show "
            "it",
            "let each garment cool by itself before it is stacked"),
    )),
    "scorch": Fault("fabric or film is scorched", (
        _by("cooler", "fabric-heat-limit setpoint-window",
            "the whole of the platen shows on the fabric, yellow or glazed"),
        _by("shorter-preheat", "preheat-dry",
            "the fabric is scorched beside the print and pale under it"),
        _by("shorter", "dwell-window pressed-seconds",
            "the film is brown or brittle at its edge, and the fabric beside it hardly"),
        _by("cover", "cover-exposed-face cover-bears-heat platen-shine",
            "the open faces are scorched or stuck, and what a sheet covered is not"),
        _by("shorter-tack", "tack-before-next", "the lowest film is scorched and the upper is not"),
        _by("film", "fabric-heat-limit", "it scorches even at the coolest that the film bonds at"),
        _untold("the platen is hotter than its dial says, or in places",
            "the scorch lies at one side or corner of the platen on every garment", _STRIPS),
    )),
    "mark": Fault("a shine, or a mark of the press", (
        _by("cover", "cover-exposed-face cover-leaves-face platen-shine pressed-nap "
            "sheet-covers-print",
            "the open faces shine or have taken the texture of the platen, or the edge of a small "
            "cover runs through the print"),
        _by("softer", "pressure-window platen-shine pressed-nap",
            "the mark is a frame where the platen's edge lay, and the weave is crushed in it"),
        _by("pad", "pad-under-obstruction",
            "a seam, a zip or a button stands out as a shiny ridge"),
        _by("reset", "pressure-reset pressure-window",
            "the press has been hard to close since the pad went in"),
        _by("cooler", "fabric-heat-limit setpoint-window",
            "the fabric shines over the whole of the platen, and brushing does not raise it"),
        _by("shorter", "dwell-window pressed-seconds", "the frame is faint after a tack and plain "
            "after the full press"),
        _by("shorter-preheat", "preheat-dry", "the fabric shines where no film ever lay"),
        _by("shorter-tack", "tack-before-next cover-exposed-face",
            "only what was already open shines"),
        _by("peel-first", "carrier-line", "the mark is the outline of a carrier"),
    )),
    "shrink": Fault("a film has drawn in, or the fabric has", (
        _by("shorter-tack", "registration-shrink tack-before-next pressed-seconds",
            "one piece is smaller than it was cut, and what was laid on it later is not"),
        _by("cooler", "setpoint-window registration-shrink fabric-heat-limit",
            "every film is a little smaller than it was cut, and its edge is rounded"),
        _by("shorter", "dwell-window pressed-seconds registration-shrink",
            "the piece that lay in most presses is the smallest against its cut"),
        _by("longer-preheat", "preheat-dry",
            "the fabric is gathered round the print, and the film is as large as it was cut"),
        _by("film", "heat-order", "the lower film has drawn in under the one that was pressed "
            "over it"),
    )),
    "bubble": Fault("the film has bubbles", (
        _by("longer-preheat", "preheat-dry bond-line-heat",
            "small blisters all over, more on thick or damp garments, from the first press on"),
        _by("cooler", "setpoint-window fabric-heat-limit",
            "the face itself is pitted or foamed, and the film cannot be pressed flat again"),
        _by("shorter", "pressed-seconds dwell-window",
            "the blisters lie in the film that was pressed most often, late in the work"),
        _by("firmer", "pressure-window",
            "large flat bubbles that a fingertip can push about: air that was never pressed out"),
        _by("pad", "pad-under-obstruction", "the bubbles lie along a seam or a zip"),
        _by("reset", "pressure-reset pressure-window", "they began when the pad went in or out"),
        _by("hotter", "bond-line-heat setpoint-window",
            "a bubble comes off whole, its adhesive smooth and shiny"),
        _by("longer", "bond-line-heat dwell-window",
            "bubbles lie only where most layers do, and press out in a second full press"),
        _by("longer-wait", "peel-wait", "they came up as the carrier was peeled"),
        _by("film", f"coated-fabric {_PAIR}",
            "they lie between film and coating, or between two films, and never on plain cloth"),
        _untold("air was shut in as the piece was laid",
            "one or two bubbles, at another place on each garment",
            "lay the piece from its middle outwards, and prick and press again what is left"),
    )),
    "crack": Fault("the film cracks", (
        _by("film", "stretch-match overlay-stretch hand-thickness",
            "the cracks run across the way the garment is pulled, where it is pulled most"),
        _by("shorter", "pressed-seconds dwell-window",
            "the film is hard and cracks where it is folded, not where it is pulled"),
        _by("cooler", "setpoint-window",
            "it is hard, and its face has gone glossier or yellow"),
        _by("hotter", "bond-line-heat setpoint-window",
            "it cracks in the wash, and the pieces between the cracks come off"),
        _by("longer", "bond-line-heat dwell-window",
            "the same, but only where most layers lie"),
        _by("longer-wait", "peel-wait", "the crack was there as the carrier came off"),
        _untold("it was tumbled or ironed hotter than the care card says",
            "others of the same batch that were dried on the line are whole",
            "keep to the care card, and dry on the line"),
    )),
    "fabric-shows": Fault("fabric shows between two pieces, or through one", (
        _by("shorter-tack", "registration-shrink tack-before-next pressed-seconds",
            "the lower piece is smaller than it was cut, on all sides alike"),
        _by("trap", "trap-width butt-gap",
            "the gap is wider on one side than on the other, and both pieces are as they were cut"),
        _by("cooler", "registration-shrink setpoint-window",
            "all pieces are smaller than they were cut"),
        _by("shorter", "registration-shrink dwell-window pressed-seconds",
            "the piece that was pressed in full before the other was laid is smaller than its cut"),
        _by("film", "pale-on-dark show-through",
            "there is no gap: the whole piece is duller than the shade card"),
        _untold("a piece was laid beside its mark",
            "the gap is on one side, and as wide as the overlap on the other, and differs from "
            "garment to garment",
            "lay by the registration marks, and trap wider"),
    )),
    "crooked": Fault("a name, or a piece, is crooked", (
        _untold("it was laid by eye",
            "each garment is off by another angle, and the carrier lay as the film does",
            "fold the garment down its middle, and lay by that crease and the foot of the letters; "
            "tape the carrier before the press closes"),
        _by("longer-tack", "tack-before-next setpoint-window",
            "it lay straight and moved as the carrier was peeled or the next was laid"),
        _by("cover", "cover-exposed-face",
            "it lay straight and was dragged as the press opened"),
        _by("longer-wait", "peel-wait",
            "it lay straight and one end came up with the carrier"),
        _by("hotter", "setpoint-window", "it can be slid with a finger after the tack"),
        _by("pad", "pad-under-obstruction", "it turned about a seam or a button"),
    )),
})  # fmt: skip
"""Every fault that can be asked about, by its name."""
