"""Order of places: in which order the prints of one garment are pressed, and why in this one."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, permutations

from advisor.answers.judge import judge_print
from advisor.answers.judge_plan import pressed_prints
from advisor.answers.place_steps import Laid, PlacePart, PressState, laid_steps, needs
from advisor.answers.pressed_again import BY_CONTACT, pressed_again, pressed_as_one
from advisor.answers.pressed_together import together
from rules.facts.finding import Finding, distinct, seriousness
from rules.facts.practice import LOAD_S
from rules.facts.press import Press
from rules.facts.step import Step
from rules.facts.text import Text, and_list, piece_name, step_name
from rules.facts.units import show_s
from rules.knowledge import Knowledge

__all__ = [
    "PlacesInOrder",
    "judged_in_order",
    "order_of_places",
    "seconds_in_order",
    "steps_of_print",
]

Severities = tuple[int, int]
"""How many findings are ``stop``, and how many ``sample``."""


@dataclass(frozen=True, slots=True)
class PlacesInOrder:
    """The prints of one garment one after another.

    Attributes:
        laid: each with its steps.
        findings: of every print as it is pressed, and of what later presses do to earlier prints.
        harm: what in them is ``stop`` because of the others, in whatever order.
        seconds: at the press for one garment, s.
        orders: how many orders there are; ``refused`` how many of them harm a print.
        why: why this order.
    """

    laid: tuple[Laid, ...]
    findings: tuple[Finding, ...]
    harm: tuple[Finding, ...]
    seconds: float
    orders: int
    refused: int
    why: Text


def order_of_places(
    parts: Sequence[PlacePart],
    now: PressState,
    knowledge: Knowledge,
    *,
    first_n: int,
    run: int,
    quantity: int,
) -> PlacesInOrder:
    """The order that harms no print, asks for the fewest samples and takes the least seconds.

    Every order is weighed. Of two that are alike, the one nearer to the order of the job is taken.

    Args:
        parts: the prints of a garment, in the order of the job.
        now: how the press stands before the run.
    """
    press = knowledge.catalogue.press(parts[0].bears[0][0].plan.press)
    judged = _Judged(knowledge, press)

    def laid(order: Sequence[PlacePart]) -> tuple[Laid, ...]:
        made: list[Laid] = []
        stands, n = now, first_n
        for at, part in enumerate(order):
            one = laid_steps(
                part, order[:at], stands, first_n=n, run=run, quantity=quantity, press=press,
                sheets=knowledge.catalogue.sheets,
            )  # fmt: skip
            made.append(one)
            stands, n = one.after, n + len(one.steps)
        return tuple(made)

    units = _units(parts, judged, lambda part: laid([part])[0])
    orders = list(permutations(units))
    weighed = []
    for number, order in enumerate(orders):
        stops, samples = judged.severities(laid(order))
        seconds = seconds_in_order(order, press=press, quantity=quantity)
        weighed.append((stops, samples, round(seconds, 3), number))
    stops, samples, seconds, best = min(weighed)
    in_order = laid(orders[best])
    findings, harm = judged.findings(in_order)
    refused = [entry for entry in weighed if entry[0] > stops]
    of_refused = judged.findings(laid(orders[refused[0][3]]))[1] if refused else ()
    return PlacesInOrder(
        laid=in_order,
        findings=findings,
        harm=harm if stops else (),
        seconds=seconds,
        orders=len(orders),
        refused=sum(entry[0] > 0 for entry in weighed),
        why=_why(weighed, of_refused),
    )


def judged_in_order(
    laid: Sequence[Laid], knowledge: Knowledge, press: Press
) -> tuple[Finding, ...]:
    """What is found of prints pressed in this order, and of what each does to the others."""
    return _Judged(knowledge, press).findings(laid)[0]


def _units(
    parts: Sequence[PlacePart], judged: _Judged, laid: Callable[[PlacePart], Laid]
) -> tuple[PlacePart, ...]:
    """The prints, those of one side as one wherever they may be pressed together."""
    sides: dict[tuple[str, str], list[PlacePart]] = {}
    for part in parts:
        sides.setdefault(part.side, []).append(part)
    return tuple(one for of_side in sides.values() for one in _joined(of_side, judged, laid))


def _joined(
    of_side: Sequence[PlacePart], judged: _Judged, laid: Callable[[PlacePart], Laid]
) -> list[PlacePart]:
    """The prints of one side, as many of them as may be pressed together as one."""
    for count in range(len(of_side), 1, -1):
        for chosen in combinations(of_side, count):
            one = together(chosen, judged.press, judged.knowledge.catalogue.sheets)
            if one is None:
                continue
            apart = [_counted(judged.by_itself(laid(part))) for part in chosen]
            worst = tuple(map(sum, zip(*apart, strict=True)))
            if _counted(judged.by_itself(laid(one))) <= worst:
                rest = [part for part in of_side if part not in chosen]
                return [one, *_joined(rest, judged, laid)]
    return list(of_side)


def seconds_in_order(order: Sequence[PlacePart], *, press: Press, quantity: int) -> float:
    """What one garment takes at the press where its prints follow in this order, s."""
    total, warm = 0.0, set[tuple[str, str]]()
    for before, part in zip((None, *order[:-1]), order, strict=True):
        stays, seconds = needs(part, before, press=press, quantity=quantity)
        if not stays:
            warm.clear()
        if part.side not in warm:
            seconds += part.seconds - part.work_s - LOAD_S
        warm.add(part.side)
        total += seconds + part.work_s
    return total


class _Judged:
    """What rules find of prints in some order; how serious that is, is asked once for each."""

    def __init__(self, knowledge: Knowledge, press: Press) -> None:
        self.knowledge, self.press = knowledge, press
        self.of_order: dict[tuple[str, ...], Severities] = {}
        self.of_print: dict[tuple[str, bool], tuple[Finding, ...]] = {}

    def severities(self, laid: Sequence[Laid]) -> Severities:
        """How serious it gets in an order."""
        stops = samples = 0
        for at, one in enumerate(laid):
            before = [on.part for on in laid[:at] if on.part.side[0] == one.part.side[0]]
            key = (one.part.id, *(part.id for part in before))
            if key not in self.of_order:
                self.of_order[key] = _counted(self.cross(laid, at))
            for more in (self.of_order[key], _counted(self.by_itself(one))):
                stops, samples = stops + more[0], samples + more[1]
        return stops, samples

    def cross(self, laid: Sequence[Laid], at: int) -> tuple[Finding, ...]:
        """What the print at that place does to those before it."""
        return pressed_again(laid[at], laid[:at], self.knowledge, press=self.press)

    def by_itself(self, one: Laid) -> tuple[Finding, ...]:
        """What the rules find of a print as it is pressed, its own heat followed.

        With the order only the numbers of its steps change, and whether covers lie over it.
        """
        key = (one.part.id, one.covered)
        if key not in self.of_print:
            self.of_print[key] = self.as_numbered(one)
        return self.of_print[key]

    def as_numbered(self, one: Laid) -> tuple[Finding, ...]:
        """The same with its steps called by the numbers that they have in this order."""
        found: list[Finding] = []
        for print_, run in one.part.bears:
            names = {
                piece.id: f"{piece_name(f'{print_.id}/{piece.id}')}" for piece in print_.plan.pieces
            }
            steps = tuple(steps_of_print(print_.id, one.own))
            names |= {f"step {step.n}": f"{step_name(step.n)}" for step in steps}
            for pressed in pressed_prints(print_.plan, run, self.knowledge.catalogue):
                as_laid = replace(pressed, steps=steps, dial_c=None)
                judged, _ = judge_print(as_laid, self.knowledge)
                found += (_of_print(finding, print_.id, names) for finding in judged)
        if len(one.part.bears) > 1:
            known = {finding.rule for finding in found} | BY_CONTACT
            both = pressed_as_one(one, self.knowledge, press=self.press)
            found += (finding for finding in both if finding.rule not in known)
        return distinct(found)

    def findings(self, laid: Sequence[Laid]) -> tuple[tuple[Finding, ...], tuple[Finding, ...]]:
        """All that is found in an order, and what of it is ``stop`` because of the others."""
        found: list[Finding] = []
        harm: list[Finding] = []
        for at, one in enumerate(laid):
            cross = self.cross(laid, at)
            found += cross
            before = and_list(earlier.part.at for earlier in laid[:at])
            where = Text(f"the {one.part.at}, pressed after the {before}")
            harm += (
                finding.model_copy(update={"where": where})
                for finding in cross
                if finding.severity == "stop"
            )
        alone = [finding for one in laid for finding in self.as_numbered(one)]
        return (*found, *alone), tuple(harm)


def steps_of_print(print_id: str, steps: Sequence[Step]) -> Iterator[Step]:
    """The steps that one of several prints gets, its pieces called as in its own plan."""
    for step in steps:
        own = tuple(
            piece.removeprefix(f"{print_id}/")
            for piece in step.pieces
            if piece.startswith(f"{print_id}/")
        )
        if own or not step.pieces:
            yield step.model_copy(update={"pieces": own})


def _of_print(finding: Finding, print_id: str, names: Mapping[str, str]) -> Finding:
    """A finding with its pieces called as in the whole order, and its print where it tells none."""
    said = {
        part: getattr(finding, part).named(names) for part in ("message", "why", "instead", "where")
    }
    # A caution for people holds for the whole press, whatever lies on it.
    if not finding.where.startswith(("step ", "platen")):
        said["where"] = Text(f"{print_id}: {said['where']}")
    return finding.model_copy(update=said)


def _counted(findings: Sequence[Finding]) -> Severities:
    serious = [seriousness(finding.severity) for finding in findings]
    return serious.count(0), serious.count(1)


def _why(weighed: Sequence[tuple[int, int, float, int]], harm: Sequence[Finding]) -> Text:
    """Why an order is taken, by what the others would do or take."""
    if len(weighed) == 1:
        return Text()
    stops, samples, seconds, _ = min(weighed)
    if stops:
        return Text(f"every one of the {len(weighed)} orders harms a print")
    refused = sum(entry[0] > 0 for entry in weighed)
    sampled = sum(entry[0] == 0 and entry[1] > samples for entry in weighed)
    alike = [entry[2] for entry in weighed if entry[:2] == (stops, samples)]
    told = [f"of {len(weighed)} orders"]
    if refused:
        told.append(
            f"{refused} {'harms' if refused == 1 else 'harm'} a print ({harm[0].message})"
            if harm
            else f"{refused} harm a print"
        )
    if sampled:
        told.append(f"{sampled} would ask for more samples")
    if max(alike) - seconds >= 1:
        told.append(
            f"this takes {show_s(round(seconds))} a garment, the slowest "
            f"{show_s(round(max(alike)))}"
        )
    elif len(alike) > 1:
        rest = "the other takes" if len(alike) == 2 else "the others take"
        told.append(f"{rest} as long, and this is the order of the job")
    else:
        told.append("this alone is left")
    return Text(", ".join(told[:1]) + " " + "; ".join(told[1:]))
