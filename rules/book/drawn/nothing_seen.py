"""Rule nothing-seen: what lies wholly under other pieces is neither cut nor pressed."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import AsDrawn

__all__ = ["RULE"]


def _finds(drawn: AsDrawn) -> Found | None:
    if drawn.seen:
        return None
    if drawn.pressed:
        return Found(
            f"{drawn.named} lies wholly under other pieces; it is pressed, since the job gives it "
            "a look of its own",
            instead="leave it out, unless it is meant to brighten or block what lies below",
        )
    return Found(
        f"{drawn.named} lies wholly under other pieces, where nobody sees it; it is neither cut "
        "nor pressed",
        instead="give its fill a look of its own if it is meant to brighten or block what lies "
        "below",
    )


RULE = Rule(
    id="nothing-seen",
    judges="drawn",
    severity="note",
    summary="Every piece that is cut shows somewhere.",
    why="A film that nobody sees costs film, a tack and a stiffer hand.",
    instead="leave it out",
    basis="practice",
    source="common practice, no source",
    good={"piece": "sun"},
    bad={"piece": "sun", "seen": False, "pressed": False},
    finds=_finds,
)
