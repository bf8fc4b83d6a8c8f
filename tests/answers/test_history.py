"""A reed's life in words, for the screen, the printer and the command line."""

from __future__ import annotations

from tests.answers.whole_life import whole_life
from tests.domain.maker import Maker

from reedkin.answers.reed.history import made_of, measures


def measured(*lines: str) -> str:
    maker = Maker(*lines)
    assert maker.hand is not None
    (line,) = measures(maker.hand.now, maker.bench.settings.targets("english horn"))
    return line


def test_measures_with_their_targets() -> None:
    # Common practice, no source: 33 mm of blade, a heart of 7 mm, an uncut tip of 9.5 mm.
    # ASTM B258: a wire of 28 gauge is 0.3211 mm thick.
    said = measured("12 tie eh 60 tube 27", "measure tip 50.5 heart 43.5", "wire 28 brass 3 turns at 31", "tube 5")
    assert said == (
        "measures: overall 60 mm (target tied 60, finished 57.5), tip from 50.5 mm (target 50.5), "
        "heart from 43.5 mm (target 43.5), blade 33 mm, heart 7 mm, tip 9.5 mm, "
        "wire 28 awg (0.32 mm) brass 3 turns at 31 mm, tubing 5 mm"
    )


def test_a_wire_of_which_little_is_known() -> None:
    assert (
        measured("12 tie eh 60", "wire brass") == "measures: overall 60 mm (target tied 60, finished 57.5), wire brass"
    )
    assert "wire" not in measured("12 tie eh 60", "wire 28", "wire off")


def test_what_it_is_made_of_and_what_was_on_its_tube_before() -> None:
    maker = Maker("1 tie eh 60 tube T5 27", "1 retire worn", "2 tie eh 60 lot 7 shape A gouge 0.6 sink 30 tube T5")
    maker.type("2 retire worn", "3 tie eh 60 tube T5")
    assert made_of(maker.reed("1"), maker.bench) == ["cane: lot not noted", "tube: T5 27 mm, its first reed here"]
    cane, tube = made_of(maker.reed("2"), maker.bench)
    assert (cane, tube.partition(", ")[2]) == (
        "cane: lot 7, shape A, gouge 0.6 mm, sank in 30 min", "before it 1 reed: 1",
    )  # fmt: skip


def test_no_line_is_too_long_and_what_follows_a_date_stands_beneath_it() -> None:
    note = "it buzzed on every low note until I scraped the back a little and then it was quite another reed"
    maker = Maker("12 tie eh 60 tube 27 lot 7", f'clip .5 "{note}"')
    text = whole_life(maker.reed("12"), maker.bench)
    assert max(map(len, text)) <= 80
    place = next(place for place, line in enumerate(text) if "clipped 0.5 mm" in line)
    assert text[place].startswith("25 Nov 2026 10:08  clipped")
    assert text[place + 1].startswith(" " * 19)
    assert text[place + 1][19] != " "
    assert note in " ".join(line.strip() for line in text[place:])
