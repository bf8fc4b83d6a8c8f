"""A reed is the fold of its events. Its measures are common practice, no source."""

from __future__ import annotations

from datetime import timedelta
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.domain.maker import NOW, Maker
from tests.strategies import Uids, lineages, logs

from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Amendment, Event, Record, Strike, reed_table, standing
from reedkin.domain.reeds import (
    BLANK,
    HANDED_OVER,
    IN_PROGRESS,
    IN_SERVICE,
    RETIRED,
    Wire,
    end_is_wear,
    fold,
)


class Lineage:
    """Writes the records of one reed, a minute apart."""

    def __init__(self, kind: str = "tied", **facts: object) -> None:
        self.uids = Uids(1_700_000_000_000, 7)
        self.at = NOW
        self.reed = self.uids.new()
        first = {"instrument": "english horn", **facts}
        self.records: list[Record] = [Event(self.reed, self.reed, kind, "142", NOW, NOW, "e", first)]  # type: ignore[arg-type]

    def add(self, kind: str, after: int = 1, note: str = "", **facts: object) -> str:
        self.at += timedelta(minutes=after)
        uid = self.uids.new()
        self.records.append(Event(uid, self.reed, kind, "142", self.at, self.at, "e", facts, None, note))  # type: ignore[arg-type]
        return uid

    def amend(self, of: str, minutes: int = 0, **facts: object) -> str:
        uid = self.uids.new()
        at = next(r.at for r in self.records if r.uid == of and isinstance(r, Event)) + timedelta(minutes=minutes)
        self.records.append(Amendment(uid, self.reed, of, at, self.at, "e", facts))  # type: ignore[arg-type]
        return uid

    def strike(self, of: str) -> str:
        uid = self.uids.new()
        self.records.append(Strike(uid, reed_table(self.reed), of, self.at, "e"))
        return uid

    @property
    def folded(self):  # type: ignore[no-untyped-def]
        return fold(self.reed, self.records)


# Measures


def test_blade_heart_and_tip_of_an_english_horn_reed() -> None:
    reed = Lineage(overall_mm=60, tube_mm=27)
    assert reed.folded.now.blade_mm == 33
    reed.add("measured", tip_from_mm=50.5, heart_from_mm=43.5)
    now = reed.folded.now
    assert (now.heart_mm, now.tip_mm) == (7, 9.5)


def test_three_clips() -> None:
    reed = Lineage(overall_mm=60, tube_mm=27)
    for clip in (1, 1, 0.5):
        reed.add("clipped", clip_mm=clip)
    now = reed.folded.now
    assert (now.overall_mm, now.blade_mm, now.tied_mm) == (57.5, 30.5, 60)
    assert [s.after.overall_mm for s in reed.folded.steps] == [60, 59, 58, 57.5]


def test_clips_of_a_tenth_do_not_gather_dust() -> None:
    reed = Lineage(overall_mm=60)
    for _ in range(10):
        reed.add("clipped", clip_mm=0.1)
    assert reed.folded.now.overall_mm == 59


def test_what_is_not_known_stays_unknown() -> None:
    reed = Lineage()
    reed.add("clipped", clip_mm=1)
    assert reed.folded.now.overall_mm is None
    assert reed.folded.now.blade_mm is None
    reed.add("clipped", overall_mm=58)
    assert reed.folded.now.overall_mm == 58
    reed.add("clipped", clip_mm=1, overall_mm=57.2)
    assert reed.folded.now.overall_mm == 57.2


def test_wire_goes_on_is_moved_and_comes_off() -> None:
    reed = Lineage()
    reed.add("wired", gauge_awg=28, material="brass", wire_mm=30)
    reed.add("wired", wire="moved", wire_mm=32)
    assert reed.folded.now.wire == Wire(28, "brass", None, 32)
    reed.add("wired", wire="off")
    assert reed.folded.now.wire is None
    reed.add("wired", turns=3)
    assert reed.folded.now.wire == Wire(turns=3)


def test_tubing_goes_on_and_comes_off() -> None:
    reed = Lineage()
    reed.add("tubed", tubing_mm=5)
    assert reed.folded.now.tubing_mm == 5
    reed.add("tubed", tubing_mm=0)
    assert reed.folded.now.tubing_mm is None


def test_the_score_is_the_overall_or_the_mean_of_its_parts() -> None:
    reed = Lineage()
    reed.add("scored", response=8, pitch=5)
    assert reed.folded.now.score == 6.5
    reed.add("played", minutes=30, score=7, tone=2)
    assert reed.folded.now.score == 7
    reed.add("played", minutes=30)
    assert reed.folded.now.score == 7


# Stages and hours


@pytest.mark.parametrize(
    ("kind", "facts", "stage"),
    [
        ("noted", {}, BLANK), ("measured", {"overall_mm": 60}, BLANK), ("soaked", {}, BLANK),
        ("scraped", {}, IN_PROGRESS), ("clipped", {"clip_mm": 1}, IN_PROGRESS), ("wired", {}, IN_PROGRESS),
        ("tubed", {"tubing_mm": 5}, IN_PROGRESS), ("crowed", {}, IN_PROGRESS), ("played", {"minutes": 5}, IN_SERVICE),
        ("handed over", {}, HANDED_OVER), ("retired", {"cause": "worn"}, RETIRED), ("returned", {}, BLANK),
    ],
)  # fmt: skip
def test_the_stage_of_a_blank_after_an_event(kind: str, facts: dict[str, object], stage: str) -> None:
    reed = Lineage()
    reed.add(kind, **facts)
    assert reed.folded.stage == stage


def test_scraping_a_reed_in_service_does_not_send_it_back() -> None:
    reed = Lineage()
    reed.add("played", minutes=20)
    reed.add("scraped")
    assert reed.folded.stage == IN_SERVICE


def test_a_joined_reed_serves_with_the_hours_it_had() -> None:
    reed = Lineage("joined", hours_before=5.25, overall_mm=58, score=8)
    now = reed.folded.now
    assert (now.stage, now.minutes_played, now.minutes_before, now.hours, now.score) == (IN_SERVICE, 315, 315, 5.25, 8)
    assert now.tied_mm is None
    reed.add("played", minutes=45)
    assert reed.folded.now.minutes_played == 360
    assert reed.folded.service_from == NOW
    assert reed.folded.joined


def test_service_begins_with_the_first_playing() -> None:
    reed = Lineage()
    reed.add("scraped")
    assert reed.folded.service_from is None
    reed.add("played", minutes=10)
    first = reed.at
    reed.add("played", minutes=10)
    assert reed.folded.service_from == first
    assert reed.folded.last_played is not None
    assert reed.folded.last_played.at == reed.at
    assert reed.folded.now.playings == 2


@pytest.mark.parametrize(
    ("before", "stage"), [([], BLANK), (["scraped"], IN_PROGRESS), (["scraped", "played"], IN_SERVICE)]
)
def test_a_reed_comes_back_as_it_went(before: list[str], stage: str) -> None:
    reed = Lineage()
    for kind in before:
        reed.add(kind, **({"minutes": 10} if kind == "played" else {}))
    reed.add("handed over", terms="lent", to="a pupil")
    gone = reed.folded
    assert (gone.stage, gone.now.terms, gone.now.to, gone.at_work) == (HANDED_OVER, "lent", "a pupil", False)
    reed.add("returned")
    back = reed.folded
    assert (back.stage, back.now.terms, back.now.to, back.at_work) == (stage, None, None, True)


def test_a_blank_that_was_played_away_comes_back_in_service() -> None:
    reed = Lineage()
    reed.add("handed over")
    reed.add("played", minutes=40)
    assert reed.folded.stage == HANDED_OVER
    reed.add("returned")
    assert reed.folded.stage == IN_SERVICE


def test_a_joined_reed_of_unknown_hours_comes_back_in_service() -> None:
    reed = Lineage("joined")
    reed.add("handed over")
    reed.add("returned")
    assert reed.folded.stage == IN_SERVICE


def test_ends() -> None:
    reed = Lineage()
    reed.add("retired", cause="never came good")
    assert reed.folded.retirement is not None
    assert not end_is_wear("never came good")
    assert not end_is_wear("dropped")
    assert not end_is_wear(None)
    assert end_is_wear("cracked")
    reed = Lineage()
    reed.add("played", minutes=5)
    reed.add("retired", cause="worn")
    reed.add("scored", score=2)
    assert (reed.folded.stage, reed.folded.now.score) == (RETIRED, 2)


# Corrections


def test_an_amendment_takes_the_place_of_what_was_said() -> None:
    reed = Lineage(overall_mm=60)
    clip = reed.add("clipped", clip_mm=5)
    reed.add("clipped", clip_mm=1)
    reed.amend(clip, clip_mm=0.5)
    assert reed.folded.now.overall_mm == 58.5
    step = reed.folded.steps[1]
    assert (step.facts, step.event.facts, len(step.amendments)) == ({"clip_mm": 0.5}, {"clip_mm": 5}, 1)
    last = reed.amend(clip, clip_mm=0.25)
    assert reed.folded.now.overall_mm == 58.75
    reed.strike(last)
    assert reed.folded.now.overall_mm == 58.5


def test_an_amended_time_moves_the_event() -> None:
    reed = Lineage(overall_mm=60)
    clip = reed.add("clipped", clip_mm=1)
    reed.add("measured", overall_mm=58)
    assert reed.folded.now.overall_mm == 58
    reed.amend(clip, minutes=5, clip_mm=1)
    assert reed.folded.now.overall_mm == 57
    assert [s.kind for s in reed.folded.steps] == ["tied", "measured", "clipped"]


def test_the_beginning_stays_first_whenever_it_was() -> None:
    reed = Lineage(overall_mm=60)
    reed.add("clipped", clip_mm=1)
    reed.amend(reed.reed, minutes=90, instrument="oboe", overall_mm=72)
    folded = reed.folded
    assert [s.kind for s in folded.steps] == ["tied", "clipped"]
    assert (folded.instrument, folded.now.overall_mm) == ("oboe", 71)


def test_a_strike_and_a_strike_of_the_strike() -> None:
    reed = Lineage(overall_mm=60)
    clip = reed.add("clipped", clip_mm=1)
    strike = reed.strike(clip)
    assert reed.folded.now.overall_mm == 60
    assert [s.struck for s in reed.folded.steps] == [False, True]
    assert [s.kind for s in reed.folded.standing] == ["tied"]
    assert reed.folded.last.kind == "tied"
    second = reed.strike(strike)
    assert reed.folded.now.overall_mm == 59
    reed.strike(second)
    assert reed.folded.now.overall_mm == 60


def test_a_reed_whose_beginning_is_struck_never_was() -> None:
    reed = Lineage(overall_mm=60)
    reed.add("scraped")
    reed.strike(reed.reed)
    assert reed.folded.void
    assert not reed.folded.at_work


def test_strikes_do_not_trust_the_clocks_of_machines() -> None:
    """A strike of a strike, written on a machine whose clock is behind, sorts before it."""
    late, early = Uids(2_000_000_000_000, 1), Uids(1_000_000_000_000, 1)
    strike = Strike(late.new(), "reed x", "event", NOW, "e")
    undone = Strike(early.new(), "reed x", strike.uid, NOW, "e")
    assert undone.uid < strike.uid
    assert standing([strike, undone]) == {strike.uid}
    again = Strike(early.new(), "reed x", undone.uid, NOW, "e")
    assert standing([undone, again, strike]) == {undone.uid, "event"}


def test_strikes_in_a_circle_end_nowhere() -> None:
    one, other = Strike("a", "t", "b", NOW, "e"), Strike("b", "t", "a", NOW, "e")
    assert standing([one, other]) == set()


@given(st.integers(1, 300))
def test_a_chain_of_strikes_turns_with_each(length: int) -> None:
    strikes = [Strike(str(n), "t", str(n - 1), NOW, "e") for n in range(1, length + 1)]
    Random(length).shuffle(strikes)
    assert ("0" in standing(strikes)) == (length % 2 == 1)


# Order


def test_events_of_the_same_time_keep_the_order_in_which_they_were_recorded() -> None:
    reed = Lineage(overall_mm=60)
    reed.add("measured", after=0, overall_mm=59)
    reed.add("clipped", after=0, clip_mm=1)
    assert reed.folded.now.overall_mm == 58
    reed.records.reverse()
    assert reed.folded.now.overall_mm == 58


@settings(max_examples=40, deadline=None)
@given(lineages(), st.randoms(use_true_random=False))
def test_a_reed_does_not_depend_on_the_order_of_its_records(records: list[Record], random: Random) -> None:
    reed = records[0].uid
    shuffled = list(records)
    random.shuffle(shuffled)
    assert fold(reed, shuffled) == fold(reed, records)


@settings(max_examples=40, deadline=None)
@given(lineages())
def test_the_states_of_a_reed_follow_one_another(records: list[Record]) -> None:
    reed = fold(records[0].uid, records)
    assert [s.before for s in reed.steps[1:]] == [s.after for s in reed.steps[:-1]]
    assert reed.now == reed.steps[-1].after
    times = [s.at for s in reed.steps[1:]]
    assert times == sorted(times)
    assert reed.now.minutes_played >= reed.now.minutes_before >= 0
    if times:
        middle = times[len(times) // 2]
        assert reed.was(middle) == [s for s in reed.steps if s is reed.steps[0] or s.at <= middle][-1].after
    assert reed.was(times[-1] if times else NOW) == reed.now if times else True


def test_what_a_reed_was() -> None:
    reed = Lineage(overall_mm=60)
    reed.add("clipped", after=10, clip_mm=1)
    reed.add("clipped", after=10, clip_mm=1)
    lengths = [reed.folded.was(NOW + timedelta(minutes=m)).overall_mm for m in (-5, 0, 9, 10, 15, 20, 99)]
    assert lengths == [60, 60, 60, 59, 59, 58, 58]


def test_a_lineage_needs_a_beginning() -> None:
    reed = Lineage()
    reed.add("scraped")
    with pytest.raises(ValueError, match="no beginning"):
        fold(reed.reed, reed.records[1:])


# Tags used again


def test_tags_are_used_again() -> None:
    maker = Maker("12 tie eh 60", "12 retire cracked", "12 tie ob 72")
    assert maker.reed("12").instrument == "oboe"
    assert maker.reed("12/2").instrument == "oboe"
    assert maker.reed("12/1").instrument == "english horn"
    assert maker.bench.find("12/3") is None
    assert maker.bench.find("12/0") is None
    assert maker.bench.find("12/x") is None
    assert (maker.reed("12").label, maker.reed("12/1").label) == ("12", "12/1")
    maker.type("12 retire worn")
    assert maker.reed("12").instrument == "oboe"
    assert maker.reed("12").label == "12/2"
    maker.type('12/1 note "a good one"')
    assert maker.reed("12/1").last.note == "a good one"


def test_a_tag_means_the_living_reed_even_if_another_was_begun_later() -> None:
    maker = Maker("12 tie eh 60", "12 retire cracked", "12 tie ob 72", "12 lend to a pupil")
    assert maker.reed("12").bearer == 2
    first = maker.reed("12/1")
    maker.bench.add([Strike(maker.uids.new(), reed_table(first.id), first.last.event.uid, NOW, "e")])
    assert maker.reed("12").bearer == 1


@settings(max_examples=30, deadline=None)
@given(logs(), st.randoms(use_true_random=False))
def test_a_bench_does_not_depend_on_the_order_of_the_records(records: list[Record], random: Random) -> None:
    clock = FixedClock(NOW)
    shuffled = list(records)
    random.shuffle(shuffled)
    one, other = Bench.of(clock, records), Bench.of(clock, shuffled)
    assert one.reeds() == other.reeds()
    assert [r.label for r in one.at_work()] == [r.label for r in other.at_work()]
    for table in ("lots", "targets", "settings"):
        assert one.beside.subjects(table) == other.beside.subjects(table)
