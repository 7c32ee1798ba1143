"""Rule faint-overlay: a shape that lets others through would hide them as a film."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import AsDrawn
from rules.facts.text import and_list, piece_name

__all__ = ["HALF", "RULE"]

HALF = 0.5
"""The least opacity at which a shape looks more like itself than like what lies under it."""


def _finds(drawn: AsDrawn) -> Found | None:
    if drawn.opacity >= 1:
        return None
    faint = f"{drawn.named} is {100 * drawn.opacity:.0f} % opaque in the artwork"
    over = and_list([piece_name(piece) for piece in drawn.over]) or "the garment"
    if drawn.pressed:
        return Found(
            f"{faint} and is pressed as a film that covers: {over} will not shine through it",
            severity="note" if drawn.opacity >= HALF else "sample",
            instead="say `flatten: true` in the job to lay it in the colour that the eye sees "
            "there, or leave it out",
        )
    return Found(
        f"{faint}; as a film it would hide {over}, so it is left out",
        severity="note",
        instead="say `flatten: true` in the job to lay it in the colours that the eye sees there, "
        "or draw it in flat colours",
    )


RULE = Rule(
    id="faint-overlay",
    judges="drawn",
    severity="sample",
    summary="What the artwork lets shine through is not hidden under a film.",
    why="A film covers what lies under it: a shadow or a gleam becomes a flat patch, and the face "
    "that it lay on is gone.",
    instead="leave it out, or draw it in flat colours",
    basis="practice",
    source="common practice, no source; the opacity from which it is pressed is generic",
    good={"piece": "shade", "opacity": 1},
    bad={"piece": "shade", "opacity": 0.3, "over": ["face"], "pressed": False},
    finds=_finds,
)
