"""The table of what ended the reeds."""

from __future__ import annotations

import pytest

from reedkin.charts.canvas import plain
from reedkin.charts.causes import Ended, causes_table

# Of 100 reeds after 5, 10, 15 and 20 hours.
CAUSES = [
    Ended("worn", 30, (0.02, 0.10, 0.30, 0.40)),
    Ended("closed up", 20, (0.01, 0.05, 0.10, 0.20)),
    Ended("dropped, accident", 4, (0.01, 0.02, 0.03, 0.05), wear=False),
    Ended("cracked", 3, (0.00, 0.01, 0.02, 0.04)),
]
SERVING = (0.96, 0.82, 0.55, 0.31)
AGES = ("5 h", "10 h", "15 h", "20 h")


def drawn(width: int, height: int) -> list[str]:
    lines = plain(causes_table(CAUSES, SERVING, AGES, width, height)).split("\n")
    assert len(lines) == height
    assert all(len(line) == width for line in lines)
    return [line.rstrip() for line in lines]


def test_every_cause_has_its_share_of_a_hundred_its_count_and_a_bar() -> None:
    lines = drawn(78, 10)
    assert lines[0].split() == ["of", "100,", "ended", "by", "5", "h", "10", "h", "15", "h", "20", "h", "reeds"]
    assert lines[1].split()[:-1] == ["worn", "2", "10", "30", "40", "30"]
    assert lines[5].split()[:-1] == ["still", "serving", "96", "82", "55", "31"]
    bars = [line.count("█") + line.count("▌") / 2 for line in lines[1:6]]
    assert bars[0] == max(bars)
    assert bars[1] == pytest.approx(bars[0] / 2, abs=0.5)
    columns = [[float(word) for word in line[20:44].split()] for line in lines[1:6]]
    assert [sum(column) for column in zip(*columns, strict=True)] == [100, 100, 100, 100]


def test_the_last_age_stays_where_there_is_no_room_for_all() -> None:
    lines = drawn(40, 10)
    assert "20 h" in lines[0]
    assert "5 h" not in lines[0].replace("15 h", "")
    assert "█" not in "".join(lines)


def test_causes_without_room_are_added_up() -> None:
    lines = drawn(78, 5)
    assert lines[3].split()[:-1] == ["2", "other", "causes", "1", "3", "5", "9", "7"]
    assert lines[4].startswith("still serving")


@pytest.mark.parametrize(("width", "height"), [(10, 10), (78, 2), (0, 0), (1, 1)])
def test_too_small_a_place_says_so_and_keeps_to_it(width: int, height: int) -> None:
    lines = plain(causes_table(CAUSES, SERVING, AGES, width, height)).split("\n")
    assert max(map(len, lines)) <= width


def test_without_an_end_a_sentence() -> None:
    assert "No reed has ended yet." in plain(causes_table([], (), (), 60, 8))
