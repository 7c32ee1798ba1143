"""What a stack that is stopped has besides is said once, as it is pressed."""

from __future__ import annotations

from collections import Counter

import pytest

from advisor import check


@pytest.mark.parametrize(
    ("fabric", "film", "rule"),
    [
        ("craft-felt", "matte-smooth", "pressed-nap"),
        ("acetate-lining", "flock-plush", "dye-bleed"),
        ("acetate-lining", "foam-raised", "platen-shine"),
    ],
)
def test_a_rule_speaks_once_of_one_film_on_one_fabric(fabric: str, film: str, rule: str) -> None:
    report = check(fabric=fabric, stack=[film])
    said = Counter(one.rule for one in report.findings)
    assert report.verdict == "stop"
    assert said[rule] == 1
