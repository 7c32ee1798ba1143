"""Rule peel-wait: a carrier comes off as hot, warm or cold as its film asks for."""

from collections.abc import Mapping

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, wait
from rules.facts.film import Peel
from rules.facts.practice import LONGEST_HOT_PEEL_WAIT_S, PEEL_WAIT_S, WARM_PEEL_WAIT_S
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    if at.step.action != "peel":
        return None
    films, waited_s = at.schedule.films, at.before.waited_s
    peeled = tuple(p for p in at.before.carriers_on if p not in at.after.carriers_on)
    early = tuple(p for p in peeled if waited_s < PEEL_WAIT_S[films[p].peel])
    if early:
        slowest = max(early, key=lambda piece: PEEL_WAIT_S[films[piece].peel])
        how = films[slowest].peel
        hot_off_cold = how == "cold" and waited_s < WARM_PEEL_WAIT_S
        return Found(
            f"{films_named(at.schedule, (slowest,))} peels {how}, but has cooled for only "
            f"{waited_s:g} s",
            severity="stop" if hot_off_cold else "sample",
            instead=f"{_WAIT[how]} about {PEEL_WAIT_S[how]:g} s, then peel {how}",
        )
    late = tuple(p for p in peeled if films[p].peel == "hot")
    if late and waited_s > LONGEST_HOT_PEEL_WAIT_S:
        return Found(
            f"{films_named(at.schedule, late)} "
            + number(late, "peels hot, but has", "peel hot, but have")
            + f" cooled for {waited_s:g} s",
            severity="note",
            instead="peel it as soon as the press opens, or press it 2 s again and peel",
        )
    said = at.step.peel
    others = tuple(p for p in peeled if said is not None and films[p].peel != said)
    if others:
        own = films[others[0]].peel
        # A hot-peel carrier grips again as it cools; a heavy one leaves its line or tears flakes.
        harmless = own == "hot" and not any(films[piece].carrier_marks for piece in others)
        return Found(
            f"the step says to peel {said}, and {films_named(at.schedule, others[:1])} peels {own}",
            severity="note" if harmless else "sample",
            instead=f"peel it {own}, apart from films that peel otherwise",
        )
    return None


_WAIT: Mapping[Peel, str] = {
    "hot": "wait",
    "warm": "leave the press open for",
    "cold": "slide it off the press and let it cool for",
}

_COLD = {"films": {"base": {"like": "matte-smooth", "peel": "cold"}}}

RULE = Rule(
    id="peel-wait",
    judges="schedule",
    severity="stop",
    summary="A carrier cools long enough before a warm or a cold peel, and not too long before a "
    "hot one.",
    why="While the adhesive is soft, a carrier made for cold peeling pulls the film up with it; a "
    "hot-peel carrier grips again as it cools.",
    instead="leave the press open for about 10 s before a warm peel; let it cool off the press for "
    "about 45 s before a cold one",
    basis="practice",
    source="common practice, no source; how each film peels is its own",
    good={**_COLD, "steps": [full("base"), wait(45, off_press=True), peel("base", how="cold")]},
    bad={**_COLD, "steps": [full("base"), peel("base", how="hot")]},
    finds=_finds,
)
