"""Shared films: prints of an order in films of the other prints, where the order is better so.

Each print is planned alone, and what suits it best there may not suit the order: prints pressed
together are pressed for the slowest, and films of other settings turn the dial between them.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Iterator, Sequence, Set
from dataclasses import replace

from advisor.answers.in_order import (
    InOrder,
    LayInOrder,
    at_least,
    comes_to,
    for_the_order,
    samples,
    with_more,
    worth,
)
from advisor.answers.next_films import SolvePrint, named_films, plan_in_films
from advisor.answers.one_dial import (
    SolveAt,
    hotter_dials,
    shared_dials,
    told_of_dials,
    with_one_dial,
)
from advisor.answers.other_films import films_as_wished
from advisor.job.records.order_plan import PlannedPrint
from advisor.job.records.plan import Plan
from advisor.job.records.print_job import PrintJob
from rules.facts.text import Text, and_list
from rules.knowledge import Knowledge

__all__ = ["EACH_S", "with_shared_films"]

SEARCH_SHARE, EACH_S = 0.8, 2.0
"""The share of the time left in which films to share are looked for, the rest being for hotter
dials, and how long one print's plan in them may take, s."""

MOST_TRIED = 48
"""So many other choices are put in order at most, each of which takes a fraction of a second."""

SETTINGS = ("setpoint", "pressure", "pad")

Chosen = dict[int, Plan]
Gather = Callable[[Iterable[int], Set[str]], Chosen]


def with_shared_films(
    jobs: Sequence[PrintJob],
    prints: tuple[PlannedPrint, ...],
    *,
    solve: SolvePrint,
    solve_at: SolveAt,
    lay: LayInOrder,
    knowledge: Knowledge,
    deadline: float,
) -> InOrder:
    """The order in other films, again and again, as long as it is better for that.

    First every film of the shelf is tried for all prints of one piece at once, such as letterings.
    Then, film by film, the prints that lose by it are planned without it: in any other film, and
    in those that the order is cut from besides. What is better is kept: fewer samples, then what
    the order prefers, each choice at the dials that suit it as a whole. It is a search of the
    likeliest; that there is none better is not proved.

    Args:
        prints: each in the films that are best for it alone, of which some order harms none.
        solve: plans a print by other knowledge, in so many seconds.
        solve_at: plans a print in the films that it has, the dial standing so anyway, °C.
        lay: lays prints in order.
        deadline: of ``time.monotonic``, after which no other choice is tried.
    """
    started = time.monotonic()
    until = started + SEARCH_SHARE * (deadline - started)
    known, plans = knowledge.catalogue, dict[tuple[int, frozenset[str]], Plan | None]()

    def plan_within(at: int, names: frozenset[str]) -> Plan | None:
        """The print of that number in these films and those that its job names."""
        within_s = min(EACH_S, until - time.monotonic())
        if (at, names) not in plans and within_s > 0:
            allowed = names | named_films(jobs[at].job, known)
            films = {name: film for name, film in known.films.items() if name in allowed}
            fewer = replace(knowledge, catalogue=replace(known, films=films))
            plans[at, names] = plan_in_films(jobs[at].job, fewer, solve, within_s)
        return plans.get((at, names))

    def dialled(now: InOrder, dials_c: Sequence[float]) -> InOrder:
        return with_one_dial(now, dials_c, solve_at=solve_at, lay=lay, deadline=deadline)

    def settled(prints: Sequence[PlannedPrint], than: InOrder | None = None) -> InOrder:
        made = lay(prints)
        harms = made.whole.status != "planned"
        if harms or (than and worth(at_least(made, rates)) >= worth(than.whole)):
            return made
        # A print goes as near as its films can; what the others then share may lie between.
        while (nearer := dialled(made, shared_dials(made.whole))) is not made:
            made = nearer
        return made

    def hotter(now: InOrder) -> InOrder:
        """The order on a hotter platen where that spares a sample, but never for its seconds."""
        found = dialled(now, hotter_dials(now.whole, known.press(now.whole.press)))
        return found if samples(found.whole) < samples(now.whole) else now

    def hopeless(chosen: Chosen) -> bool:
        """Whether the order is no better in these plans, however well they go with the rest.

        Where something asks for a sample it might be for what lies beside it.
        """
        if samples(now.whole):
            return False
        cost = sum(plan.cost - own[at].plan.cost for at, plan in chosen.items())
        minutes = sum(plan.minutes - own[at].plan.minutes for at, plan in chosen.items())
        return worth(with_more(at_least(now, rates), cost, minutes)) >= worth(now.whole)

    def gathered(ats: Iterable[int], names: Set[str]) -> Chosen:
        """Other plans of some prints in these films; none where they are hopeless."""
        chosen: Chosen = {}
        for at in ats:
            plan = plan_within(at, frozenset(names))
            if plan is not None and _films([plan]) != _films([own[at].plan]):
                chosen[at] = plan
            if chosen and hopeless(chosen):
                return {}
        return chosen

    rates = jobs[0].job.rates
    shown = [films_as_wished(one.job, known) for one in jobs]
    own, alone = prints, settled(prints)
    now = alone
    tried = {_cut_from(own)}

    def better() -> tuple[tuple[PlannedPrint, ...], InOrder] | None:
        """The best of the first kind of choices that holds one better than now."""
        for choices in _kinds(own, now, frozenset(known.films), shown, gathered):
            reached = None
            for chosen in choices:
                if len(tried) > MOST_TRIED or time.monotonic() > until:
                    break
                changed = tuple(
                    one.model_copy(update={"plan": chosen.get(at, one.plan)})
                    for at, one in enumerate(own)
                )
                if _cut_from(changed) in tried:
                    continue
                tried.add(_cut_from(changed))
                found = settled(changed, than=now)
                least = worth((reached[1] if reached else now).whole)
                if found.whole.status == "planned" and worth(found.whole) < least:
                    reached = (changed, found)
            if reached:
                return reached
        return None

    while found := better():
        own, now = found
    alone, now = hotter(alone), hotter(now)
    if worth(alone.whole) <= worth(now.whole):
        own, now = prints, alone
    now = told_of_dials(lay(own), now)
    return now._replace(prints=_told(alone, now))


def _cut_from(prints: Sequence[PlannedPrint]) -> tuple[tuple[str, str], ...]:
    """What tells choices of films apart."""
    return tuple((piece.film, piece.colour) for one in prints for piece in one.plan.pieces)


def _kinds(
    own: Sequence[PlannedPrint],
    now: InOrder,
    shelf: frozenset[str],
    shown: Sequence[frozenset[str]],
    gathered: Gather,
) -> Iterator[Iterator[Chosen]]:
    """Other plans of prints: those of one piece in one film; then of the prints that lose by a film
    all in any other film, all in those that the order is cut from besides, and one alone in either.

    Args:
        shown: the films that show what is wished for some piece of each print.
    """
    in_order = _films(one.plan for one in own)
    yield _in_one_film(own, shown, gathered)
    lose = _at_odds(own, now)
    pools = (shelf, frozenset(in_order))

    def without(film: str, pool: frozenset[str], among: Iterable[int]) -> Chosen:
        with_it = [at for at in among if film in _films([own[at].plan])]
        return gathered(with_it, pool - {film})

    for pool in pools:
        yield (chosen for film in in_order if (chosen := without(film, pool, lose)))
    yield (
        chosen
        for pool in pools
        for film in in_order
        for at in lose
        if (chosen := without(film, pool, [at]))
    )


def _in_one_film(
    own: Sequence[PlannedPrint], shown: Sequence[frozenset[str]], gathered: Gather
) -> Iterator[Chosen]:
    """The prints of one piece in one film, film by film; and the others in that and their own."""
    single = [at for at, one in enumerate(own) if len(one.plan.pieces) == 1]
    in_order = _films(one.plan for one in own)
    every = sorted(frozenset[str]().union(*(shown[at] for at in single)))
    for film in sorted(every, key=lambda film: film not in in_order):
        to_it = [at for at in single if film in shown[at] and _films([own[at].plan]) != (film,)]
        chosen = gathered(to_it, {film})
        if chosen:
            yield chosen
            rest = [at for at in range(len(own)) if at not in single and film in shown[at]]
            yield chosen | gathered(rest, {*in_order, film})


def _at_odds(own: Sequence[PlannedPrint], now: InOrder) -> list[int]:
    """The prints that another film might suit better, for what lies beside them.

    Where the press stands as it is from the first press on, only prints that are dialled for the
    others, and those that are pressed together and cut from different films, can lose by them.
    """
    steps = now.whole.steps
    first = next(at for at, step in enumerate(steps) if step.action == "press")
    if any(step.action in SETTINGS for step in steps[first:]):
        return list(range(len(now.prints)))
    lose = {one.id for was, one in zip(own, now.prints, strict=True) if was.plan != one.plan}
    for _, places in now.composed:
        for one in places.laid:
            beside = [print_ for print_, _ in one.part.bears]
            if len({_films([print_.plan]) for print_ in beside}) > 1:
                lose |= {print_.id for print_ in beside}
    return [at for at, one in enumerate(now.prints) if one.id in lose]


def _films(plans: Iterable[Plan]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(piece.film for plan in plans for piece in plan.pieces))


def _told(best: InOrder, now: InOrder) -> tuple[PlannedPrint, ...]:
    """The prints, each that is not in the films best for it alone saying why."""
    return tuple(
        one
        if _cut_from([one]) == _cut_from([was])
        else for_the_order(one, one.plan, was.plan, (_why(was, one, best, now), *one.plan.notes))
        for was, one in zip(best.prints, now.prints, strict=True)
    )


def _why(was: PlannedPrint, one: PlannedPrint, best: InOrder, now: InOrder) -> Text:
    films, alone = _films([one.plan]), _films([was.plan])
    sharing = [
        other.id
        for other in now.prints
        if other.id != one.id and set(films) & set(_films([other.plan]))
    ]
    too = ""
    if sharing:
        too = f", as {sharing[0]} is" if len(sharing) == 1 else f", as {len(sharing)} others are"
    asked = [samples(order.whole) for order in (now, best)]
    so, alone_so = (
        comes_to(order.whole, samples if asked[0] != asked[1] else None)
        for order, samples in zip((now, best), asked, strict=True)
    )
    return Text(
        f"cut from {and_list(films)}{too}: the order comes to {so} so, and to {alone_so} with all "
        f"prints in the films best for each alone, this in {and_list(alone)}"
    )
