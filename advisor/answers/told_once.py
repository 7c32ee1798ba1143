"""Told once: of stops that one cause brings to several films, the worst, which names them all."""

from __future__ import annotations

from collections.abc import Sequence

from advisor.job.records.plan import BondLineResult
from rules.facts.finding import Finding
from rules.facts.step import Step
from rules.facts.text import Text

__all__ = ["told_once"]

OF_ONE_CAUSE = ("bond-line-heat", "fabric-heat-limit")
"""Rules that find alike of each film what one press or one fabric does to all of them."""


def told_once(
    findings: Sequence[Finding], lines: Sequence[BondLineResult], steps: Sequence[Step]
) -> tuple[Finding, ...]:
    """The findings in their order, with one stop for all films that one cause stops.

    Samples are left as they are: the measures of a plan count each.

    Args:
        lines: the bond lines; of those that one press finishes, the one that lacks most speaks.

    >>> short = Finding(rule="bond-line-heat", severity="stop", where="a on cloth", message="3 s",
    ...                 why="", instead="", basis="physics")
    >>> shorter = short.model_copy(update={"where": Text("b on a"), "message": Text("1 s")})
    >>> had = dict(peak_c=120.0, needed_s=6.0, low_seconds_bonding=None, fabric="cloth")
    >>> lines = [BondLineResult(piece="A", film="a", below="cloth", seconds_bonding=3, **had),
    ...          BondLineResult(piece="B", film="b", below="a", seconds_bonding=1, **had)]
    >>> steps = [Step(n=1, action="press", purpose="full", pieces=("A", "B"))]
    >>> [(str(one.where), str(one.message)) for one in told_once([short, shorter], lines, steps)]
    [('b on a; a on cloth', '1 s')]
    """
    at = {f"{line.film} on {line.below}": line for line in lines}
    finished_in = _finished_in(steps)

    def cause(one: Finding) -> tuple[str, int | None]:
        line = at.get(str(one.where)) if one.rule == "bond-line-heat" else None
        return one.rule, None if line is None else finished_in.get(line.piece)

    def lacks_s(one: Finding) -> float:
        line = at.get(str(one.where))
        return 0.0 if line is None else line.needed_s - line.seconds_bonding

    alike: dict[tuple[str, int | None], list[Finding]] = {}
    for one in findings:
        if one.severity == "stop" and one.rule in OF_ONE_CAUSE:
            alike.setdefault(cause(one), []).append(one)
    told = []
    for one in findings:
        of_cause = alike.get(cause(one), [one]) if one.severity == "stop" else [one]
        if one is of_cause[0]:
            # A sort keeps the order of equals, so that without bond lines the first speaks.
            worst = sorted(of_cause, key=lacks_s, reverse=True)
            where = dict.fromkeys(f"{each.where}" for each in worst)
            told.append(worst[0].model_copy(update={"where": Text("; ".join(where))}))
    return tuple(told)


def _finished_in(steps: Sequence[Step]) -> dict[str, int]:
    """The step that first presses each piece in full."""
    finished: dict[str, int] = {}
    for step in steps:
        if step.purpose == "full":
            for piece in step.pieces:
                finished.setdefault(piece, step.n)
    return finished
