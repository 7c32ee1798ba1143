"""Tables on a page: nothing of a cell or a heading is cut off at its edge."""

from __future__ import annotations

import pytest

from advisor.command.terminal import PLAIN_WIDTH, Terminal

COLUMNS = ("on cotton-elastane-jersey:black", "over", "peak", "on an unlucky press")


@pytest.mark.parametrize("longer", range(0, 60, 7))
def test_a_table_keeps_every_word_within_the_page(
    longer: int, capsys: pytest.CaptureFixture[str]
) -> None:
    row = ("white matte-smooth " + "x" * longer, "cotton-elastane-jersey:black", "141 °C", "enough")
    Terminal().table(COLUMNS, [row], whole=len(COLUMNS))
    shown = capsys.readouterr().out
    assert all(len(line) <= PLAIN_WIDTH for line in shown.splitlines())
    letters = sorted("".join("".join((*COLUMNS, *row)).split()))
    assert sorted("".join(shown.replace("─", "").split())) == letters
    assert "141 °C" in shown
