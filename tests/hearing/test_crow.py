"""Crows of which the note, the octaves, the air and the wobble are known; and what is no crow."""

from __future__ import annotations

import numpy as np
import pytest
from tests.hearing.crows import FloatArray, Made, speech

from reedkin.domain.pitch import Pitch
from reedkin.hearing.crow import Crow, hear

RATES = (8000, 11025, 16000, 22050, 44100, 48000, 96000)


def cents_off(heard: Crow, hertz: float) -> float:
    return 1200 * float(np.log2(heard.hertz / hertz))


def coloured(power: float, seed: int) -> FloatArray:
    """Noise whose power falls with frequency: 0 white, 1 pink, 2 brown."""
    spectrum = np.fft.rfft(np.random.default_rng(seed).normal(size=88200))
    at = np.maximum(np.fft.rfftfreq(88200), 1 / 88200)
    sound = np.fft.irfft(spectrum / at ** (power / 2), 88200)
    return np.asarray(0.3 * sound / np.abs(sound).max())


def test_made_crows_are_heard_within_five_cents_in_the_right_octave() -> None:
    chance = np.random.default_rng(20)
    wrong = []
    for seed in range(30):
        made = Made(
            hertz=440 * 2 ** float(chance.uniform(-1, 1)),
            octaves=bool(chance.integers(2)),
            noise_db=float(chance.uniform(0, 20)),
            wobble_cents=float(chance.uniform(0, 20)),
            seconds=float(chance.uniform(0.8, 1.3)),
            rate=int(chance.choice(RATES)),
            seed=seed,
        )
        heard = hear(made.sound(), made.rate)
        if heard is None or abs(cents_off(heard, made.hertz)) > 5 or heard.octaves != made.octaves:
            wrong.append((made, heard))
    assert not wrong


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("note", [57, 60, 69, 72, 83, 93])
def test_pure_tones_of_equal_temperament_are_within_a_cent(note: int, rate: int) -> None:
    """ISO 16: A4 = 440 Hz."""
    hertz = Pitch(note=note).frequency()
    heard = hear(0.5 * np.sin(2 * np.pi * hertz * np.arange(rate) / rate), rate)
    assert heard is not None
    assert abs(cents_off(heard, hertz)) < 1
    assert heard.pitch() == Pitch(note=note, cents=0.0)
    assert heard.steadiness == 10
    assert not heard.octaves


@pytest.mark.parametrize("seed", range(10))
def test_speech_has_no_note(seed: int) -> None:
    assert hear(speech(seed=seed), 16000) is None


@pytest.mark.parametrize("power", [-1.0, 0.0, 1.0, 2.0, 3.0])
@pytest.mark.parametrize("seed", range(3))
def test_noise_has_no_note(power: float, seed: int) -> None:
    assert hear(coloured(power, seed), 44100) is None


@pytest.mark.parametrize(
    "sound",
    [np.zeros(0), np.zeros(10), np.zeros(88200), np.full(88200, 0.5), Made().sound() * 1e-4, Made(seconds=0.2).sound()],
    ids=["nothing", "ten samples", "silence", "a constant", "too quiet", "too short"],
)
def test_what_is_no_crow_has_no_note(sound: FloatArray) -> None:
    assert hear(sound, 44100) is None


def test_a_hum_of_the_room_that_is_louder_than_the_crow_is_not_taken_for_its_lower_octave() -> None:
    at = np.arange(88200) / 44100
    hum = sum(np.sin(2 * np.pi * 50 * k * at + k) / k for k in range(1, 30))
    heard = hear(0.5 * Made(noise_db=15).sound() + hum / 6, 44100)
    assert heard is not None
    assert abs(cents_off(heard, 523.251)) < 5


def test_what_comes_before_and_after_the_crow_does_not_matter() -> None:
    heard = hear(np.concatenate([coloured(1, 1), Made(noise_db=10).sound(), coloured(2, 2)]), 44100)
    assert heard is not None
    assert abs(cents_off(heard, 523.251)) < 5


def test_breath_as_loud_as_the_crow_is_no_part_of_it() -> None:
    breath = 0.1 * np.random.default_rng(3).normal(size=30000)
    for seconds in (0.5, 0.7, 1.5):
        heard = hear(np.concatenate([breath, Made(noise_db=15, seconds=seconds).sound(), breath]), 44100)
        assert heard is not None
        assert heard.entry() == "crow C5 octaves steady 10"
        assert heard.seconds < seconds + 0.05


def test_a_clipped_recording_is_heard() -> None:
    heard = hear(np.clip(Made().sound() * 10, -1, 1), 44100)
    assert heard is not None
    assert abs(cents_off(heard, 523.251)) < 5
    assert heard.octaves


def test_the_more_it_wobbles_the_less_steady_it_is() -> None:
    heard = [hear(Made(wobble_cents=cents).sound(), 44100) for cents in (0, 10, 20, 40)]
    steady = [one.steadiness for one in heard if one is not None]
    assert len(steady) == 4
    assert steady == sorted(steady, reverse=True)
    assert steady[0] == 10
    assert steady[-1] <= 4


def test_the_air_around_a_crow_is_no_part_of_its_octaves() -> None:
    aired, clear = (hear(Made(noise_db=db, seconds=1.5).sound(), 44100) for db in (0, 20))
    assert aired is not None
    assert clear is not None
    assert aired.octave_share == pytest.approx(clear.octave_share, abs=0.01)


def test_it_is_written_as_it_would_be_typed() -> None:
    assert Crow(517.24, 0.6, 8.0, 0.9).entry() == "crow C5 -20c octaves steady 8"
    assert Crow(523.251, 0.2, 0.5, 0.9).entry() == "crow C5 steady 10"
    assert Crow(523.251, 0.2, 0.5, 0.9).entry(a4=442.0) == "crow C5 -8c steady 10"


def test_a_rate_at_which_no_reed_can_be_heard_is_refused() -> None:
    with pytest.raises(ValueError, match="8000"):
        hear(np.zeros(8000), 4000)
