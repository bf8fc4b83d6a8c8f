"""Answers of the analysis as charts: a forecast, and the steadiness of a measure."""

from __future__ import annotations

from reedkin.analysis.readiness import Readiness
from reedkin.analysis.steadiness import Chart
from reedkin.charts.canvas import Drawing
from reedkin.charts.chance import probability_chart
from reedkin.charts.control import control_chart


def chance_drawing(answer: Readiness, width: int, height: int) -> Drawing:
    """The chance of enough reeds over the blanks tied."""
    levels = [plan.chance for plan in answer.plans]
    return probability_chart(range(len(answer.by_blanks)), answer.by_blanks, levels, width, height)


def steadiness_drawing(chart: Chart, width: int, height: int) -> Drawing:
    """A measure of reed after reed; the chart must have limits."""
    assert chart.limits is not None
    limits = chart.limits.lower, chart.limits.upper
    runs = {place for place, point in enumerate(chart.points) if set(point.marks) - {"beyond"}}
    return control_chart(chart.values, chart.limits.mean, limits, chart.target, width, height, chart.tolerance, runs)
