"""What an entry line says before it is recorded. The measures are common practice, no source."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.domain.cautions import HEAT, KNIFE, MOULD, SHARED, TUBING, WIRE
from reedkin.domain.describe import describe
from reedkin.domain.events import Event
from reedkin.domain.facts import Facts
from reedkin.domain.figures import ago, duration, mm, past, tag_list
from reedkin.grammar.preview import cautions, preview, told_together


@pytest.fixture
def maker() -> Maker:
    return Maker("143-145 tie eh 61", "142 tie eh 60 tube 27", "142 measure tip 50.5 heart 43.5")


def _preview(maker: Maker, line: str) -> list[str]:
    return preview(maker.read(line), maker.bench)


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("c .5", ["142: clipped 0.5 mm → 59.5 mm, blade 32.5 mm, tip 9 mm"]),
        ("c 1; c 1; c .5",
         ["142: clipped 1 mm → 59 mm, blade 32 mm, tip 8.5 mm", "142: clipped 1 mm → 58 mm, blade 31 mm, tip 7.5 mm",
          "142: clipped 0.5 mm → 57.5 mm, blade 30.5 mm, tip 7 mm"]),
        ("measure tip 50.5 heart 43.5",
         ["142: measured tip from 50.5 mm, heart from 43.5 mm → heart 7 mm, tip 9.5 mm"]),
        ("s tip 10", ["142: scraped tip, 10 min → in progress"]),
        ("p 45 8 rehearsal", ["142: played 45 min, rehearsal, scored 8 → 45 min in all"]),
        ("wire 28 awg brass 3 turns at 31", ["142: wired, 28 awg, brass, 3 turns, 31 mm from the butt → in progress"]),
        ("tube 5; tube off", ["142: tubing 5 mm → in progress", "142: tubing taken off"]),
        ("crow C5 -20c octaves", ["142: crowed C5 -20c, in octaves → in progress"]),
        ('n "buzzes"', ["142: note “buzzes”"]),
        ('s 5 "thin"', ["142: scraped, 5 min “thin” → in progress"]),
        ("sell to the quartet for 30", ["142: sold to the quartet for 30 → handed over"]),
        ("retire cracked @yesterday", ["142: retired: cracked on Tue 24 Nov 2026 → retired"]),
        ("retire cracked @10:00", ["142: retired: cracked on Wed 25 Nov 2026 10:00 → retired"]),
        ("150-152 tie eh 60 lot 7 tube 27",
         ["150–152: tied as English horn, 60 mm, tube 27 mm, lot 7 → blade 33 mm"]),
        ("150-151 tie eh 60 tube #4-5",
         ["150: tied as English horn, 60 mm, tube 4", "151: tied as English horn, 60 mm, tube 5"]),
        ("142,143 clip to 59",
         ["142, 143: clipped, to 59 mm → 142: 59 mm, blade 32 mm, tip 8.5 mm; 143: 59 mm"]),
        ("session start 68 F 45% fresh knife", ["session starts 25 Nov 10:10, room 20 °C, humidity 45%, knife fresh"]),
        ("target eh 60 tip 51", ["targets of English horn: overall length 60 mm, tip from 51 mm"]),
        ("lot 7 cane 11 mm from the harbour", ["lot 7: tube cane diameter 11 mm, from the harbour"]),
        ("set a4 442", ["settings: A4 442 Hz"]),
        ("", []),
        ("142", []),
        ("clip", []),
    ],
)  # fmt: skip
def test_what_is_said(maker: Maker, line: str, said: list[str]) -> None:
    assert _preview(maker, line) == said


@pytest.mark.parametrize(
    ("line", "care"),
    [
        ("c .5", [KNIFE]), ("s 10; c 1", [KNIFE]), ("wire 28", [WIRE]), ("wire off", []), ("tube 5", [TUBING]),
        ("tube off", []),
        ("150 tie eh", [HEAT]), ("lend to a pupil", [SHARED]), ("retire mouldy", [MOULD]), ("retire worn", []),
        ("p 45", []),
        ("set a4 442", []), ("s 10; wire 28", [KNIFE, WIRE]),
    ],
)  # fmt: skip
def test_cautions(maker: Maker, line: str, care: list[str]) -> None:
    assert cautions(maker.read(line)) == care


@pytest.mark.parametrize(
    ("kind", "facts", "words"),
    [
        ("handed over", {}, "handed over"),
        ("handed over", {"terms": "lent", "to": "a pupil"}, "lent to a pupil"),
        ("wired", {"wire": "off"}, "wire taken off"),
        ("wired", {"wire": "moved", "wire_mm": 32}, "wire moved, 32 mm from the butt"),
        ("scored", {"response": 8, "pitch": 6}, "scored response 8, pitch 6"),
        ("saved", {"occasion": "the recital", "due": "2027-03-12"}, "saved for the recital on 12 Mar 2027"),
        ("saved", {"occasion": "off"}, "no longer saved"),
        ("soaked", {"minutes": 3, "how": "warm"}, "soaked, 3 min, warm"),
        ("returned", {}, "returned"),
        ("played", {"minutes": "long"}, "played long"),
    ],
)
def test_events_in_words(kind: str, facts: Facts, words: str) -> None:
    assert describe(kind, facts) == words


def test_numbers_in_words() -> None:
    assert [duration(n) for n in (0, 45, 60, 65, 125, 720)] == ["0 min", "45 min", "1 h", "1 h 05", "2 h 05", "12 h"]
    assert [mm(60), mm(0.39687), mm(None), mm(59.5, unit=False)] == ["60 mm", "0.4 mm", "–", "59.5"]


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(-5, "to come"), (0, "now"), (5, "5 min"), (185, "3 h"), (1500, "1 day"), (60 * 24 * 45, "45 days"),
     (60 * 24 * 70, "2 months"), (60 * 24 * 800, "2 years")],
)  # fmt: skip
def test_how_long_ago(minutes: int, words: str) -> None:
    assert ago(NOW - timedelta(minutes=minutes), NOW) == words


@pytest.mark.parametrize(("minutes", "words"), [(0, "just now"), (5, "5 min ago"), (-60, "to come")])
def test_when_something_was(minutes: int, words: str) -> None:
    assert past(NOW - timedelta(minutes=minutes), NOW) == words


@pytest.mark.parametrize(
    ("tags", "said"),
    [
        (["143", "144", "145", "150"], "143–145, 150"),
        (["1", "2"], "1, 2"),
        (["08", "09", "10"], "08–10"),
        (["9", "010", "011"], "9, 010, 011"),
        (["eva", "12"], "eva, 12"),
        ([], ""),
    ],
)
def test_tags_shortly(tags: list[str], said: str) -> None:
    assert tag_list(tags) == said


def test_what_is_taken_back_of_several_reeds_is_told_on_one_line(maker: Maker) -> None:
    records = maker.type("150-152 tie eh 60; 150-152 s 5; 151 s 5; lot 7 250 g")
    assert told_together(records) == [
        "150–152: tied as English horn, 60 mm", "150–152: scraped, 5 min", "151: scraped, 5 min", "lot 7: weight 250 g",
    ]  # fmt: skip
    assert told_together(records[2::-1]) == ["150–152: tied as English horn, 60 mm"]


def test_what_happened_at_times_of_its_own_is_told_and_kept_with_each(maker: Maker) -> None:
    reading = maker.read("143 p 8:00-9:00; 142 p 9:00-10:00")
    assert preview(reading, maker.bench) == [
        "143: played 1 h on Wed 25 Nov 2026 08:00 → 1 h in all",
        "142: played 1 h on Wed 25 Nov 2026 09:00 → 1 h in all",
    ]
    events = [r for r in maker.type("143 p 8:00-9:00; 142 p 9:00-10:00") if isinstance(r, Event)]
    assert [event.at.hour for event in events] == [8, 9]


def test_days_of_their_own_are_told_without_an_hour(maker: Maker) -> None:
    said = preview(maker.read("143 p 45 monday; 142 p 45 tuesday"), maker.bench)
    assert [line.split(" on ")[1].split(" →")[0] for line in said] == ["Mon 23 Nov 2026", "Tue 24 Nov 2026"]
