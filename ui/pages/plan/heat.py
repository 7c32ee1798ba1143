"""Heat: the temperature at every bond line of a plan over its press steps, drawn."""

from __future__ import annotations

from advisor.job.records.plan import Plan, Run
from advisor.words.plan import piece_names
from ui.drawing.heat_strips import heat_strips
from ui.order.record import CustomerOrder
from ui.session import units
from ui.show import lead, remark, values_table, wide_and_narrow
from ui.tasks import heat_task
from ui.waiting import wait_for

__all__ = ["show_heat"]


def show_heat(order: CustomerOrder, plan: Plan, run: Run) -> None:
    """The curves, what each adhesive gets, and what the model leaves out."""
    report = wait_for(heat_task(order, plan, run))
    if report is None:
        return
    shown, names = units(), piece_names(plan)
    lead(
        f"Where there is least to spare on {report.fabric}: from the platen's first closing, the "
        "temperature at each bond line, and at the face on top."
    )
    wide_and_narrow(lambda width: heat_strips(report, names, units=shown, width=width), "")
    values_table(
        "What each adhesive gets, each at its own worst place",
        [
            (
                f"{names.get(line.piece, line.film)} on {line.below}",
                shown.temperature(line.peak_c),
                f"bonds from {shown.temperature(line.bonds_c)} held for {line.bonds_s:.0f} s; "
                f"it gets {line.seconds_bonding:.0f} s",
            )
            for line in report.bond_lines
        ],
        heads=("Bond line", "Hottest", "Bonding"),
    )
    remark(report.limits)
