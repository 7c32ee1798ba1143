"""Cut, as the terminal shows it: how many places are too fine, in words that agree."""

from __future__ import annotations

import pytest

from advisor.command.cut import show_fine
from advisor.command.terminal import Terminal
from advisor.cutting.records.report import CutReport, FineDetail

HAIR = FineDetail(
    piece="fill-1b3a5c", film="matte-smooth", width_mm=90, kind="stroke", measure_mm=0.4,
    least_mm=1, x_mm=12, y_mm=30,
)  # fmt: skip


@pytest.mark.parametrize(
    ("fine", "told"),
    [(1, "Too fine for its film: 1 place"), (2, "Too fine for its film: 2 places")],
)
def test_places_too_fine_are_counted_in_words_that_agree(
    fine: int, told: str, capsys: pytest.CaptureFixture[str]
) -> None:
    report = CutReport(
        job="kite", artwork="kite.svg", folder="out", files=(), previews=(), fine=(HAIR,) * fine,
        simpler=(), smallest=None, notes=(),
    )  # fmt: skip
    show_fine(Terminal(), report)
    assert told in capsys.readouterr().out.splitlines()
