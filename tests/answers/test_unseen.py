"""Reeds that must be gone, though nobody wrote it down."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from random import Random
from typing import Any

import pytest
from demo_logs.maker.effects import Effects
from demo_logs.simulate import simulate
from tests.answers.logs import NOW, bench, records
from tests.domain.maker import Maker

from reedkin.answers.case.question import CaseQuestion
from reedkin.answers.case.still_there import gone_line, not_counted, still_there, which
from reedkin.answers.hours_left.outlook import Outlook
from reedkin.answers.lives.question import LivesQuestion
from reedkin.answers.question import Asked
from reedkin.answers.ready import forecast
from reedkin.answers.ready.forecast import Wish, left_out, readiness, stock_of
from reedkin.answers.ready.past import past_of
from reedkin.answers.ready.telling import readiness_as_dict, readiness_text
from reedkin.answers.stock.question import StockQuestion
from reedkin.answers.week.review import review, review_text
from reedkin.bench.bench import Bench
from reedkin.domain.clock import FixedClock
from reedkin.domain.reeds import Reed
from reedkin.study.lives import life_of
from reedkin.study.study import Study
from reedkin.study.ticks import no_tick
from reedkin.study.unseen import Sight, _Custom, _doubt, _Rest, sight_of

Row = dict[str, Any]
WEEKS = 30


def at(weeks: float, hours: float = 0.0) -> str:
    """So many weeks before now."""
    return (NOW - timedelta(weeks=weeks, hours=hours)).isoformat()


def begun(tag: str, weeks: float = WEEKS) -> Row:
    return {"tag": tag, "kind": "tied", "at": at(weeks), "instrument": "oboe"}


def played(tag: str, weeks: float, **facts: Any) -> Row:
    return {"tag": tag, "kind": "played", "at": at(weeks), "minutes": 40, "score": 8, **facts}


def _scraped(tag: str, weeks: float) -> Row:
    return {"tag": tag, "kind": "scraped", "at": at(weeks)}


def rotation(reeds: int = 12, until: float = 0.0, since: float = WEEKS) -> list[Row]:
    """Reeds that are played by turns, three a week, up to so many weeks ago."""
    tags, rows = [str(n) for n in range(1, reeds + 1)], []
    for turn in range(int((since - until) * 3)):
        rows.append(played(tags[turn % reeds], since - 0.1 - turn / 3))
    return rows


def found(rows: list[Row]) -> list[str]:
    rows = sorted(rows, key=lambda row: str(row["at"]))
    return [reed.tag for reed in sight_of(bench(rows)).unseen]


def laid_down(weeks: float, *more: Row) -> list[Row]:
    """Twelve reeds played by turns, and a thirteenth that was played last so many weeks ago."""
    return [*(begun(str(n)) for n in range(1, 14)), *rotation(), played("13", weeks), *more]


def test_a_reed_left_lying_for_longer_than_the_others_ever_is_asked_about() -> None:
    """Each of the twelve lies for eleven days of playing between its turns: twenty at the least are long."""
    assert found(laid_down(12)) == ["13"]
    assert found(laid_down(5)) == []  # 15 days of playing since


def test_whatever_was_written_of_it_since_shows_that_it_is_there() -> None:
    assert found(laid_down(12, {"tag": "13", "kind": "noted", "at": at(2), "note": "still here"})) == []


def test_a_reed_that_is_saved_is_meant_to_lie() -> None:
    saved = {"tag": "13", "kind": "saved", "at": at(12), "occasion": "the recital"}
    assert found(laid_down(12, saved)) == []
    assert found(laid_down(12, {**saved, "due": (NOW + timedelta(days=9)).date().isoformat()})) == []
    assert found(laid_down(12, {**saved, "due": at(8)[:10]})) == ["13"]
    assert found(laid_down(12, saved, {**saved, "at": at(11.9), "occasion": "off"})) == ["13"]


def test_where_nothing_is_played_nothing_is_missed() -> None:
    """A summer, or an instrument that is wanted twice a year."""
    assert found([*(begun(str(n)) for n in range(1, 14)), *rotation(until=13), played("13", 16)]) == []


def test_a_maker_who_leaves_reeds_for_long_and_takes_them_up_again_is_not_asked() -> None:
    """Of 24 reeds by turns each lies for 23 or 24 days of playing: half as long again is long."""
    reeds = [*(begun(str(n), 60) for n in range(1, 26)), *rotation(24, since=60)]
    assert found([*reeds, played("25", 11.4)]) == []  # 34 days of playing
    assert found([*reeds, played("25", 12.4)]) == ["25"]


def test_with_few_reeds_common_practice_says_what_is_long() -> None:
    reeds = [*(begun(str(n)) for n in range(1, 5)), *rotation(3)]
    assert found([*reeds, played("4", 13)]) == []  # 39 days of playing
    assert found([*reeds, played("4", 14)]) == ["4"]


def test_a_blank_is_missed_where_others_are_worked_on() -> None:
    reeds = [row for n in range(1, 7) for row in (begun(f"b{n}", 35 - n), _scraped(f"b{n}", 34 - n))]
    assert found(reeds) == []  # there are later days on which blanks were worked on, but not so many
    more = [_scraped("b6", 10 - n / 7) for n in range(45)]
    assert found([*reeds, *more]) == [f"b{n}" for n in range(1, 6)]
    assert found([*reeds, *more, *(_scraped(f"b{n}", 25) for n in range(1, 6))]) == []  # blanks keep for half a year


def test_a_seller_has_finished_reeds_in_stock_for_long() -> None:
    """Each was sold after some fifty days of work on others: none is missed before half as many again."""
    made = [row for n in range(1, 13) for row in (begun(f"s{n}", 60 - n / 4), _scraped(f"s{n}", 59.9 - n / 4))]
    work = [row for n in range(60) for row in (begun(f"w{n}", 56 - n * 0.8), _scraped(f"w{n}", 55.9 - n * 0.8))]
    sold = [{"tag": f"s{n}", "kind": "handed over", "at": at(34 - n / 4), "terms": "sold"} for n in range(1, 13)]
    stock = [begun("new", 30), _scraped("new", 29.9)]
    assert "new" not in found([*made, *work, *sold, *stock])
    assert "new" in found([*made, *work, *stock])


def test_what_came_back_from_somebody_tells_nothing_of_rests() -> None:
    """Twelve reeds that were lent for half a year do not make it usual that one lies so long."""
    lent = [
        row
        for n in range(1, 13)
        for row in (
            {"tag": str(n), "kind": "handed over", "at": at(59.9), "terms": "lent"},
            {"tag": str(n), "kind": "returned", "at": at(29.9)},
        )
    ]
    others = [*(begun(f"o{n}", 60) for n in range(1, 4)), *(played(f"o{1 + n % 3}", 59 - n / 3) for n in range(87))]
    reeds = [*(begun(str(n), 60) for n in range(1, 14)), *lent, *others, *rotation(since=29)]
    assert set(found([*reeds, played("13", 12)])) == {"o1", "o2", "o3", "13"}


class Forgetful:
    """A log in which the end of some reeds was never written down."""

    def __init__(self, seed: int) -> None:
        rng, whole = Random(seed), simulate(seed, 140, Effects.none())
        bearers, rows = 0, []
        tags: dict[str, str] = {}
        for row in whole.rows:
            if row["kind"] in ("tied", "joined"):
                bearers += 1
                tags[row["tag"]] = str(bearers)  # no tag is used again, which would be asked about
            rows.append({**row, "tag": tags[row["tag"]]})
        self.now = datetime.fromisoformat(rows[int(0.75 * len(rows))]["at"])
        before = [row for row in rows if datetime.fromisoformat(row["at"]) <= self.now]
        self.gone = {row["tag"] for row in before if row["kind"] == "retired"}
        told = [row for row in before if row["kind"] != "retired" or rng.random() < 0.6]
        self.bench = Bench.of(FixedClock(self.now), records(told))


def test_of_ends_that_were_forgotten_most_are_found_and_nothing_else() -> None:
    """A log of which the truth is known: 40 of the reeds that it has at work are gone."""
    log = Forgetful(503)
    at_work = {reed.tag for reed in log.bench.at_work()}
    said = {reed.tag for reed in sight_of(log.bench).unseen}
    assert not said - log.gone
    assert len(at_work & log.gone) == 40
    assert len(said) >= 15


@pytest.fixture
def asked() -> Asked:
    return Asked(bench(sorted(laid_down(12, begun("14", 29)), key=lambda row: str(row["at"]))))


def test_its_life_went_out_of_view_when_something_was_last_written_of_it(asked: Asked) -> None:
    (life,) = [life for life in asked.study.lives if life.unseen]
    assert life.reed.tag == "13"
    assert life.untold
    assert life.cause is None
    last = life.played[-1]
    assert last.following == last.stop


def test_retired_for_no_known_cause_it_went_out_of_view_then_too() -> None:
    rows = [begun("1"), played("1", 20), {"tag": "1", "kind": "retired", "at": at(1), "cause": "not known"}]
    (reed,) = bench(rows).reeds()
    life = life_of(reed, int(NOW.timestamp()) // 60)
    assert life is not None
    assert (life.cause, life.played[-1].following) == ("not known", life.played[-1].stop)
    assert life.untold


def test_such_ends_make_lives_neither_longer_nor_shorter_than_they_must(asked: Asked) -> None:
    """Ended by nobody knows what counts between worn out and still serving, as ends are shared out."""

    def left(*ends: Row) -> float:
        rows = [row for n in range(1, 9) for row in (begun(f"w{n}"), *(played(f"w{n}", 20 - k / 9) for k in range(9)))]
        rows += [{"tag": f"w{n}", "kind": "retired", "at": at(15), "cause": "worn"} for n in range(1, 3)]
        made = sorted([*rows, *ends, begun("new"), played("new", 0.1)], key=lambda row: str(row["at"]))
        found = Outlook.of_bench(bench(made)).left(next(r for r in bench(made).at_work() if r.tag == "new"))
        assert found is not None
        return found.middle

    def ended(cause: str) -> list[Row]:
        return [{"tag": f"w{n}", "kind": "retired", "at": at(15), "cause": cause} for n in range(3, 9)]

    assert left(*ended("worn")) < left(*ended("not known")) < left(*ended("lost"))


def test_it_is_not_offered_to_play_and_the_case_asks_for_it(asked: Asked) -> None:
    answer = CaseQuestion(NOW, "practice").answer(asked, no_tick)
    assert [reed.tag for reed in answer.unseen] == ["13"]
    assert "13" not in [one.one.reed.tag for order in answer.orders for one in order]
    assert {one["tag"]: one["unseen"] for one in answer.to_json()["reeds"]}["13"]
    assert answer.lines()[-2:] == still_there(answer.gone) == answer.table()[-2:]
    assert not any(line.startswith("13:") for line in answer.table())


def test_stock_week_and_forecast_say_so(asked: Asked) -> None:
    stock = StockQuestion().answer(asked, no_tick)
    assert [one["tag"] for one in stock.to_json()["reeds"] if one["unseen"]] == ["13"]
    assert sum("still there?" in line for line in stock.lines()) == 1
    unseen_line = "Unseen: 13: still there? Nothing was written for long, so not counted on"
    assert unseen_line in review_text(review(asked.bench), NOW)
    assert not review(asked.bench, date(2026, 11, 1)).unseen  # it is so today
    answer = readiness(asked.bench, Wish("oboe", 2, NOW.date() + timedelta(days=7)), blanks=False)
    assert "13" not in {reed.tag for reed in answer.stock}
    assert readiness_text(answer)[-1] == not_counted(sight_of(asked.bench).unseen)
    assert not answer.leans or not any("not counted" in said for said in answer.leans)
    assert readiness_as_dict(answer)["leans"] == [*answer.leans, not_counted(sight_of(asked.bench).unseen)]


def test_of_a_sellers_hundreds_the_forecast_follows_the_latest_and_says_so(
    asked: Asked, monkeypatch: pytest.MonkeyPatch
) -> None:
    outlook = Outlook.of_bench(asked.bench)
    there, (gone,) = stock_of(asked.bench, "oboe", outlook), left_out(asked.bench, "oboe", outlook)
    monkeypatch.setattr(forecast, "MOST_FOLLOWED", 5)
    latest = sorted(there, key=lambda reed: (reed.last.at, reed.id))[-5:]
    assert stock_of(asked.bench, "oboe", outlook) == [reed for reed in there if reed in latest] != there
    said = f"Of {len(there)} oboe reeds at work it follows the 5 of which something was written last"
    assert left_out(asked.bench, "oboe", outlook) == (gone, f"{said}; with the others there are rather more.")


def test_a_blank_that_must_be_gone_did_not_come_good() -> None:
    rows = [begun("1", 40), {"tag": "1", "kind": "scraped", "at": at(39)}]
    (reed,) = bench(rows).reeds()
    (open_blank,) = past_of([reed], "oboe", NOW).blanks
    (blank,) = past_of([reed], "oboe", NOW, [reed.id]).blanks
    assert (open_blank.outcome, open_blank.days) == ("open", 280)
    assert (blank.outcome, blank.days) == ("gone", 7)


def test_how_long_reeds_last_says_what_is_left_open(asked: Asked) -> None:
    said = LivesQuestion("instrument", "hours").answer(asked, no_tick)
    assert said.outcomes.gone == {"unseen for long": 1}
    assert said.outcomes.serving == 12
    assert said.untold is not None
    assert said.lines()[-1] == "1 gone, nobody told how: had all worn out, over half would still serve"


def test_had_all_worn_out_the_half_life_would_be_that_of_all_ends() -> None:
    rows = [row for n in range(1, 5) for row in (begun(f"{n}"), played(f"{n}", 20, minutes=60 * n))]
    rows += [{"tag": "1", "kind": "retired", "at": at(19), "cause": "worn"}]
    rows += [{"tag": f"{n}", "kind": "retired", "at": at(19), "cause": "not known"} for n in (2, 3, 4)]
    said = LivesQuestion("instrument", "hours").answer(Asked(bench(sorted(rows, key=lambda r: str(r["at"])))), no_tick)
    assert said.lines()[-1] == (
        "3 gone, nobody told how: had all worn out, half would last 2.0 h; as told, over half still serve"
    )


def labelled(*tags: str) -> list[Reed]:
    maker = Maker(*(f"{tag} tie oboe 72" for tag in tags))
    return [maker.reed(tag) for tag in tags]


def test_the_line_that_retires_them_can_be_typed() -> None:
    maker = Maker("1-14 tie oboe 72; play 30")
    line = gone_line([maker.reed(tag) for tag in ("1", "3", "12", "13", "14")])
    assert line == "1, 3, 12-14 retire not known"
    maker.type(line)
    assert maker.reed("13").now.cause == "not known"


def test_many_are_named_by_the_first_of_them() -> None:
    few, many = labelled("1", "3", "4", "5", "A"), labelled(*(str(2 * n) for n in range(1, 13)))
    assert which(few) == "1, 3–5, A"
    assert which(many) == "2, 4, 6, 8, 10, 12, 14, 16 and 4 more"
    assert which(many, 2) == "2, 4 and 10 more"
    assert still_there([]) == []
    assert not_counted(few[:1]) == "1 reed is not counted, since nothing was written of it for long: 1."


def test_a_study_of_the_latest_reeds_finds_the_same() -> None:
    log = Forgetful(503).bench
    whole, latest = Study.of_bench(log), Study.of_latest(log, 300)
    assert whole.sight == latest.sight
    assert [life.unseen for life in whole.lives] == [life.unseen for life in latest.lives]


def test_the_longer_a_reed_lies_the_likelier_it_is_gone_where_ends_are_forgotten() -> None:
    """By Bayes' rule, by hand: of playings, 2 were the last and nobody told, 10 were followed by rests of 0 to 9 days;
    so a reed that has lain for 9 is one of the 2, or of the one (and a half) that lay so long."""
    assert _doubt(1, untold=2) == pytest.approx(2 / 3.5)
    assert _doubt(0, untold=1) < 1
    days = [date(2026, 3, day) for day in range(1, 29)]
    rests = [[_Rest(days[0], days[length + 1], None)] for length in range(10)]
    assert _Custom(set(days), rests).as_long(days, [(lain, None) for lain in range(12)]) == [*range(10, 0, -1), 0, 0]


def test_rests_of_reeds_that_scored_as_well_are_counted_where_they_are_many() -> None:
    """Against counting them one by one, for each score that is asked; each rest is measured once, whoever asks."""
    days = [date(2026, 3, day) for day in range(1, 29)]
    rests = [_Rest(days[0], days[1 + n % 13], None if n % 7 == 0 else float(n % 9)) for n in range(90)]
    asked = [(lain, score) for lain in range(13) for score in (None, 0.0, 3.5, 6.0, 7.0, 8.0, 9.5)]

    def one_by_one(lain: int, score: float | None) -> int:
        good = [r for r in rests if score is not None and r.score is not None and r.score >= score]
        return sum(rest.length(days) >= lain for rest in (good if len(good) >= 20 else rests))

    assert _Custom(set(days), [rests]).as_long(days, asked) == [one_by_one(*one) for one in asked]


def test_reeds_are_doubted_only_where_an_end_was_forgotten() -> None:
    two = [begun("14"), played("14", 5)]
    assert sight_of(bench(sorted([*laid_down(5), *two], key=lambda row: str(row["at"])))).doubt == {}
    found = sight_of(bench(sorted([*laid_down(12), *two], key=lambda row: str(row["at"]))))
    tags = {reed.id: reed.tag for reed in bench(sorted([*laid_down(12), *two], key=lambda r: str(r["at"]))).reeds()}
    doubted = {tags[reed]: chance for reed, chance in found.doubt.items()}
    assert set(doubted) == {*map(str, range(1, 13)), "14"}  # the thirteenth is unseen
    assert doubted["14"] == max(doubted.values()) > 2 * doubted["1"]


def test_what_was_forgotten_once_and_is_told_at_last_is_no_less_forgotten() -> None:
    rows = [*laid_down(12), {"tag": "13", "kind": "retired", "at": at(0.1), "cause": "not known"}]
    made = bench(sorted(rows, key=lambda row: str(row["at"])))
    assert sight_of(made).unseen == ()
    assert len(sight_of(made).doubt) == 12


def test_a_good_reed_that_lies_as_long_as_bad_ones_do_is_doubted_more() -> None:
    """Where good reeds are taken up again soon and bad ones after three weeks."""
    good = [*(begun(f"g{n}") for n in range(3)), *(played(f"g{n % 3}", 29 - n / 3, score=8) for n in range(84))]
    bad = [*(begun(f"b{n}") for n in range(3)), *(played(f"b{n % 3}", 28 - n, score=5) for n in range(27))]
    two = [begun("good"), begun("bad"), played("good", 4, score=8), played("bad", 4, score=5)]
    gone = [begun("gone"), played("gone", 25)]
    made = bench(sorted([*good, *bad, *two, *gone], key=lambda row: str(row["at"])))
    found = {made.reed(reed).tag: chance for reed, chance in sight_of(made).doubt.items()}
    assert found["good"] > 2 * found["bad"]


def test_a_reed_that_may_be_gone_counts_for_less_in_a_forecast(asked: Asked, monkeypatch: pytest.MonkeyPatch) -> None:
    def chance() -> float:
        wish = Wish("oboe", 12, NOW.date() + timedelta(days=3))
        return readiness(asked.bench, wish, blanks=False, outlook=Outlook(asked.study)).chance

    doubting = chance()
    monkeypatch.setattr(asked.study, "sight", Sight(asked.study.sight.unseen))
    assert doubting < chance()
