"""Draw a heat report: the temperature of every bond line against time, over the press steps.

Drawn with matplotlib: it is the best-kept library that writes both SVG and PNG with nothing else
installed (no browser, no JavaScript). It is imported only when something is drawn.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from advisor.heat.records import HeatReport, ReportedCourse, ReportedPhase
from rules.errors import BadInputError
from rules.facts.units import c_to_f

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

__all__ = ["figure", "plot"]

# Okabe and Ito's colours, which stay apart for every kind of colour vision (Okabe & Ito, Color
# Universal Design, 2008; from memory); dashes tell the lines apart where there is no colour.
_COLOURS = ("#0072b2", "#d55e00", "#009e73", "#cc79a7", "#e69f00", "#56b4e9")
_DASHES = ("-", "--", "-.", (0, (1, 1)), (0, (5, 1, 1, 1, 1, 1)), (0, (8, 2)))
_INK = "#333333"
_FULL, _TACK, _OPEN = "#f6d5c3", "#fbeadf", "#ffffff"
_NAME_HEIGHT = 0.028
"""Height of a name at the right, as a share of the temperature axis."""
_LEAST_C = 10.0
_ROOM_FOR_NAMES_K = 42.0
_LEAST_WIDTH = 0.012
"""Share of the time axis below which a phase's name does not fit even upright."""


def plot(report: HeatReport, path: str | Path, *, fahrenheit: bool = False) -> Path:
    """Write the drawing as SVG or PNG, by the path's ending.

    Args:
        report: what to draw.
        path: where to, ending in ``.svg`` or ``.png``.
        fahrenheit: the temperature axis in °F.

    Raises:
        BadInputError: another ending, or a folder that cannot be written to.
    """
    target = Path(path)
    if target.suffix.lower() not in {".svg", ".png"}:
        raise BadInputError(
            f"ends in {target.suffix or 'nothing'!r}; a drawing is written as .svg or .png",
            source=str(target),
        )
    drawn = figure(report, fahrenheit=fahrenheit)
    # A fixed salt and no date: the same report gives the same file.
    import matplotlib

    with matplotlib.rc_context({"svg.hashsalt": "presslore", "svg.fonttype": "none"}):
        metadata = {"Date": None} if target.suffix.lower() == ".svg" else {"Software": None}
        try:
            drawn.savefig(target, dpi=150, metadata=metadata)
        except OSError as error:
            raise BadInputError(
                f"cannot be written: {error.strerror}", source=str(target)
            ) from None
    return target


def figure(report: HeatReport, *, fahrenheit: bool = False) -> Figure:
    """The drawing itself: phases shaded and named, bond lines, and what each adhesive wants."""
    from matplotlib.figure import Figure

    drawn = Figure(figsize=(10.0, 5.6), layout="constrained")
    axes = drawn.add_subplot()
    ends_s = max((phase.to_s for phase in report.phases), default=1.0) or 1.0
    hottest_c = max(
        [phase.platen_c or 0.0 for phase in report.phases]
        + [max(course.celsius, default=0.0) for course in report.courses]
    )
    top_c = hottest_c + _ROOM_FOR_NAMES_K
    axes.set_xlim(0, ends_s * 1.13)
    axes.set_ylim(_shown(_LEAST_C, fahrenheit), _shown(top_c, fahrenheit))
    _draw_phases(axes, report.phases, ends_s, top_c, fahrenheit)
    _draw_wants(axes, report.courses, ends_s, fahrenheit)
    for number, course in enumerate(report.courses):
        face = course.between[0] == "face"
        axes.plot(
            course.seconds,
            [_shown(celsius, fahrenheit) for celsius in course.celsius],
            color="#777777" if face else _COLOURS[number % len(_COLOURS)],
            linestyle=":" if face else _DASHES[number % len(_DASHES)],
            linewidth=1.2 if face else 2.2,
            label=f"face of {course.between[1]}" if face else " on ".join(course.between),
        )
    axes.set_xlabel("seconds from the first closing of the press")
    axes.set_ylabel("°F" if fahrenheit else "°C")
    films = {line.piece: line.film for line in report.bond_lines}
    stack = " over ".join(films[piece] for piece in reversed(report.place) if piece in films)
    axes.set_title(f"{stack} on {report.fabric}, {report.press}", fontsize=11, color=_INK)
    axes.legend(loc="upper center", bbox_to_anchor=(0.5, -0.12), ncols=3, frameon=False, fontsize=9)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return drawn


def _shown(celsius: float, fahrenheit: bool) -> float:
    return c_to_f(celsius) if fahrenheit else celsius


def _draw_phases(
    axes: Axes, phases: tuple[ReportedPhase, ...], ends_s: float, top_c: float, fahrenheit: bool
) -> None:
    named = False
    for phase in phases:
        closed = phase.platen_c is not None
        shade = (_FULL if phase.label == "full press" else _TACK) if closed else _OPEN
        axes.axvspan(phase.from_s, phase.to_s, color=shade, linewidth=0, zorder=0)
        if closed:
            axes.axvline(phase.from_s, color="#c9a892", linewidth=0.6, zorder=1)
            axes.axvline(phase.to_s, color="#c9a892", linewidth=0.6, zorder=1)
            level = _shown(phase.platen_c or 0.0, fahrenheit)
            axes.plot(
                [phase.from_s, phase.to_s], [level, level],
                color=_INK, linewidth=1.4, zorder=2, label=None if named else "platen",
            )  # fmt: skip
            named = True
        width = (phase.to_s - phase.from_s) / ends_s
        if width < _LEAST_WIDTH:
            continue
        axes.text(
            (phase.from_s + phase.to_s) / 2,
            _shown(top_c - 2, fahrenheit),
            f"{phase.step} {phase.label}",
            rotation=0 if width > 0.12 else 90,
            ha="center",
            va="top",
            fontsize=7.5,
            color=_INK if closed else "#666666",
            zorder=5,
        )


def _draw_wants(
    axes: Axes, courses: tuple[ReportedCourse, ...], ends_s: float, fahrenheit: bool
) -> None:
    """Lines where each adhesive softens and bonds, named at the right; near names share a line."""
    names: dict[float, list[str]] = {}
    for number, course in enumerate(courses):
        colour = _COLOURS[number % len(_COLOURS)]
        for celsius, does, dashes in (
            (course.softens_c, "softens", (0, (1, 3))),
            (course.bonds_c, "bonds", (0, (6, 3))),
        ):
            if celsius is None:
                continue
            level = _shown(celsius, fahrenheit)
            axes.plot(
                [0, ends_s], [level, level],
                color=colour, linewidth=0.9, linestyle=dashes, zorder=1,
            )  # fmt: skip
            name = f"{course.between[0]} {does}"
            if name not in names.setdefault(celsius, []):
                names[celsius].append(name)
    said = [(celsius, name) for celsius in sorted(names) for name in names[celsius]]
    low, high = axes.get_ylim()
    apart = (high - low) * _NAME_HEIGHT
    for level, name in _spread([_shown(celsius, fahrenheit) for celsius, _ in said], apart, said):
        axes.text(ends_s * 1.01, level, name, fontsize=7.5, va="center", color=_INK)


def _spread(
    levels: list[float], apart: float, said: list[tuple[float, str]]
) -> list[tuple[float, str]]:
    """Names moved up and down just so far that none covers another."""
    placed = list(levels)
    for _ in range(len(placed) * 4):
        for n in range(len(placed) - 1):
            short = apart - (placed[n + 1] - placed[n])
            if short > 1e-9:
                placed[n] -= short / 2
                placed[n + 1] += short / 2
    return [(level, name) for level, (_, name) in zip(placed, said, strict=True)]
