"""Identifiers, against RFC 9562."""

from __future__ import annotations

from uuid import RFC_4122, UUID

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedkin.domain.uid import UidMaker, is_uid, uid_of_content, uuid7

APPENDIX_A6 = UUID("017F22E2-79B0-7CC3-98C4-DC0C0C07398F")
"""The example of RFC 9562, appendix A.6: Tuesday, February 22, 2022 2:22:22.00 PM GMT-05:00."""


def test_the_example_of_the_rfc() -> None:
    rand_a, rand_b = 0xCC3, 0x18C4DC0C0C07398F
    assert uuid7(0x017F22E279B0, rand_a << 62 | rand_b) == str(APPENDIX_A6)
    assert 0x017F22E279B0 == 1645557742000  # printed there beside it


@given(st.integers(0, (1 << 48) - 1), st.integers(0, (1 << 74) - 1))
def test_version_variant_and_time(milliseconds: int, low: int) -> None:
    uid = uuid7(milliseconds, low)
    parsed = UUID(uid)
    assert (parsed.version, parsed.variant) == (7, RFC_4122)
    assert parsed.int >> 80 == milliseconds
    assert (parsed.int >> 64 & 0xFFF) << 62 | parsed.int & (1 << 62) - 1 == low
    assert is_uid(uid)


@given(
    st.tuples(st.integers(0, 1 << 47), st.integers(0, (1 << 74) - 1)),
    st.tuples(st.integers(0, 1 << 47), st.integers(0, (1 << 74) - 1)),
)
def test_text_sorts_by_time_and_then_by_the_rest(one: tuple[int, int], other: tuple[int, int]) -> None:
    assert (uuid7(*one) < uuid7(*other)) == (one < other)


class _Ticking:
    """A clock that says what it is told to, in milliseconds."""

    def __init__(self, *times: int) -> None:
        self.times = iter(times)

    def __call__(self) -> int:
        return next(self.times)


def test_each_sorts_after_the_one_before_whatever_the_clock_says() -> None:
    clock = _Ticking(5000, 5000, 5001, 4000, 4000, 5001, 9000, 100)
    maker = UidMaker(clock)
    made = [maker.new() for _ in range(8)]
    assert made == sorted(set(made))
    times = [UUID(uid).int >> 80 for uid in made]
    assert times == [5000, 5000, 5001, 5001, 5001, 5001, 9000, 9000]


def test_a_maker_goes_on_after_the_latest_of_a_log() -> None:
    latest = uuid7(10_000, (1 << 74) - 1)
    uid = UidMaker(lambda: 7, after=latest).new()
    assert uid > latest
    assert UUID(uid).int >> 80 == 10_001


def test_many_at_once_are_in_order_and_of_their_kind() -> None:
    maker = UidMaker()
    made = [maker.new() for _ in range(2000)]
    assert made == sorted(set(made))
    assert all(map(is_uid, made))


def test_content_gives_the_same_uid_twice_and_another_for_another() -> None:
    assert uid_of_content(5, "12 tied") == uid_of_content(5, "12 tied")
    assert uid_of_content(5, "12 tied") != uid_of_content(5, "13 tied")
    assert is_uid(uid_of_content(5, "12 tied"))
    assert UUID(uid_of_content(5, "12 tied")).int >> 80 == 5


@pytest.mark.parametrize(
    "text", ["", "12", str(APPENDIX_A6).upper(), "017f22e2-79b0-4cc3-98c4-dc0c0c07398f", f"{APPENDIX_A6} "]
)
def test_what_is_no_uid(text: str) -> None:
    assert not is_uid(text)
