"""Pitches, against ISO 16 and equal temperament."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.strategies import pitches

from reedkin.domain.pitch import STANDARD_A4, Pitch, note_name, parse_pitch
from reedkin.errors import InputError


def test_standard_a() -> None:
    assert STANDARD_A4 == 440  # ISO 16:1975, standard tuning frequency
    assert parse_pitch("A4").frequency() == 440


# Equal temperament at A4 = 440 Hz, to three decimals, as handbooks tabulate it.
@pytest.mark.parametrize(
    ("note", "hertz"),
    [("C5", 523.251), ("B4", 493.883), ("C4", 261.626), ("C6", 1046.502), ("Bb4", 466.164), ("A#4", 466.164)],
)
def test_notes_in_hertz(note: str, hertz: float) -> None:
    assert parse_pitch(note).frequency() == pytest.approx(hertz, abs=5e-4)


def test_another_a_moves_every_note() -> None:
    assert parse_pitch("C5").frequency(442) == pytest.approx(523.251 * 442 / 440, abs=1e-3)
    assert parse_pitch("518 Hz").frequency(442) == 518


def test_a_cent_is_the_1200th_root_of_two() -> None:
    ratio = parse_pitch("C5 +1c").frequency() / parse_pitch("C5").frequency()
    assert ratio**1200 == pytest.approx(2)
    assert parse_pitch("C5 -100c").frequency() == pytest.approx(parse_pitch("B4").frequency())


@pytest.mark.parametrize(
    ("text", "kept"),
    [
        ("c5", "C5"), ("C5 -20c", "C5 -20c"), ("c5-20", "C5 -20c"), ("C5 - 20 cents", "C5 -20c"), ("Bb4+1", "Bb4 +1c"),
        ("a#4", "Bb4"), ("C", "C5"), ("b", "B4"),
        ("Bb", "Bb4"), ("A", "A4"), ("f#", "F#5"), ("D", "D5"), ("Cb", "B4"),
        ("B♭4", "Bb4"), ("518 Hz", "518 Hz"), ("518,5hz", "518.5 Hz"),
        ("C5 +0c", "C5"),
    ],
)  # fmt: skip
def test_what_is_written_and_what_is_kept(text: str, kept: str) -> None:
    assert str(parse_pitch(text)) == kept


@pytest.mark.parametrize("text", ["H5", "C5 -101c", "20 Hz", "9000 Hz", "518", "", "C55", "tip"])
def test_what_is_no_pitch(text: str) -> None:
    with pytest.raises(InputError):
        parse_pitch(text)


@given(pitches())
def test_what_is_kept_reads_back(kept: str) -> None:
    assert str(parse_pitch(kept)) == kept


@given(st.integers(60, 96), st.integers(-49, 49), st.integers(415, 466))
def test_the_nearest_note_of_a_frequency(note: int, cents: int, a4: int) -> None:
    heard = Pitch(hertz=Pitch(note=note, cents=cents).frequency(a4))
    nearest, off = heard.named(a4)
    assert (nearest, round(off, 6)) == (note, cents)
    assert Pitch(note=note, cents=cents).named(a4) == (note, cents)


def test_names() -> None:
    assert [note_name(n) for n in (60, 69, 72, 70)] == ["C4", "A4", "C5", "Bb4"]
