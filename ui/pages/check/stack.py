"""Stack state: the films that a person stacks and the settings they change, held in the link."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

import streamlit as st

from rules.facts.meeting import MEETING_WORDS
from rules.facts.step import Meets, Step
from ui.session import catalogue

__all__ = [
    "change", "edited_steps", "edits", "lay", "meet", "meets", "move", "remember", "stack", "undo",
]  # fmt: skip

FIRST_STACK = ("matte-smooth", "sparkle-coarse")
MOST_LAYERS = 12
EDITABLE: dict[str, Callable[[str], Any]] = {
    "setpoint_c": float, "dwell_s": float, "cover": str, "peel": str,
}  # fmt: skip
"""What may be changed at a step, and how its words in the link are read."""


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
        st.session_state["meets"] = [_way(name) for name in named]
    kept: list[Meets] = st.session_state["meets"]
    wanted = max(0, len(stack()) - 1)
    return [*kept, *(_way("lap") for _ in range(wanted))][:wanted]


def meet(place: int, way: Meets) -> None:
    """Let the film at ``place`` meet the one below it so."""
    ways = meets()
    ways[place - 1] = way
    st.session_state["meets"] = ways


def _way(name: str) -> Meets:
    return next((way for way in MEETING_WORDS if way == name), "lap")


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
    st.session_state["edits-round"] = st.session_state.get("edits-round", 0) + 1


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
    """Write all into the link, so that it reopens exactly this."""
    st.query_params["stack"] = ",".join(films)
    ways = meets()
    if set(ways) - {"lap"}:
        st.query_params["meets"] = ",".join(ways)
    elif "meets" in st.query_params:
        del st.query_params["meets"]
    if changes:
        st.query_params["edits"] = ";".join(f"{key}={value}" for key, value in changes.items())
    elif "edits" in st.query_params:
        del st.query_params["edits"]
