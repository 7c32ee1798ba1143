"""Rule foam-risen: nothing is pressed once a foam film has risen."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full, peel, tack
from rules.facts.schedule import ScheduledStep, films_named, number

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    if not at.closes_hot or not at.before.foamed:
        return None
    named = films_named(at.schedule, at.before.foamed)
    return Found(
        f"{named} {number(at.before.foamed, 'has risen, and is', 'have risen, and are')} pressed "
        f"again for {at.step.dwell_s or 0:g} s",
        instead=f"lay everything else first and press {named} last, once",
    )


_FOAM = {
    "films": {"base": "matte-smooth", "puff": {"like": "matte-smooth", "foams": True}},
}

RULE = Rule(
    id="foam-risen",
    judges="schedule",
    severity="stop",
    summary="A foam film gets one full press, the last of all.",
    why="It rises in its full press, and a second one flattens it for good.",
    instead="press the foam film last",
    basis="practice",
    source="common practice, no source",
    good={
        **_FOAM,
        "steps": [tack("base"), peel("base"), full("base", "puff", cover="ptfe-cover")],
    },
    bad={**_FOAM, "steps": [full("puff"), peel("puff"), tack("base")]},
    finds=_finds,
)
