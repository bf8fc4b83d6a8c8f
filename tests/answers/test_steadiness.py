"""The control charts, against the worked example of the NIST/SEMATECH e-Handbook and the constants of the normal."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate, stats
from tests.domain.maker import Maker

from reedkin.answers.steady.steadiness import (
    D2,
    D4,
    MEASURES,
    NEEDS,
    SKEWNESS_NEEDS,
    Limits,
    chart,
    chart_as_dict,
    chart_text,
    charts,
    leaning,
    limits,
    marks,
    step_of,
)

BATCHES = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
"""NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, flowrates of ten batches (from memory)."""
NAMED = {measure.name: measure for measure in MEASURES}


def test_the_worked_example_of_the_handbook() -> None:
    """Mean 50.81, mean moving range 1.8778, limits 45.8159 and 55.8041 (NIST/SEMATECH 6.3.2.2, from memory)."""
    found = limits(BATCHES)
    assert found.mean == pytest.approx(50.81)
    assert found.range_mean == pytest.approx(1.877778, abs=1e-6)
    assert found.lower == pytest.approx(45.815910, abs=1e-6)
    assert found.upper == pytest.approx(55.804090, abs=1e-6)
    assert not any(marks(BATCHES, found))


def test_the_constants_are_those_of_the_normal_distribution() -> None:
    """The mean of the range of two standard normals is 2 / sqrt(pi); D4 is 1 + 3 d3 / d2 with d3 its deviation."""
    density = stats.norm(scale=np.sqrt(2)).pdf
    mean, _ = integrate.quad(lambda x: 2 * x * density(x), 0, np.inf)
    square, _ = integrate.quad(lambda x: 2 * x**2 * density(x), 0, np.inf)
    assert pytest.approx(mean, abs=5e-4) == D2
    assert pytest.approx(1 + 3 * np.sqrt(square - mean**2) / mean, abs=1e-3) == D4


def test_the_limits_hold_nearly_all_of_a_steady_hand() -> None:
    values = np.random.default_rng(3).normal(60, 0.4, 20_000).tolist()
    found = limits(values)
    assert found.sigma == pytest.approx(0.4, rel=0.02)
    beyond = sum("beyond" in said for said in marks(values, found))
    assert beyond / len(values) == pytest.approx(2 * stats.norm.sf(3), rel=0.35)


def test_a_point_beyond_the_limits_is_marked() -> None:
    values = [60.0, 60.2] * 10 + [62.0]
    said = marks(values, limits(values))
    assert said[-1] == ("beyond",)
    assert not any(said[:-1])


def test_ten_in_a_row_on_one_side_are_a_run_and_nine_are_not() -> None:
    """The run rule of the Western Electric handbook (1956), which asks for eight, made stricter."""
    for run, marked in ((9, 0), (10, 1), (11, 2)):
        values = [60.0, 59.0] * 8 + [60.6, 60.5] * 6
        values = values[:16] + values[16 : 16 + run]
        said = marks(values, limits(values))
        assert sum("side" in one for one in said) == marked, run


def test_a_value_on_the_mean_ends_a_run() -> None:
    found = limits([59.0, 61.0] * 10)
    assert "side" not in marks([61.0] * 9 + [60.0] + [61.0] * 9, found)[-1]


def set_by(values: list[float]) -> Limits:
    """The limits as a chart sets them."""
    return leaning(limits(values, step_of(values)), values)


@pytest.mark.parametrize("skewness", [0.0, 0.5, 1.0, -1.0])
@pytest.mark.parametrize(
    ("step", "scatter"),
    [(0.0, 0.4), (0.1, 0.3), (0.1, 0.05), (0.5, 0.1), (0.5, 0.25), (0.5, 0.4), (0.5, 0.8), (5.0, 6.0)],
)
def test_a_steady_hand_is_marked_in_at_most_one_chart_of_ten(step: float, scatter: float, skewness: float) -> None:
    """Charts of 30 reeds whose measures are normal or lean to a side (gamma, of this skewness), exact or read in steps
    that are fine or coarse beside the scatter."""
    rng = np.random.default_rng(8)
    told = 0
    for _ in range(400):
        if skewness:
            shape = 4 / skewness**2
            chance = np.sign(skewness) * (rng.gamma(shape, size=30) - shape) / np.sqrt(shape)
        else:
            chance = rng.normal(size=30)
        values = 60 + rng.uniform(0, 1) + scatter * chance
        read = (np.round(values / step) * step if step else values).tolist()
        told += any(marks(read, set_by(read)))
    assert told / 400 <= 0.1, told


def test_a_hand_that_shifts_is_marked() -> None:
    """The mean moves by two standard deviations half way: more often seen than not; and nearly always one reed of which
    nobody could say that it is like the others, five standard deviations out or four steps of rounding."""
    rng = np.random.default_rng(9)
    shifted = [[*rng.normal(60, 0.4, 15), *rng.normal(60.8, 0.4, 15)] for _ in range(200)]
    assert np.mean([any(marks(values, set_by(values))) for values in shifted]) > 0.55
    far = [[*rng.normal(60, 0.4, 29), 62.0] for _ in range(200)]
    assert np.mean([bool(marks(values, set_by(values))[-1]) for values in far]) > 0.85
    odd = [[*np.round(rng.normal(60, 0.2, 29) / 0.5) * 0.5, 62.0] for _ in range(200)]
    assert np.mean([bool(marks(values, set_by(values))[-1]) for values in odd]) > 0.95


def test_the_limit_of_the_longer_tail_is_moved_out() -> None:
    """By hand: of seventeen times 1, twice 2 and a 4, without the 4, a share p = 2/19 lies one further out; the
    deviations' mean square is p (1 - p), their mean cube p (1 - p) (1 - 2 p), so the skewness is 2.57. Half as much
    again is more than the most that is believed, 2: 4/3 x 2 / 1.8 = 1.481. Of too few values nothing is moved."""
    values = [1.0] * 17 + [2.0, 2.0, 4.0]
    few = values[-SKEWNESS_NEEDS + 1 :]
    assert leaning(limits(few), few) == limits(few)
    plain = limits(values)
    found = leaning(plain, values)
    assert found.upper == pytest.approx(plain.upper + 1.4815 * plain.sigma, abs=1e-3)
    assert found.lower == plain.lower
    mirrored = leaning(limits([-v for v in values]), [-v for v in values])
    assert (mirrored.lower, mirrored.upper) == pytest.approx((-found.upper, -found.lower))
    assert leaning(limits([60.0] * 9), [60.0] * 9).upper == 60.0


@pytest.mark.parametrize(
    ("values", "step"),
    [
        ([60, 60.5, 59], 0.5),
        ([60, 61], 1.0),
        ([60.1, 60.3], 0.1),
        ([60.25, 60], 0.25),
        ([60.123], 0.0),
        ([-20, 10], 10.0),
    ],
)
def test_in_what_steps_values_were_read(values: list[float], step: float) -> None:
    assert step_of(values) == step


def test_rounding_is_reckoned_with() -> None:
    """By hand: 29 reeds of 60 mm and one of 60.5, read in halves. The scatter is at least 0.5 / sqrt(12) = 0.144."""
    values = [60.0] * 29 + [60.5]
    found = limits(values, 0.5)
    assert found.sigma == pytest.approx(0.1443, abs=1e-4)
    assert not any(marks(values, found))
    assert marks([*values, 62.0], found)[-1] == ("beyond",)


def test_limits_need_two_values() -> None:
    with pytest.raises(ValueError, match="two values"):
        limits([60.0])


@pytest.fixture
def maker() -> Maker:
    """Twelve English horn reeds, 60 mm give or take 0.2, the last one 64; an oboe reed; and one that joined."""
    maker = Maker("set a4 442", "90 tie oboe 72", "91 join eh 5h overall 58")
    for number in range(1, 13):
        length = 64 if number == 12 else 59.8 + 0.2 * (number % 3)
        maker.type(
            f"{number} tie eh {length} gouge .61", f"{number} measure tip 51; crow C5 -40c",
            f"{number} measure tip 50.5 opening 1.{number % 3 + 5}; crow C5 {number % 3 * 10 - 10:+d}c",
            f"{number} play 20", f"{number} measure tip 49; crow B4",
        )  # fmt: skip
    return maker


def test_one_value_a_reed_as_it_was_tied_or_finished(maker: Maker) -> None:
    tied = chart(maker.bench, "english horn", NAMED["tied"])
    assert len(tied.points) == 12
    assert tied.values[:3] == pytest.approx([60.0, 60.2, 59.8])
    # What was measured and crowed before the reed served, the last of it; not what came later.
    assert set(chart(maker.bench, "english horn", NAMED["tip"]).values) == {50.5}
    assert [round(v) for v in chart(maker.bench, "english horn", NAMED["crow"]).values[:3]] == [0, 10, -10]


def test_the_odd_one_is_beyond_and_off_the_target(maker: Maker) -> None:
    tied = chart(maker.bench, "english horn", NAMED["tied"])
    assert [p.reed.tag for p in tied.marked if "beyond" in p.marks] == ["12"]
    assert (tied.target, tied.tolerance) == (60, 0.5)
    assert [p.reed.tag for p in tied.off_target] == ["12"]
    maker.type("target eh overall 64 tolerance .3")
    again = chart(maker.bench, "english horn", NAMED["tied"])
    assert (again.target, again.tolerance, len(again.off_target)) == (64, 0.3, 11)


def test_the_crow_is_told_in_cents_from_the_target_at_the_makers_a4(maker: Maker) -> None:
    """518.5 Hz is 1200 log2(518.5 / (442 x 2^(3/12))) = -23.64 cents from C5 at A4 = 442 Hz (ISO 16 names 440)."""
    maker.type("20 tie eh 60; crow 518.5 Hz")
    assert chart(maker.bench, "english horn", NAMED["crow"]).values[-1] == pytest.approx(-23.64, abs=0.01)


def test_few_values_set_no_limits() -> None:
    maker = Maker(*(f"{n} tie eh 60" for n in range(1, NEEDS)))
    few = chart(maker.bench, "english horn", NAMED["tied"])
    assert few.limits is None
    assert not few.marked
    assert chart_text(few)[1] == f"  too few for limits: {NEEDS} are needed"
    assert chart(maker.bench, "oboe", NAMED["tied"]).points == ()


def test_reeds_that_are_all_noted_as_they_were_meant_to_be_tell_nothing_of_the_hand() -> None:
    maker = Maker(f"1-{NEEDS} tie oboe 72")
    alike = chart(maker.bench, "oboe", NAMED["tied"])
    assert alike.limits is None
    assert chart_text(alike)[1:] == [
        "  each is noted as 72.00 mm, as it was meant to be",
        "  what was measured on each tells how steady the hand is",
    ]
    assert chart_as_dict(alike)["limits"] is None
    maker.type(f"{NEEDS + 1} tie oboe 71.8")
    assert chart(maker.bench, "oboe", NAMED["tied"]).limits is not None


def test_only_the_latest_are_shown(maker: Maker) -> None:
    assert [p.reed.tag for p in chart(maker.bench, "english horn", NAMED["tied"], latest=3).points] == [
        "10",
        "11",
        "12",
    ]


def test_the_finished_length_is_that_at_the_first_playing_against_its_own_target() -> None:
    """Common practice, no source: tied at 60 mm and clipped by 2.5; what is clipped in use counts no more."""
    maker = Maker()
    maker.type("1 tie eh 60", "clip 2.5", "p 20 8", "clip .5", "2 tie eh 60", "clip 1")
    finished = chart(maker.bench, "english horn", NAMED["finished"])
    assert (finished.values, finished.target, finished.tolerance) == ([57.5], 57.5, 0.5)


def test_charts_in_words_and_as_json(maker: Maker) -> None:
    assert [found.measure.name for found in charts(maker.bench, "english horn")] == [
        "tied", "finished", "tip", "opening", "gouge", "crow",
    ]  # fmt: skip
    lines = chart_text(chart(maker.bench, "english horn", NAMED["tied"]))
    assert "  target 60.00 mm; 1 stray by more than 0.5 mm" in lines
    assert "  beyond the limits: reed 12" in lines
    told = chart_as_dict(chart(maker.bench, "english horn", NAMED["tied"]))
    *_, before, last = told["points"]  # type: ignore[misc]
    assert last["marks"] == ["beyond"]
    assert last["range"] == pytest.approx(abs(last["value"] - before["value"]))
    assert told["points"][0]["range"] is None  # type: ignore[index]
    assert told["off_target"] == ["12"]
