"""Twenty edits of one plan, each with its verdict and the rule that speaks: nothing is promised
of what a plan says of itself."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from advisor import check, plan
from advisor.job.records.job import Job
from advisor.job.records.plan import Plan
from rules.facts.step import Step

ARTWORK = """
<svg xmlns="http://www.w3.org/2000/svg" width="120mm" height="80mm" viewBox="0 0 120 80">
  <rect width="120" height="80" fill="#1b2a49"/>
  <rect x="30" y="20" width="60" height="40" fill="#f2c14e"/>
</svg>
"""

Edit = Callable[[Plan], Plan]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """Gold glitter over navy matte on a pouch pocket, where a seam sinks into a pad."""
    folder: Path = tmp_path_factory.mktemp("edits")
    (folder / "art.svg").write_text(ARTWORK, encoding="utf-8")
    job = Job.model_validate(
        {
            "job": "harbour",
            "artwork": "art.svg",
            "looks": {
                "#1b2a49": {"film": "matte-smooth"},
                "#f2c14e": {"film": "sparkle-coarse"},
            },
            "garments": [
                {
                    "garment": "adult-hoodie",
                    "area": "pocket",
                    "quantity": 10,
                    "artwork_width_mm": 110,
                }
            ],
        }
    )
    return plan(job, folder=folder)


def stepwise(change: Callable[[list[Step]], list[Step]]) -> Edit:
    """An edit of the steps, which are numbered anew."""

    def edit(made: Plan) -> Plan:
        steps = [
            step.model_copy(update={"n": n}) for n, step in enumerate(change([*made.steps]), 1)
        ]
        return made.model_copy(update={"steps": tuple(steps)})

    return edit


def where(action: str, purpose: str | None = None, *, pieces: bool | None = None) -> Any:
    def matches(step: Step) -> bool:
        kind = step.action == action and purpose in {None, step.purpose}
        return kind and pieces in {None, bool(step.pieces)}

    return matches


def dropped(which: Any) -> Edit:
    return stepwise(lambda steps: [step for step in steps if not which(step)])


def doubled(which: Any) -> Edit:
    return stepwise(lambda steps: [one for step in steps for one in [step] * (1 + which(step))])


def moved_to_front(which: Any) -> Edit:
    return stepwise(lambda steps: sorted(steps, key=lambda step: not which(step)))


def moved_to_end(which: Any) -> Edit:
    return stepwise(lambda steps: sorted(steps, key=which))


def changed(which: Any, **values: object) -> Edit:
    return stepwise(
        lambda steps: [step.model_copy(update=values) if which(step) else step for step in steps]
    )


def at_every_heat(setpoint_c: float) -> Edit:
    return changed(lambda step: step.setpoint_c is not None, setpoint_c=setpoint_c)


def piece(number: int, **values: object) -> Edit:
    def edit(made: Plan) -> Plan:
        pieces = [*made.pieces]
        pieces[number] = pieces[number].model_copy(update=values)
        return made.model_copy(update={"pieces": tuple(pieces)})

    return edit


def joint(**values: object) -> Edit:
    def edit(made: Plan) -> Plan:
        [only] = made.joints
        return made.model_copy(update={"joints": (only.model_copy(update=values),)})

    return edit


def as_large_as(width_mm: float, height_mm: float) -> Edit:
    def edit(made: Plan) -> Plan:
        [line] = made.print.lines
        larger = line.__class__(**{**_fields(line), "width_mm": width_mm, "height_mm": height_mm})
        print_ = made.print.__class__(**{**_fields(made.print), "lines": (larger,)})
        return made.model_copy(update={"print": print_})

    return edit


def _fields(record: Any) -> dict[str, Any]:
    names = getattr(record, "__dataclass_fields__", None) or type(record).model_fields
    return {name: getattr(record, name) for name in names}


FULL, TACK, PEEL = where("press", "full"), where("press", "tack"), where("peel", pieces=True)
GOLD, NAVY = 1, 0

EDITS: list[tuple[str, Edit, str, str]] = [
    ("the preheat dropped", dropped(where("preheat")), "sample", "preheat-dry"),
    ("the full press dropped", dropped(FULL), "stop", "all-finished"),
    ("the peels dropped", dropped(PEEL), "stop", "carrier-off-first"),
    ("the tacks dropped", dropped(TACK), "stop", "carrier-off-first"),
    ("the lifting of the cover dropped", dropped(where("peel", pieces=False)), "stop",
     "all-finished"),
    ("the pad left out", dropped(where("pad")), "sample", "pad-under-obstruction"),
    ("another pad, too small", changed(where("pad"), pad="small-ptfe-cover"), "sample",
     "pad-under-obstruction"),
    ("the full press four times", lambda made: doubled(FULL)(doubled(FULL)(made)), "stop",
     "pressed-seconds"),
    ("the peels doubled", doubled(PEEL), "stop", "carrier-off-first"),
    ("the full press moved to the front", moved_to_front(FULL), "stop", "carrier-off-first"),
    ("the peels moved to the end", moved_to_end(PEEL), "stop", "carrier-off-first"),
    ("ten degrees hotter at the press alone", changed(FULL, setpoint_c=170), "stop",
     "setpoint-change"),
    ("everything at 130 °C", at_every_heat(130), "stop", "setpoint-window"),
    ("everything at 185 °C", at_every_heat(185), "stop", "setpoint-window"),
    ("the full press of 3 s", changed(FULL, dwell_s=3), "stop", "bond-line-heat"),
    ("no cover over the glitter", changed(FULL, cover=None), "stop", "cover-exposed-face"),
    ("a hot peel of a heavy carrier written cold", changed(PEEL, peel="cold"), "sample",
     "peel-wait"),
    ("the glitter below the matte", lambda made: piece(NAVY, film="sparkle-coarse", colour="gold")(
        piece(GOLD, film="matte-smooth", colour="navy")(made)), "stop", "top-surface"),
    ("a colour that the film lacks", piece(NAVY, colour="teal", srgb="#008080"), "stop",
     "colour-match"),
    ("half a metre wide", as_large_as(500, 333), "stop", "fits-platen"),
    ("a lap that becomes a butt without a gap", joint(meets="butt", gap_mm=0.0), "sample",
     "butt-gap"),
    ("a butt with its gap", joint(meets="butt", gap_mm=0.5), "note", "butt-gap"),
    ("an inset without a trap", joint(meets="inset-over", trap_mm=0.0), "sample", "trap-width"),
    ("an inset whose rim goes under, in the order of a lap",
     joint(meets="inset-under", trap_mm=1.0), "stop", "press-order"),
    ("a lap of pieces that are cut for an inset", joint(meets="lap", trap_mm=1.0), "stop",
     "trap-width"),
]  # fmt: skip


def test_as_planned_it_is_pressed(made: Plan) -> None:
    assert made.verdict == "go"
    report = check(made)
    assert report.verdict == "go"
    assert report.steps == made.steps


@pytest.mark.parametrize(("name", "edit", "severity", "rule"), EDITS, ids=[e[0] for e in EDITS])
def test_an_edit_is_judged_by_what_is_pressed(
    made: Plan, name: str, edit: Edit, severity: str, rule: str
) -> None:
    report = check(edit(made))
    known = {(f.rule, f.severity) for f in check(made).findings}
    new = {(f.rule, f.severity) for f in report.findings} - known
    assert (rule, severity) in new, sorted(new)
    assert report.verdict == ("go" if severity == "note" else severity)


# --- what the steps then say ----------------------------------------------------------------------


def told(report_of: Plan, which: Any) -> str:
    return " ".join(str(step.why) for step in check(report_of).steps if which(step))


def test_a_full_press_twice_is_within_what_the_films_bear(made: Plan) -> None:
    assert check(doubled(FULL)(made)).findings == check(made).findings


def test_an_edited_step_says_its_new_numbers(made: Plan) -> None:
    was = told(made, FULL)
    assert "15 s at 160 °C" in was
    now = told(changed(FULL, dwell_s=22, setpoint_c=165)(made), FULL)
    assert now.startswith("As written, navy matte-smooth and gold sparkle-coarse are finished in")
    assert "22 s at 165 °C; " in now
    assert "15 s at 160 °C" not in now
    assert "matte-smooth takes 12 to 18 s at 150 to 165 °C" in now


def test_what_heat_reached_is_told_as_it_now_is(made: Plan) -> None:
    edited = changed(FULL, dwell_s=8)(made)
    report = check(edited)
    worst = min(
        (line for line in report.bond_lines if line.film == "matte-smooth"),
        key=lambda line: line.seconds_bonding,
    )
    assert f"({worst.seconds_bonding:.0f} s bonding)" in told(edited, FULL)


def test_every_step_of_an_edited_plan_says_what_is_written(made: Plan) -> None:
    for name, edit, _, _ in EDITS[:17]:
        for step in check(edit(made)).steps:
            assert str(step.why).startswith("As written, "), (name, step)


def test_the_tape_under_crosses_is_told_all_the_same(made: Plan) -> None:
    def taped(report_of: Plan) -> list[bool]:
        return ["heat-proof tape" in str(step.why) for step in check(report_of).steps]

    assert taped(changed(FULL, dwell_s=14)(made)) == taped(made)
    assert any(taped(made))
