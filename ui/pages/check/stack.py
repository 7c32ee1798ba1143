"""Stack state: the films that a person stacks and the settings they change, held in the link."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from advisor.answers.typed_stack import LEAST_PRINT_MM, MOST_PRINT_MM
from rules.facts.step import Meets, Step
from ui.address import moved, write
from ui.session import catalogue
from ui.words import way_named

__all__ = [
    "change", "drawn_anew", "dye", "edited_steps", "edits", "lay", "lay_instead", "meet", "meets",
    "move", "remember", "reopen", "resize", "sides_mm", "size_mm", "stack", "undo",
]  # fmt: skip

HELD = ("stack", "meets", "size", "edits")
"""What the visit holds of the question, each under its word in the address."""

FIRST_STACK = ("matte-smooth", "sparkle-coarse")
MOST_LAYERS = 12
EDITABLE: dict[str, Callable[[str], Any]] = {
    "setpoint_c": float, "dwell_s": float, "cover": str, "peel": str,
}  # fmt: skip
"""What may be changed at a step, and how its words in the link are read."""


def reopen() -> None:
    """Take up what the address asks, where the person went back or came by a link."""
    if moved(*HELD):
        for name in HELD:
            st.session_state.pop(name, None)
        _draw_anew()


def stack() -> list[str]:
    """The films, bottom first, each as its id or as ``ID:colour``.

    They are as changed here, or as the link says, or some to start from.
    """
    if "stack" not in st.session_state:
        named = st.query_params.get("stack")
        known = [name for name in (named or "").split(",") if _is_film(name)]
        st.session_state["stack"] = known[:MOST_LAYERS] if named is not None else [*FIRST_STACK]
    films: list[str] = st.session_state["stack"]
    return films


def _is_film(name: str) -> bool:
    film_id, colon, colour = name.partition(":")
    film = catalogue().films.get(film_id)
    return film is not None and (not colon or colour in [one.name for one in film.colours])


def meets() -> list[Meets]:
    """How each film meets the one below, bottom first: as changed here, or as the link says."""
    if "meets" not in st.session_state:
        named = st.query_params.get("meets", "").split(",")
        st.session_state["meets"] = [way_named(name) for name in named]
    kept: list[Meets] = st.session_state["meets"]
    wanted = max(0, len(stack()) - 1)
    return [*kept, *(way_named("lap") for _ in range(wanted))][:wanted]


def meet(place: int, way: Meets) -> None:
    """Let the film at ``place`` meet the one below it so."""
    ways = meets()
    ways[place - 1] = way
    st.session_state["meets"] = ways


def size_mm() -> tuple[float, float] | None:
    """The print's width and height, where both were said."""
    width, height = sides_mm()
    return None if width is None or height is None else (width, height)


def sides_mm() -> tuple[float | None, float | None]:
    """The print's width and height, each as it was said, or ``None``."""
    if "size" not in st.session_state:
        width, _, height = st.query_params.get("size", "").partition("x")
        st.session_state["size"] = (_length(width), _length(height))
    held: tuple[float | None, float | None] = st.session_state["size"]
    return held


def resize(side: int, mm: float | None) -> None:
    """Let the print be so wide (0) or high (1); ``None`` where nobody says."""
    sides = [*sides_mm()]
    sides[side] = mm
    st.session_state["size"] = tuple(sides)


def _length(word: str) -> float | None:
    """A length in mm as the address has it; ``None`` where it is none that a print can have."""
    try:
        mm = float(word)
    except ValueError:
        return None
    return mm if LEAST_PRINT_MM <= mm <= MOST_PRINT_MM else None


def lay(film: str) -> None:
    """Lay a film on top."""
    if len(stack()) < MOST_LAYERS:
        st.session_state["stack"] = [*stack(), film]


def move(place: int, by: int) -> None:
    """Move the film at ``place`` up (1), down (-1), or off the stack (0)."""
    films = [*stack()]
    film = films.pop(place)
    if by:
        films.insert(max(0, min(len(films), place + by)), film)
    st.session_state["stack"] = films


def dye(place: int, colour: str | None) -> None:
    """Have the film at ``place`` in this colour; ``None`` for any."""
    films = [*stack()]
    film = films[place].partition(":")[0]
    films[place] = f"{film}:{colour}" if colour else film
    st.session_state["stack"] = films


def lay_instead(films: Sequence[str], ways: Sequence[Meets]) -> None:
    """Lay these films so in place of what lies there."""
    st.session_state["stack"], st.session_state["meets"] = [*films], [*ways]
    undo()


def edits(signature: str) -> dict[str, str]:
    """Changed settings as ``"8.dwell_s" → "20"``; those of another stack are dropped."""
    if "edits" not in st.session_state:
        named = st.query_params.get("edits", "")
        pairs = (part.partition("=") for part in named.split(";") if "=" in part)
        st.session_state["edits"] = {key: value for key, _, value in pairs}
        st.session_state["edits-of"] = signature
    if st.session_state.get("edits-of") != signature:
        undo()
        st.session_state["edits-of"] = signature
    kept: dict[str, str] = st.session_state["edits"]
    return kept


def change(key: str, value: str) -> None:
    """Keep one changed setting."""
    st.session_state["edits"] = {**st.session_state["edits"], key: value}


def undo() -> None:
    """Give every step its own settings back."""
    st.session_state["edits"] = {}
    _draw_anew()


def drawn_anew() -> int:
    """How often the fields were filled anew; part of their keys."""
    count: int = st.session_state.get("round", 0)
    return count


def _draw_anew() -> None:
    # Fields hold what was last typed in them; under another key they show what holds now.
    st.session_state["round"] = drawn_anew() + 1


def edited_steps(steps: Sequence[Step], changes: Mapping[str, str]) -> tuple[Step, ...]:
    """The steps with the changes in them; a change that no step can take is left out.

    >>> step = Step(n=1, action="press", purpose="full", pieces=("base",), dwell_s=15)
    >>> edited_steps([step], {"1.dwell_s": "20"})[0].dwell_s
    20.0
    >>> edited_steps([step], {"1.dwell_s": "soon", "9.cover": "none", "1.why": "so"}) == (step,)
    True
    """
    made = []
    for step in steps:
        document = step.model_dump()
        for field, read in EDITABLE.items():
            given = changes.get(f"{step.n}.{field}")
            if given is not None:
                try:
                    value = read(given) if given != "none" else None
                    document = Step.model_validate({**document, field: value}).model_dump()
                except ValueError:
                    continue
        made.append(Step.model_validate(document))
    return tuple(made)


def remember(films: Sequence[str], changes: Mapping[str, str]) -> None:
    """Write all into the address, so that it reopens exactly this."""
    ways, size = meets(), size_mm()
    write(
        stack=",".join(films),
        meets=",".join(ways) if set(ways) - {"lap"} else None,
        size=f"{size[0]:g}x{size[1]:g}" if size else None,
        edits=";".join(f"{key}={value}" for key, value in changes.items()) or None,
    )
