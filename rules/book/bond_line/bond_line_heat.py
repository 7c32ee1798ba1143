"""Rule bond-line-heat: every adhesive must get hot enough for long enough."""

from rules.book.rule import Found, Rule
from rules.facts.subjects import BondLine
from rules.facts.units import show_c

__all__ = ["RULE"]


def _finds(line: BondLine) -> Found | None:
    film = line.film
    if not line.seconds_bonding >= film.bonds_s:
        missing_s = film.bonds_s - line.seconds_bonding
        return Found(
            f"the adhesive of {film.id} peaks at {show_c(line.peak_c)} and has "
            f"{_seconds(line.seconds_bonding)} at {show_c(film.bonds_c)} or more in a press of "
            f"{_seconds(line.dwell_s)}; it wants {_seconds(film.bonds_s)}, "
            f"{_seconds(missing_s)} longer; {_no_dwell(line)}",
            instead=_instead(line),
        )
    if not line.low_seconds_bonding >= film.bonds_s:
        return Found(
            f"the adhesive of {film.id} wants {_seconds(film.bonds_s)} at {show_c(film.bonds_c)} "
            f"or more and usually has {_seconds(line.seconds_bonding)}, but on an unlucky press "
            f"only {_seconds(line.low_seconds_bonding)}",
            severity="sample",
            instead="press a sample and wash it, check the platen with temperature strips, or "
            "press a little longer if the films bear it",
        )
    return None


def _seconds(seconds: float) -> str:
    return f"{max(seconds, 0.0):.1f}".removesuffix(".0") + " s"


def _will_do(line: BondLine) -> bool:
    return line.needed_dwell_s is not None and line.needed_dwell_s <= line.longest_dwell_s


def _no_dwell(line: BondLine) -> str:
    if line.needed_dwell_s is not None:
        needed = f"a press of {line.needed_dwell_s:.0f} s would give it"
        if _will_do(line):
            return needed
        return f"{needed}, but the films and the fabric allow {_seconds(line.longest_dwell_s)}"
    if line.steady_c < line.film.bonds_c:
        return f"no dwell would do, for it never gets past {show_c(line.steady_c)}"
    return f"no dwell would do within the {_seconds(line.longest_dwell_s)} that is allowed"


def _instead(line: BondLine) -> str:
    if _will_do(line):
        return f"press {line.needed_dwell_s:.0f} s instead of {_seconds(line.dwell_s)}"
    return (
        "raise the setpoint if all can bear it, take a thinner cover sheet or fewer layers above "
        "it, a foam pad instead of a dense one under it, or give the lower film its full press "
        "before the upper one"
    )


RULE = Rule(
    id="bond-line-heat",
    judges="bond_line",
    severity="stop",
    summary="Every bond line is hot enough for long enough to bond.",
    why="The dial shows the platen; the adhesive lies under covers, carriers and films and lags "
    "behind. One that only softened grabs, looks right, and comes off in the wash.",
    instead="press longer or hotter, or put less between platen and adhesive",
    basis="physics",
    source="one-dimensional transient conduction (Carslaw and Jaeger, Conduction of Heat in "
    "Solids); the film's own bonding temperature and hold",
    good={
        "film": {"like": "matte-smooth", "bonds_c": 120, "bonds_s": 5},
        "below": "cotton-jersey-tee",
        "peak_c": 145,
        "seconds_bonding": 11,
        "low_seconds_bonding": 8,
        "dwell_s": 15,
        "needed_dwell_s": 9,
        "longest_dwell_s": 18,
        "steady_c": 150,
    },
    bad={
        "film": {"like": "matte-smooth", "bonds_c": 120, "bonds_s": 5},
        "below": "cotton-jersey-tee",
        "peak_c": 121,
        "seconds_bonding": 2,
        "low_seconds_bonding": 0,
        "dwell_s": 12,
        "needed_dwell_s": 16,
        "longest_dwell_s": 18,
        "steady_c": 150,
    },
    finds=_finds,
)
