"""Heat: the temperature at every bond line of a plan over its press steps, charted."""

from __future__ import annotations

from typing import Any

import altair as alt
import streamlit as st

from advisor.heat.records import HeatReport
from advisor.job.records.plan import Plan, Run
from rules.facts.units import c_to_f
from ui.order.record import CustomerOrder
from ui.session import units
from ui.show import lead, remark, values_table
from ui.tasks import heat_task
from ui.waiting import wait_for

__all__ = ["show_heat"]

# Dashes tell the lines apart where there is no colour.
_DASHES = ([1, 0], [7, 3], [2, 2], [9, 3, 2, 3], [4, 4], [12, 3])


def show_heat(order: CustomerOrder, plan: Plan, run: Run) -> None:
    """The chart, what each adhesive gets, and what the model leaves out."""
    report = wait_for(heat_task(order, plan, run))
    if report is None:
        return
    shown = units()
    lead(
        f"Where there is least to spare on {report.fabric}: from the platen's first closing, the "
        "temperature at each bond line, and at the face on top."
    )
    st.altair_chart(_inked(chart(report, fahrenheit=shown.fahrenheit)), width="stretch")
    values_table(
        "What each adhesive gets, each at its own worst place",
        [
            (
                f"{line.film} on {line.below}",
                shown.temperature(line.peak_c),
                f"bonds from {shown.temperature(line.bonds_c)} held for {line.bonds_s:.0f} s; "
                f"it gets {line.seconds_bonding:.0f} s",
            )
            for line in report.bond_lines
        ],
        heads=("Bond line", "Hottest", "Bonding"),
    )
    remark(report.limits)


def _inked(drawn: alt.LayerChart | alt.FacetChart) -> alt.LayerChart | alt.FacetChart:
    """The chart with its words in the page's own ink: the usual grey is too faint to read."""
    ink = "#eef3f0" if st.context.theme.type == "dark" else "#16212b"
    inked: alt.LayerChart | alt.FacetChart = drawn.configure_axis(
        labelColor=ink, titleColor=ink, labelFontSize=13, titleFontSize=13
    ).configure_legend(labelColor=ink, labelFontSize=13)
    return inked


def chart(report: HeatReport, *, fahrenheit: bool) -> alt.LayerChart | alt.FacetChart:
    """Curves over bands for the time that the platen is closed."""

    def shown(celsius: float) -> float:
        return c_to_f(celsius) if fahrenheit else celsius

    unit = "°F" if fahrenheit else "°C"
    rows: list[dict[str, Any]] = []
    for course in report.courses:
        above, below = course.between
        name = f"face of {below}" if above == "face" else f"{above} on {below}"
        rows += [
            {"seconds": seconds, "degrees": round(shown(celsius), 1), "line": name}
            for seconds, celsius in zip(course.seconds, course.celsius, strict=True)
        ]
    names = list(dict.fromkeys(row["line"] for row in rows))
    closed = [
        {"from": phase.from_s, "to": phase.to_s, "what": f"step {phase.step}: {phase.label}"}
        for phase in report.phases
        if phase.platen_c is not None
    ]
    wanted = [
        {"degrees": round(shown(course.bonds_c), 1), "line": name}
        for course, name in zip(report.courses, names, strict=False)
        if course.bonds_c is not None
    ]
    colour = alt.Color(
        "line:N",
        sort=names,
        scale=alt.Scale(domain=names),
        legend=alt.Legend(title=None, orient="top", columns=2, labelLimit=420, symbolSize=900),
    )
    dash = alt.StrokeDash(
        "line:N", sort=names, scale=alt.Scale(domain=names, range=list(_DASHES[: len(names)]))
    )
    bands = (
        alt.Chart(alt.InlineData(values=closed))
        .mark_rect(color="#8c9aa3", opacity=0.22)
        .encode(x="from:Q", x2="to:Q", tooltip=alt.Tooltip("what:N", title="Platen closed"))
    )
    curves = (
        alt.Chart(alt.InlineData(values=rows))
        .mark_line(strokeWidth=2.4)
        .encode(
            x=alt.X("seconds:Q", title="seconds from the first closing"),
            y=alt.Y("degrees:Q", title=unit, scale=alt.Scale(zero=False)),
            color=colour,
            strokeDash=dash,
            tooltip=["line:N", "seconds:Q", alt.Tooltip("degrees:Q", title=unit)],
        )
    )
    needs = (
        alt.Chart(alt.InlineData(values=wanted))
        .mark_rule(strokeWidth=1.2, opacity=0.75)
        .encode(
            y="degrees:Q",
            color=colour,
            strokeDash=dash,
            tooltip=[alt.Tooltip("degrees:Q", title=f"bonds from, {unit}"), "line:N"],
        )
    )
    return alt.layer(bands, needs, curves).properties(height=360)
