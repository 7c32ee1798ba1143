"""The rulebook: the explicit list of every rule, with look-up and judgement."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType
from typing import Any

from rules.book.artwork import (
    colour_match,
    finish_match,
    fits_roll,
    least_gap,
    least_stroke,
    lost_islands,
    mirror_cut,
)
from rules.book.bond_line import bond_line_heat
from rules.book.drawn import faint_overlay, nothing_seen
from rules.book.film_on_fabric import (
    coated_fabric,
    dye_bleed,
    fabric_heat_limit,
    fibre_bond,
    open_fabric,
    pale_on_dark,
    platen_shine,
    pressed_nap,
    print_and_dry,
    stretch_match,
    wash_limit,
)
from rules.book.film_on_film import (
    foam_last,
    heat_order,
    overlay_stretch,
    peel_order,
    sealed_face,
    show_through,
    texture_only_on_top,
    top_surface,
)
from rules.book.garment import (
    curved_press,
    fits_platen,
    lining,
    pad_under_obstruction,
    preheat_dry,
    pressure_reset,
    sheet_covers_print,
    turned_for_nothing,
)
from rules.book.joint import butt_gap, inset_shape, thin_rim, trap_width
from rules.book.rule import Judges, Rule
from rules.book.safety import (
    childrens_wear,
    fumes,
    hot_surface,
    nightwear,
    unattended_press,
)
from rules.book.schedule import (
    all_finished,
    carrier_line,
    carrier_off_first,
    cover_bears_heat,
    cover_exposed_face,
    cover_leaves_face,
    dwell_window,
    flake_transfer,
    foam_risen,
    peel_wait,
    press_order,
    press_range,
    pressed_seconds,
    pressure_window,
    registration_shrink,
    setpoint_change,
    setpoint_window,
    tack_before_next,
)
from rules.book.seen import colours_merge, legible_names, tone_on_tone
from rules.book.stack import hand_thickness, layer_count
from rules.errors import ProgramError, UnknownNameError
from rules.facts.finding import Finding
from rules.facts.schedule import ScheduledStep
from rules.facts.subjects import (
    ArtworkPiece,
    AsDrawn,
    BondLine,
    FilmOnFabric,
    FilmOnFilm,
    GarmentOnPress,
    Joint,
    Pressing,
    SeenAgainst,
    Stack,
    Subject,
)

__all__ = ["Rulebook", "rulebook", "rulebook_of"]

_ALL: tuple[Rule[Any], ...] = (
    fabric_heat_limit.RULE,
    fibre_bond.RULE,
    coated_fabric.RULE,
    dye_bleed.RULE,
    stretch_match.RULE,
    wash_limit.RULE,
    pale_on_dark.RULE,
    print_and_dry.RULE,
    pressed_nap.RULE,
    platen_shine.RULE,
    open_fabric.RULE,
    top_surface.RULE,
    texture_only_on_top.RULE,
    sealed_face.RULE,
    overlay_stretch.RULE,
    foam_last.RULE,
    heat_order.RULE,
    peel_order.RULE,
    show_through.RULE,
    trap_width.RULE,
    thin_rim.RULE,
    butt_gap.RULE,
    inset_shape.RULE,
    layer_count.RULE,
    hand_thickness.RULE,
    bond_line_heat.RULE,
    setpoint_window.RULE,
    dwell_window.RULE,
    pressure_window.RULE,
    press_range.RULE,
    pressed_seconds.RULE,
    tack_before_next.RULE,
    press_order.RULE,
    carrier_off_first.RULE,
    carrier_line.RULE,
    flake_transfer.RULE,
    cover_exposed_face.RULE,
    cover_bears_heat.RULE,
    cover_leaves_face.RULE,
    peel_wait.RULE,
    registration_shrink.RULE,
    setpoint_change.RULE,
    foam_risen.RULE,
    all_finished.RULE,
    preheat_dry.RULE,
    pad_under_obstruction.RULE,
    pressure_reset.RULE,
    turned_for_nothing.RULE,
    sheet_covers_print.RULE,
    fits_platen.RULE,
    curved_press.RULE,
    lining.RULE,
    least_stroke.RULE,
    least_gap.RULE,
    lost_islands.RULE,
    mirror_cut.RULE,
    fits_roll.RULE,
    colour_match.RULE,
    finish_match.RULE,
    colours_merge.RULE,
    legible_names.RULE,
    tone_on_tone.RULE,
    nothing_seen.RULE,
    faint_overlay.RULE,
    hot_surface.RULE,
    fumes.RULE,
    unattended_press.RULE,
    childrens_wear.RULE,
    nightwear.RULE,
)

_JUDGED_AS: dict[type, Judges] = {
    FilmOnFabric: "film_on_fabric",
    FilmOnFilm: "film_on_film",
    Joint: "joint",
    Stack: "stack",
    BondLine: "bond_line",
    ScheduledStep: "schedule",
    ArtworkPiece: "artwork",
    SeenAgainst: "seen",
    AsDrawn: "drawn",
    GarmentOnPress: "garment",
    Pressing: "safety",
}


@dataclass(frozen=True, slots=True)
class Rulebook:
    """Every rule by id, and by what it judges."""

    by_id: MappingProxyType[str, Rule[Any]]
    by_judged: MappingProxyType[str, tuple[Rule[Any], ...]]

    def rule(self, rule_id: str) -> Rule[Any]:
        """The rule of that id; ``UnknownNameError`` offers the nearest ids."""
        if rule_id not in self.by_id:
            raise UnknownNameError("rule", rule_id, self.by_id)
        return self.by_id[rule_id]

    def on(self, subject: type) -> tuple[Rule[Any], ...]:
        """The rules that judge such a thing."""
        return self.by_judged[_JUDGED_AS[subject]]

    def judge(self, *subjects: Subject) -> tuple[Finding, ...]:
        """What every rule finds on these things, in the order of the things and of the list.

        >>> from rules.catalogue import load_catalogue
        >>> films = load_catalogue().films
        >>> over = FilmOnFilm(upper=films["matte-smooth"], lower=films["sparkle-coarse"])
        >>> [finding.rule for finding in rulebook().judge(over)]
        ['top-surface', ...]
        """
        return tuple(
            finding
            for subject in subjects
            for rule in self.on(type(subject))
            if (finding := rule.judge(subject)) is not None
        )


def rulebook_of(rules: Iterable[Rule[Any]]) -> Rulebook:
    """These rules as a rulebook; two of one id are a mistake of the program.

    >>> rulebook_of([top_surface.RULE]).rule("top-surface").judges
    'film_on_film'
    """
    by_id: dict[str, Rule[Any]] = {}
    by_judged: dict[str, tuple[Rule[Any], ...]] = dict.fromkeys(_JUDGED_AS.values(), ())
    for rule in rules:
        if rule.id in by_id:
            raise ProgramError(f"two rules are called {rule.id!r}")
        by_id[rule.id] = rule
        by_judged[rule.judges] = (*by_judged[rule.judges], rule)
    return Rulebook(MappingProxyType(by_id), MappingProxyType(by_judged))


@cache
def rulebook() -> Rulebook:
    """The rulebook that ships.

    >>> rulebook().rule("top-surface").severity
    'stop'
    """
    return rulebook_of(_ALL)
