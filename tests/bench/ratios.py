"""Times put beside one another: they are taken, noted and held where benchmarks are enabled."""

from __future__ import annotations

import time
from collections.abc import Callable

from pytest_benchmark.fixture import BenchmarkFixture

__all__ = ["hold_ratio", "least_s"]


def least_s(
    work: Callable[[], object], times: int = 3, before: Callable[[], object] | None = None
) -> float:
    """The least wall-clock seconds of a few runs, ``before`` each of them not counted."""
    taken: list[float] = []
    for _ in range(times):
        if before:
            before()
        start = time.perf_counter()
        work()
        taken.append(time.perf_counter() - start)
    return min(taken)


def hold_ratio(
    benchmark: BenchmarkFixture,
    what: str,
    over: Callable[[], float],
    under: Callable[[], float],
    *,
    above: float = 0.0,
    below: float = float("inf"),
) -> None:
    """Note how many times as long the one takes as the other, and hold it to its bounds.

    Where benchmarks are disabled nothing is timed: a test then asserts its answers alone.

    Args:
        what: names the ratio, the longer first.
        over: gives the seconds of what is divided.
        under: gives the seconds that it is divided by.
    """
    if benchmark.disabled:
        return
    ratio = over() / under()
    benchmark.extra_info[what] = round(ratio, 2)
    print(f"\n{what}: {ratio:.2f}")
    assert above < ratio < below, f"{what}: {ratio:.2f}, not {above:g} to {below:g}"
