"""Pedals on the bench: learnt, pressed, shown large, and never in the way of a line."""

from __future__ import annotations

import pytest

from reedkin.charts.big import big
from reedkin.widgets.entry_line import EntryLine
from tests.screens.conftest import SIZES, Bench, Opened

TIED = ("1-4 tie eh 60 lot 7", "session start")


@pytest.fixture(autouse=True)
def quick_feet(monkeypatch: pytest.MonkeyPatch) -> None:
    """The keys of a test come without a pause; what a foot does too soon is tested with the pedal itself."""
    monkeypatch.setattr("reedkin.domain.held_key.REPEAT_SECONDS", 0.0)
    monkeypatch.setattr("reedkin.domain.held_key.HELD_SECONDS", 0.0)


def scrapes(bench: Bench, tag: str) -> list[dict[str, object]]:
    reed = bench.desk.bench.find(tag)
    assert reed is not None
    return [dict(step.facts) for step in reed.standing if step.kind == "scraped"]


@pytest.mark.parametrize("size", SIZES)
async def test_the_pedals_are_learnt_and_what_they_do_is_shown_large(opened: Opened, size: tuple[int, int]) -> None:
    async with opened(size, *TIED) as bench:
        await bench.enter("set pedal on")
        assert "Press the right pedal." in bench.shown
        await bench.keys("x")
        assert "x is no key that pedals send" in bench.shown
        await bench.keys("<pagedown><pagedown>")
        assert "PgDn is the right one." in bench.shown
        await bench.keys("<pageup>")
        assert "✓ settings: pedal on, right PgDn, left PgUp" in bench.shown
        await bench.keys("<up><up><up>")
        bench.clock.forward(minutes=6)
        await bench.enter("s tip")
        bench.clock.forward(minutes=4)
        await bench.keys("<pagedown>")
        assert "✓ scraped tip, 4 min" in bench.shown
        assert "in hand. Then 4." in bench.shown
        for two, three in zip(big("2", 30), big("3", 30), strict=True):
            assert any(two in row and three in row[len(row) // 2 :] for row in bench.shown.splitlines())
        assert "3 ▸" in bench.shown
        await bench.keys("<pageup>")
        assert "↶ took back: 2: scraped tip, 4 min" in bench.shown
        assert "2 ▸" in bench.shown
        assert scrapes(bench, "2") == []
        assert scrapes(bench, "1") == [{"where": ("tip",), "minutes": 6}]


@pytest.mark.parametrize("keys", ["right,left", "down,up", "space,enter"])
async def test_with_something_on_the_line_the_keys_mean_what_they_always_mean(opened: Opened, keys: str) -> None:
    async with opened((80, 24), *TIED, f"set pedal {keys}") as bench:
        right, left = (f"<{key}>" if key != "space" else " " for key in keys.split(","))
        before = bench.desk.hand
        await bench.keys(right)
        assert bench.desk.hand != before
        await bench.keys(left)
        assert bench.desk.hand is not None
        assert bench.desk.hand.label == before.label  # type: ignore[union-attr]
        await bench.keys(f'note "a{right}b{left}c')
        assert scrapes(bench, "1") == scrapes(bench, "2") == []
        text = bench.app.screen.query_one(EntryLine).text
        assert text == {"right,left": 'note "acb', "down,up": 'note "abc', "space,enter": "c"}[keys]


async def test_escape_leaves_the_pedals_as_they_were(opened: Opened) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.enter("set pedal on")
        await bench.keys("<pagedown><escape>")
        assert "The pedals stay as they were." in bench.shown
        await bench.keys("<pagedown>")
        assert bench.desk.bench.settings.pedal is None
        assert not any(scrapes(bench, tag) for tag in "1234")


async def test_what_is_typed_ahead_of_a_press_comes_first(opened: Opened) -> None:
    async with opened((80, 24), *TIED, "set pedal on") as bench:
        await bench.keys("1 s tip 5<enter><pagedown><pagedown><pageup>note mine<enter>")
        assert [len(scrapes(bench, tag)) for tag in "1234"] == [1, 1, 0, 0]
        reed = bench.desk.bench.find("3")
        assert reed is not None
        assert reed.last.note == "mine"


async def test_what_is_typed_waits_until_a_second_press_is_known_for_one(
    opened: Opened, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("reedkin.screens.foot.AGAIN_SECONDS", 1e9)
    async with opened((80, 24), *TIED, "set pedal on") as bench:
        await bench.keys("<pagedown>")
        monkeypatch.setattr("reedkin.domain.held_key.HELD_SECONDS", 1e9)
        await bench.keys("<pagedown>note mine<enter>")
        assert bench.app.screen.query_one(EntryLine).text == ""
        assert [len(scrapes(bench, tag)) for tag in "1234"] == [0, 0, 0, 1]
        bench.app.screen._keys._before_repeat = 0.5  # as once a key was held down
        bench.app.screen._feet._settle()  # as the timer does
        await bench.keys("")
        assert [len(scrapes(bench, tag)) for tag in "1234"] == [1, 0, 0, 1]
        reed = bench.desk.bench.find("2")
        assert reed is not None
        assert reed.last.note == "mine"
