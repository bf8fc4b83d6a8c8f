"""The pedals of a desk: what they record, and what becomes of them at every edge."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from reedkin.desk import Desk
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Event
from reedkin.domain.held_key import HeldKey
from reedkin.errors import InputError
from reedkin.pedal import Did, Footfall, Pedal
from reedkin.store.log import Log
from tests.typist import written

RIGHT, LEFT = "pagedown", "pageup"


class Bench:
    """A desk with pedals, and a maker who presses them slowly."""

    def __init__(self, path: Path) -> None:
        self.clock = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
        self.log = Log(path, self.clock, shared=True)
        self.desk = Desk(self.log)
        self.pedal = Pedal(self.desk)
        self.seconds = 0.0

    def type(self, *lines: str) -> Footfall | None:
        """Enter lines as the screen does."""
        step = None
        for line in lines:
            since = self.desk.clock_since
            step = self.pedal.entered(self.desk.record(self.desk.read(line)), since)
        return step

    def press(self, key: str, after: float = 5, minutes: float = 0) -> Footfall | None:
        self.clock.forward(minutes=minutes)
        self.seconds += after
        return self.pedal.press(key, self.seconds)

    def right(self, minutes: float = 3) -> Footfall:
        step = self.press(RIGHT, minutes=minutes)
        assert step is not None
        return step

    def left(self) -> Footfall:
        step = self.press(LEFT)
        assert step is not None
        return step

    @property
    def hand(self) -> str:
        return self.desk.hand.label if self.desk.hand is not None else ""

    def scrapes(self, tag: str) -> list[dict[str, object]]:
        reed = self.desk.bench.find(tag)
        assert reed is not None
        return [dict(step.facts) for step in reed.standing if step.kind == "scraped"]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    bench = Bench(tmp_path / "log.jsonl")
    bench.type("1-4 tie eh 60 lot 7", "set pedal on", "session start")
    bench.desk.take(bench.desk.bench.find("1"))  # type: ignore[arg-type]
    yield bench
    bench.log.close()


def test_a_line_once_then_the_pedal_for_each_reed_of_the_batch(bench: Bench) -> None:
    bench.clock.forward(minutes=6)
    step = bench.type("s tip")
    assert step is not None
    assert (step.tag, step.words, step.hand) == ("1", "scraped tip, 6 min", "2")
    steps = [bench.right(minutes) for minutes in (4, 5, 7)]
    assert [(s.tag, s.words, s.hand) for s in steps] == [
        ("2", "scraped tip, 4 min", "3"), ("3", "scraped tip, 5 min", "4"), ("4", "scraped tip, 7 min", "1"),
    ]  # fmt: skip
    assert steps[0].further == "Then 4."
    assert steps[1].further == "The last of 1–4."
    assert steps[2].further == "That was the last of 1–4; from the first again."
    assert bench.scrapes("4") == [{"where": ("tip",), "minutes": 7}]


def test_the_left_pedal_goes_back_takes_the_entry_away_and_lets_the_clock_go_on(bench: Bench) -> None:
    bench.right(4)
    bench.clock.forward(minutes=2)
    step = bench.left()
    assert (step.did, step.tag, step.hand, bench.hand) == (Did.WENT_BACK, "1", "1", "1")
    assert bench.scrapes("1") == []
    assert bench.right(1).words == "scraped, 7 min"
    assert (bench.left().tag, bench.scrapes("1")) == ("1", [])


def test_at_the_beginning_there_is_nothing_to_go_back_to(bench: Bench) -> None:
    assert bench.left().words == "There is no scrape that the pedal could take back."
    bench.right()
    bench.right()
    assert [bench.left().tag, bench.left().tag] == ["2", "1"]
    assert bench.left().did is Did.NOTHING
    assert bench.hand == "1"
    assert [step.kind for step in bench.desk.bench.find("1").standing] == ["tied"]  # type: ignore[union-attr]


@pytest.mark.parametrize("gap", [0.03, 0.29])
def test_a_trembling_foot_or_a_key_held_down_presses_once(bench: Bench, gap: float) -> None:
    bench.right()
    assert [bench.press(RIGHT, after=gap) for _ in range(5)] == [None] * 5
    assert bench.hand == "2"
    assert bench.press(LEFT, after=gap) is not None  # the other foot is no repeat
    assert bench.press(RIGHT, after=0.3) is not None


@pytest.mark.parametrize("every", [0.03, 0.092])
@pytest.mark.parametrize("delay", [0.25, 0.375, 0.5, 0.66])
def test_a_pedal_held_down_counts_once_at_whatever_pace_its_key_repeats(
    bench: Bench, delay: float, every: float
) -> None:
    """As keyboards are set when new: of the Linux console, X11, macOS and Windows (common practice, no source)."""
    bench.right()
    assert bench.press(RIGHT, after=delay) is None
    for _ in range(20):
        assert bench.press(RIGHT, after=every) is None
    assert bench.pedal.settle() is None
    assert bench.hand == "2"
    assert bench.press(RIGHT, after=0.8) is not None


@pytest.mark.parametrize("gap", [0.31, 0.4, 0.7])
def test_two_quick_presses_are_two_once_nothing_follows(bench: Bench, gap: float) -> None:
    for after in (5, 0.5, 0.033, 0.033, 0.033):  # once a key was held down: what it is heard to wait is known
        bench.press(RIGHT, after=after)
    bench.left()
    bench.right()
    assert (bench.press(RIGHT, after=gap), bench.pedal.unsure) == (None, RIGHT)
    step = bench.pedal.settle()
    assert step is not None
    assert (step.tag, bench.hand, bench.pedal.unsure) == ("2", "3", None)
    assert bench.pedal.settle() is None


@pytest.mark.parametrize("gap", [0.31, 0.5, 0.7])
def test_before_any_key_was_held_down_what_may_be_a_repeat_counts_once_and_is_told(bench: Bench, gap: float) -> None:
    bench.right()
    assert (bench.press(RIGHT, after=gap), bench.pedal.unsure) == (None, RIGHT)
    step = bench.pedal.settle()
    assert step is not None
    assert (step.did, bench.hand, len(bench.scrapes("1")), len(bench.scrapes("2"))) == (Did.NOTHING, "2", 1, 0)
    assert "press it again" in step.words
    assert bench.press(RIGHT) is not None
    assert bench.hand == "3"


def test_a_reed_that_was_retired_is_stepped_over_and_the_next_one_taken(bench: Bench) -> None:
    bench.right()
    bench.type("r cracked")
    assert bench.hand == "3"
    bench.right()
    bench.right()
    bench.right()
    assert bench.hand == "3"
    assert len(bench.scrapes("1")) == 2
    assert len(bench.scrapes("2")) == 0


def test_when_the_whole_batch_is_retired_there_is_nothing_to_scrape(bench: Bench) -> None:
    bench.type("1-4 retire cracked")
    step = bench.right()
    assert (step.did, step.words) == (Did.NOTHING, "No reed is in hand.")


def test_a_reed_that_is_in_no_batch_is_recorded_and_the_batch_named_last_begins(bench: Bench) -> None:
    bench.type("9 tie eh 60")
    step = bench.right()
    assert (step.tag, step.hand, step.further) == ("9", "1", "The first of 1–4, the batch named last.")


def test_without_a_batch_the_reeds_in_progress_are_one(tmp_path: Path) -> None:
    bench = Bench(tmp_path / "single.jsonl")
    bench.type("1 tie eh 60", "set pedal on", "session start")
    assert bench.right().further == "It is in no batch, and stays in hand."
    bench.type("2 tie eh 60", "2 s", "3 tie eh 60")
    assert [bench.right().hand for _ in range(4)] == ["1", "2", "3", "1"]
    bench.log.close()


def test_an_entry_that_names_others_begins_another_batch(bench: Bench) -> None:
    bench.right()
    bench.type("2,4 soak 3m")
    assert [bench.right().hand for _ in range(3)] == ["4", "2", "4"]


def test_an_import_is_no_batch(bench: Bench) -> None:
    now, entry, played = bench.clock.now(), bench.log.uids.new(), []
    for minute, tag in enumerate(("1", "3")):  # as an import writes rows: one entry, each row at its own time
        reed, at = bench.desk.bench.find(tag), now - timedelta(minutes=minute)
        assert reed is not None
        played.append(Event(bench.log.uids.new(), reed.id, "noted", tag, at, now, entry, {}, note="row"))
    bench.log.write(played)
    bench.desk.take(bench.desk.bench.find("1"))  # type: ignore[arg-type]
    assert bench.right().hand == "2"


def test_what_was_typed_after_it_is_not_taken_back_by_the_pedal(bench: Bench) -> None:
    bench.right()
    bench.type("2 clip .5")
    step = bench.left()
    assert step.did is Did.NOTHING
    assert "2: clipped 0.5 mm: that came after it" in step.words
    bench.desk.take_back()
    assert bench.left().did is Did.WENT_BACK


def test_what_was_taken_back_otherwise_is_not_taken_back_twice(bench: Bench) -> None:
    bench.right()
    bench.right()
    bench.desk.take_back()
    assert (bench.left().tag, bench.scrapes("1"), bench.scrapes("2")) == ("1", [], [])


def test_what_is_odd_is_asked_and_the_right_pedal_again_records_it(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    for _ in range(20):
        bench.type("4 s tip 5m")
    bench.desk.take(bench.desk.bench.find("1"))  # type: ignore[arg-type]
    asked = bench.right(80)
    assert asked.did is Did.ASKED
    assert "80 min" in asked.words
    assert bench.left().words == "Not recorded."
    assert bench.scrapes("1") == []
    assert bench.right(0).did is Did.ASKED
    assert (bench.right(0).did, bench.hand) == (Did.RECORDED, "2")
    assert bench.scrapes("1") == [{"where": ("tip",), "minutes": 80}]


def test_a_question_about_one_reed_is_not_answered_by_another(bench: Bench) -> None:
    for _ in range(20):
        bench.type("4 s tip 5m")
    bench.desk.take(bench.desk.bench.find("1"))  # type: ignore[arg-type]
    assert bench.right(80).did is Did.ASKED
    bench.desk.take(bench.desk.bench.find("2"))  # type: ignore[arg-type]
    assert bench.right(80).did is Did.ASKED
    assert bench.scrapes("2") == []


def test_another_program_that_recorded_meanwhile_is_taken_in(bench: Bench) -> None:
    bench.right()
    with Log(bench.log.path, bench.clock, shared=True) as other:
        desk = Desk(other)
        desk.record(desk.read("3 clip .5"))
    assert bench.right().did is Did.RECORDED
    with Log(bench.log.path, bench.clock, shared=True) as other:
        desk = Desk(other)
        desk.record(desk.read("3 retire cracked"))
    step = bench.right()
    assert step.did is Did.NOTHING
    assert "Another program has just recorded something too" in step.words
    assert bench.scrapes("3") == []
    with Log(bench.log.path, bench.clock, shared=True) as other:
        desk = Desk(other)
        desk.record(desk.read("4 clip .5"))
    step = bench.left()
    assert step.did is Did.NOTHING
    assert len(bench.scrapes("2")) == 1


def test_a_log_that_cannot_be_written_keeps_the_reed_in_hand(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise InputError("The disk is full.")

    monkeypatch.setattr(bench.log, "record", refuse)
    step = bench.right()
    assert (step.did, step.words, bench.hand) == (Did.NOTHING, "The disk is full.", "1")


def test_without_a_pedal_no_key_is_one(bench: Bench) -> None:
    bench.type("set pedal off")
    assert not bench.pedal.is_for(RIGHT)
    bench.type("set pedal space,enter")
    assert bench.pedal.is_for("space")
    assert not bench.pedal.is_for(RIGHT)


# Whatever is done by foot and by hand


class ByHand:
    """A maker without pedals who types all of it herself, with a tag and the minutes: she keeps in mind what the pedal
    has to know."""

    def __init__(self, bench: Bench) -> None:
        self.bench = bench
        self.hand, self.since, self.now = 0, 0, 0
        self.entries: list[tuple[int, int, str] | None] = []
        """Of each entry that stands, which reed was in hand, since when, and where it was scraped; None for a clip."""

    def do(self, what: str, minutes: int) -> None:
        self.now += minutes
        match what:
            case "right":
                self._scrape(next((entry[2] for entry in reversed(self.entries) if entry is not None), ""))
            case "s heart" | "s tip back":
                self._scrape(what.removeprefix("s "))
            case "left" if self.entries and (before := self.entries[-1]) is not None:
                self._take_back()
                self.hand, self.since, _ = before
            case "ctrl+z" if self.entries:
                self._take_back()
            case "clip .5":
                self._enter(f"{self.hand + 1} clip .5")
                self.entries.append(None)

    def _scrape(self, where: str) -> None:
        minutes = self.now - self.since
        said = f"{minutes}m" if 1 <= minutes <= 90 else "only"  # what the bench clock offers
        self._enter(f"{self.hand + 1} scrape {where} {said}")
        self.entries.append((self.hand, self.since, where))
        self.hand, self.since = (self.hand + 1) % 4, self.now

    def _enter(self, line: str) -> None:
        desk = self.bench.desk
        desk.record(desk.read(line))

    def _take_back(self) -> None:
        self.bench.desk.take_back()
        self.entries.pop()


@settings(max_examples=20, deadline=None)
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["right", "right", "right", "left", "s heart", "s tip back", "ctrl+z", "clip .5"]),
            st.integers(0, 40),
        ),
        max_size=12,
    )
)
def test_what_the_pedal_records_is_what_lines_would_have_recorded(done: list[tuple[str, int]]) -> None:
    with TemporaryDirectory() as folder:
        by_foot, by_hand = Bench(Path(folder) / "foot.jsonl"), Bench(Path(folder) / "hand.jsonl")
        for bench in (by_foot, by_hand):
            bench.type("1-4 tie eh 60 lot 7", "set pedal on", "session start")
            bench.desk.take(bench.desk.bench.find("1"))  # type: ignore[arg-type]
        hand, begun = ByHand(by_hand), by_foot.log.entries.last()[0].entry
        for what, minutes in done:
            by_hand.clock.forward(minutes=minutes)
            hand.do(what, minutes)
            by_foot.clock.forward(minutes=minutes)
            if what in ("right", "left"):
                by_foot.press(RIGHT if what == "right" else LEFT)
            elif what != "ctrl+z":
                by_foot.type(what)
            elif by_foot.log.entries.last()[0].entry != begun:
                by_foot.desk.take_back()
        assert written(by_foot.log.path) == written(by_hand.log.path)
        by_foot.log.close()
        by_hand.log.close()


def test_a_key_held_hardly_longer_than_its_first_repeat_counts_once_where_the_system_is_known(bench: Bench) -> None:
    """A key repeats itself after a time that the system sets, and then quickly: two thirds of a second, thirty a
    second (as X servers are set when new; common practice, no source)."""
    bench.right()
    for after in (0.66, 0.033, 0.033, 0.033):
        bench.press(RIGHT, after=after)
        assert bench.pedal.unsure in (None, RIGHT)
    assert bench.hand == "2"
    bench.right()
    assert bench.press(RIGHT, after=0.67) is None  # a single repeat
    assert bench.pedal.unsure is None
    assert bench.hand == "3"
    bench.right()
    assert bench.press(RIGHT, after=0.5) is None  # a foot that is quick
    assert bench.pedal.unsure == RIGHT
    assert bench.pedal.settle() is not None
    assert bench.hand == "1"


def test_how_soon_a_key_repeats_itself_is_heard_of_any_key_that_is_held_down(bench: Bench) -> None:
    """Before a pedal was ever held down: Backspace was, so that a single repeat of a pedal is known for one."""
    keys = HeldKey()
    for after in (1, 0.5, 0.033, 0.033, 0.033):
        bench.seconds += after
        keys.heard("backspace", bench.seconds)
    bench.pedal = Pedal(bench.desk, keys)
    bench.right()
    assert (bench.press(RIGHT, after=0.51), bench.pedal.unsure, bench.hand) == (None, None, "2")


def test_fingers_that_tap_quickly_are_no_key_that_is_held_down(bench: Bench) -> None:
    keys = HeldKey()
    for after in (1, 0.5, 0.12, 0.11, 0.13, 0.12):
        bench.seconds += after
        keys.heard("backspace", bench.seconds)
    bench.pedal = Pedal(bench.desk, keys)
    bench.right()
    assert (bench.press(RIGHT, after=0.51), bench.pedal.unsure) == (None, RIGHT)


def test_the_reed_that_was_found_in_hand_stays_there_when_its_entry_is_taken_back(bench: Bench) -> None:
    bench.type("3 scrape tip 5", "2 scrape tip 5")
    found = Desk(bench.log)  # as after a start: nobody has taken one in hand yet
    assert found.hand is not None
    found.take_back()
    assert (found.hand.label, bench.scrapes("2")) == ("2", [])
