"""What is odd is learnt from the maker's own values."""

from __future__ import annotations

from statistics import median

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.bench.parts import Parts, event
from tests.domain.maker import Maker

from reedkin.bench.own_ranges import NEEDS, OwnRanges, own_range, own_ranges


def questions(maker: Maker, line: str) -> list[str]:
    """What is asked about a line."""
    reading = maker.read(line)
    assert not reading.errors
    return [problem.message for problem in reading.questions]


@pytest.fixture
def short_clipper() -> Maker:
    """A maker who ties at 58 mm, give or take 0.2, and clips 0.2 to 0.4 mm."""
    maker = Maker()
    for number in range(1, 21):
        maker.type(f"{number} tie eh {58 + (number % 5 - 2) / 10} ; clip {0.2 + (number % 3) / 10}")
    return maker


def test_values_like_her_own_are_not_asked_about(short_clipper: Maker) -> None:
    assert questions(short_clipper, "21 tie eh 58.3; clip .3") == []


def test_values_unlike_her_own_are_asked_about_though_common(short_clipper: Maker) -> None:
    (length, clip) = questions(short_clipper, "21 tie eh 60; clip 1")
    assert length.startswith("overall length 60 mm is unlike your own")
    assert clip.startswith("clip 1 mm is unlike your own")


def test_what_is_her_own_is_not_asked_about_though_uncommon() -> None:
    maker = Maker()
    for number in range(1, 17):
        maker.type(f"{number} tie eh 64; clip {3 + number % 2}")
    assert "clip 4 mm is much; usual is 2.5 mm or less" in questions(Maker(), "1 tie eh 64; clip 4")
    assert questions(maker, "17 tie eh 64; clip 4") == []


def test_nothing_is_learnt_from_few_values_nor_for_another_instrument(short_clipper: Maker) -> None:
    assert questions(short_clipper, "21 tie oboe 72") == []
    few = Maker()
    for number in range(1, NEEDS):
        few.type(f"{number} tie eh 58")
    assert questions(few, "40 tie eh 60") == []
    few.type("40 tie eh 58")
    assert questions(few, "41 tie eh 60")


def test_what_she_confirmed_twice_is_hers(short_clipper: Maker) -> None:
    for number in (21, 22):
        assert questions(short_clipper, f"{number} tie eh 61")
        short_clipper.type(f"{number} tie eh 61")
    assert questions(short_clipper, "23 tie eh 61") == []


def test_a_correction_is_followed(short_clipper: Maker) -> None:
    bench = short_clipper.bench
    state = short_clipper.reed("1").now
    before = bench.own_ranges.usual("clipped", state)["clip_mm"]
    short_clipper.type("1 clip .3")
    assert bench.own_ranges.usual("clipped", state)["clip_mm"].count == before.count + 1


def test_a_range_is_learnt_once_and_not_at_every_key(short_clipper: Maker) -> None:
    state = short_clipper.reed("1").now
    own = short_clipper.bench.own_ranges
    assert own.usual("clipped", state) is own.usual("clipped", state)


def test_the_limit_is_a_modified_z_score_of_three_and_a_half() -> None:
    """Iglewicz & Hoaglin 1993: 0.6745 (x - median) / MAD, the 0.6745 being the third quartile of the normal."""
    values = [57.0, 57.4, 57.9, 58.0, 58.3, 58.5, 58.8, 59.0, 59.6, 60.1, 60.2, 60.4, 61.0, 61.3, 62.0]
    found = own_range("overall_mm", values)
    mad = median(abs(v - median(values)) for v in values)
    assert 0.6745 * (found.high - median(values)) / mad == pytest.approx(3.5, rel=1e-4)
    assert 0.6745 * (median(values) - found.low) / mad == pytest.approx(3.5, rel=1e-4)


@settings(deadline=None, derandomize=True)
@given(
    st.lists(st.floats(0.01, 200), min_size=NEEDS, max_size=40), st.sampled_from(["overall_mm", "minutes", "clip_mm"])
)
def test_a_range_holds_all_but_the_extremes_of_what_it_allows(values: list[float], name: str) -> None:
    found = own_range(name, values)
    ordered = sorted(values)
    assert 0 <= found.low <= ordered[1] <= ordered[-2] <= found.high
    assert found.low <= median(values) <= found.high


def test_what_is_no_number_is_passed_over() -> None:
    assert own_ranges("tubed", [{"tubing_mm": 0}, {"tubing_mm": True}] * NEEDS) == {}
    assert own_ranges("noted", [{}] * NEEDS) == {}


def test_what_has_a_long_tail_is_judged_by_its_logarithm() -> None:
    """By hand: the median is 1 and the median absolute deviation of the logarithms log 1.1, which makes 1.1 to the
    power of 3.5 x 1.4826 = 5.189 and its inverse the limits; where that is more than twice her most, twice her most."""
    near = own_range("clip_mm", [1.0, *[1.1] * 7, *[1 / 1.1] * 7])
    assert (near.low, near.high) == (pytest.approx(1.1**-5.1891), pytest.approx(1.1**5.1891))
    wide = own_range("clip_mm", [1.0, *[2.0] * 7, *[0.5] * 7])
    assert (wide.low, wide.high) == (0.25, 4.0)


def test_what_a_ruler_cannot_tell_is_not_odd() -> None:
    for name, value, ruler in (("overall_mm", 60.0, 0.5), ("gouge_mm", 0.6, 0.02), ("clip_mm", 0.5, 0.2)):
        found = own_range(name, [value] * 15)
        assert (found.low, found.high) == (pytest.approx(value - ruler), pytest.approx(value + ruler))


def test_how_reeds_were_tied_is_learnt_from_their_headings_alone() -> None:
    parts = Parts(*([event(n, f"u{n:03d}", "tied", instrument="oboe", overall_mm=70 + n / 20)] for n in range(20)))
    own = OwnRanges(parts.headings, parts.lineages)
    assert own.usual("tied", None, {"instrument": "oboe"})["overall_mm"].count == 20
    assert own.usual("tied", None, {"instrument": "english horn"}) == {}
    assert own.usual("tied", None, {}) == own.usual("noted", None, {"instrument": "oboe"}) == {}
    assert not parts.read


def test_a_range_is_learnt_anew_after_a_further_event_of_its_kind_and_instrument() -> None:
    parts = Parts([event(0, "u000", "tied", instrument="oboe"), *(event(n, "u000", "clipped", clip_mm=0.5)
                   for n in range(1, 20))])  # fmt: skip
    own, state = OwnRanges(parts.headings, parts.lineages), parts.lineages.reed("u000").now
    before = own.usual("clipped", state)
    own.add(event(20, "u000", "played", minutes=9))
    assert own.usual("clipped", state) is before
    further = event(21, "u000", "clipped", clip_mm=0.5)
    parts.lineages.add("u000", further)
    own.add(further)
    assert own.usual("clipped", state)["clip_mm"].count == 20
