"""Rule pressure-window: the press closes with the pressure that was set, and films ask for."""

from rules.book.rule import Found, Rule
from rules.book.schedule.sample_steps import full
from rules.facts.schedule import ScheduledStep, films_named

__all__ = ["RULE"]


def _finds(at: ScheduledStep) -> Found | None:
    return _never_said(at) or _not_set(at) or _outside(at)


def _never_said(at: ScheduledStep) -> Found | None:
    """The first film that is pressed while no step has said with what pressure."""
    schedule = at.schedule
    first = at.step.action == "press" and not any(one.action == "press" for one in at.earlier)
    if not first or any(step.pressure_kpa is not None for step in schedule.steps):
        return None
    films = schedule.films.values()
    low_kpa = max(film.pressure_kpa.low for film in films)
    high_kpa = min(film.pressure_kpa.high for film in films)
    return Found(
        "the press closes, and no step says with what pressure",
        severity="sample",
        instead=f"set the pressure first; {low_kpa:.0f} to {high_kpa:.0f} kPa on the platen suits "
        "these films"
        if low_kpa <= high_kpa
        else "set the pressure before each press, as its films ask for it",
    )


def _not_set(at: ScheduledStep) -> Found | None:
    kpa = at.step.pressure_kpa
    was_kpa = at.before.pressure_kpa if at.pressure_set_kpa is None else at.pressure_set_kpa
    if not at.closes_hot or kpa is None or was_kpa == kpa:
        return None
    words = at.schedule.press.pressure_words(kpa)
    if was_kpa is None:
        return Found(
            f"the press closes at {kpa:.0f} kPa, and no step before it sets the pressure",
            instead=f"set the pressure to {words} first",
        )
    return Found(
        f"the pressure was set to {was_kpa:.0f} kPa, and the press closes at {kpa:.0f} kPa",
        instead=f"write the same pressure in both, or set it to {words} first",
    )


def _outside(at: ScheduledStep) -> Found | None:
    kpa, films, press = at.after.pressure_kpa, at.schedule.films, at.schedule.press
    # A pressure that the press cannot give is another rule's: ``press-range``.
    if kpa is None or not press.gives_kpa(kpa):
        return None
    outside = tuple(p for p in at.finishing if not films[p].pressure_kpa.holds(kpa))
    if not outside:
        return None
    low_kpa = max(films[p].pressure_kpa.low for p in at.finishing)
    high_kpa = min(films[p].pressure_kpa.high for p in at.finishing)
    window = films[outside[0]].pressure_kpa
    settable = [p for p in press.pressures_kpa if low_kpa <= p <= high_kpa]
    nearest_kpa = min(settable, key=lambda p: abs(p - window.best), default=None)
    return Found(
        f"{kpa:.0f} kPa on the platen is outside the {window.low:.0f} to {window.high:.0f} kPa of "
        f"{films_named(at.schedule, outside[:1])}",
        severity="sample",
        instead=f"set {press.pressure_words(nearest_kpa)}"
        if nearest_kpa is not None
        else "press a sample at the nearest pressure that the press can set",
    )


_WINDOW = {"low": 20, "best": 30, "high": 45}
_SET = {"action": "pressure", "pressure_kpa": 30}
_MATTE = {"films": {"base": {"like": "matte-smooth", "pressure_kpa": _WINDOW}}}

RULE = Rule(
    id="pressure-window",
    judges="schedule",
    severity="stop",
    summary="Each press closes with the pressure that was set, and the full press has one within "
    "the window of every film that it finishes.",
    why="Too light and the adhesive does not reach into the fabric; too firm and it is squeezed "
    "out, and textures and foams are flattened.",
    instead="set the pressure again",
    basis="sheet",
    source="each film's own pressure window; platen pressure, not line pressure",
    good={**_MATTE, "steps": [_SET, full("base", pressure_kpa=30)]},
    bad={**_MATTE, "steps": [_SET, full("base", pressure_kpa=15)]},
    finds=_finds,
)
