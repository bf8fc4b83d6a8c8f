"""A maker who would rather have the one way tries to steer a fair trial: the draw goes its own way, and what goes past
it is asked about and counted."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import count, islice
from typing import ClassVar

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule
from tests.answers.trial_logs import Maker

from reedkin.answers.trials.kept import Kept, kept
from reedkin.bench.audit import audit
from reedkin.bench.bench import Bench
from reedkin.bench.draw import DRAW, Stratum, sequence, way_in_blocks
from reedkin.bench.trials import ASSIGNED, Assignment, Trial, assignments, taken_back, trials, trials_named, undrawn
from reedkin.domain.events import Amendment, Event, Record, Strike, table_of
from reedkin.domain.reeds import Reed
from reedkin.grammar.beside.ways import departure, same_measure
from reedkin.grammar.preview import preview
from reedkin.grammar.reading import ReedAction, read

START = "trial start wire before or after eh for 40"
LENGTHS = "trial start length 72 or 74 ob for 40"


def maker_of(*lines: str, seed: int = 1) -> Maker:
    maker = Maker(seed)
    for line in lines:
        maker.enter(line)
    return maker


def drawn_for(maker: Maker, line: str) -> list[str]:
    """The ways that would be assigned if a line were recorded."""
    actions = read(line, maker.bench).actions
    return [str(a.facts["arm"]) for a in actions if isinstance(a, ReedAction) and a.kind == ASSIGNED]


def questions(maker: Maker, line: str) -> list[str]:
    return [question.message for question in read(line, maker.bench).questions]


def strike(maker: Maker, records: list[Record]) -> None:
    now = maker.clock.now()
    maker.keep([Strike(maker.uids.new(), table_of(one), one.uid, now, "e") for one in records])


def reed(maker: Maker, tag: str) -> Reed:
    found = maker.bench.find(tag)
    assert found is not None
    return found


def tied_contrary(maker: Maker, tag: str) -> str:
    """The line that ties an oboe reed at the length that is not drawn for it."""
    way = drawn_for(maker, f"{tag} tie oboe")[0]
    return f"{tag} tie oboe {'74' if way == '72' else '72'}"


# Anything typed


def test_the_way_is_that_of_the_next_reed_whatever_is_typed() -> None:
    maker = maker_of("trial start wire before or after")
    for number in range(1, 9):
        said = {
            tuple(drawn_for(maker, f"{number} tie {words}"))
            for words in (
                "eh 60", "eh 60 lot 7", "eh 60 lot new", "oboe 72", "oboe 72 lot 7", "eh 61 shape wide gouge .6",
                "eh 60 @tomorrow", 'eh 60 "please let it be before"',
            )
        }  # fmt: skip
        assert len(said) == 1
        made = maker.enter(f"{number} tie eh 60 lot {number}")
        assert said == {tuple(str(one.facts["arm"]) for one in made if isinstance(one, Event) and one.kind == ASSIGNED)}


def test_a_lot_is_no_second_draw() -> None:
    maker = maker_of(START, *(f"{number} tie eh 60 lot {number % 3}" for number in range(1, 10)))
    ways = [one.way for one in assignments(maker.trial, maker.bench)]
    assert ways == list(islice(sequence(maker.trial.uid), 9))


def test_an_instrument_put_right_later_does_not_bring_a_reed_in_unseen() -> None:
    maker = maker_of(START, "1 tie oboe 72")
    tied, now = reed(maker, "1").steps[0].event, maker.clock.now()
    facts = {"instrument": "english horn", "overall_mm": 60.0}
    maker.keep([Amendment(maker.uids.new(), tied.reed, tied.uid, now, now, "e", facts)])
    assert assignments(maker.trial, maker.bench) == []
    assert kept(maker.trial, maker.bench).skipped == ("1",)


# Another day


def test_a_tying_dated_before_the_start_is_asked_about_and_counted() -> None:
    maker = maker_of(START)
    assert questions(maker, "1 tie eh 60 @yesterday") == [
        "1: tied before trial wire started, 5 Jan 2026 11:00, it would be drawn no way; that is counted"
    ]
    maker.enter("1 tie eh 60 @yesterday")
    assert assignments(maker.trial, maker.bench) == []
    assert [one.tag for one in undrawn(maker.trial, maker.bench)] == ["1"]
    maker.enter("2 tie oboe 72 @yesterday")  # of no concern to it
    assert kept(maker.trial, maker.bench) == Kept(skipped=("1",))


def test_a_day_since_the_start_is_drawn_like_any_other() -> None:
    maker = maker_of(START)
    maker.clock.forward(days=5)
    assert questions(maker, "1 tie eh 60 @yesterday") == []
    maker.enter("1 tie eh 60 @yesterday")
    assert [one.place for one in assignments(maker.trial, maker.bench)] == [1]
    assert kept(maker.trial, maker.bench).whole


def test_a_tying_recorded_after_the_end_for_a_day_before_it_is_counted() -> None:
    maker = maker_of(START)
    maker.clock.forward(days=5)
    maker.enter("trial end wire")
    maker.enter("1 tie eh 60 @yesterday")
    maker.enter("2 tie eh 60")  # after it, which is her own affair
    assert kept(maker.trial, maker.bench).skipped == ("1",)


def test_an_end_that_is_taken_back_leaves_what_was_tied_in_between_counted() -> None:
    maker = maker_of(START)
    ended = maker.enter("trial end wire")
    maker.enter("1 tie eh 60")
    strike(maker, ended)
    assert kept(maker.trial, maker.bench).skipped == ("1",)


def test_an_old_notebook_that_is_taken_in_meanwhile_is_no_skipped_draw() -> None:
    maker = maker_of(START)
    old = datetime.fromisoformat("2020-05-01T10:00:00+00:00")
    uid = "0171cfd0-0000-7000-8000-000000000001"  # of its own day, as import makes it
    tied = Event(uid, uid, "tied", "900", old, maker.clock.now(), uid, {"instrument": "english horn"})
    maker.keep([tied])
    assert kept(maker.trial, maker.bench).whole


# Taking back


def test_what_is_taken_back_is_counted_and_its_way_stays_for_the_next() -> None:
    maker = maker_of(START)
    made = maker.enter("1 tie eh 60 lot 7")
    before = assignments(maker.trial, maker.bench)[0]
    strike(maker, made)
    assert [one.place for one in taken_back(maker.trial, maker.bench)] == [1]
    maker.enter("2 tie oboe 72")
    maker.enter("3 tie eh 60 lot 8")
    after = assignments(maker.trial, maker.bench)
    assert [(one.way, one.place) for one in after] == [(before.way, 1)]
    assert kept(maker.trial, maker.bench) == Kept(taken_back=1)


def test_a_reed_taken_back_after_it_was_played_is_told_of() -> None:
    maker = maker_of(START, "1-2 tie eh 60", "1 play 60")
    strike(maker, [reed(maker, "1").steps[0].event])
    assert kept(maker.trial, maker.bench) == Kept(taken_back=1, played=1)


def test_of_several_places_given_back_the_lowest_comes_first() -> None:
    maker = maker_of(START, "1-9 tie eh 60")
    for tag in ("6", "3"):
        strike(maker, [reed(maker, tag).steps[0].event])
    maker.enter("10-12 tie eh 60")
    assert [one.place for one in assignments(maker.trial, maker.bench)][-3:] == [3, 6, 10]


# Made otherwise


def test_a_reed_tied_otherwise_than_drawn_is_asked_about_and_counted_and_stays_as_drawn() -> None:
    maker = maker_of(LENGTHS)
    line = tied_contrary(maker, "41")
    way, said = drawn_for(maker, line)[0], line.rpartition(" ")[2]
    assert questions(maker, line) == [
        f"41: trial length drew {way}, and this says overall length {said} mm; it would count as drawn, and as not "
        "followed"
    ]
    maker.enter(line)
    maker.enter(f"42 tie oboe {drawn_for(maker, '42 tie oboe')[0]}")
    assert kept(maker.trial, maker.bench) == Kept(not_followed=("41",))
    assert maker.trial.ways[assignments(maker.trial, maker.bench)[0].way] == way


def test_as_last_time_is_asked_about_too_where_it_is_not_as_drawn() -> None:
    maker = maker_of(LENGTHS)
    for number in range(1, 12):
        way = drawn_for(maker, "tie oboe")[0]
        said = questions(maker, "tie")
        last = reed(maker, str(number - 1)).now.tied_mm if number > 1 else None
        assert bool(said) == (last is not None and f"{last:g}" != way)
        maker.enter(f"{number} tie oboe {way}")


def test_several_reeds_of_one_line_are_asked_about_by_tag() -> None:
    maker = maker_of(LENGTHS)
    ways = drawn_for(maker, "1-6 tie oboe 72")
    others = [str(place) for place, way in enumerate(ways, start=1) if way == "74"]
    (asked,) = questions(maker, "1-6 tie oboe 72")
    assert 0 < len(others) < 6
    maker.enter("1-6 tie oboe 72")
    assert kept(maker.trial, maker.bench).not_followed == tuple(others)
    assert "trial length drew 74, and this says overall length 72 mm" in asked


@pytest.mark.parametrize(
    ("name", "ways", "tying", "fact"),
    [
        ("length", ("72", "74"), {"overall_mm": 74.0}, "overall_mm"),
        ("length", ("72 mm", "74 mm"), {"overall_mm": 73.0}, "overall_mm"),  # half way is neither
        ("length", ("72", "74"), {"overall_mm": 72.9}, None),
        ("length", ("72", "74"), {"overall_mm": 60.0}, "overall_mm"),
        ("length", ("72", "74"), {"lot": "7"}, None),  # nothing is said of it
        ("gouge", (".58", ".60"), {"gouge_mm": 0.6}, "gouge_mm"),
        ("thin", ("gouge .58", ".60"), {"gouge_mm": 0.6}, "gouge_mm"),
        ("cane", ("lot 7", "lot 8"), {"lot": "8"}, "lot"),
        ("lot", ("7", "8"), {"lot": "8"}, "lot"),
        ("lot", ("7", "8"), {"lot": "7"}, None),
        ("cane", ("soft", "hard"), {"lot": "Hard"}, "lot"),
        ("cane", ("soft", "hard"), {"lot": "9"}, None),
        ("shape", ("wide", "narrow"), {"shape": "narrow"}, "shape"),
        ("wire", ("before", "after"), {"overall_mm": 60.0}, None),
        ("wire", ("28", "26"), {"overall_mm": 60.0}, None),  # no lengths of a reed: it is the gauge of the wire
        ("staple", ("tube 27", "28"), {"tube_mm": 28.0}, "tube_mm"),
    ],
)
def test_how_a_way_is_matched_to_a_fact(
    name: str, ways: tuple[str, str], tying: dict[str, str | float], fact: str | None
) -> None:
    trial = Trial("u", name, ways, None, 40, datetime.fromisoformat("2026-01-05T10:00:00+00:00"))
    found = departure(trial, 0, tying)
    assert (None if found is None else found.fact) == fact


# Two trials


@pytest.mark.parametrize(
    ("line", "clashes"),
    [
        ("trial start long 71 or 75 ob", "overall length"),
        ("trial start long 71 or 75", "overall length"),
        ("trial start long 60 or 62 eh", ""),  # other reeds
        ("trial start gouge .58 or .60 ob", ""),  # another measure
        ("trial start again 74 or long ob", "74"),
        ("trial start a dry or wet; trial start b wet or moist", "wet"),
    ],
)
def test_a_reed_is_in_one_trial_of_a_measure(line: str, clashes: str) -> None:
    maker = maker_of(LENGTHS)
    errors = [problem.message for problem in read(line, maker.bench).errors]
    assert bool(errors) == bool(clashes)
    if clashes:
        assert f"draws {clashes} already, for the same reeds; end it first: trial end " in errors[0]


def test_with_the_first_ended_the_second_may_start() -> None:
    maker = maker_of(LENGTHS, "trial end length", "trial start long 71 or 75 ob")
    assert [trial.running for trial in trials(maker.bench)] == [False, True]


def merged_two() -> Maker:
    here, there = maker_of(LENGTHS, "1-3 tie oboe", seed=1), maker_of(LENGTHS, "11-13 tie oboe", seed=2)
    merged = Maker(3)
    merged.uids._numbers = count(1000)
    merged.clock.moment = here.clock.now()
    merged.keep([*here.records, *there.records])
    return merged


def test_two_trials_of_one_name_are_both_reached_after_a_merge() -> None:
    merged = merged_two()
    assert [trial.label for trial in trials(merged.bench)] == ["length/1", "length/2"]
    assert [[trial.label for trial in trials_named(merged.bench, name)] for name in ("LENGTH/2", "length", "x")] == [
        ["length/2"], ["length/1", "length/2"], [],
    ]  # fmt: skip
    (error,) = read("trial end length", merged.bench).errors
    assert error.message == "which one? length/1 of 5 Jan 2026 or length/2 of 5 Jan 2026"
    assert preview(read("trial end length/2", merged.bench), merged.bench)[0].startswith("trial length/2 ends")
    merged.enter("trial end length/2")
    assert [trial.running for trial in trials(merged.bench)] == [True, False]


def test_after_a_merge_a_reed_is_drawn_by_one_of_two_trials_of_a_measure() -> None:
    merged = merged_two()
    assert len(drawn_for(merged, "21 tie oboe")) == 1
    assert same_measure(*trials(merged.bench)) == "overall length"
    merged.enter("21 tie oboe")
    first, second = ([one.reed.tag for one in assignments(trial, merged.bench)] for trial in trials(merged.bench))
    assert "21" in first
    assert "21" not in second


# Trials of earlier versions


def test_what_an_earlier_version_assigned_stands_and_the_next_reeds_are_drawn_anew() -> None:
    maker = maker_of(START)
    trial, now = maker.trial, maker.clock.now()
    for place in (1, 2, 3):
        uid = maker.uids.new()
        way = trial.ways[way_in_blocks(trial.uid, Stratum("english horn", "7"), place)]
        facts = {"trial": "wire", "arm": way, "place": place, "trial_uid": trial.uid}
        made = {"instrument": "english horn", "lot": "7"}
        maker.keep(
            [
                Event(uid, uid, "tied", str(place), now, now, uid, made),
                Event(maker.uids.new(), uid, ASSIGNED, str(place), now, now, uid, facts),
            ]
        )
    assert list(audit(maker.bench)) == []
    maker.enter("4-5 tie eh 60 lot 7")
    found = assignments(trial, maker.bench)
    assert [(one.draw, one.place) for one in found] == [(1, 1), (1, 2), (1, 3), (DRAW, 1), (DRAW, 2)]
    assert [one.way for one in found[3:]] == list(islice(sequence(trial.uid), 2))
    assert list(audit(maker.bench)) == []
    assert kept(trial, maker.bench).whole


# Everything at once


class Steering(RuleBasedStateMachine):
    """Ties, takes back, gives back, dates and retypes at will. Whatever she does, a reed gets the lowest place that is
    free, and the way that was settled for this place when the trial started."""

    LOTS: ClassVar[tuple[str, ...]] = ("", " lot 7", " lot 8", " lot new")

    def __init__(self) -> None:
        super().__init__()
        self.maker = maker_of("trial start wire before or after")
        self.trial = self.maker.trial
        self.ways = list(islice(sequence(self.trial.uid), 200))
        self.number = 0
        self.struck: list[Reed] = []
        self.skipped = 0
        self.places: dict[str, int] = {}

    @property
    def bench(self) -> Bench:
        return self.maker.bench

    def _free(self) -> int:
        taken = {one.place for one in assignments(self.trial, self.bench)}
        return next(place for place in count(1) if place not in taken)

    @rule(
        lot=st.sampled_from(LOTS),
        what=st.sampled_from(("eh 60", "oboe 72", "eh 61.5")),
        when=st.sampled_from(("", " @now", " @10:30", " @tomorrow")),
        thought_better=st.lists(st.sampled_from(("eh 60", "oboe 70", "oboe 72 lot x")), max_size=2),
    )
    def tie(self, lot: str, what: str, when: str, thought_better: list[str]) -> None:
        self.number += 1
        free = self._free()
        way = self.trial.ways[self.ways[free - 1]]
        for words in (*thought_better, f"{what}{lot}"):  # typed, looked at, and left by Escape
            assert drawn_for(self.maker, f"{self.number} tie {words}") == [way]
        if when == " @10:30" and self.maker.clock.now() - self.trial.started < timedelta(hours=6):
            self.skipped += 1  # before it started; later in the evening the next morning is meant
            self.maker.enter(f"{self.number} tie {what}{lot}{when}")
            return
        self.maker.enter(f"{self.number} tie {what}{lot}{when}")
        found = self._of(str(self.number))
        assert (found.place, self.trial.ways[found.way]) == (free, way)

    @rule(lot=st.sampled_from(LOTS), several=st.integers(2, 4))
    def tie_several(self, lot: str, several: int) -> None:
        first, self.number = self.number + 1, self.number + several
        taken = {one.place for one in assignments(self.trial, self.bench)}
        free = list(islice((place for place in count(1) if place not in taken), several))
        self.maker.enter(f"{first}-{self.number} tie eh 60{lot}")
        found = [self._of(str(tag)) for tag in range(first, self.number + 1)]
        assert [one.place for one in found] == free
        assert [one.way for one in found] == [self.ways[place - 1] for place in free]

    @rule()
    def tie_for_a_day_before(self) -> None:
        self.number += 1
        assert questions(self.maker, f"{self.number} tie eh 60 @2025-12-24")
        self.maker.enter(f"{self.number} tie eh 60 @2025-12-24")
        self.skipped += 1

    @precondition(lambda self: assignments(self.trial, self.bench))
    @rule(data=st.data())
    def take_back(self, data: st.DataObject) -> None:
        one = data.draw(st.sampled_from([one.reed for one in assignments(self.trial, self.bench)]))
        strike(self.maker, [step.event for step in one.steps])
        self.struck.append(one)

    @precondition(lambda self: self.struck)
    @rule()
    def give_back(self) -> None:
        gone = self.struck.pop()
        strikes = [one for one in self.bench.lineages.records(gone.id) if isinstance(one, Strike)]
        events, given_back = {step.event.uid for step in gone.steps}, {one.of for one in strikes}
        strike(self.maker, [one for one in strikes if one.of in events and one.uid not in given_back])

    @precondition(lambda self: assignments(self.trial, self.bench))
    @rule(data=st.data(), lot=st.sampled_from(("7", "8")))
    def amend(self, data: st.DataObject, lot: str) -> None:
        one = data.draw(st.sampled_from([one.reed for one in assignments(self.trial, self.bench)]))
        tied, now = one.steps[0].event, self.maker.clock.now()
        facts = {"instrument": "oboe", "lot": lot}
        self.maker.keep([Amendment(self.maker.uids.new(), one.id, tied.uid, tied.at, now, "e", facts)])

    @rule()
    def go_to_bed(self) -> None:
        self.maker.clock.forward(hours=12)

    @invariant()
    def every_reed_has_the_way_of_its_place_and_keeps_it(self) -> None:
        found = [*assignments(self.trial, self.bench), *taken_back(self.trial, self.bench)]
        for one in found:
            assert one.place is not None
            assert one.way == self.ways[one.place - 1]
            assert self.places.setdefault(one.reed.id, one.place) == one.place

    @invariant()
    def all_that_went_past_is_counted(self) -> None:
        held = kept(self.trial, self.bench)
        assert len(held.skipped) == self.skipped
        assert held.taken_back == len(self.struck)

    def _of(self, tag: str) -> Assignment:
        return next(one for one in assignments(self.trial, self.bench) if one.reed.tag == tag)


TestSteering = Steering.TestCase
TestSteering.settings = settings(max_examples=10, stateful_step_count=12, deadline=None)
