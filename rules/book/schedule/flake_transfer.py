"""Rule flake-transfer: loose flakes of a shedding film stay off faces, platen and adhesives."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, tack
from rules.facts.practice import LONGEST_TACK_S, TACK_S
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    step, schedule, films = at.step, at.schedule, at.schedule.films
    if step.action != "press":
        return None
    shedding = tuple(p for p in at.after.down if films[p].sheds)
    under_carrier = tuple(p for p in shedding if p in at.after.carriers_on)
    bare = tuple(p for p in shedding if p not in at.after.carriers_on)
    exposed = tuple(p for p in at.after.down if p not in (*shedding, *at.after.carriers_on))
    long = (step.dwell_s or 0) > LONGEST_TACK_S
    if long and under_carrier and exposed:
        named = films_named(schedule, under_carrier)
        return Found(
            f"flakes from the {number(under_carrier, 'carrier', 'carriers')} of {named} are "
            f"pressed into the open {number(exposed, 'face', 'faces')} of "
            f"{films_named(schedule, exposed)} for {step.dwell_s:g} s",
            instead=f"tack {named} about {TACK_S:g} s, peel it, brush off loose flakes, then press "
            "under a cover sheet",
        )
    if long and bare and not step.cover:
        return Found(
            f"{films_named(schedule, bare)} {number(bare, 'is', 'are')} pressed {step.dwell_s:g} s "
            f"without a cover sheet, and {number(bare, 'leaves', 'leave')} flakes on the platen",
            instead="lay a cover sheet over the print",
        )
    open_before = tuple(p for p in bare if p in at.before.down)
    if open_before and at.laid_down:
        return Found(
            f"{films_named(schedule, at.laid_down)} {number(at.laid_down, 'goes', 'go')} down "
            f"after {films_named(schedule, open_before)} {number(open_before, 'was', 'were')} "
            "peeled; a film does not bond to stray flakes",
            severity="note",
            instead="brush or roll off loose flakes before laying the next piece",
        )
    return None


_OVER = {"films": {"base": "matte-smooth", "top": "sparkle-coarse"}, "over": [["top", "base"]]}
_BASE = [tack("base"), peel("base")]

RULE = Rule(
    id="flake-transfer",
    judges="schedule",
    severity="sample",
    summary="A film that sheds is peeled after its tack and pressed under a cover sheet.",
    why="Loose flakes cling to its carrier and to the platen; a longer press sets them into every "
    "open face for good.",
    instead="peel it after the tack, brush off loose flakes, then press under a cover sheet",
    basis="practice",
    source="common practice, no source",
    good={
        **_OVER,
        "steps": [*_BASE, tack("top"), peel("top"), full("base", "top", cover="ptfe-cover")],
    },
    bad={**_OVER, "steps": [*_BASE, full("base", "top", cover="ptfe-cover")]},
    finds=_finds,
)
