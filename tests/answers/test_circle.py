"""A log and its circle: each maker counted once, what they say together, and what that makes of one's own."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
from demo_logs.maker.effects import Effects
from demo_logs.simulate import simulate
from tests.answers.logs import bench
from tests.shares import habit, share

from reedkin.answers.circle.asked_together import Together, TogetherFinding, asked_together
from reedkin.answers.circle.gathering import Circle, Member, counted_once, files_if_any, files_in, gathered
from reedkin.answers.circle.giving import share_of
from reedkin.answers.circle.marks import marks_of
from reedkin.answers.circle.words import (
    advice,
    by_maker,
    differ,
    doubts,
    leans_on,
    others_say,
    together_lines,
    unlike,
    with_hours,
)
from reedkin.answers.habits.report import HabitsReport, habits_report
from reedkin.answers.habits.words import chance_words
from reedkin.errors import InputError
from reedkin.store.circle.shares import HabitShare, Share, write_share
from reedkin.study.study import Study
from reedkin.survival.combining import combine


@cache
def study() -> Study:
    scenario = simulate(3, 60, Effects.only(overall_mm=0.4))
    return Study.of_bench(bench(scenario.rows, scenario.sessions))


@cache
def report() -> HabitsReport:
    return habits_report(study())


def circle(*makers: tuple[float, float], name: str = "tied_mm") -> Circle:
    """A circle whose makers say this of one habit: the log hazard ratio and its standard error."""
    return of(share(place, (habit(*one, name),)) for place, one in enumerate(makers, 1))


def of(shares: Iterable[Share]) -> Circle:
    return counted_once([Member(f"m{place}", one) for place, one in enumerate(shares, 1)], frozenset())


def asked(*makers: tuple[float, float], name: str = "tied_mm") -> TogetherFinding:
    (found,) = asked_together(study(), report(), circle(*makers, name=name)).findings
    return found


AGREED = ((0.5, 0.25), (0.4, 0.2), (0.6, 0.3), (0.45, 0.2), (0.5, 0.25), (0.35, 0.2), (0.55, 0.25))


class TestCountedOnce:
    def names(self, found: Circle) -> list[str]:
        return [member.name for member in found.members]

    def test_a_file_twice_or_an_older_one_of_the_same_log_counts_once(self):
        older = replace_marks(share(1, retired=20, habits=()), share(1).marks[:12] + share(9).marks[:12])
        found = counted_once(
            [Member("old", older), Member("new", share(1)), Member("again", share(1)), Member("bea", share(2))],
            frozenset(),
        )
        assert self.names(found) in (["bea", "new"], ["again", "bea"])
        assert len(found.left_out) == 2
        assert all("same reeds" in why for why in found.left_out)

    def test_ones_own_file_is_not_another_maker(self):
        found = counted_once([Member("mine", share_of(study())), Member("bea", share(2))], marks_of(study().lives))
        assert self.names(found) == ["bea"]
        assert "mine rests on reeds of your own log" in found.left_out[0]

    def test_a_file_that_cannot_be_used_is_told_or_ends_it(self, tmp_path: Path):
        good, bad = tmp_path / "anna.json", tmp_path / "bea.json"
        write_share(good, share(1))
        bad.write_text('{"format": "reedkin share", "version": 1, "definitions": 1, "reeds": -3}')
        (tmp_path / "notes.txt").write_text("not one of them")
        files = files_in(tmp_path)
        assert files == [good, bad]
        found = gathered(files, frozenset())
        assert self.names(found) == ["anna"]
        assert "bea.json is damaged" in found.left_out[0]
        with pytest.raises(InputError, match=r"bea\.json"):
            gathered(files, frozenset(), strict=True)
        with pytest.raises(InputError, match="at most"):
            gathered([good] * 201, frozenset())
        assert files_in(tmp_path / "none") == []

    def test_a_folder_that_cannot_be_looked_into_is_told_where_a_circle_is_asked(
        self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
    ):
        def closed(folder: Path) -> Iterator[Path]:
            raise PermissionError(13, "Permission denied")

        monkeypatch.setattr(Path, "iterdir", closed)
        with pytest.raises(InputError, match=r"cannot be looked into \(Permission denied\)"):
            files_in(tmp_path)
        assert files_if_any(tmp_path) == []  # what goes without a circle goes on

    def test_files_of_one_name_are_told_apart_by_their_folders(self, tmp_path: Path):
        for maker in (1, 2):
            (tmp_path / str(maker)).mkdir()
            write_share(tmp_path / str(maker) / "circle.json", share(maker))
        found = gathered([tmp_path / str(maker) / "circle.json" for maker in (1, 2)], frozenset())
        assert self.names(found) == [str(tmp_path / "1" / "circle"), str(tmp_path / "2" / "circle")]

    def test_reeds_that_two_may_know_are_told(self):
        two = of((share(1), share(2)))
        assert "may count twice" in " ".join(doubts(Together(report(), two, ())))
        assert not doubts(Together(report(), of((share(1), share(2, joined=0))), ()))


def replace_marks(one: Share, marks: tuple[str, ...]) -> Share:
    from msgspec.structs import replace as replaced

    return replaced(one, marks=marks)


def test_makers_who_agree_make_of_an_unsure_answer_a_clear_one():
    found = asked(*AGREED)
    assert found.alone is not None
    assert found.alone.evidence != "clear"
    assert found.evidence == "clear"
    assert found.direction == "shorter"
    assert found.leans_on == ()
    assert f"{chance_words(found.chance)} that it matters for you" in " ".join(
        together_lines(Together(report(), circle(*AGREED), (found,)))
    )
    assert "Makers hardly differ" in differ(found)
    assert "make it a rule" in advice(found)
    own, moved = found.alone.hours, found.hours
    assert own is not None
    assert moved is not None
    # Her own reeds alone leave it open over more hours.
    assert moved.lo is not None
    assert moved.hi is not None
    assert own.lo is None or own.hi is None or moved.hi - moved.lo < own.hi - own.lo
    assert "by your log alone" in with_hours(found)


def test_the_others_are_taken_together_by_the_published_method():
    """As `combine`, which is tested against published values; nobody is tempered where none claims too much."""
    found = asked(*AGREED)
    expected = combine([one[0] for one in AGREED], [one[1] ** 2 for one in AGREED])
    assert found.combined == expected
    assert f"{math.exp(expected.estimate):.1f} times as fast" in others_say(found)


def test_where_the_others_see_nothing_a_chance_find_goes_away():
    found = asked(*((0.0, 0.15),) * 8)
    assert found.alone is not None
    assert found.chance < found.alone.chance
    assert "nothing in it beyond chance" in differ(found)


def test_one_other_maker_alone_makes_nothing_clear():
    found = asked((0.9, 0.15))
    assert found.combined is None
    assert found.evidence != "clear"
    assert "m1 2.5 times as fast" in others_say(found)
    assert "So few makers" in differ(found)


def test_two_makers_are_taken_together_with_a_wide_interval():
    found = asked((0.5, 0.2), (0.5, 0.2))
    assert found.combined is not None
    assert found.combined.tau2 == 0.0
    assert found.combined.ci[1] - found.combined.ci[0] > 3.0


def test_a_maker_unlike_the_others_is_seen_and_left_out_of_their_mean():
    found = asked(*AGREED, (-1.5, 0.2))
    assert "m8 is unlike the others" in unlike(found)
    assert [maker.name for maker in found.alike] == [f"m{place}" for place in range(1, 8)]
    assert found.combined is not None
    assert found.combined.estimate == pytest.approx(0.45, abs=0.05)
    assert found.evidence == "clear"


def test_makers_who_differ_leave_the_last_word_to_her_own_reeds():
    found = asked((0.9, 0.15), (-0.6, 0.15), (0.8, 0.2), (-0.7, 0.15), (0.7, 0.2), (-0.8, 0.15))
    assert "your own reeds have the last word" in differ(found)
    assert found.evidence != "clear"


def test_an_answer_that_rests_on_one_file_is_not_called_clear_and_says_whose_it_is():
    found = asked((1.0, 0.2), (0.4, 0.9), (0.3, 0.9))
    if found.chance >= 0.95:
        assert found.evidence == "leaning"
        assert "without m1" in leans_on(found)
    less = asked((0.4, 0.9), (0.3, 0.9))
    assert found.chance > less.chance
    strong = asked((0.9, 0.2), (0.8, 0.2))
    assert strong.chance > 0.95
    assert (strong.evidence == "clear") == all(one.chance >= 0.8 for one in strong.leans_on)


def test_what_her_own_log_cannot_tell_is_told_by_the_others():
    """A habit of which the simulated log has too few reeds to tell."""
    told = {finding.habit.name for finding in report().findings}
    missing = next(name for name in ("humidity_at_tying", "tubed", "wired") if name not in told)
    found = asked(*AGREED, name=missing)
    assert found.own is None
    assert found.hours is None
    assert found.chance > 0.9
    assert with_hours(found) == ""
    assert len(by_maker(found)) == len(AGREED)


def test_habits_of_a_later_version_and_words_are_passed_over():
    found = asked_together(study(), report(), of([share(1, (habit(name="moon"), habit(name="lot")))]))
    assert found.findings == ()
    days = asked_together(study(), report(), of([share(1, (habit(clock="days"),))]))
    assert days.findings == ()


def test_all_of_it_as_json_and_in_lines():
    together = asked_together(study(), report(), circle(*AGREED))
    said = together.to_json()
    assert said["habits"] == report().to_json()["habits"]
    (one,) = said["circle"]["habits"]
    assert one["evidence"] == "clear"
    assert one["combined"]["ci"][0] < one["combined"]["hazard_ratio"] < one["combined"]["ci"][1]
    assert one["range"][0] < one["hazard_ratio"] < one["range"][1]
    lines = together_lines(together)
    assert any("7 other makers" in line for line in lines)
    assert any("need not be the cause" in line for line in lines)


def test_a_limit_without_an_end_takes_part():
    """A maker all of whose reeds with a habit still live: her estimate is far off and unsure (Firth's penalty)."""
    found = asked(*AGREED, (-2.5, 1.9))
    assert found.evidence == "clear"
    assert found.direction == "shorter"


def test_a_habit_share_is_of_its_own_clock():
    both: tuple[HabitShare, ...] = (habit(0.5, 0.2), habit(-0.5, 0.2, clock="days"))
    found = asked_together(study(), report(), of([share(1, both), share(2, both)])).findings[0]
    assert [maker.value for maker in found.makers] == [0.5, 0.5]
    assert replace(found, leans_on=()).makers == found.makers
