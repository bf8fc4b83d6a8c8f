"""The season: one simulation through all engagements, and the fewest blanks for them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, time, timedelta
from functools import cache

import numpy as np
import pytest
from tests.domain.maker import NOW, Maker

from reedkin.answers.hours_left.outlook import Outlook
from reedkin.answers.question import Asked
from reedkin.answers.ready import Wish, readiness
from reedkin.answers.ready.past import Past, past_of
from reedkin.answers.season.capacity import most_in_a_week
from reedkin.answers.season.course import SeasonCourse, playing_hours, without_engaged
from reedkin.answers.season.planning import Planner, Weeks
from reedkin.answers.season.question import Chance, Season, SeasonQuestion, Tying
from reedkin.answers.season.telling import chance_lines, season_text, short_lines, tie_lines
from reedkin.bench.engagements import Engagement
from reedkin.charts.canvas import plain
from reedkin.charts.season import season_drawing
from reedkin.domain.events import Record
from reedkin.domain.words import INSTRUMENTS
from reedkin.errors import InputError
from reedkin.study.ticks import no_tick

TODAY = NOW.date()
EH = INSTRUMENTS[0]


def on(days: int, reeds: int, setting: str = "performance", minutes: int | None = None) -> Engagement:
    return Engagement(f"{days}-{reeds}", TODAY + timedelta(days=days), time(19, 30), EH, reeds, setting, minutes)


@cache
def worn() -> list[Record]:
    """Ten reeds played every day until they were worn out."""
    lines = ["21-30 tie eh 60 @2026-08-20", "21-30 scrape 10 @2026-08-24"]
    for number, tag in enumerate(range(21, 31)):
        first = date(2026, 8, 30) + timedelta(days=7 * number)
        lines += [f"{tag} play 70 8 practice @{first + timedelta(days=day)}" for day in range(10)]
        lines.append(f"{tag} retire worn @{first + timedelta(days=10)}")
    return Maker().type(*lines)


@cache
def maker(reeds: int = 6) -> Maker:
    """Plays every day on one of so many reeds, and has worn some out."""
    found = Maker()
    found.bench.add(worn())
    found.clock.forward(minutes=120)  # it took so long to type
    if reeds:
        found.type(f"1-{reeds} join eh 2h score 8.5", f"1-{reeds} play 30 8.5 rehearsal")
    return found


def course(
    engagements: Sequence[Engagement], reeds: int = 6, paths: int = 200, most: int = 4, seed: int = 1
) -> SeasonCourse:
    bench = maker(reeds).bench
    past = past_of(bench.reeds(), EH, bench.clock.now())
    stock = [reed for reed in bench.at_work() if reed.instrument == EH]
    return SeasonCourse(
        past, Outlook.of_bench(bench), EH, stock, bench.clock.now(), engagements, 7.0, paths, seed, most
    )


@pytest.mark.parametrize(("days", "reeds"), [(0, 4), (10, 4), (25, 2)])
def test_with_one_engagement_it_says_what_the_forecast_of_a_day_says(days: int, reeds: int) -> None:
    own = float(np.mean([course([on(days, reeds)], seed=seed).seen({}).chance[0] for seed in (1, 2)]))
    wish = Wish(EH, reeds, TODAY + timedelta(days=days))
    single = float(np.mean([readiness(maker().bench, wish, seed, 200, blanks=False).chance for seed in (1, 2)]))
    assert own == pytest.approx(single, abs=0.08)  # three standard errors of their difference


def test_without_stock_there_is_nothing_and_with_very_much_there_is_enough() -> None:
    season = [on(days, 2) for days in (7, 21, 42)]
    assert course(season, reeds=0).seen({}).chance.tolist() == [0, 0, 0]
    assert (course(season, reeds=40).seen({}).chance > 0.97).all()


def test_reeds_wear_through_the_engagements_and_blanks_make_up_for_it() -> None:
    weekly = course([on(7 * week + 4, 3) for week in range(8)])
    today = weekly.seen({}).chance
    assert (np.diff(today) <= 0.08).all()
    assert today[-1] < today[0] - 0.3
    tied = weekly.seen({0: (0, 4), 2: (14, 4)}).chance
    assert tied[-1] > today[-1] + 0.3
    assert weekly.seen_from(weekly.begun, [{}], until=2)[0].chance[:3] == pytest.approx(today[:3])


def test_what_would_help_is_told_by_what_there_is_beside() -> None:
    """By hand: six reeds in the case and ten asked for the day after tomorrow, so nothing that is tied is finished; of
    the six none is worn out or below the level before anything is played."""
    soon = course([on(0, 10), on(2, 10)])
    today = soon.beside({0: (0, 4)}, 0)
    assert set(today.fit.tolist()) == {6}
    assert not (today.untried | today.below | today.gone).any()
    assert set(today.unfinished.tolist()) <= {0, 1, 2, 3, 4}
    assert today.unfinished.mean() > 2
    assert today.chance(7, "unfinished") > 0.9 > today.chance(7, "gone") == 0
    months = course([on(60, 6)]).beside({}, 0)
    assert months.gone.mean() > 3
    assert np.array_equal(months.fit + months.below + months.gone, np.full(len(months.fit), 6))


def test_what_is_reckoned_from_a_week_on_side_by_side_is_what_is_seen_from_the_first_day_on() -> None:
    season = course([on(7 * week + 4, 3) for week in range(8)])
    weeks = Weeks(season, {0: (2, 3), 2: (14, 2), 3: (21, 1)})
    others: list[dict[int, tuple[int, int]]] = [weeks.own, {**weeks.own, 3: (25, 4)}, {0: (2, 3), 2: (14, 2)}]
    for whole, part in zip(map(season.seen, others), weeks.seen(3, others), strict=True):
        assert np.isnan(part.chance[:3]).all()
        assert np.array_equal(part.there[3:], whole.there[3:])
        assert np.array_equal(part.stock[3:], whole.stock[3:])
    weeks.tie(1, 7, 2)
    assert np.array_equal(weeks.seen(4, [weeks.own])[0].there[4:], season.seen(weeks.own).there[4:])


def test_a_plan_that_was_reckoned_through_is_not_reckoned_again() -> None:
    season = course([on(25, 3)])
    idle = season.seen({})
    for count in range(1, 4):
        season.seen({0: (0, count)})
        assert season.seen({}) is idle


def test_an_engagement_wears_and_a_long_one_more() -> None:
    def last(*before: Engagement) -> float:
        return float(course([*before, on(20, 3)]).seen({}).stock[-1].mean())

    every_day = [on(day, 0, "lesson", 300) for day in range(1, 20)]
    assert last(*every_day) < last() - 0.5


def test_a_rehearsal_asks_for_reeds_in_service_whatever_their_score() -> None:
    both = course([on(12, 4, "rehearsal"), on(12, 4, "performance")]).seen({}).chance
    assert both[0] > both[1]


def test_what_is_engaged_is_among_what_is_usually_played() -> None:
    past = past_of(maker().bench.reeds(), EH, maker().bench.clock.now())
    rng = np.random.default_rng(1)
    usual = [p for p in past.playings if p.setting == "practice"]
    some = without_engaged(past, [on(day, 1, "practice") for day in range(0, 70, 2)], [70 / 60] * 35, 70, rng)
    kept = [p for p in some.playings if p.setting == "practice"]
    assert 0.3 * len(usual) < len(kept) < 0.75 * len(usual)
    assert without_engaged(past, [on(1, 1)], [1.0], 70, rng).playings == past.playings


@pytest.mark.parametrize(
    ("setting", "minutes", "hours"),
    [("practice", None, 70 / 60), ("practice", 30, 0.5), ("performance", 180, 1.0), ("lesson", None, 0.75)],
)
def test_an_engagement_is_played_as_long_as_such_usually_are(setting: str, minutes: int | None, hours: float) -> None:
    past: Past = past_of(maker(0).bench.reeds(), EH, maker(0).bench.clock.now())
    assert playing_hours(past, on(1, 1, setting, minutes)) == pytest.approx(hours)


def every_plan(weeks: int, most: int, blanks: int) -> Iterator[tuple[int, ...]]:
    """Every way of tying so many blanks in so many weeks."""
    if not weeks:
        yield from [()] if not blanks else []
        return
    for here in range(min(most, blanks) + 1):
        yield from ((here, *rest) for rest in every_plan(weeks - 1, most, blanks - here))


@pytest.mark.parametrize(
    ("engagements", "reach"),
    [([on(20, 1)], 0.7), ([on(13, 1), on(27, 1)], 0.7), ([on(18, 2), on(25, 1)], 0.6)],
)
def test_a_plan_takes_no_more_blanks_than_the_best_of_all_plans(engagements: list[Engagement], reach: float) -> None:
    most, weeks = 3, engagements[-1].day.toordinal() // 7 - TODAY.toordinal() // 7
    found = course(engagements, reeds=3, paths=80, most=most)
    plan = Planner({EH: found}, reach, most).planned()
    assert (found.seen(plan[EH]).chance >= reach).all()
    fewest = sum(count for _, count in plan[EH].values())
    for blanks in range(fewest):
        every = [
            {week: (7 * week, count) for week, count in enumerate(counts) if count}
            for counts in every_plan(weeks, most, blanks)
        ]
        for tyings, seen in zip(every, found.seen_from(found.begun, every), strict=True):
            assert not (seen.chance >= reach).all(), (plan, tyings)


def test_no_more_is_tied_in_a_week_than_can_be_and_what_no_blank_helps_takes_none() -> None:
    soon = course([on(2, 9), on(30, 6)], reeds=3, paths=120, most=2)
    plan = Planner({EH: soon}, 0.8, 2).planned()[EH]
    assert all(count <= 2 for _, count in plan.values())
    assert Planner({EH: course([on(2, 9)], reeds=3, paths=120)}, 0.8, 4).planned() == {EH: {}}


def test_how_many_blanks_a_good_week_has() -> None:
    found = Maker()
    for week, count in enumerate([2, 3, 3, 8, 3, 4]):
        found.type(f"{100 * week + 1}-{100 * week + count} tie eh 60 @{TODAY - timedelta(days=7 * week + 8)}")
    assert most_in_a_week(found.bench.reeds(), found.clock.now()) == 4
    assert most_in_a_week(Maker("1-9 tie eh 60").bench.reeds(), NOW) is None


# The whole question


@pytest.fixture(scope="module")
def asked() -> Asked:
    found = Maker("1-4 join eh 2h score 8.5", "1-4 play 30 8.5", "9 join oboe 1h score 8", "5-6 tie eh 60")
    found.type('engage 11 dec 19:30 eh 3 "second night"', "engage 4 dec 10:00 eh rehearsal", "engage 12 dec oboe 4")
    found.type("engage 12 dec 2028 oboe", "engage 13 dec oboe; engage 14 dec oboe", "engage 14 dec off")
    return Asked(found.bench)


def test_the_answer_as_json_and_in_words(asked: Asked) -> None:
    season = SeasonQuestion(TODAY, reach=0.8).answer(asked, no_tick)
    told = season.to_json()
    assert [(one["at"][:10], one["reeds"], one["what"]) for one in told["engagements"]] == [
        ("2026-12-04", 1, ""), ("2026-12-11", 3, "second night"), ("2026-12-12", 4, ""), ("2026-12-13", 2, ""),
    ]  # fmt: skip
    assert all(0 <= one["chance_now"] <= one["chance"] + 0.05 <= 1.05 for one in told["engagements"])
    assert told["tie"] == [
        {"by": one.by.isoformat(), "instrument": one.instrument, "blanks": one.blanks} for one in season.tie
    ]
    text = "\n".join(season_text(season))
    assert "Fri 11 Dec 2026 19:30 3 eh  performance" in text
    assert "It runs short first on Sat 12 Dec 2026" in text
    assert "More in a week may help (set blanks 8), a reed kept for it (save) or one from elsewhere (join)." in text
    assert text.splitlines()[0].split() == ["now", "by", "plan"]
    assert "What would help it most, each by itself: " in text
    assert "1 engagement more than a year ahead: left out." in text
    assert "At most 6 blanks in a week (common practice, no source); to change it: set blanks 8." in text
    lines = plain(season_drawing(season, 80, 20)).splitlines()
    assert lines[0].strip().startswith("25 Nov")
    assert " ".join(line.split()[0] for line in lines[1:] if line.strip()) == "eh reeds plays tie ob reeds plays tie"
    assert max(map(len, lines)) == 80
    mine = SeasonQuestion(TODAY, reach=0.8, given=((EH, 0, 3),), drawn=season).answer(asked, no_tick)
    assert [(one.week, one.blanks) for one in mine.tie] == [(0, 3)]
    assert mine.courses is season.courses


@pytest.mark.parametrize(
    ("question", "says"),
    [
        (SeasonQuestion(TODAY, reach=1.0), "100% cannot be planned for"),
        (SeasonQuestion(TODAY, until=TODAY - timedelta(days=1)), "is past; name a day to come"),
        (SeasonQuestion(TODAY, most=0), "0 blanks in a week cannot be"),
    ],
)
def test_what_cannot_be_is_told(asked: Asked, question: SeasonQuestion, says: str) -> None:
    with pytest.raises(InputError, match=says):
        question.answer(asked, no_tick)


def test_without_engagements_there_is_nothing_to_plan() -> None:
    season = SeasonQuestion(TODAY).answer(Asked(Maker("1 tie eh 60").bench), no_tick)
    assert season_text(season)[0].startswith("No engagement is to come.")
    assert (season.to_json()["tie"], Counter(season.stock)) == ([], Counter())


# In words


def told(*chances: tuple[int, int, float, float], **more: object) -> Season:
    """An answer of engagements in so many days, of so many reeds, each with its chances now and by plan."""
    of = tuple(Chance(on(days, reeds), now, planned) for days, reeds, now, planned in chances)
    usual: dict[str, object] = {
        "tie": (), "stock": {}, "have": {}, "whole": {}, "most": 6, "most_by": "usual", "own": False, "beyond": 0,
        "sure": 2, "helps": (), "leans": (), "clock": Maker().clock, "courses": {},
    }  # fmt: skip
    return Season(TODAY, TODAY, 0.9, of, **{**usual, **more})  # type: ignore[arg-type]


def test_an_engagement_is_marked_where_it_stays_short_and_its_title_stands_beneath_where_there_is_no_room() -> None:
    row = "Sat 5 Dec 2026 19:30  2 eh  performance       50%      "
    reached, short = Chance(on(10, 2), 0.5, 0.9), Chance(on(10, 2), 0.5, 0.89)
    assert chance_lines(reached, 0.9) == [row + "90%"]
    assert chance_lines(short, 0.9) == [row + "89% short"]
    fits = replace(reached, engagement=reached.engagement._replace(what="a Mass in B flat"))
    assert chance_lines(fits, 0.9) == [row + "90%  a Mass in B flat"]
    assert len(chance_lines(fits, 0.9)[0]) == 76
    wide = replace(reached, engagement=reached.engagement._replace(what="a Mass in B minor"))
    assert chance_lines(wide, 0.9) == [row + "90%", "    a Mass in B minor"]


def test_what_to_tie_says_whether_it_suffices_and_whose_plan_it_is() -> None:
    tie = (Tying(0, TODAY, EH, 3), Tying(1, TODAY + timedelta(days=7), EH, 1))
    lines = ["  tie 3 English horn blanks by Wed 25 Nov 2026", "  tie 1 English horn blank by Wed 2 Dec 2026"]
    assert tie_lines(told((10, 2, 0.5, 0.9), tie=tie)) == ["So that each reaches 90%, 4 blanks in all:", *lines]
    assert tie_lines(told((10, 2, 0.5, 0.8), tie=tie)) == ["Towards 90% for each, 4 blanks in all:", *lines]
    assert tie_lines(told((10, 2, 0.5, 0.8), tie=tie, own=True)) == ["Your own plan, 4 blanks in all:", *lines]
    assert tie_lines(told((10, 2, 0.9, 0.9))) == ["Nothing need be tied: each reaches 90% with today's reeds."]
    assert tie_lines(told((10, 2, 0.5, 0.8))) == []


def test_where_it_runs_short_is_told_with_what_would_help() -> None:
    assert short_lines(told((10, 2, 0.5, 0.9))) == []
    helps = (("untried", 0.8), ("below", 0.7), ("gone", 0.6))
    once = short_lines(told((10, 2, 0.5, 0.9), (11, 1, 0.1, 0.3), helps=helps))
    assert once == [
        "It runs short first on Sun 6 Dec 2026 19:30: 30% for 1 English horn reed, however much is tied, at 6 in a "
        "week; you can count on 2 reeds.",
        "What would help it most, each by itself: playing in before it all that is finished by then (80%); keeping "
        "those good that score too low then (70%).",
        "More in a week may help (set blanks 8), a reed kept for it (save) or one from elsewhere (join).",
    ]
    twice = short_lines(told((10, 2, 0.5, 0.8), (11, 1, 0.1, 0.3), own=True, sure=0))
    assert twice == [
        "It runs short first on Sat 5 Dec 2026 19:30, and 1 later one: 80% for 2 English horn reeds, by this plan; "
        "you can count on no reed.",
        "Of what was reckoned with, nothing helps it by itself: only fewer reeds, or another day.",
    ]
