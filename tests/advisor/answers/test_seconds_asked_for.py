"""The seconds that a person gives a plan: what is spent on reading the artwork is of them too."""

from __future__ import annotations

import time
from typing import Any

import pytest

from advisor.answers import plan as module
from advisor.job.demo import DEMO_FOLDER


@pytest.mark.parametrize(("reading_s", "most_s"), [(0.5, 4.5), (9.0, 0.0)])
def test_the_proof_has_what_reading_the_artwork_leaves_of_them(
    monkeypatch: pytest.MonkeyPatch, reading_s: float, most_s: float
) -> None:
    clock_s, given_s = [0.0], list[float]()
    prepared_job, optimise = module.prepared_job, module.optimise

    def read_slowly(*job: Any, **how: Any) -> Any:
        clock_s[0] += reading_s
        return prepared_job(*job, **how)

    def proved_within(*problem: Any, time_limit_s: float, **how: Any) -> Any:
        given_s.append(time_limit_s)
        return optimise(*problem, time_limit_s=time_limit_s, **how)

    now = time.monotonic
    monkeypatch.setattr(module.time, "monotonic", lambda: now() + clock_s[0])
    monkeypatch.setattr(module, "prepared_job", read_slowly)
    monkeypatch.setattr(module, "optimise", proved_within)
    made = module.plan(DEMO_FOLDER / "bags.yaml", time_limit_s=5)
    assert given_s[0] <= most_s
    # However little is left, there is a plan.
    assert made.status == "planned"
