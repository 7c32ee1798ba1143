"""Fits the platen: the size that is advised fits the platen, and the print area as well."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import product

from rules.facts.subjects import GarmentOnPress
from rules.knowledge import load_knowledge

KNOWN = load_knowledge()
GARMENTS = [KNOWN.catalogue.garment(name) for name in KNOWN.catalogue.garments]
PRESSES = [KNOWN.catalogue.press(name) for name in KNOWN.catalogue.presses]


def test_the_size_that_is_advised_is_not_refused_in_turn() -> None:
    rule, tried = KNOWN.rules.rule("fits-platen"), product((0.4, 1.0, 3.0), GARMENTS, PRESSES)
    for aspect, worn, press in tried:
        on = GarmentOnPress(worn, worn.print_area(), press, 1400, 1400 / aspect, ())
        found = rule.judge(on)
        assert found is not None
        told = re.search(r"at most (\d+) × (\d+) mm", str(found.instead))
        assert told is not None, found.instead
        width_mm, height_mm = map(float, told.groups())
        again = rule.judge(replace(on, width_mm=width_mm, height_mm=height_mm))
        assert again is None or again.severity == "note", (worn.id, press.id, aspect)
