"""Step times: the clock of one garment, beside the heat that is followed over the same steps."""

from itertools import pairwise

import pytest

from advisor import plan
from advisor.answers.heat import heat_report
from advisor.answers.judge_plan import pressed_prints
from advisor.heat.moments import step_times
from advisor.job.demo import DEMO_FOLDER, demo_job
from rules.catalogue import load_catalogue
from rules.knowledge import load_knowledge


@pytest.mark.parametrize("name", ["crew-tees", "wind-jackets", "bags"])
def test_the_press_closes_when_heat_says_that_it_does(name: str) -> None:
    made = plan(demo_job(name), folder=DEMO_FOLDER)
    pressed = pressed_prints(made, made.runs[0], load_catalogue())[0]
    times = step_times(pressed.schedule)
    report = heat_report(pressed.schedule, pressed.columns, knowledge=load_knowledge())
    closed = [(p.step, p.from_s, p.to_s) for p in report.phases if p.platen_c is not None]
    told = [(t.at.step.n, t.closes_s, t.ends_s) for t in times if t.closes_s is not None]
    # Heat's clock starts at the first closing.
    first_s = told[0][1]
    assert first_s is not None
    assert [n for n, _, _ in told] == [n for n, _, _ in closed]
    for (_, closes_s, ends_s), (_, from_s, to_s) in zip(told, closed, strict=True):
        assert closes_s is not None
        assert (closes_s - first_s, ends_s - first_s) == pytest.approx((from_s, to_s))


def test_what_is_set_before_the_first_press_takes_no_garments_time() -> None:
    made = plan(demo_job(), folder=DEMO_FOLDER)
    times = step_times(pressed_prints(made, made.runs[0], load_catalogue())[0].schedule)
    assert {t.at.step.action for t in times if t.ends_s == 0} == {"setpoint", "pressure"}
    assert all(one.ends_s == other.begins_s for one, other in pairwise(times))
