"""Rule nightwear: prints change how nightwear burns."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.subjects import Pressing

__all__ = ["RULE"]


def _finds(job: Pressing) -> Found | None:
    if not job.nightwear:
        return None
    films = ", ".join(dict.fromkeys(film.id for film in job.films)) or "a film"
    laws = (
        "flammability rules for children's nightwear (16 CFR 1615 and 1616 in the US) may apply "
        "to the decorated garment"
        if job.wearer in {"child", "infant"}
        else "local flammability rules for nightwear may apply to the decorated garment"
    )
    return Found(f"{films} on nightwear of {job.fabric.id}: {laws}", "nightwear")


RULE = Rule(
    id="nightwear",
    judges="safety",
    severity="sample",
    summary="Nightwear is decorated only with its flammability in mind.",
    why="A film can make a fabric that passed its flame test fail it, and nightwear hangs loose "
    "near flames; this advice cannot tell whether a garment passes.",
    instead="have the decorated garment tested by an accredited laboratory, and defer to local law",
    basis="standard",
    source="16 CFR 1615 and 16 CFR 1616; local law elsewhere",
    good={"films": ["matte-smooth"], "wearer": "child", "steps": [full("base")]},
    bad={
        "films": ["matte-smooth"],
        "wearer": "child",
        "nightwear": True,
        "steps": [full("base")],
    },
    finds=_finds,
)
