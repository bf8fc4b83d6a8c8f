"""Answers as charts: a forecast, and the steadiness of a measure."""

from __future__ import annotations

from reedkin.answers.ready import Readiness
from reedkin.answers.steady.steadiness import Chart
from reedkin.charts.canvas import Drawing
from reedkin.charts.chance import probability_chart
from reedkin.charts.control import Controlled, control_chart
from reedkin.domain.figures import plural

_HARDLY = 0.01
"""A chance that is not worth drawing."""


def chance_drawing(answer: Readiness, width: int, height: int) -> Drawing:
    """The chance of enough reeds over the blanks tied; where no plan asks for any, that of so many reeds."""
    levels = [plan.chance for plan in answer.plans]
    if all(plan.blanks == 0 for plan in answer.plans):
        chances = [chance for chance in answer.at_least[1:] if chance >= _HARDLY]
        title = "The chance of so many good reeds on the day"
        return probability_chart(range(1, len(chances) + 1), chances, levels, width, height, "reed", True, title)
    title = f"The chance of {plural(answer.wish.reeds, 'good reed')} on the day, if so many blanks are tied today"
    return probability_chart(range(len(answer.by_blanks)), answer.by_blanks, levels, width, height, title=title)


def steadiness_drawing(chart: Chart, width: int, height: int) -> Drawing:
    """A measure of reed after reed, and beneath it how far each is from the one before; the chart must have limits."""
    found = chart.limits
    assert found is not None
    runs = {place for place, point in enumerate(chart.points) if "side" in point.marks}
    limits, ranges, slack = (found.lower, found.upper), (found.range_mean, found.range_upper), found.step / 2 + 1e-9
    shown = Controlled(chart.values, found.mean, limits, chart.target, chart.tolerance, runs, ranges, slack)
    return control_chart(shown, width, height)
