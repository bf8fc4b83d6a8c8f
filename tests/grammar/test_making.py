"""What is said of how a reed was made, or ended, once that is recorded: it becomes part of that event."""

from __future__ import annotations

from pathlib import Path

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.desk import Desk
from reedkin.domain.clock import FixedClock
from reedkin.domain.facts import Facts
from reedkin.grammar.actions import AddedAction
from reedkin.grammar.preview import preview
from reedkin.store.log import Log


@pytest.fixture
def maker() -> Maker:
    return Maker("1-2 join oboe", "12 tie eh", "13-14 tie eh 60 lot 7", "3 join oboe 5h", "3 r not known")


def added(maker: Maker, line: str) -> dict[str, Facts]:
    reading = maker.read(line)
    assert not reading.errors
    assert all(isinstance(action, AddedAction) for action in reading.actions)
    return {action.tag: action.facts for action in reading.actions if isinstance(action, AddedAction)}


@pytest.mark.parametrize(
    ("line", "facts"),
    [
        ("12 lot 7", {"lot": "7"}),
        ("12 is of lot 7, gouge .58", {"lot": "7", "gouge_mm": 0.58}),
        ("12 sank in 8 min", {"sink_min": 8.0}),
        ("12 red thread", {"thread": "red"}),
        ("12 called Wren", {"name": "Wren"}),
        ("12 tube T4", {"tube": "T4"}),
        ("12 tube 5", None),
        ("12 tube off", None),
        ("lot 7 11 mm", None),
        ("12 12h before", None),
        ("12 tie lot 7", None),
        ("1 worn already", None),
    ],
)
def test_what_its_tying_lacks_is_put_to_it(maker: Maker, line: str, facts: Facts | None) -> None:
    if facts is None:
        assert not any(isinstance(action, AddedAction) for action in maker.read(line).actions)
    else:
        assert added(maker, line) == {"12": facts}
        assert maker.read(line).questions == ()


@pytest.mark.parametrize("line", ["1 12h before", "1 had 12 hours before", "1 join 12h"])
def test_the_hours_of_a_reed_that_joined_may_come_later(maker: Maker, line: str) -> None:
    assert added(maker, line) == {"1": {"hours_before": 12.0}}
    maker.type(line)
    assert maker.reed("1").now.minutes_played == 12 * 60


def test_without_a_tag_it_is_of_the_reed_in_hand(maker: Maker) -> None:
    maker.take("12")
    assert added(maker, "shape K") == {"12": {"shape": "K"}}
    assert not any(isinstance(action, AddedAction) for action in maker.read("lot 7").actions)


def test_of_a_reed_of_unknown_age_only_what_was_played_since_is_told(maker: Maker) -> None:
    assert preview(maker.read("1 p 45"), maker.bench) == ["1: played 45 min → 45 min since it joined"]
    maker.type("1 12h before")
    assert preview(maker.read("1 p 45"), maker.bench) == ["1: played 45 min → 12 h 45 in all"]


def test_it_is_of_several_reeds_and_told_so(maker: Maker) -> None:
    reading = maker.read("12-13 lot 7 shape K")
    assert preview(reading, maker.bench)[0].startswith("12: lot 7, shape K, as tied on ")
    assert preview(reading, maker.bench)[1].startswith("13: shape K, as tied on ")
    assert [q.message for q in maker.read("12-14 name Wren").questions] == ["one name for 3 reeds?"]


def test_what_is_known_otherwise_is_asked(maker: Maker) -> None:
    assert [q.message for q in maker.read("12-14 lot 8").questions] == ["13, 14: lot 7 so far; is that wrong?"]
    assert maker.read("13 lot 7").errors[0].message == "that is what it says already"
    wrong = maker.read("12 gouge 5").errors[0]
    assert "12 gouge 5"[wrong.start : wrong.end] == "5"


@pytest.mark.parametrize("line", ["12 thread loose", "12 new thread", "12 lot better", "12 called off"])
def test_a_word_that_may_be_of_a_remark_is_asked(maker: Maker, line: str) -> None:
    assert [q.message.partition("?")[2] for q in maker.read(line).questions] == [" for a remark write note before it"]


def test_of_what_a_reed_ended_may_come_later(maker: Maker) -> None:
    assert preview(maker.read("3 r worn"), maker.bench)[0].startswith("3: retired: worn, on ")
    maker.type("3 r worn")
    assert maker.reed("3").now.cause == "worn"
    assert "is retired (worn)" in maker.read("3 r cracked").errors[0].message


def test_it_is_taken_back_like_any_entry(tmp_path: Path) -> None:
    with Log(tmp_path / "log.jsonl", FixedClock(NOW)) as log:
        desk = Desk(log)
        desk.record(desk.read("12-13 tie eh"))
        desk.record(desk.read("13 lot 7"))
        assert desk.hand is not None
        assert (desk.hand.tag, desk.hand.now.lot) == ("13", "7")
        desk.take_back()
        assert desk.hand.now.lot is None
