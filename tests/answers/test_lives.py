"""From lineages to lives: the rules of `reedkin.study.lives`, one by one."""

from __future__ import annotations

import json
from datetime import timedelta

import numpy as np
import pytest
from demo_logs.simulate import simulate
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.answers.logs import BEGUN, Log, bench

from reedkin.answers.habits.report import habits_report
from reedkin.answers.lives.lifespans import lifespans
from reedkin.domain.events import Strike
from reedkin.domain.reeds import Reed, fold
from reedkin.study.lives import Life, life_of, lives_of, minute, out_of_view
from reedkin.study.playings import Playings
from reedkin.study.rows import Rows, best_watched, split_rows, whole_rows
from reedkin.study.study import Study

LATER = minute(BEGUN) + 1000 * 1440


def life(log: Log, until: int = LATER) -> Life:
    found = life_of(log.reed(), until)
    assert found is not None
    return found


def rows(*lives: Life, clock: str = "hours") -> Rows:
    return whole_rows(split_rows(lives, Playings.of(lives), clock))  # type: ignore[arg-type]


def spells(*lives: Life, clock: str = "hours") -> list[tuple[float, float, bool]]:
    found = rows(*lives, clock=clock)
    return list(zip(found.start.tolist(), found.stop.tolist(), found.event.tolist(), strict=True))


class TestService:
    def test_a_blank_has_no_life(self):
        assert life_of(Log().add("scraped").add("clipped", clip_mm=1).reed(), LATER) is None

    def test_a_blank_that_never_came_good_has_no_life(self):
        assert life_of(Log().add("scraped").retire("never came good").reed(), LATER) is None

    def test_starts_with_the_first_playing(self):
        log = Log().add("scraped").play(30).play(60).retire("closed up")
        found = life(log)
        assert (found.entry, found.minutes, found.cause, found.worn_out) == (0, 90, "closed up", True)
        assert [step.kind for step in found.making] == ["tied", "scraped"]
        assert spells(found) == [(0, 1.5, True)]

    def test_days_run_from_when_it_was_first_taken_up(self):
        log = Log().play(60, after=600).retire("worn", after=10 * 1440 - 60)
        assert spells(life(log), clock="days") == [(0, 10, True)]

    def test_a_struck_beginning_is_no_reed(self):
        reed = Log().play(30).reed()
        records = [step.event for step in reed.steps]
        struck = Strike("z", f"reed {reed.id}", reed.id, reed.begun, "z")
        assert life_of(fold(reed.id, [*records, struck]), LATER) is None


class TestJoining:
    def test_it_enters_at_the_hours_it_had(self):
        found = life(Log(kind="joined", hours_before=4.5).play(30).retire())
        assert spells(found) == [(4.5, 5.0, True)]

    def test_its_days_are_not_known(self):
        found = life(Log(kind="joined", hours_before=4.5).play(30).retire())
        assert spells(found, clock="days") == []

    def test_with_no_hours_it_is_as_new(self):
        found = life(Log(kind="joined", hours_before=0).play(60, after=0).retire("worn", after=1380))
        assert spells(found) == [(0, 1, True)]
        assert spells(found, clock="days") == [(0, 1, True)]

    def test_without_its_hours_it_has_no_life(self):
        reed = Log(kind="joined").play(30).reed()
        assert life_of(reed, LATER) is None

    def test_retired_before_it_was_played_it_tells_nothing(self):
        assert life_of(Log(kind="joined", hours_before=4).retire().reed(), LATER) is None


class TestTheEnd:
    @pytest.mark.parametrize("cause", ["worn", "closed up", "cracked", "mouldy", "leaking", "flat"])
    def test_wear(self, cause: str):
        assert life(Log().play(30).retire(cause)).worn_out

    @pytest.mark.parametrize("cause", ["chipped", "dropped", "lost", "never came good"])
    def test_other_ends_are_losses_from_view(self, cause: str):
        found = life(Log().play(30).retire(cause))
        assert spells(found) == [(0, 0.5, False)]
        assert rows(found).cause.tolist() == [cause]

    def test_a_retirement_without_a_cause(self):
        found = life(Log().play(30).retire(None))
        assert (found.worn_out, found.cause) == (False, "not noted")

    def test_in_service_it_is_in_view_until_the_log_ends(self):
        log = Log().play(60, after=0)
        other = Log("2").add("noted", after=5 * 1440, note="x").reed()
        lives = lives_of([log.reed(), other])
        assert spells(*lives, clock="days") == [(0, 5 + 0 / 1440, False)]

    def test_events_still_to_come_keep_no_reed_in_view(self):
        log = Log().play(60, after=0)
        other = Log("2").add("noted", after=500 * 1440, note="x").reed()
        lives = lives_of([log.reed(), other], now=BEGUN + timedelta(days=3))
        assert spells(*lives, clock="days") == [(0, 3, False)]

    def test_played_after_its_retirement(self):
        reed = Log().play(60).retire().play(45).reed()
        found = life_of(reed, LATER)
        assert found is not None
        assert spells(found) == [(0, 1, True)]

    def test_a_playing_in_the_minute_of_the_retirement_counts(self):
        reed = Log().play(60).retire("worn", after=100).add("played", 0, minutes=30).reed()
        found = life_of(reed, LATER)
        assert found is not None
        assert spells(found) == [(0, 1.5, True)]

    def test_the_first_of_two_retirements_counts(self):
        reed = Log().play(60).retire("worn").retire("dropped", after=100).reed()
        assert life_of(reed, LATER).cause == "worn"


class TestHandedOver:
    def test_sold_it_goes_out_of_view(self):
        found = life(Log().play(60, after=0).add("handed over", 1380, terms="sold"))
        assert spells(found) == [(0, 1, False)]
        assert spells(found, clock="days") == [(0, 1, False)]

    def test_sold_before_it_was_played_it_has_no_life(self):
        assert life_of(Log().add("handed over", terms="sold").reed(), LATER) is None

    def test_lent_and_returned_it_counts_again_and_its_days_away_do_not(self):
        log = Log().play(60, after=0).add("handed over", 1380, terms="lent").add("returned", 4 * 1440)
        log.play(60, after=1440).retire("worn", after=1380)
        assert spells(life(log)) == [(0, 2, True)]
        assert spells(life(log), clock="days") == [(0, 1, False), (5, 7, True)]

    def test_played_again_without_a_return_it_is_back(self):
        log = Log().play(60, after=0).add("handed over", 1380, terms="lent").play(60, after=4 * 1440)
        log.retire("worn", after=1380)
        assert spells(life(log)) == [(0, 2, True)]
        assert spells(life(log), clock="days") == [(0, 1, False), (5, 6, True)]

    def test_handed_over_in_the_middle_of_its_next_playing(self):
        """Times that do not agree: what is counted must not overlap."""
        log = Log().play(60, after=0).add("handed over", 1380, terms="lent").add("played", 5, minutes=60)
        found = life(log.retire("worn", after=1440))
        assert spells(found, clock="days") == [(0, pytest.approx((1380 + 5 + 1440 + 60) / 1440), True)]

    def test_retired_while_away_the_end_was_not_seen(self):
        found = life(Log().play(60, after=0).add("handed over", 1380, terms="lent").retire("cracked", 3000))
        assert (found.cause, spells(found, clock="days")) == (None, [(0, 1, False)])

    def test_returned_and_retired_unplayed(self):
        log = Log().play(60, after=0).add("handed over", 1380, terms="lent").add("returned", 4 * 1440)
        found = life(log.retire("worn", after=1440))
        assert spells(found) == [(0, 1, True)]
        assert spells(found, clock="days") == [(0, 1, False), (5, 6, True)]

    def test_returned_and_retired_in_one_minute_its_days_end_unseen(self):
        log = Log().play(60, after=0).add("handed over", 1380, terms="lent").add("returned", 4 * 1440)
        found = life(log.retire("worn", after=0))
        assert spells(found, clock="days") == [(0, 1, False)]


class TestBadData:
    @pytest.mark.parametrize("minutes", [None, 0, -5, "45", True, 99999])
    def test_a_playing_without_minutes_puts_it_out_of_view(self, minutes: object):
        log = Log().play(60).play(30)
        log.add("played", 1440, **({} if minutes is None else {"minutes": minutes}))
        reed = log.play(20).retire().reed()
        found = life_of(reed, LATER)
        assert found is not None
        assert spells(found) == [(0, 1.5, False)]
        gone = out_of_view(reed)
        assert gone is not None
        assert gone.what.startswith("a playing")

    def test_a_clock_that_ran_backwards(self):
        reed = Log().play(60, after=-3 * 1440).play(60, after=5 * 1440).retire("worn", after=0).reed()
        found = life_of(reed, LATER)
        assert found is not None
        assert spells(found) == [(0, 2, True)]

    def test_retired_before_it_was_begun(self):
        reed = Log().retire("worn", after=-1000).play(60, after=2000).reed()
        assert life_of(reed, LATER) is None

    def test_two_events_at_one_minute_keep_their_order(self):
        reed = Log().play(60).add("scraped", 0).add("played", 0, minutes=30).retire("worn", after=0).reed()
        found = life_of(reed, LATER)
        assert found is not None
        assert [(one.minutes, one.touched) for one in found.played] == [(60, False), (30, True)]
        assert spells(found) == [(0, 1.5, True)]

    def test_the_same_playing_twice(self):
        log = Log().play(60).add("played", 0, minutes=60)
        assert life(log).minutes == 120

    def test_a_lineage_without_a_beginning(self):
        reed = fold("u", [step.event for step in _begun_with_a_playing().steps])
        assert life_of(reed, LATER) is None


def _begun_with_a_playing() -> Reed:
    event = Log().play(60).reed().steps[1].event
    return fold("u", [type(event)("u", "u", "played", "1", event.at, event.recorded, "e", event.facts)])


class TestRows:
    def test_equal_lives_tie_exactly(self):
        one = life(Log().play(6).play(6).play(6).retire())
        other = life(Log().play(18).retire())
        found = rows(one, other)
        assert found.stop[0] == found.stop[1]
        assert len(found.risk.time) == 1

    def test_one_row_for_each_playing(self):
        lives = [life(Log().play(30).play(60).retire()), life(Log("2").play(90).retire("dropped"))]
        found = split_rows(lives, Playings.of(lives), "hours")
        assert found.start.tolist() == [0, 0.5, 0]
        assert found.stop.tolist() == [0.5, 1.5, 1.5]
        assert found.event.tolist() == [False, True, False]
        assert found.cause.tolist() == ["", "worn", "dropped"]

    def test_days_go_from_one_playing_to_the_next(self):
        log = Log().play(60, after=0).play(60, after=2 * 1440 - 60).retire("worn", after=1380)
        lives = [life(log)]
        found = split_rows(lives, Playings.of(lives), "days")
        assert (found.start.tolist(), found.stop.tolist()) == ([0, 2], [2, 3])
        assert found.playing.tolist() == [0, 1]

    def test_what_was_begun_on_one_evening(self):
        hours = {"1": 0, "2": 20, "3": 20.5, "4": 25.9, "5": 32, "6": 20}
        logs = [Log(tag, begun=BEGUN + timedelta(hours=after)) for tag, after in hours.items() if tag != "6"]
        joined = Log("6", "joined", BEGUN + timedelta(hours=hours["6"]), hours_before=2)
        found = rows(*(life(log.play(30).play(60).retire()) for log in (joined, *logs)))
        # After midnight it is the same evening yet; when a reed that joined was begun, nobody knows.
        tags = dict(zip(("6", "1", "2", "3", "4", "5"), found.evening.tolist(), strict=True))
        assert tags["2"] == tags["3"] == tags["4"]
        assert len({tags[tag] for tag in "1256"}) == 4

    def test_no_lives(self):
        found = split_rows([], Playings.of([]), "days")
        assert len(whole_rows(found).start) == 0

    def test_the_stretch_that_tells_most(self):
        # Two ended before any other was in view, and one came into view when all others had ended.
        start = np.array([0, 0, 5, 5, 6, 30.0])
        stop = np.array([2, 3, 9, 12, 20, 40.0])
        ended = np.array([True, True, True, True, True, False])
        found = best_watched(start, stop, ended)
        assert (found.start.tolist(), found.stop.tolist()) == ([5, 5, 6], [9, 12, 20])
        assert found.where.tolist() == [2, 3, 4]


@pytest.mark.parametrize("seed", [11, 12])
def test_the_lives_of_a_simulated_log_are_those_it_was_made_of(seed: int):
    scenario = simulate(seed, 60)
    reeds = bench(scenario.rows, scenario.sessions).reeds()
    truth = {(one.tag, one.bearer): one for one in scenario.lives}
    lives = lives_of(reeds)
    assert {(one.reed.tag, one.reed.bearer) for one in lives} == {k for k, one in truth.items() if one.served}
    for one in lives:
        true = truth[one.reed.tag, one.reed.bearer]
        assert (one.entry, one.minutes, one.cause) == (true.entry, true.minutes, true.cause)


KINDS = ("played", "scraped", "clipped", "wired", "tubed", "crowed", "scored", "cleaned", "handed over", "returned",
         "retired", "noted")  # fmt: skip
FACTS: dict[str, list[dict[str, object]]] = {
    "played": [{"minutes": 1}, {"minutes": 45, "score": 7}, {"minutes": 90, "setting": "performance"}, {},
               {"minutes": 0}, {"minutes": -30}, {"minutes": 5000}],
    "clipped": [{"clip_mm": 0.3}, {"overall_mm": 70}, {}],
    "scraped": [{}, {"minutes": 4}],
    "tubed": [{"tubing_mm": 5}, {"tubing_mm": 0}],
    "wired": [{}, {"wire": "off"}],
    "scored": [{"score": 3}, {"tone": 5, "pitch": 6}, {}],
    "retired": [{"cause": "worn"}, {"cause": "dropped"}, {"cause": "never came good"}, {}],
}  # fmt: skip
BEGINNINGS: list[tuple[str, dict[str, object]]] = [
    ("tied", {}), ("tied", {"overall_mm": 72.0, "lot": "7", "tube": "N1"}), ("joined", {"hours_before": 3}),
    ("joined", {}), ("joined", {"hours_before": 0}),
]  # fmt: skip


@st.composite
def lineages(draw: st.DrawFn, tag: str) -> Reed:
    """Any events in any order, at any time, many of them impossible."""
    kind, facts = draw(st.sampled_from(BEGINNINGS))
    log = Log(tag, kind, **facts)
    for _ in range(draw(st.integers(0, 14))):
        kind = draw(st.sampled_from(KINDS))
        after = draw(st.sampled_from((-4000, -1, 0, 0, 1, 30, 600, 1440, 90000)))
        log.add(kind, after, **draw(st.sampled_from(FACTS.get(kind, [{}]))))
    return log.reed()


@settings(deadline=None, max_examples=25)
@given(st.integers(1, 14).flatmap(lambda count: st.tuples(*(lineages(str(n)) for n in range(count)))))
def test_no_lineage_breaks_anything(reeds: tuple[Reed, ...]):
    study = Study.of(reeds)
    for clock in ("hours", "days"):
        for whole in (True, False):
            found = study.rows(clock, whole)  # type: ignore[arg-type]
            assert (found.start >= 0).all()
            assert (found.start < found.stop).all()
            assert found.event.sum() <= sum(life.worn_out for life in study.lives)
            by_life = [(found.start[found.life == one], found.stop[found.life == one]) for one in set(found.life)]
            assert all((start[1:] >= stop[:-1]).all() for start, stop in by_life)
        habits_report(study, clock)  # type: ignore[arg-type]
        json.dumps(lifespans(study, clock=clock).to_json(), allow_nan=False)  # type: ignore[arg-type]
