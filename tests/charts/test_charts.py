"""The charts: exactly as large as asked, readable without colour, and at their numbers."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.charts.measure import assert_size, columns_of, dots, examples

from reedkin.charts.canvas import GROUP_MARKS, Drawing, plain
from reedkin.charts.chance import probability_chart
from reedkin.charts.control import Controlled, control_chart
from reedkin.charts.forest import forest_row
from reedkin.charts.interval import interval_row
from reedkin.charts.life import LengthPoint, PlaySeries, length_chart, playability_chart
from reedkin.charts.scale import number_axis
from reedkin.charts.survival import SurvivalGroup, survival_chart
from reedkin.survival import kaplan_meier

HOSTILE = "\x1b]0;x\x07[red]中文\u202e\n"
START = datetime(2025, 9, 3, 10, tzinfo=UTC)
LENGTHS = [
    LengthPoint(START, 60, measured=True),
    LengthPoint(START + timedelta(days=3), 59),
    LengthPoint(START + timedelta(days=4), 58),
    LengthPoint(START + timedelta(days=30), 57.5, measured=True),
]
# NIST/SEMATECH e-Handbook 6.3.2.2, from memory: individuals, their mean and limits.
VALUES = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
MEAN, LIMITS = 50.81, (45.815910, 55.804090)


def curve(name: str, times: list[float], events: list[int]) -> SurvivalGroup:
    fit = kaplan_meier(times, events)
    return SurvivalGroup(
        name, fit.time, fit.survival, fit.lo, fit.hi, fit.median, fit.censored, fit.start, fit.last_observed
    )  # type: ignore[arg-type]


# Freireich et al. 1963, Blood 21:699-716: remission in weeks; medians 23 and 8.
TREATED = curve(
    "6-MP",
    [6, 6, 6, 6, 7, 9, 10, 10, 11, 13, 16, 17, 19, 20, 22, 23, 25, 32, 32, 34, 35],
    [1, 1, 1, 0, 1, 0, 1, 0, 0, 1, 1, 0, 0, 0, 1, 1, 0, 0, 0, 0, 0],
)
PLACEBO = curve("placebo", [1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23], [1] * 21)
OTHERS = [curve(f"lot {n}", [n, n + 2, n + 4, 20], [1, 1, 1, 0]) for n in range(1, 12)]

CHARTS: dict[str, Callable[[int, int], Drawing]] = {
    "survival of one": lambda w, h: survival_chart([TREATED], w, h),
    "survival of two": lambda w, h: survival_chart([TREATED, PLACEBO], w, h, unit="weeks"),
    "survival of many": lambda w, h: survival_chart(OTHERS, w, h),
    "survival of none": lambda w, h: survival_chart([], w, h),
    "survival, hostile": lambda w, h: survival_chart([curve(HOSTILE, [1, 2, 3], [1, 1, 0])], w, h),
    "lengths": lambda w, h: length_chart(LENGTHS, w, h),
    "one length": lambda w, h: length_chart(LENGTHS[:1], w, h),
    "no length": lambda w, h: length_chart([], w, h),
    "scores": lambda w, h: playability_chart([PlaySeries("142", [0.75, 1.5, 9], [8, 8.5, 4])], w, h),
    "scores of two": lambda w, h: playability_chart(
        [PlaySeries(HOSTILE, [0.75, 1.5], [8, 8.5]), PlaySeries("b", [0], [0])], w, h
    ),
    "no score": lambda w, h: playability_chart([PlaySeries("142", [], [])], w, h),
    "control": lambda w, h: control_chart(Controlled([*VALUES, 57], MEAN, LIMITS, 51), w, h),
    "control without target": lambda w, h: control_chart(Controlled([50, 50], 50, (50, 50), None), w, h),
    "no control": lambda w, h: control_chart(Controlled([], MEAN, LIMITS, 51), w, h),
    "chance": lambda w, h: probability_chart([4, 6], [0.3, 0.85], [0.8, 0.9], w, h),
    "one chance": lambda w, h: probability_chart([4], [0.3], [0.8], w, h),
    "no chance": lambda w, h: probability_chart([], [], [0.8], w, h),
}  # fmt: skip


@pytest.mark.parametrize("name", CHARTS)
@given(width=st.integers(0, 120), height=st.integers(0, 34))
@settings(examples, max_examples=12)
def test_every_chart_is_exactly_as_large_as_asked(name: str, width: int, height: int) -> None:
    assert_size(CHARTS[name](width, height), width, height)


@pytest.mark.parametrize("name", CHARTS)
@pytest.mark.parametrize(("width", "height"), [(30, 6), (40, 7), (78, 12), (116, 24)])
def test_every_chart_at_common_sizes(name: str, width: int, height: int) -> None:
    assert_size(CHARTS[name](width, height), width, height)


@pytest.mark.parametrize("name", CHARTS)
def test_a_chart_is_the_same_each_time_whatever_was_drawn_before(name: str) -> None:
    first = CHARTS[name](78, 14)
    CHARTS["survival of many"](60, 20)
    assert CHARTS[name](78, 14) == first


def test_charts_may_be_drawn_in_several_threads() -> None:
    alone = {name: chart(78, 14) for name, chart in CHARTS.items()}
    with ThreadPoolExecutor(4) as pool:
        together = pool.map(lambda name: (name, CHARTS[name](78, 14)), [*CHARTS] * 2)
        assert all(drawing == alone[name] for name, drawing in together)


@pytest.mark.parametrize("name", [name for name in CHARTS if not name.startswith(("no ", "survival of none"))])
def test_where_there_is_no_room_a_sentence_says_so(name: str) -> None:
    for width, height in ((29, 6), (60, 5)):
        assert "needs 30 x 6" in " ".join(plain(CHARTS[name](width, height)).split())


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("survival of none", "No reed has been played yet"),
        ("no length", "No length noted yet"),
        ("no score", "No score noted yet"),
        ("no control", "No value to show yet"),
        ("no chance", "Nothing to reckon with yet"),
    ],
)
def test_without_data_a_sentence_says_so(name: str, said: str) -> None:
    assert said in " ".join(plain(CHARTS[name](78, 12)).split())


def test_groups_are_told_apart_without_colour() -> None:
    drawing = survival_chart([TREATED, PLACEBO, *OTHERS[:4]], 78, 24)
    text = plain(drawing)
    legend, chart = text.split("100%┤")
    for mark, name in zip(GROUP_MARKS, ("6-MP", "placebo", "lot 1", "lot 2", "lot 3", "lot 4"), strict=False):
        assert f"{mark} {name}" in legend
        assert mark in chart, name
    _, chart = plain(survival_chart([TREATED, PLACEBO], 78, 24)).split("100%┤")
    assert all(chart.count(mark) >= 4 for mark in GROUP_MARKS[:2])  # all along each curve


def test_of_two_curves_the_second_is_dashed() -> None:
    whole, dashed = (
        dots(survival_chart(two, 78, 24)[1:-2], role)
        for two, role in (([PLACEBO, TREATED], "group0"), ([TREATED, PLACEBO], "group1"))
    )
    assert dashed < 0.95 * whole


def test_more_groups_than_marks_are_said_not_drawn() -> None:
    text = plain(survival_chart(OTHERS, 116, 24))
    assert "3 not drawn" in text
    assert "lot 8" in text
    assert "lot 9" not in text


def test_hostile_names_are_shown_and_do_nothing() -> None:
    text = plain(CHARTS["survival, hostile"](78, 12))
    assert "␛]0;x␇[red]中文\\u202e␊" in text


def test_the_curve_falls_where_reeds_were_retired() -> None:
    drawing = survival_chart([TREATED], 78, 60, unit="weeks")
    text = plain(drawing)
    assert "half last 23 weeks" in text
    assert "+ seen no further" in text
    many = plain(survival_chart([replace(TREATED, censored=[n / 9 for n in range(300)])], 78, 60, unit="weeks"))
    assert "+" not in many  # which would stand all along the curve, and hide it
    lines = text.split("\n")
    top, bottom = (next(row for row, line in enumerate(lines) if f" {said}┤" in f" {line}") for said in ("100%", "0%"))
    ticks = [at for at, char in enumerate(lines[-2]) if char == "┬"]
    apart = int(lines[-1].split()[1])  # weeks, from 0 on

    def column(week: float) -> int:
        return ticks[0] + round(week / apart * (ticks[1] - ticks[0]))

    def row(share: float) -> int:
        return top + round((1 - share) * (bottom - top))

    assert lines[row(0.5)][column(23)] == "●"
    # The published survival at 10 weeks is 0.752941 and at 23 weeks 0.448179; the curve runs level until the next fall.
    for week, share in ((11.5, 0.752941), (30, 0.448179), (3, 1.0)):
        solid = [at for at in range(top, bottom + 1) if lines[at][column(week)] in "⠤⠒⠉⣀●+⠖⠲⠦⠴"]
        assert any(abs(at - row(share)) <= 1 for at in solid), (week, share, solid)
    assert columns_of(drawing[1:-2], "group0")[-1] == column(35)


def test_a_curve_that_starts_late_is_drawn_from_there() -> None:
    late = SurvivalGroup("late", [12], [0.5], [0.1], [0.8], 12, start=8, end=16)
    columns = columns_of(survival_chart([late], 78, 16)[1:-2], "group0")
    assert columns[0] == pytest.approx(5 + 8 / 16 * 72, abs=1)


def test_the_length_steps_down_at_each_clip_and_measures_are_marked() -> None:
    drawing = length_chart(LENGTHS, 78, 14)
    text = plain(drawing)
    measured = columns_of(drawing, "strong")
    assert 2 <= len(measured) <= 6  # two thick points, of three dots each way
    assert measured[-1] - measured[0] > 60
    assert "3 Sep" in text
    assert " mm┤" in text


def test_scores_are_at_their_height() -> None:
    drawing = playability_chart([PlaySeries("142", [1, 2, 4], [10, 5, 0])], 78, 13)
    lines = plain(drawing).split("\n")
    assert lines[0].startswith("10┤")
    assert lines[10].startswith(" 0┤")
    columns = columns_of(drawing, "group0")
    assert highest_dot(lines, columns[0] + 1) == pytest.approx(1, abs=1)
    assert highest_dot(lines, columns[0] + (columns[-1] - columns[0]) // 3) == pytest.approx(21, abs=2)
    assert highest_dot(lines, columns[-1]) == pytest.approx(40, abs=1)


def test_scores_half_a_point_apart_are_told_apart() -> None:
    """5.5 and 4.5 shared a row, and 7 stood on that of 6, while points took whole rows."""
    drawing = playability_chart([PlaySeries("142", [0, 1, 2, 3], [7, 6, 5.5, 4.5])], 40, 12)
    lines = plain(drawing).split("\n")
    at = [highest_dot(lines, column) for column in (3, 15, 27, 39)]
    apart = [lower - upper for upper, lower in pairwise(at)]
    top, bottom = (next(row for row, one in enumerate(lines) if one.startswith(tick)) for tick in ("10┤", " 0┤"))
    of_a_point = 4 * (bottom - top) / 10
    assert apart == pytest.approx([of_a_point, of_a_point / 2, of_a_point], abs=1.5)
    assert all(apart)


def highest_dot(lines: list[str], column: int) -> int:
    """The highest dot in a column of a chart, counted from the top."""
    for row, line in enumerate(lines):
        bits = ord(line[column]) - 0x2800
        for dot, mask in enumerate((0x09, 0x12, 0x24, 0xC0)):
            if 0 < bits < 256 and bits & mask:
                return 4 * row + dot
    raise AssertionError(f"nothing in column {column}")


@pytest.mark.parametrize("width", range(40, 121, 7))
def test_ticks_are_evenly_spaced_and_no_more_than_values(width: int) -> None:
    for chart in ("survival of two", "scores", "lengths", "chance"):
        lines = plain(CHARTS[chart](width, 21)).split("\n")
        under = [at for at, char in enumerate(next(one for one in lines if "└" in one)) if char == "┬"]
        assert len({after - before for before, after in pairwise(under)}) <= 1, (chart, lines)
        beside = [row for row, one in enumerate(lines) if "┤" in one]
        assert len({after - before for before, after in pairwise(beside)}) <= 1, (chart, lines)
    assert plain(CHARTS["one length"](width, 21)).count("┤") == 1


def test_an_axis_of_one_number_has_it_in_the_middle() -> None:
    axis = number_axis([60.0, 60.0], most=2, snug=True)
    assert (axis.low, axis.high, axis.ticks[1]) == (59.5, 60.5, (60.0, "60"))


def test_the_second_of_two_groups_is_dashed() -> None:
    def gaps(groups: list[SurvivalGroup], role: str) -> int:
        drawing = survival_chart(groups, 116, 30)[1:-2]
        columns = columns_of(drawing, role)
        return columns[-1] - columns[0] + 1 - len(columns)

    level = SurvivalGroup("level", [40], [0.9], [0.8], [1.0], None, end=40)
    other = SurvivalGroup("other", [40], [0.5], [0.4], [0.6], None, end=40)
    assert gaps([level], "group0") == 0
    alone, both = (plain(survival_chart([*before, other], 116, 30)) for before in ((), (level,)))
    assert alone != both
    second = "".join(
        run.text for line in survival_chart([level, other], 116, 30)[1:] for run in line if run.role == "group1"
    )
    assert "⠉⠉⠉⠉" not in second
    assert "⠒⠒⠒⠒" not in second


def test_where_all_chances_are_high_the_axis_begins_at_half() -> None:
    one = plain(probability_chart(range(3), [0.7, 0.85, 0.95], [0.8, 0.9, 0.99], 78, 16))
    assert "80% with 1 blank " in one
    assert "90% with 2 blanks " in one
    assert "99% not reached" in one
    assert one.split("\n")[-2].lstrip().startswith("└")
    high = plain(probability_chart(range(4), [0.96, 0.97, 0.98, 0.99], [0.8, 0.9], 78, 16))
    assert " 50%┤" in high
    assert " 0%┤" not in high
    assert "  0%┤" in plain(probability_chart(range(4), [0.3, 0.97, 0.98, 0.99], [0.8, 0.9], 78, 16))


def test_a_chance_that_falls_is_marked_at_the_last_number_that_reaches_a_level() -> None:
    text = plain(probability_chart(range(1, 5), [0.99, 0.92, 0.81, 0.3], [0.8, 0.9, 0.995], 78, 16, "reed", falls=True))
    assert "80% for 3 reeds" in text
    assert "90% for 2 reeds" in text
    assert "99.5% not reached" in text
    assert "4 reeds" in text


def test_values_beyond_the_limits_are_marked_otherwise_and_counted() -> None:
    text = plain(control_chart(Controlled([*VALUES, 57, 40], MEAN, LIMITS, 52.0), 78, 20))
    assert text.startswith("◆ 2 beyond the limits")
    assert text.count("◆") == 3
    assert text.count("●") == len(VALUES)
    for named in ("limit 45.82", "limit 55.8", "mean 50.81", "target 52"):
        assert named in text
    assert "◆" not in plain(control_chart(Controlled(VALUES, MEAN, LIMITS, None), 78, 20))


def test_runs_are_marked_and_the_tolerance_is_drawn_in() -> None:
    text = plain(
        control_chart(Controlled([*VALUES, 57], MEAN, LIMITS, 52.0, tolerance=0.5, runs={0, 1, len(VALUES)}), 78, 24)
    )
    assert "◆ 1 beyond the limits   ▲ 2 in a run" in text  # what is beyond the limits is not counted twice
    assert text.count("▲") == 1 + 2
    assert "tolerance 51.5" in text
    assert "tolerance 52.5" in text
    assert "tolerance" not in plain(control_chart(Controlled(VALUES, MEAN, LIMITS, None, tolerance=0.5), 78, 24))


def test_moving_ranges_are_drawn_beneath_where_there_is_room() -> None:
    """The mean moving range of the handbook's batches is 1.8778, and the limit 3.267 times that."""
    ranges = (1.8778, 6.1348)
    text = plain(control_chart(Controlled([*VALUES, 44], MEAN, LIMITS, None, ranges=ranges), 78, 24))
    above, beneath = text.split("└", 1)
    assert "moved 1.878" in beneath
    assert "limit 6.135" in beneath
    assert "◆" not in beneath
    assert beneath.count("○") == len(VALUES)
    assert above.count("◆") == 2
    axes = [line.index("└") for line in text.splitlines() if "└" in line]
    assert len(axes) == 2
    assert axes[0] == axes[1]
    assert "moved" not in plain(control_chart(Controlled(VALUES, MEAN, LIMITS, None, ranges=ranges), 78, 14))


@pytest.mark.parametrize("height", [9, 14, 40])
def test_every_line_keeps_its_own_label_with_a_piece_of_its_pattern(height: int) -> None:
    """The mean of 60.15 and the tolerance of 60.5 share a row, and shared a label."""
    near = Controlled([60, 60.2, 61, 59], 60.15, (57.4, 62.9), 60.0, tolerance=0.5)
    labels = [line.split("┤")[0].split() for line in plain(control_chart(near, 78, height)).split("\n") if "┤" in line]
    assert [label[:2] for label in labels] == [
        ["limit", "62.9"], ["tolerance", "60.5"], ["mean", "60.15"], ["target", "60"], ["tolerance", "59.5"],
        ["limit", "57.4"],
    ]  # fmt: skip
    assert len({"".join(label[2:]) for label in labels}) == 4


def test_the_first_number_that_reaches_each_chance_is_named() -> None:
    chances = [1 - 0.5**n for n in range(1, 8)]
    text = plain(probability_chart(range(1, 8), chances, [0.75, 0.9, 0.999], 78, 16))
    assert "● 75% with 2 blanks" in text
    assert "○ 90% with 4 blanks" in text
    assert "■ 99.9% not reached" in text
    assert "■" not in text.split("100%┤")[1]


def test_numbers_that_are_none_are_left_out() -> None:
    nan = float("nan")
    drawing = playability_chart([PlaySeries("142", [1, 2, nan, 4], [5, nan, 6, 7])], 60, 12)
    assert len([column for column in columns_of(drawing, "group0") if column > 30]) >= 2
    assert columns_of(drawing, "group0")[-1] == 59
    assert_size(length_chart([LengthPoint(START, float("inf")), *LENGTHS], 60, 10), 60, 10)


class TestIntervalRow:
    """Columns on a log scale from 1/4 to 4: 1 is in the middle, 2 and 1/2 at three and one quarters."""

    @staticmethod
    def row(*values: float | None, mark: str = "○") -> str:
        return plain([interval_row(*values, width=33, mark=mark)])

    def test_the_scale_is_logarithmic(self) -> None:
        assert self.row(1.0, 0.5, 2.0) == " " * 8 + "├" + "─" * 7 + "○" + "─" * 7 + "┤" + " " * 8
        assert self.row(None, None, None) == " " * 16 + "│" + " " * 16

    def test_what_is_clear_is_drawn_heavier(self) -> None:
        assert self.row(1.0, 0.5, 2.0, mark="●") == " " * 8 + "┣" + "━" * 7 + "●" + "━" * 7 + "┫" + " " * 8
        assert self.row(2.0, 1.5, 3.0, mark="●").index("●") == 24
        assert self.row(0.5, 0.3, 0.8, mark="◐").index("◐") == 8

    def test_every_row_has_its_point(self) -> None:
        for ratio in (0.01, 0.25, 0.9, 1.0, 3.9, 4.0, 20.0):
            for low, high in ((ratio / 9, ratio * 9), (ratio, ratio), (0.0, None)):
                assert self.row(ratio, low, high).count("○") == 1

    def test_arrows_where_the_interval_leaves_the_scale(self) -> None:
        assert self.row(2.0, 0.1, 9.0)[0] == "◂"
        assert self.row(2.0, 0.1, 9.0)[-1] == "▸"
        assert self.row(20.0, 10.0, 50.0).rstrip()[-1] == "▸"
        assert self.row(0.01, 0.001, 0.02)[0] == "◂"
        unknown = self.row(1.0, None, None)
        assert (unknown[0], unknown[16], unknown[-1]) == ("◂", "○", "▸")

    @given(st.none() | st.floats(), st.none() | st.floats(), st.none() | st.floats(), st.integers(0, 60))
    @examples
    def test_it_is_exactly_as_wide_as_asked(
        self, estimate: float | None, lo: float | None, hi: float | None, width: int
    ) -> None:
        assert_size((interval_row(estimate, lo, hi, width),), width, 1)


class TestForestRow:
    def row(self, ratios: list[float], own: float | None, span: tuple[float, float] | None, width: int = 33) -> str:
        return plain([forest_row(ratios, own, span, width)])

    def test_each_maker_at_her_number_several_as_a_digit_and_ones_own_marked(self) -> None:
        row = self.row([0.25, 2.0, 2.0, 4.0], 1.5, None)
        assert (row[0], row[16], row[24], row[32]) == ("•", "│", "2", "•")
        assert row.index("◆") == 21

    def test_the_mean_lies_behind_and_a_line_stands_at_one(self) -> None:
        assert self.row([1.0], None, (0.5, 2.0))[8:25] == "─" * 8 + "•" + "─" * 8
        assert self.row([], None, (0.5, 2.0))[16] == "┼"
        assert self.row([], None, (2.0, 3.0))[16] == "│"

    def test_what_is_beyond_the_scale_stands_at_its_end(self) -> None:
        assert self.row([1e-9, 1e9], 1e9, (1e-9, 1e9)) == "•" + "─" * 15 + "┼" + "─" * 15 + "◆"
        assert "+" in self.row([3.0] * 12, None, None)

    @pytest.mark.parametrize("width", [0, 1, 9, 41])
    def test_it_is_exactly_as_wide_as_asked(self, width: int) -> None:
        assert_size((forest_row([0.3, 1.0, 5.0], 1.2, (0.9, 1.1), width),), width, 1)
