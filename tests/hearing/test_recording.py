"""Where an entry line names a recording."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.hearing.crows import Made, write_wav

from reedkin.errors import InputError
from reedkin.hearing.recording import Recordings
from reedkin.hearing.said import listens, to_hear


@pytest.mark.parametrize(
    ("line", "names"),
    [
        ("crow take3.wav", ["take3.wav"]),
        ('142 crowed "my take.WAV" @yesterday', ["my take.WAV"]),
        ("1 s tip 5; cr a.wav; clip .5; 2 crow b.wav", ["a.wav", "b.wav"]),
        ("yesterday reed 7 crow a.wav", ["a.wav"]),
        ("crow C5 -20c", []),
        ('note "crow take3.wav was the best"', []),
        ("note crow take3.wav was the best", []),
        ("n crow take3.wav", []),
        ('crow "take3.wav', []),
        ("crow take3.wave", []),
        ("sell to crow take3.wav", []),
        ("", []),
    ],
)
def test_a_recording_is_what_stands_behind_the_verb(line: str, names: list[str]) -> None:
    assert [one.recording for one in to_hear(line)] == names
    assert not listens(line)


def test_the_rest_of_the_line_stays_as_it_was_typed(tmp_path: Path) -> None:
    first = write_wav(tmp_path / "a.wav", Made(hertz=440, octaves=False, seconds=1).sound(), 44100)
    second = write_wav(tmp_path / "b 2.wav", Made(seconds=1).sound(), 44100)
    line = f'1 s tip 5;  crow {first} "soft";2 crow "{second}" @10:30'
    assert Recordings().heard(line) == ('1 s tip 5;  crow A4 steady 10 "soft";2 crow C5 octaves steady 10 @10:30')


def test_one_that_is_written_over_is_heard_anew_and_no_other_is(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    take, heard = tmp_path / "a.wav", Recordings()
    write_wav(take, Made(hertz=440, octaves=False, seconds=1).sound(), 44100)
    (waits,) = heard.unheard(f"crow {take}")
    heard.keep(waits, heard.hear(waits))
    assert not heard.unheard(f"crow {take}")
    write_wav(take, Made(hertz=466.16, octaves=False, seconds=1.5).sound(), 44100)
    assert heard.unheard(f"crow {take}")
    assert heard.heard(f"crow {take}") == "crow Bb4 steady 10"
    monkeypatch.setattr(Recordings, "hear", staticmethod(lambda take: pytest.fail("it has been heard")))
    assert heard.heard(f"crow {take}") == "crow Bb4 steady 10"


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    (tmp_path / "folder.wav").mkdir()
    heard = Recordings()
    for name, why in (("folder.wav", "is no file"), ("none.wav", "No such file")):
        line = f"crow {tmp_path / name}"
        assert not heard.unheard(line)
        with pytest.raises(InputError, match=why):
            heard.heard(line)
