"""One reed's life, or several: overall length over the days, playability over the hours played."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import partial

from reedkin.charts import legend
from reedkin.charts.canvas import GROUP_MARKS, Canvas, Drawing, sentence, too_small
from reedkin.charts.plot import NEEDS, Plot
from reedkin.charts.scale import Axis, date_axis, fullest, labelled, number_axis
from reedkin.domain.playability import overall_score
from reedkin.domain.reeds import Reed

DAY_SECONDS = 86_400


@dataclass(frozen=True, slots=True)
class LengthPoint:
    """The overall length in mm from a moment on, and whether it was measured then or only follows from a clip."""

    at: datetime
    overall_mm: float
    measured: bool = False


@dataclass(frozen=True, slots=True)
class PlaySeries:
    """Scores (0 to 10) after so many hours played, for one reed or the mean of a group."""

    name: str
    hours: Sequence[float]
    scores: Sequence[float]


def length_chart(points: Sequence[LengthPoint], width: int, height: int, until: date | None = None) -> Drawing:
    """The overall length over the days up to `until`: it falls at each clip; what was measured is a thick point."""
    small = too_small(width, height, *NEEDS)
    if small is not None:
        return small
    if not points:
        return sentence("No length noted yet: measure the reed, or clip it.", width, height)
    points = sorted(points, key=lambda point: point.at)
    lengths = [point.overall_mm for point in points]
    plot = Plot(
        width,
        height,
        date_axis([*(point.at.date() for point in points), *([until] if until else [])], most=max(width // 12, 2)),
        fullest(
            (
                number_axis(lengths, most=most, unit="mm", room=0.25, each=True)
                for most in range(max((height - 2) // 2, 2), 0, -1)
            ),
            height - 2,
        ),
    )
    end = plot.x.high if until is None else _day(points[-1].at) if points[-1].at.date() >= until else until.toordinal()
    xs, ys = [_day(points[0].at)], [points[0].overall_mm]
    for point in points[1:]:
        xs += [_day(point.at), _day(point.at)]
        ys += [ys[-1], point.overall_mm]
    plot.line([*xs, end], [*ys, ys[-1]], "cane")
    noted = [point for point in points if point.measured]
    plot.points([_day(point.at) for point in noted], [point.overall_mm for point in noted], "strong")
    return plot.drawing()


def _day(at: datetime) -> float:
    """The day as an ordinal, with the time of the day as its fraction."""
    return at.toordinal() + (at.hour * 3600 + at.minute * 60 + at.second) / DAY_SECONDS


def playability_chart(series: Sequence[PlaySeries], width: int, height: int, unit: str = "h") -> Drawing:
    """Scores over hours played, a thick point each; if there are several series, with a legend, and with its mark where
    each ends."""
    small = too_small(width, height, *NEEDS)
    if small is not None:
        return small
    shown = [one for one in series[: len(GROUP_MARKS)] if len(one.hours)]
    if not shown:
        return sentence("No score noted yet: give one when you have played, such as p 45 8.", width, height)
    entries = [legend.LegendEntry(*legend.mark_of(place), one.name) for place, one in enumerate(shown)]
    if len(series) > len(shown):
        entries.append(legend.LegendEntry(" ", "faint", f"{len(series) - len(shown)} not drawn"))
    rows = [] if len(series) == 1 else legend.fitting(entries, entries, width, most=max(1, (height - 5) // 3))
    canvas = Canvas(width, height)
    legend.write(canvas, rows)
    x = number_axis([hour for one in shown for hour in one.hours], max(width // 10, 2), unit, zero=True, snug=True)
    inner = height - len(rows) - 2
    steps = [step for step in (2, 5) if 20 // step < inner] + [10]
    y = fullest((Axis(0.0, 10.0, labelled([float(at) for at in range(0, 11, step)])) for step in steps), inner)
    plot = Plot(width, height - len(rows), x, y)
    for place, one in enumerate(shown):
        mark, role = legend.mark_of(place)
        plot.line(one.hours, one.scores, role)
        plot.points(one.hours, one.scores, role)
        if len(shown) > 1:
            plot.marks(one.hours[-1:], one.scores[-1:], mark, role)
    plot.put_on(canvas, len(rows))
    return canvas.drawing()


def length_points(reed: Reed) -> list[LengthPoint]:
    """Every moment at which a reed's length was noted."""
    points = []
    for step in reed.standing:
        length = step.after.overall_mm
        noted = "overall_mm" in step.facts
        if length is not None and (noted or length != step.before.overall_mm):
            points.append(LengthPoint(step.at, length, measured=noted))
    return points


def play_series(reed: Reed) -> PlaySeries:
    """Every score a reed was given, over the hours it had been played by then."""
    scored = [(step.after.hours, score) for step in reed.standing if (score := overall_score(step.facts)) is not None]
    return PlaySeries(reed.label, [hours for hours, _ in scored], [score for _, score in scored])


def life_charts(reed: Reed, width: int, height: int, today: date | None = None) -> Drawing:
    """Both charts of one reed, one above the other, each with its title where there is room; that of a reed at work up
    to `today`."""
    upper = (height + 1) // 2
    lengths = partial(length_chart, length_points(reed), until=today if reed.at_work else None)
    return _titled("Overall length", lengths, width, upper) + _titled(
        "Playability over hours played", partial(playability_chart, [play_series(reed)]), width, height - upper
    )


def _titled(title: str, chart: Callable[[int, int], Drawing], width: int, height: int) -> Drawing:
    if height <= NEEDS[1]:
        return chart(width, height)
    heading = Canvas(width, 1)
    heading.put(0, 0, title, "strong")
    return heading.drawing() + chart(width, height - 1)
