"""The bench hears: recordings on the entry line, and the microphone."""

from __future__ import annotations

from pathlib import Path
from threading import Event

import numpy as np
import pytest

from reedkin.hearing.recording import Recordings, Take
from reedkin.widgets.entry_line import EntryLine
from tests.hearing.crows import Made, write_wav
from tests.hearing.devices import put_in, that_hears
from tests.screens.conftest import Bench, Opened

TIED = ("1-3 tie eh 60 lot 7 tube 27",)


@pytest.fixture
def take(tmp_path: Path) -> Path:
    return write_wav(tmp_path / "take 3.wav", Made(noise_db=15, seconds=1).sound(), 44100)


def kinds(bench: Bench, tag: str) -> list[str]:
    reed = bench.desk.bench.find(tag)
    assert reed is not None
    return [step.kind for step in reed.steps]


class HeldBack:
    """Hearing that waits until it is let go."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.begun, self.go = Event(), Event()
        hear = Recordings.hear

        def slowly(take: Take) -> object:
            self.begun.set()
            assert self.go.wait(30)
            return hear(take)

        monkeypatch.setattr(Recordings, "hear", staticmethod(slowly))


async def test_a_recording_is_shown_as_it_was_heard_before_enter_records_it(opened: Opened, take: Path) -> None:
    async with opened((80, 24), *TIED) as bench:
        await bench.keys(f'2 crow "{take}"')
        await bench.settle()
        assert "2: crowed C5, in octaves, steadiness 10" in bench.shown
        assert kinds(bench, "2") == ["tied"]
        await bench.keys("<enter>")
        assert "✓ 2: crowed C5, in octaves, steadiness 10" in bench.shown
        assert kinds(bench, "2") == ["tied", "crowed"]
        await bench.keys("<ctrl+z>")
        assert "crow C5 octaves steady 10" in bench.shown


async def test_what_is_typed_behind_acts_when_it_is_heard_and_the_screen_goes_on(
    opened: Opened, take: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    held = HeldBack(monkeypatch)
    async with opened((80, 24), *TIED) as bench:
        await bench.keys(f'2 crow "{take}"<enter>3 clip .5<enter>')
        assert held.begun.wait(30)
        assert "Listening to" in bench.shown
        assert kinds(bench, "2") == kinds(bench, "3") == ["tied"]
        held.go.set()
        await bench.settle()
        await bench.app.turns.at_rest()
        assert kinds(bench, "2") == ["tied", "crowed"]
        assert kinds(bench, "3") == ["tied", "clipped"]


async def test_escape_stops_an_enter_that_waits(opened: Opened, take: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    held = HeldBack(monkeypatch)
    async with opened((80, 24), *TIED) as bench:
        await bench.keys(f'2 crow "{take}"<enter><escape>3 clip .5<enter>')
        assert kinds(bench, "3") == ["tied", "clipped"]
        held.go.set()
        await bench.settle()
        assert kinds(bench, "2") == ["tied"]


async def test_a_recording_without_a_note_is_refused_and_the_line_stays(opened: Opened, tmp_path: Path) -> None:
    write_wav(tmp_path / "none.wav", Made().sound() * 0, 44100)
    async with opened((120, 40), *TIED) as bench:
        for name, why in (("none.wav", "no steady note was heard"), ("nowhere.wav", "No such file")):
            await bench.keys(f'2 crow "{tmp_path / name}"<enter>')
            await bench.settle()
            await bench.app.turns.at_rest()
            assert why in bench.shown
            assert name in bench.shown.splitlines()[-3]
            await bench.keys("<escape>")
        assert kinds(bench, "2") == ["tied"]


async def test_listening_puts_the_crow_on_the_line_and_enter_records_it(
    opened: Opened, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    that_hears(monkeypatch, tmp_path, Made(hertz=517.24, noise_db=15).sound())
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("2 crow listen")
        assert "Enter listens for up to four seconds" in bench.shown
        await bench.enter("")
        await bench.settle()
        assert "2 crow C5 -20c octaves steady 10" in bench.shown
        assert "2: crowed C5 -20c, in octaves, steadiness 10" in bench.shown
        assert kinds(bench, "2") == ["tied"]
        await bench.keys("<enter>")
        assert kinds(bench, "2") == ["tied", "crowed"]
        await bench.keys("3 clip .5<ctrl+l>")
        await bench.settle()
        assert "3 clip .5; crow C5 -20c octaves steady 10" in bench.shown
        await bench.keys("<escape><ctrl+l>")
        await bench.settle()
        await bench.keys("<enter>")
        assert kinds(bench, "2") == ["tied", "crowed", "crowed"]


async def test_where_nothing_can_be_heard_it_says_so_and_nothing_is_on_the_line(
    opened: Opened, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    async with opened((80, 24), *TIED) as bench:
        for made, why in (("no part", "pip install '.[listen]'"), ("none", "No microphone can be heard here")):
            put_in(monkeypatch, made)
            await bench.keys("<ctrl+l>")
            await bench.settle()
            assert why in bench.shown
            assert bench.app.screen.query_one(EntryLine).text == ""
        that_hears(monkeypatch, tmp_path, np.zeros(100))
        await bench.enter("2 crow listen")
        await bench.settle()
        assert "Nothing was heard" in bench.shown
        assert bench.app.screen.query_one(EntryLine).text == ""
        await bench.keys("<ctrl+p>")
        assert bench.app.screen.query_one(EntryLine).text == "2 crow listen"


@pytest.mark.parametrize(("key", "line"), [("<escape>", ""), ("x", "crow listenx"), ("<f4><f2>", "crow listen")])
async def test_whatever_changes_the_line_or_leaves_it_stops_listening(
    opened: Opened, monkeypatch: pytest.MonkeyPatch, key: str, line: str
) -> None:
    put_in(monkeypatch, "mute")
    async with opened((80, 24), *TIED) as bench:
        await bench.keys("<ctrl+l>")
        assert "Opening the microphone" in bench.shown
        await bench.keys(key)
        await bench.settle()
        assert "microphone" not in bench.shown
        assert bench.app.screen.query_one(EntryLine).text == line
