"""Recordings: what a WAV file may be, and what is said of one that cannot be read."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from tests.hearing.crows import Made, write_wav

from reedkin.errors import InputError
from reedkin.hearing.crow import hear
from reedkin.hearing.sound import read_wav


@pytest.mark.parametrize("bits", [8, 16, 24, 32])
@pytest.mark.parametrize("channels", [1, 2])
def test_every_depth_is_read_as_it_was_written(tmp_path: Path, bits: int, channels: int) -> None:
    made = Made(rate=22050, seconds=1.0)
    sound, rate = read_wav(write_wav(tmp_path / "crow.wav", made.sound(), made.rate, bits, channels))
    assert rate == 22050
    assert np.abs(sound - made.sound()).max() < 1.5 / 2 ** (bits - 1)
    heard = hear(sound, rate)
    assert heard is not None
    assert heard.entry().startswith("crow C5")


def test_a_long_recording_is_read_for_its_first_half_minute(tmp_path: Path) -> None:
    sound, rate = read_wav(write_wav(tmp_path / "long.wav", np.zeros(8000 * 40), 8000, 8))
    assert len(sound) == 30 * rate


@pytest.mark.parametrize("kept", [0, 3, 20, 43])
def test_a_file_cut_short_says_what_to_do(tmp_path: Path, kept: int) -> None:
    path = write_wav(tmp_path / "crow.wav", Made(seconds=0.5).sound(), 44100)
    path.write_bytes(path.read_bytes()[:kept])
    with pytest.raises(InputError, match="save it as WAV"):
        read_wav(path)


def test_a_recording_cut_in_the_middle_is_read_as_far_as_it_goes(tmp_path: Path) -> None:
    path = write_wav(tmp_path / "crow.wav", Made().sound(), 44100, 24, 2)
    path.write_bytes(path.read_bytes()[: 44 + 6 * 30000 + 1])
    sound, _ = read_wav(path)
    assert len(sound) == 30000


def test_another_kind_of_file_says_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "crow.mp3"
    path.write_bytes(b"ID3\x03\x00" * 40)
    with pytest.raises(InputError, match="16 bit PCM"):
        read_wav(path)


def test_a_file_that_is_not_there_says_so(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="No such file"):
        read_wav(tmp_path / "none.wav")
