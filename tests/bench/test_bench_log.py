"""How fast a long log answers a check: counted by stack in the store, beside counted one by one."""

from __future__ import annotations

import random
import time
from datetime import date
from pathlib import Path

import pytest
from pytest_benchmark.fixture import BenchmarkFixture
from sqlalchemy import insert, text

from advisor import check
from advisor.answers.records import CheckReport
from advisor.shop.knowledge import shop_knowledge
from advisor.shop.log import all_logged, tallied
from advisor.shop.store import open_store
from advisor.shop.tables import logged_bonds, logged_presses
from tests.bench.ratios import hold_ratio, least_s

ENTRIES = 100_000
FILMS = ("matte-smooth", "gloss-smooth", "sparkle-coarse", "sparkle-fine", "flock-plush",
         "metallic-foil", "reflective-beaded", "glow-smooth")  # fmt: skip
CLOTHS = ("cotton-jersey-tee", "cotton-fleece", "polyester-jersey", "denim")
TOLD_BY = ("film, below, under, fabric, press, b.colour, p.colour, setpoint_c, dwell_s, outcome, "
           "washes")  # fmt: skip


def stored(at: Path, entries: int) -> Path:
    """A store that has so many presses of two films in its log, of a few hundred kinds."""
    at.parent.mkdir(exist_ok=True)
    drawn = random.Random(14)
    presses, bonds = [], []
    for number in range(1, entries + 1):
        lower, upper, cloth = *drawn.sample(FILMS, 2), drawn.choice(CLOTHS)
        presses.append({
            "number": number, "fabric": cloth, "press": "clamshell-38x38",
            "garments": drawn.choice([1, 1, 4, 12]), "washes": drawn.choice([5, 10, 25]),
            "note": "", "pressed_on": date(2026, 3, 1),
        })  # fmt: skip
        outcome = drawn.choice(["sound"] * 40 + ["edge-lift"])
        setpoint_c, dwell_s = drawn.choice([(155.0, 16.0), (160.0, 15.0)])
        for place, (film, below) in enumerate(((lower, cloth), (upper, lower))):
            bonds.append({
                "number": number, "place": place, "film": film, "below": below,
                "outcome": outcome, "under": "", "setpoint_c": setpoint_c, "dwell_s": dwell_s,
            })  # fmt: skip
    with open_store(at) as connection:
        if entries:
            connection.execute(insert(logged_presses), presses)
            connection.execute(insert(logged_bonds), bonds)
        # As each entry is counted when it is told; one by one that would take as many minutes.
        connection.execute(text(
            "INSERT INTO logged_count (film, below, under, cloth, press, film_colour, "
            "cloth_colour, setpoint_c, dwell_s, outcome, washes, garments) "
            f"SELECT {TOLD_BY}, sum(garments) FROM logged_bond b JOIN logged_press p "
            f"USING (number) GROUP BY {TOLD_BY}"
        ))  # fmt: skip
    return at


def asked(store: Path) -> CheckReport:
    """A check as a command answers it, with all that is known read anew."""
    return check(
        fabric="adult-tee",
        stack=["gloss-smooth", "matte-smooth"],
        knowledge=shop_knowledge(store=store),
    )


@pytest.mark.slow
def test_a_check_with_a_long_log(benchmark: BenchmarkFixture, tmp_path: Path) -> None:
    """A check with 100,000 presses in the log, beside one that counts them one by one.

    How many milliseconds the log costs, beside a store that has none, is noted.
    """
    without, store = stored(tmp_path / "a" / "shop", 0), stored(tmp_path / "b" / "shop", ENTRIES)
    report = benchmark(asked, store)
    of_both = [one for one in tallied(all_logged(film="gloss-smooth", store=store))
               if (one.film, one.below, one.fabric) == ("matte-smooth", "gloss-smooth",
                                                        "cotton-jersey-tee")]  # fmt: skip
    (_, seen) = report.evidence
    assert 0 < seen.trials < of_both[0].trials
    hold_ratio(
        benchmark,
        "counted one by one / by stack",
        lambda: least_s(lambda: tallied(all_logged(store=store)), times=1),
        lambda: least_s(lambda: asked(store)),
        above=20,
    )
    if not benchmark.disabled:
        more_ms = min(_cpu_ms(store) for _ in range(15)) - min(_cpu_ms(without) for _ in range(15))
        benchmark.extra_info["more_ms"] = round(more_ms, 1)
        print(f"the log costs {more_ms:.1f} ms of the processor")


def _cpu_ms(store: Path) -> float:
    """Milliseconds of the processor that a check takes, whatever else the computer does."""
    began_s = time.process_time()
    asked(store)
    return (time.process_time() - began_s) * 1000
