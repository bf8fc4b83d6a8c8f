"""What a reed's lineage gives to its charts."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

from tests.charts.measure import assert_size

from reedkin.charts.canvas import plain
from reedkin.charts.life import LengthPoint, length_points, life_charts, play_series
from reedkin.domain.events import Event
from reedkin.domain.facts import Facts
from reedkin.domain.reeds import Reed, fold

START = datetime(2025, 9, 3, 10, tzinfo=UTC)


def reed(*happened: tuple[str, Facts]) -> Reed:
    """A reed with these events, a day apart."""
    events = [
        Event(f"u{day:03}", "u000", kind, "142", START + timedelta(days=day), START, f"e{day}", facts)
        for day, (kind, facts) in enumerate(happened)
    ]
    return fold("u000", events)


LIVED = reed(
    ("tied", {"instrument": "english horn", "overall_mm": 60.0, "tube_mm": 27.0}),
    ("scraped", {"where": ("tip",), "minutes": 10}),
    ("clipped", {"clip_mm": 1.0}),
    ("measured", {"overall_mm": 58.9}),
    ("played", {"minutes": 45, "score": 8.0}),
    ("played", {"minutes": 45}),
    ("played", {"minutes": 30, "response": 6.0, "tone": 8.0}),
    ("clipped", {"overall_mm": 58.5}),
)


def test_lengths_are_those_that_were_noted_and_those_that_follow() -> None:
    assert length_points(LIVED) == [
        LengthPoint(START, 60, measured=True),
        LengthPoint(START + timedelta(days=2), 59),
        LengthPoint(START + timedelta(days=3), 58.9, measured=True),
        LengthPoint(START + timedelta(days=7), 58.5, measured=True),
    ]


def test_scores_stand_at_the_hours_played_by_then() -> None:
    series = play_series(LIVED)
    assert (series.name, list(series.hours), list(series.scores)) == ("142", [0.75, 2.0], [8, 7])


def test_both_charts_share_the_height() -> None:
    for height in (0, 5, 12, 13, 14, 24, 31):
        assert_size(life_charts(LIVED, 60, height), 60, height)
    text = plain(life_charts(LIVED, 78, 24))
    assert text.index("Overall length") < text.index("3 Sep") < text.index("Playability over hours played")


def test_a_reed_that_was_only_tied_has_sentences() -> None:
    blank = reed(("tied", {"instrument": "oboe"}))
    text = " ".join(plain(life_charts(blank, 78, 24)).split())
    assert "No length noted yet" in text
    assert "No score noted yet" in text
