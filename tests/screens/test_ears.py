"""The bench hears: recordings on the entry line."""

from __future__ import annotations

from pathlib import Path
from threading import Event

import pytest

from reedkin.hearing.recording import Recordings, Take
from tests.hearing.crows import Made, write_wav
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
            assert name in bench.shown.splitlines()[-2]
            await bench.keys("<escape>")
        assert kinds(bench, "2") == ["tied"]
