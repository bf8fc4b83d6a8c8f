"""Listening through a device of the tests' own."""

from __future__ import annotations

from pathlib import Path
from queue import SimpleQueue

import numpy as np
import pytest
from tests.hearing.crows import FloatArray, Made
from tests.hearing.devices import put_in, that_hears

from reedkin.errors import InputError
from reedkin.hearing.crow import Crow
from reedkin.hearing.listener import Listener, Stage
from reedkin.hearing.listening import Hearing
from reedkin.hearing.microphone import _pieces

SILENCE = np.zeros(22050)
BREATH = 0.1 * np.random.default_rng(3).normal(size=22050)


def fed(sound: FloatArray) -> tuple[Crow | None, float]:
    """What is heard in a sound that comes in by fifths of a second, and after how many."""
    hearing = Hearing(44100)
    for block in np.array_split(sound, len(sound) // 8820):
        hearing.add(block)
        if (crow := hearing.settled()) is not None:
            return crow, hearing.seconds
    return None, hearing.seconds


def test_it_is_heard_as_soon_as_it_has_been_steady_for_a_second() -> None:
    made = Made(hertz=517.24, noise_db=12, seconds=3)
    crow, seconds = fed(np.concatenate([SILENCE, BREATH, made.sound()]))
    assert crow is not None
    assert crow.entry() == "crow C5 -20c octaves steady 10"
    assert 2 < seconds < 2.7


def test_it_waits_while_the_crow_grows_steadier() -> None:
    wobbles = Made(wobble_cents=40, seconds=1.2).sound()
    crow, _ = fed(np.concatenate([wobbles[:-8000], Made(seconds=2).sound()[8000:]]))
    assert crow is not None
    assert crow.steadiness == 10


def test_the_note_of_now_is_that_of_the_last_moment() -> None:
    hearing = Hearing(44100)
    hearing.add(np.concatenate([Made(hertz=517.24, seconds=2).sound(), Made(hertz=580, seconds=1.5).sound()]))
    now = hearing.now()
    assert now is not None
    assert now.entry().startswith("crow D5")
    assert now.seconds < 0.7


def test_listening_ends_after_its_time_and_when_it_is_told_to() -> None:
    arrived: SimpleQueue[bytes] = SimpleQueue()
    for piece in (b"sound", b""):
        arrived.put(piece)
    assert list(_pieces(arrived, 0.0, lambda: True)) == []
    assert list(_pieces(arrived, 60.0, lambda: False)) == []
    assert list(_pieces(arrived, 60.0, lambda: True)) == [b"sound"]


@pytest.mark.parametrize("sound", [SILENCE, np.tile(BREATH, 6), Made(seconds=0.8).sound()])
def test_what_is_no_steady_second_is_waited_for(sound: FloatArray) -> None:
    assert fed(sound)[0] is None


def test_a_crow_is_heard_through_the_microphone(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    that_hears(monkeypatch, tmp_path, np.concatenate([SILENCE, Made(noise_db=15, seconds=0.7).sound(), BREATH]))
    opened = []
    listener = Listener()
    heard = listener.listen(lambda: opened.append(listener.stage))
    assert opened == [Stage.LISTENING]
    assert heard is not None
    assert heard.crow.entry() == "crow C5 octaves steady 10"
    assert len(heard.sound) / heard.rate == pytest.approx(4)


@pytest.mark.parametrize(
    ("sound", "why"),
    [(SILENCE, "Nothing was heard"), (np.tile(BREATH, 9), "No steady note was heard")],
    ids=["silence", "noise"],
)
def test_silence_and_noise_say_so(monkeypatch: pytest.MonkeyPatch, tmp_path: Path, sound: np.ndarray, why: str) -> None:
    that_hears(monkeypatch, tmp_path, sound)
    with pytest.raises(InputError, match=why):
        Listener().listen()


@pytest.mark.parametrize(
    ("made", "why"),
    [
        ("no part", r"pip install '.\[listen\]'"),
        ("no PortAudio", "apt install libportaudio2"),
        ("none", "No microphone can be heard here .*device -1"),
        ("crash", "The microphone does not answer"),
    ],
)
def test_what_is_missing_is_said_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str], made: str, why: str
) -> None:
    put_in(monkeypatch, made)
    with pytest.raises(InputError, match=f"{why}.* crow take3.wav$"):
        Listener().listen()
    assert capfd.readouterr() == ("", "")


def test_a_device_that_gives_nothing_can_be_stopped(monkeypatch: pytest.MonkeyPatch) -> None:
    put_in(monkeypatch, "mute")
    listener = Listener()
    listener.stop()
    assert listener.listen() is None


def test_what_was_heard_so_far_can_be_taken(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    that_hears(monkeypatch, tmp_path, Made(noise_db=15, seconds=1).sound(), more=0)
    listener = Listener()
    listener.take()  # nothing yet: the microphone is not open
    monkeypatch.setattr(Hearing, "settled", lambda self: listener.take() if self.seconds > 0.75 else None)
    heard = listener.listen()
    assert heard is not None
    assert len(heard.sound) / heard.rate <= 1
    assert heard.crow.entry().startswith("crow C5")


def test_a_driver_that_writes_on_the_terminal_writes_nowhere(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capfd: pytest.CaptureFixture[str]
) -> None:
    that_hears(monkeypatch, tmp_path, Made(seconds=2).sound())
    assert Listener().listen() is not None
    assert capfd.readouterr() == ("", "")
