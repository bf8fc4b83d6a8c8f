"""Fair trials: the draw is balanced, fixed and the same everywhere, and nothing that is done later changes it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import UTC, datetime
from itertools import islice
from statistics import fmean

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.answers.whole_life import whole_life

from reedkin.bench.audit import audit
from reedkin.bench.bench import Bench
from reedkin.bench.draw import FURTHEST, Stratum, sequence, way_at, way_in_blocks
from reedkin.bench.trials import (
    PLANNED,
    Trial,
    assigned_facts,
    assignments,
    is_look,
    trials,
    trials_named,
    ways_of,
)
from reedkin.domain.clock import FixedClock
from reedkin.domain.events import Amendment, Event, Record, Statement, Strike, table_of
from reedkin.domain.reeds import Reed
from reedkin.domain.uid import UidMaker
from reedkin.grammar.completing.completion import complete
from reedkin.grammar.correcting.amending import read_amended
from reedkin.grammar.preview import preview
from reedkin.grammar.reading import Reading, ReedAction, read
from reedkin.grammar.recording import to_records
from reedkin.survival.two_ways import finds

START = "trial start wire before or after eh for 40"
LOT_7 = Stratum("english horn", "7")
UID = "01890000-0000-7000-8000-000000000000"
"""Of a trial: what is drawn with it is the same in every run."""


class Maker:
    """A log in memory, kept by entry lines."""

    def __init__(self, *lines: str, records: Iterable[Record] = (), uids: UidMaker | None = None) -> None:
        self.clock = FixedClock(datetime(2026, 3, 12, 10, tzinfo=UTC))
        records = list(records)
        # As a log does: what is made after the records sorts after them, within one millisecond too.
        self.uids = uids or UidMaker(after=max((record.uid for record in records), default=""))
        self.bench = Bench(self.clock)
        self.records: list[Record] = []
        self.keep(records)
        self.clock.forward(minutes=len(self.records))
        self.enter(*lines)

    def read(self, line: str) -> Reading:
        return read(line, self.bench)

    def enter(self, *lines: str) -> list[Record]:
        made: list[Record] = []
        for line in lines:
            self.clock.forward(minutes=1)
            reading = self.read(line)
            assert reading.ready, (line, reading.errors)
            made = self.keep(to_records(reading, self.uids, self.clock.now(), None))
        return made

    def keep(self, records: Iterable[Record]) -> list[Record]:
        made = list(records)
        self.records += made
        self.bench.add(made)
        return made

    def strike(self, records: Iterable[Record]) -> None:
        now = self.clock.now()
        self.keep(Strike(self.uids.new(), table_of(r), r.uid, now, "e") for r in records)

    @property
    def trial(self) -> Trial:
        return trials(self.bench)[-1]

    def reed(self, tag: str) -> Reed:
        found = self.bench.find(tag)
        assert found is not None
        return found

    def ways(self, *tags: str) -> list[str]:
        return [str(assigned_facts(self.reed(tag))[0]["arm"]) for tag in tags]


def drawn(trial: str, reeds: int) -> list[int]:
    return list(islice(sequence(trial), reeds))


# The draw


@settings(max_examples=60)
@given(st.text(max_size=8), st.integers(1, 200))
def test_the_ways_are_never_further_apart_than_the_big_stick_lets_them(uid: str, reeds: int) -> None:
    ways = drawn(uid, reeds)
    ahead = [2 * sum(ways[:place]) - place for place in range(reeds + 1)]
    assert max(map(abs, ahead)) <= FURTHEST


def test_the_draw_is_the_same_on_every_machine_and_in_every_version() -> None:
    # Written down once: a change of these would change what running trials draw next.
    assert drawn(UID, 24) == DRAWN
    assert [way_at(UID, place) for place in range(1, 25)] == DRAWN


DRAWN = [1, 1, 1, 0, 1, 0, 1, 1, 0, 0, 0, 1, 0, 0, 1, 0, 1, 1, 0, 1, 0, 1, 1, 0]


def test_what_earlier_versions_drew_in_blocks_is_still_known() -> None:
    assert [way_in_blocks(UID, LOT_7, place) for place in range(1, 17)] == [
        0, 1, 0, 1, 0, 1, 0, 1, 1, 1, 0, 0, 1, 0, 0, 1,
    ]  # fmt: skip
    assert [way_in_blocks(UID, Stratum("english horn", ""), place) for place in range(1, 17)] == [
        0, 1, 1, 0, 1, 0, 0, 1, 1, 0, 0, 1, 1, 0, 1, 0,
    ]  # fmt: skip


def test_who_has_counted_all_that_was_drawn_can_hardly_guess_the_next() -> None:
    # Soares & Wu 1983: at the edge of the walk the next is sure, else it is a coin: 1/2 + 1/(4b), the walk being at
    # either edge once in 2b. With b = 4 that is 0.5625; blocks of 2, 4 and 6 let 0.70 be guessed.
    draws = [drawn(f"{number:032x}", 400) for number in range(200)]
    shares = []
    for ways in draws:
        ahead, right = 0, 0.0
        for way in ways:
            right += 0.5 if ahead == 0 else way == int(ahead < 0)
            ahead += 1 if way else -1
        shares.append(right / len(ways))
    assert fmean(shares) == pytest.approx(0.5 + 1 / (4 * FURTHEST), abs=0.006)


def test_away_from_the_edge_the_next_is_a_fair_coin_whatever_came_before() -> None:
    draws = [drawn(f"{number:032x}", 60) for number in range(500)]
    for behind in ((0, 0), (0, 1), (1, 0), (1, 1)):
        following = [
            ways[at]
            for ways in draws
            for at in range(2, 60)
            if (ways[at - 2], ways[at - 1]) == behind and abs(2 * sum(ways[:at]) - at) < FURTHEST
        ]
        assert fmean(following) == pytest.approx(0.5, abs=4 * 0.5 / len(following) ** 0.5)


def test_trials_are_drawn_apart() -> None:
    assert len({tuple(drawn(uid, 24)) for uid in "abcdefghi"}) == 9


def test_a_lot_is_one_whatever_its_capitals_and_spaces() -> None:
    assert Stratum.of({"instrument": "oboe", "lot": " Blue  5"}) == Stratum.of({"instrument": "oboe", "lot": "blue 5"})
    assert Stratum.of({"instrument": "oboe"}) == Stratum("oboe", "")


# Assigning


def test_each_reed_that_is_tied_takes_the_next_place_whatever_its_lot() -> None:
    maker = Maker(START, "1-6 tie eh 60 lot 7", "7-9 tie eh 60 lot 8", "10-12 tie eh 60 lot 7")
    assert maker.ways(*map(str, range(1, 13))) == [("before", "after")[way] for way in drawn(maker.trial.uid, 12)]
    assert [one.place for one in assignments(maker.trial, maker.bench)] == list(range(1, 13))


def test_an_assignment_is_an_event_of_the_same_entry_as_the_tying() -> None:
    maker = Maker(START)
    records = maker.enter("1-2 tie eh 60 lot 7")
    kinds = [record.kind for record in records if isinstance(record, Event)]
    assert kinds == ["tied", "tied", "assigned", "assigned"]
    assert len({record.entry for record in records}) == 1
    assert [r.reed for r in records[:2]] == [r.reed for r in records[2:]]  # type: ignore[union-attr]
    assert records[2].facts.keys() == {"trial", "arm", "place", "draw", "trial_uid"}  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("lines", "tag"),
    [
        (("1 tie eh 60", START), "1"),  # tied before it began
        ((START, "1 tie oboe 72"), "1"),  # of another instrument
        ((START, "trial end wire", "1 tie eh 60"), "1"),
        ((START, "trial end wire; 1 tie eh 60"), "1"),
        ((START, "1 tie eh 60 @yesterday"), "1"),  # recorded now, tied before it began
        ((START, "1 join eh 5h"), "1"),
    ],
)
def test_reeds_that_a_trial_does_not_take(lines: tuple[str, ...], tag: str) -> None:
    assert ways_of(Maker(*lines).reed(tag)) == []


def test_a_trial_without_an_instrument_takes_all_and_two_trials_assign_apart() -> None:
    maker = Maker("trial start scrape dry or wet", START, "1-4 tie oboe 72", "5-8 tie eh 60")
    assert [len(ways_of(maker.reed(str(tag)))) for tag in range(1, 9)] == [1] * 4 + [2] * 4
    assert maker.trial.planned == 40
    assert trials(maker.bench)[0].planned == PLANNED


def test_reeds_tied_over_a_retired_tag_and_scraped_in_one_line_are_assigned() -> None:
    maker = Maker(START, "12 tie eh 60", "12 retire cracked; 12 tie eh 60; scrape 10")
    assert [step.kind for step in maker.reed("12").steps] == ["tied", "scraped", "assigned"]
    assert len(assignments(maker.trial, maker.bench)) == 2


# Fixed


def test_untying_and_tying_again_draws_the_same_way() -> None:
    maker = Maker(START)
    first = maker.enter("1-5 tie eh 60 lot 7")
    ways = maker.ways(*"12345")
    for _ in range(3):
        maker.strike(first)
        assert assignments(maker.trial, maker.bench) == []
        first = maker.enter("1-5 tie eh 60 lot 7")
        assert maker.ways(*"12345") == ways


def test_a_struck_tying_gives_its_own_place_back_and_no_other() -> None:
    maker = Maker(START, "1-6 tie eh 60 lot 7")
    maker.strike([maker.reed("3").steps[0].event])
    way = drawn(maker.trial.uid, 7)
    maker.enter("7-8 tie eh 60 lot 7")
    assert maker.ways("7", "8") == [maker.trial.ways[way[2]], maker.trial.ways[way[6]]]


def test_nothing_that_is_struck_or_amended_later_moves_a_reed_to_the_other_way() -> None:
    maker = Maker(START, "1-2 tie eh 60 lot 7")
    before = [(one.way, one.place, one.stratum) for one in assignments(maker.trial, maker.bench)]
    reed = maker.reed("1")
    tied, assigned = reed.steps[0].event, reed.steps[1].event
    now = maker.clock.now()
    other = next(way for way in maker.trial.ways if way != assigned.facts["arm"])
    maker.strike([assigned])
    maker.keep(
        [
            Amendment(maker.uids.new(), reed.id, assigned.uid, now, now, "e", {**assigned.facts, "arm": other}),
            Amendment(maker.uids.new(), reed.id, tied.uid, now, now, "e", {**tied.facts, "lot": "8"}),
        ]
    )
    assert [(one.way, one.place, one.stratum) for one in assignments(maker.trial, maker.bench)] == before
    assert f"trial wire: {assigned.facts['arm']}" in whole_life(maker.reed("1"), maker.bench)
    # Nor does it free a place that somebody could fish with.
    maker.enter("3 tie eh 60 lot 7")
    assert assigned_facts(maker.reed("3"))[0]["place"] == 3


def test_what_a_start_fixed_later_statements_do_not_change() -> None:
    maker = Maker(START)
    trial, now = maker.trial, maker.clock.now()
    said = {"planned": 10, "ways": ("x", "y"), "instrument": "oboe", "trial": "other"}
    maker.keep([Statement(maker.uids.new(), "trials", trial.uid, now, now, "e", said)])
    assert trials(maker.bench) == [trial]


def test_two_machines_draw_the_same_and_keep_all_when_their_logs_are_merged() -> None:
    shared = Maker(START, "1-2 tie eh 60 lot 7").records
    here, there = Maker(records=shared), Maker(records=shared)
    here.enter("3-5 tie eh 60 lot 7")
    there.enter("13-15 tie eh 60 lot 7")
    assert here.ways("3", "4", "5") == there.ways("13", "14", "15")
    one = Maker(records=[*here.records, *there.records[len(shared) :]])
    other = Maker(records=[*there.records, *here.records[len(shared) :]])
    both = [[(a.reed.tag, a.way, a.place) for a in assignments(m.trial, m.bench)] for m in (one, other)]
    assert sorted(both[0]) == sorted(both[1])
    assert len(both[0]) == 8
    for maker in (one, other):
        maker.enter("20 tie eh 60 lot 7")
    assert one.ways("20") == other.ways("20") == [one.trial.ways[way_at(one.trial.uid, 6)]]


def test_trials_of_one_name_that_were_started_on_two_machines_stay_apart() -> None:
    here, there = Maker(START, "1-4 tie eh 60"), Maker(START, "11-14 tie eh 60")
    merged = Maker(records=[*here.records, *there.records])
    found = [[a.reed.tag for a in assignments(trial, merged.bench)] for trial in trials(merged.bench)]
    assert sorted(map(sorted, found)) == [["1", "2", "3", "4"], ["11", "12", "13", "14"]]


def test_a_look_that_an_earlier_version_counted_is_stepped_over() -> None:
    maker = Maker(START)
    now = maker.clock.now()
    look = Statement(maker.uids.new(), "trials", maker.trial.uid, now, now, maker.uids.new(), {"looked": 12})
    before = maker.trial
    maker.keep([look])
    assert is_look(look)
    assert maker.trial == before
    assert list(audit(maker.bench)) == []


# The log checked


def test_check_finds_an_assignment_that_chance_did_not_draw() -> None:
    maker = Maker(START, "1-2 tie eh 60 lot 7")
    assert list(audit(maker.bench)) == []
    forged = [
        Event(r.uid, r.reed, r.kind, r.tag, r.at, r.recorded, r.entry, _other_way(r))
        if isinstance(r, Event) and r.kind == "assigned" and r.tag == "2"
        else r
        for r in maker.records
    ]
    remarks = list(audit(Maker(records=forged).bench))
    assert [(one.severity, one.reed) for one in remarks] == [("impossible", "2")]
    assert "chance had drawn" in remarks[0].message
    without = [r for r in maker.records if not isinstance(r, Statement)]
    assert {one.severity for one in audit(Maker(records=without).bench)} == {"odd"}


def _other_way(event: Event) -> dict[str, object]:
    return {**event.facts, "arm": "after" if event.facts["arm"] == "before" else "before"}  # type: ignore[return-value]


# The entry line


@pytest.mark.parametrize(
    ("line", "ways", "instrument", "planned", "question"),
    [
        (START, ("before", "after"), "english horn", 40, ""),
        ("tr st wire before or after", ("before", "after"), None, PLANNED, ""),
        ('trial start wire "before the first clip" or "after the first clip" eh for 40 "does it matter?"',
         ("before the first clip", "after the first clip"), "english horn", 40, "does it matter?"),
        ("trial start wire before the first clip or after it English horn until 30 reeds",
         ("before the first clip", "after it"), "english horn", 30, ""),
        ('trial start wire "soft" / "for show" ob', ("soft", "for show"), "oboe", PLANNED, ""),
        ('trial start "the wire" for or against for 25', ("for", "against"), None, 25, ""),
    ],
)  # fmt: skip
def test_a_trial_is_started_by_a_line(
    line: str, ways: tuple[str, str], instrument: str | None, planned: int, question: str
) -> None:
    trial = Maker(line).trial
    assert (trial.ways, trial.instrument, trial.planned, trial.question) == (ways, instrument, planned, question)
    assert trial.running


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("trial", "start or end?"),
        ("trial begin wire a or b", "start or end?"),
        ("trial start", "what is it called"),
        ("trial start x", "which two ways"),
        ("trial start x a", "which two ways"),
        ("trial start x a or", "which two ways"),
        ("trial start x or b", "which two ways"),
        ("trial start x a or A", "both ways are the same"),
        ('trial start " " a or b', "need a word each"),
        ("trial start WIRE a or b", "there is a trial WIRE already"),
        ("trial start x a or b for 2", "must be between 5"),
        ("trial start x a or b for", "needs a number"),
        ("trial start x a or b; trial start x a or b", "starts a trial once"),
        ("trial end x", "no trial x is running; running: wire"),
        ("trial end wire eh", "nothing more"),
        ("trial end wire @yesterday", "before it started"),
        ("trial start x a or b @tomorrow", "a trial starts now"),
        ("trial start wire/2 a or b", "does not end in / and a number"),
        ("1 trial start x a or b", "not said of a reed"),
    ],
)
def test_what_a_line_about_a_trial_lacks_is_said(line: str, says: str) -> None:
    errors = Maker(START).read(line).errors
    assert errors
    assert says in errors[0].message


def test_a_trial_of_few_reeds_is_a_question() -> None:
    questions = Maker().read("trial start x a or b for 12").questions
    assert [q.message for q in questions] == ["reeds to be worn out 12 is little; usual is 20 or more"]


def test_a_trial_is_ended_by_its_name_or_as_the_only_one_that_runs() -> None:
    maker = Maker(START, "trial start scrape dry or wet", "trial end wire")
    assert [t.running for t in trials(maker.bench)] == [False, True]
    ended = trials(maker.bench)[0].ended
    assert ended == maker.clock.now()
    maker.enter("trial end")
    assert not any(t.running for t in trials(maker.bench))
    assert maker.read("trial end").errors[0].message == "no trial is running"
    assert [trial.name for trial in trials_named(maker.bench, "Wire")] == ["wire"]


def test_the_preview_says_which_way_each_new_reed_gets_and_that_is_what_is_recorded() -> None:
    maker = Maker(START)
    reading = maker.read("1-4 tie eh 60 lot 7")
    told = preview(reading, maker.bench)[-1]
    assert told.startswith("by trial wire: ")
    maker.enter("1-4 tie eh 60 lot 7")
    for tag, way in zip("1234", maker.ways(*"1234"), strict=True):
        own = next(part for part in told.removeprefix("by trial wire: ").split("; ") if part.endswith(way))
        first, _, last = own.removesuffix(f" {way}").partition("–")
        tags = range(int(first), int(last) + 1) if last else map(int, first.split(", "))
        assert int(tag) in tags


def test_the_preview_of_a_start_says_what_it_finds() -> None:
    maker = Maker()
    assert preview(maker.read(START), maker.bench) == [
        "trial wire starts: before or after, by chance, for each English horn reed tied from now on, until it is "
        "settled or 40 are worn out (that tells lives that end 4.0 times as fast, from two times in five "
        "with a dozen reeds of a lot to four in five with many)"
    ]
    maker.enter(START)
    assert preview(maker.read("trial end wire"), maker.bench) == [
        "trial wire ends: reeds tied from now on are assigned no more"
    ]


def test_a_trial_without_a_number_finds_lives_that_end_two_and_a_half_times_as_fast() -> None:
    assert finds(PLANNED) == pytest.approx(2.5, abs=0.01)


@pytest.mark.parametrize(
    ("line", "options"),
    [
        ("tr", ("trial",)),
        ("trial ", ("start", "end")),
        ("trial end ", ("wire",)),
        ("trial start x ", ()),
        ("trial start x a ", ("or",)),
        ("trial start x a or b", ()),
    ],
)
def test_what_can_come_next_on_a_line_about_a_trial(line: str, options: tuple[str, ...]) -> None:
    assert complete(line, Maker(START).bench, None).options[: len(options) or 1] == options


def test_an_amended_tying_is_not_assigned_anew() -> None:
    maker = Maker(START, "1 tie eh 60 lot 7")
    reed = maker.reed("1")
    amending = read_amended("tie eh 61 lot 7", reed, reed.steps[0], maker.bench)
    assert isinstance(amending.action, ReedAction)
    assert amending.action.facts["overall_mm"] == 61


def test_taking_a_start_back_leaves_no_trial() -> None:
    maker = Maker()
    made = maker.enter(START)
    maker.strike(made)
    assert trials(maker.bench) == []
    maker.enter("1 tie eh 60")
    assert ways_of(maker.reed("1")) == []
