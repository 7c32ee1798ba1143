"""Impossible: why a job cannot be done as wished, and the smallest changes that would do."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from advisor.layering.records.problem import Option, Problem
from advisor.solver.conflict import RuleInstance, impossible_parts, minimal_conflict
from advisor.solver.records import Cut, ExamineOf
from advisor.solver.repairs import Repair, RepairChange, repairs
from rules.facts.text import Text, and_list, piece_name

__all__ = ["Impossible", "Repair", "RepairChange", "explain_impossible", "say_conflict"]


@dataclass(frozen=True, slots=True)
class Impossible:
    """Facts, rules and wishes that cannot hold together, and what would clear them.

    Attributes:
        conflict: none of them to spare; wishes first, then from the bottom layer to the top.
        repairs: the least change of the wish first; each was solved again.
    """

    conflict: tuple[RuleInstance, ...]
    repairs: tuple[Repair, ...]

    def __str__(self) -> str:
        """The whole as plain sentences."""
        return str(say_conflict(self))


def explain_impossible(
    problem: Problem,
    *,
    swaps: Mapping[str, Sequence[Option]] | None = None,
    fabrics: Mapping[str, Problem] | None = None,
    cuts: Sequence[Cut] = (),
    examine_of: ExamineOf | None = None,
    most: int = 6,
    time_limit_s: float = 20.0,
) -> Impossible:
    """Why nothing is possible, and every smallest set of changes that makes it possible.

    Args:
        swaps: for each piece, films of another look that would do.
        fabrics: the same job on other fabrics, by the fabric's id.
        cuts: what was found against drafted plans.
        examine_of: as in `advisor.solver.repairs.repairs`.
        most: repairs to give.
        time_limit_s: seconds to look for repairs, s.

    Raises:
        BadInputError: the problem can be planned.
    """
    bare = any(not piece.options and not piece.refused for piece in problem.pieces)
    among = None if bare else impossible_parts(problem, cuts=cuts)
    return Impossible(
        minimal_conflict(problem, cuts=cuts, among=among),
        repairs(
            problem,
            among=among,
            swaps=swaps,
            fabrics=fabrics,
            cuts=cuts,
            examine_of=examine_of,
            most=most,
            time_limit_s=time_limit_s,
        ),
    )


def say_conflict(found: Impossible) -> Text:
    """The conflict in plain sentences: the wishes once, then each fact, then the smallest change.

    >>> text = RuleInstance("wish", Text("text"), ("text",), Text("text is to be matte"), "wish")
    >>> lifts = RuleInstance("top-surface", Text("text on star"), ("star", "text"),
    ...                      Text("sparkle-coarse takes no film on top"), "film")
    >>> print(say_conflict(Impossible((text, lifts), ())))
    Because text is to be matte, this cannot be: sparkle-coarse takes no film on top.
    """
    wishes = [one.sentence for one in found.conflict if one.kind == "wish"]
    facts = _facts([one for one in found.conflict if one.kind != "wish"])
    sentences = []
    because = f"Because {and_list(wishes)}, " if wishes else ""
    if len(facts) == 1:
        sentences.append(f"{because}this cannot be: {facts[0]}.")
    elif facts:
        opening = f"{because}these cannot all hold"
        listed = f"{'; '.join(facts[:-1])}; and {facts[-1]}"
        sentences.append(f"{opening[0].upper()}{opening[1:]}: {listed}.")
    else:
        sentences.append(f"{because}nothing is possible: no film on the shelf gives it.")
    if found.repairs:
        changes = and_list([change.message for change in found.repairs[0].changes])
        sentences.append(f"The smallest change that works: {changes}.")
    return Text(" ".join(sentences))


def _facts(instances: Sequence[RuleInstance]) -> list[str]:
    """What films bear in one clause for each piece, everything else in a clause of its own."""
    said: list[str] = []
    for pieces, group in groupby(instances, key=lambda one: (one.pieces, one.rule in _OF_HEAT)):
        sentences = [one.sentence for one in group]
        if pieces[1] and len(sentences) > 1:
            subject = f"{piece_name(pieces[0][0])} "
            rest = [f"{sentence}".removeprefix(subject) for sentence in sentences[1:]]
            said.append(and_list([sentences[0], *rest]))
        else:
            said += [f"{sentence}" for sentence in sentences]
    return said


_OF_HEAT = {"setpoint-window", "heat-order", "dwell-window", "pressed-seconds"}
