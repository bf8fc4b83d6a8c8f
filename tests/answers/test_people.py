"""People: who has which reeds, what was heard of them, and whose need replacing."""

from __future__ import annotations

from datetime import datetime, timedelta

import numpy as np
import pytest
from tests.domain.maker import Maker

from reedkin.answers.people.days_out import DaysOut, news_by_reed
from reedkin.answers.people.question import People, PeopleQuestion, due_for_replacing
from reedkin.answers.people.silence import silences_of
from reedkin.answers.people.telling import replace_words, replacing_lines
from reedkin.answers.question import Asked
from reedkin.bench.orders import book
from reedkin.study.lives import lives_of
from reedkin.study.ticks import no_tick


def _people(maker: Maker, name: str | None = None) -> People:
    return PeopleQuestion(name).answer(Asked(maker.bench), no_tick)


@pytest.fixture
def maker() -> Maker:
    """Reeds 1 to 6; 1 is played two hours and lent to a pupil, 2 sold to M."""
    return Maker("1-6 tie oboe 72 shape narrow", "1 play 2h 7", "1 lend to a pupil", "2 sell to M for 25")


@pytest.mark.parametrize(
    ("line", "facts", "note"),
    [
        ("2 heard worn out after three weeks", {"cause": "worn", "after_days": 21}, ""),
        ('2 heard 8 "loves it"', {"score": 8}, "loves it"),
        ("2 heard cracked", {"cause": "cracked"}, ""),
        ("2 heard still plays it every day", {"serving": True}, "plays it every day"),
        ("heard 2 leaking after a month", {"cause": "leaking", "after_days": 30}, ""),
        ("2 heard too bright for the hall", {}, "too bright for the hall"),
    ],
)
def test_what_is_heard_of_a_reed_that_is_out(maker: Maker, line: str, facts: dict[str, object], note: str) -> None:
    action = maker.action(line)
    assert (action.kind, action.facts, action.note) == ("heard", facts, note)


def test_what_is_heard_of_a_reed_that_is_not_out_is_asked(maker: Maker) -> None:
    assert maker.question("3 heard worn")[1].startswith("3 is with nobody else")
    assert maker.error("2 heard")[1].startswith("what was heard of it?")


def test_no_hours_and_no_score_of_the_maker_s_follow_from_what_is_heard(maker: Maker) -> None:
    before = lives_of(maker.bench.reeds())
    maker.clock.forward(days=40)
    maker.type('1 heard 3 "tired"', "1 heard worn out")
    after = lives_of(maker.bench.reeds())
    assert [(life.minutes, life.cause, life.scores) for life in after] == [
        (life.minutes, life.cause, life.scores) for life in before
    ]
    assert (maker.reed("1").now.hours, maker.reed("1").now.score) == (2, 7)


def test_a_person_in_words(maker: Maker) -> None:
    maker.type("order M 3 oboe by 20 dec for 28", "3 sell to M", "4 lend to M")
    maker.clock.forward(days=5)
    maker.type('4 return "too hard"', '2 heard 8 "loves it"')
    (person,) = _people(maker, "m").people
    assert (person.earned, str(person.wants)) == (53, "oboe, shape narrow")
    assert _people(maker, "M").lines() == [
        "M (oboe, shape narrow): 2 reeds out, earned 53.00",
        "  Strength: too hard was said of 4",
        "  Order M: 1 of 3 oboe reeds out (3), due in 20 days, Sun 20 Dec",
        "  3 (oboe) sold, out 5 days",
        "  2 (oboe) sold, out 5 days; 30 Nov: scored 8 “loves it”",
        "  4 (oboe) came back 30 Nov after 5 days: too hard",
    ]
    assert [one.name for one in _people(maker).people] == ["M", "a pupil"]
    assert _people(maker, "nobody").people == ()


def test_what_somebody_usually_wants_and_what_they_said_of_it(maker: Maker) -> None:
    for strength in ("hard", "medium soft", "medium soft"):
        maker.type(f"order M 1 oboe {strength}", "order M done")
    maker.type('order M 1 oboe "medium please, for her lessons"', "4 sell to M", "5 lend to M")
    maker.clock.forward(days=3)
    maker.type("2 heard too hard", '5 return "softer would be better"', "4 heard too hard to tune")
    (person,) = _people(maker, "M").people
    assert str(person.wants) == "oboe, medium soft, shape narrow"
    told = "Strength: asks for medium soft in 2 of 4 orders that say how strong; too hard was said of 5, 2"
    assert list(person.wants.lines()) == [told]
    of_json = _people(maker, "M").to_json()["people"][0]
    assert (of_json["strength"], of_json["too_hard"], of_json["too_soft"]) == ("medium soft", ["5", "2"], [])


def test_what_is_over_is_told_last_and_counted_apart(maker: Maker) -> None:
    maker.clock.forward(days=10)
    maker.type("2 heard cracked", "3 sell to M for 20")
    head, *_, over, last = _people(maker, "M").lines()
    assert head == "M (oboe, shape narrow): 1 reed out, 1 more worn or long out, earned 45.00"
    assert (over, last) == ("  Worn or long out:", "    2 (oboe) sold, out 10 days; 5 Dec: cracked")
    maker.clock.forward(days=500)
    head, *_, last = _people(maker, "M").lines()
    assert head == "M (oboe, shape narrow): 2 worn or long out, earned 45.00"
    assert last == "    2 (oboe) sold, out 510 days; 5 Dec 2026: cracked"


def test_who_needs_new_reeds_is_told_a_line_each(maker: Maker) -> None:
    maker.type("3 sell to M")
    soon = [out for one in _people(maker).people for out in one.out]
    assert sorted(replacing_lines(soon)) == ["1 new reed for a pupil (1)", "2 new reeds for M (2, 3)"]


def test_the_json_of_the_contract(maker: Maker) -> None:
    maker.type("2 return")
    told = _people(maker).to_json()["people"]
    assert {"name", "out", "came_back", "replace_soon"} <= set(told[0])
    by_name = {one["name"]: one for one in told}
    assert by_name["a pupil"]["out"][0]["hours_before"] == 2
    assert by_name["M"]["came_back"][0]["tag"] == "2"


def test_an_order_that_is_called_one_is_not_called_so_twice(maker: Maker) -> None:
    maker.type('order "order 12" 2 oboe by 20 December')
    assert any(line.endswith(": no reed out") for line in _people(maker).lines())
    assert any(line.startswith("  order 12: 0 of 2 oboe reeds out") for line in _people(maker).lines())


def test_a_reed_is_to_be_replaced_before_it_is_likely_to_end(maker: Maker) -> None:
    maker.clock.forward(days=2)
    assert due_for_replacing(maker.bench) == []
    maker.clock.forward(days=25)
    soon = due_for_replacing(maker.bench)
    assert [one.delivery.reed.tag for one in soon] == ["1", "2"]
    for one in soon:
        assert one.end is not None
        assert one.end.lo < one.end.middle < one.end.hi
    assert [one.name for one in _people(maker).people if one.replace_soon] == ["M", "a pupil"]
    end = soon[0].end
    assert end is not None
    assert "its end likely about " in replace_words(soon[0], end.middle - timedelta(days=1))
    assert "likely at its end since about " in replace_words(soon[0], end.middle + timedelta(days=1))


def test_one_that_is_said_to_be_worn_is_to_be_replaced_at_once_and_no_more_when_another_went_out(maker: Maker) -> None:
    maker.clock.forward(days=4)
    maker.type("2 heard worn out")
    one = due_for_replacing(maker.bench)[0]
    assert (one.delivery.reed.tag, one.end, one.news.cause) == ("2", None, "worn")
    assert "  Replace soon: 2 (oboe), said to be worn since 29 Nov" in _people(maker).lines()
    maker.type("3 sell to M for 25")
    assert "2" not in {one.delivery.reed.tag for one in due_for_replacing(maker.bench)}


def test_what_is_said_to_serve_is_reckoned_from_then_on(maker: Maker) -> None:
    maker.clock.forward(days=27)
    maker.type("2 heard still plays it")
    ends = {one.delivery.reed.tag: one.end for one in due_for_replacing(maker.bench)}
    before = _end_of(maker, "1")
    assert "1" in ends
    assert _end_of(maker, "2") > before


def test_a_reed_that_is_long_past_its_range_is_not_asked_about_for_ever(maker: Maker) -> None:
    maker.clock.forward(days=500)
    assert due_for_replacing(maker.bench) == []


def test_reports_of_ends_are_late_news_of_lives_by_days() -> None:
    quick = Maker("1-20 tie oboe 72", "1-20 sell to M for 25")
    before = _end_of(quick, "20")
    quick.clock.forward(days=10)
    quick.type("1-15 heard worn out after 7 days")
    assert _end_of(quick, "20") < before - timedelta(days=8)


def test_reeds_that_are_replaced_before_their_end_do_not_make_lives_look_short() -> None:
    """Of twelve reeds, each replaced after ten days, two were worn before. Were the ten others nothing, lives would
    seem to last eight days; the product-limit estimate of the share that lasts longer than eight is 10 of 12."""
    maker = Maker("1-13 tie oboe 72")
    for tag in range(1, 13):
        maker.type(f"{tag} sell to M for 25")
        maker.clock.forward(days=8)
        if tag in (3, 8):
            maker.type(f"{tag} heard worn out")
        maker.clock.forward(days=2)
    maker.type("13 sell to M for 25")
    assert _end_of(maker, "13") > maker.clock.now() + timedelta(days=16)


def test_one_who_wears_reeds_out_fast_makes_no_other_s_look_short_lived() -> None:
    """M's reeds served eight days and N's forty, four of each: either's next one is expected to serve about as long as
    theirs did, that of somebody new something between, and of one that went nobody knows where no less is known."""
    maker = Maker("1-12 tie oboe 72", "1-4, 9 sell to M for 25", "5-8, 10 sell to N for 25", "11 sell to P", "12 sell")
    maker.clock.forward(days=45)
    maker.type("1-4 heard worn after 8 days", "5-8 heard worn after 40 days")
    fast, slow, new, nobody = (
        (_end_of(maker, tag) - maker.reed(tag).last.at) / timedelta(days=1) for tag in ("9", "10", "11", "12")
    )
    assert 7 < fast < 15
    assert 28 < slow < 40
    assert fast < new < slow
    assert new == pytest.approx(nobody)


def test_silence_says_something_only_where_somebody_tells() -> None:
    maker = Maker("1-6 tie oboe 72", "1-2 sell to M", "3 sell to N")
    maker.clock.forward(days=20)
    maker.type("4 sell to M", "5 sell to N")
    out = book(maker.bench).deliveries
    assert silences_of(out, news_by_reed(out)) == {}
    maker.type("1 heard worn")
    out = book(maker.bench).deliveries
    said = {one.reed.tag: silences_of(out, news_by_reed(out)).get(one.reed.id) for one in out}
    days = {
        tag: silence and ((silence.until - maker.reed(tag).begun).days, silence.weight) for tag, silence in said.items()
    }
    assert days == {"1": None, "2": (20, 1.0), "3": (20, 0.5), "4": (20, 1.0), "5": (20, 0.5)}


def test_the_range_holds_four_times_in_five() -> None:
    """Lives drawn from a Weibull law (median 30 days, shape 2.3) of which twenty were heard: the range of the next
    holds as many of a thousand more as it says."""
    rng = np.random.default_rng(4)
    lives = 30 * (rng.weibull(2.3, 20) / np.log(2) ** (1 / 2.3))
    maker = Maker("1-21 tie oboe 72", "1-21 sell to M for 25")
    maker.clock.forward(days=200)
    for tag, days in enumerate(lives, start=1):
        maker.type(f"{tag} heard worn after {max(round(days), 1)} days")
    out = [one for one in book(maker.bench).deliveries if one.came_back is None]
    end = DaysOut(maker.bench, out).likely_end(out[-1])
    lo, hi = ((moment - out[-1].at) / timedelta(days=1) for moment in (end.lo, end.hi))
    more = 30 * (rng.weibull(2.3, 1000) / np.log(2) ** (1 / 2.3))
    assert 0.72 < np.mean((lo < more) & (more < hi)) < 0.9
    assert end.worn == 20


def _end_of(maker: Maker, tag: str) -> datetime:
    out = [one for one in book(maker.bench).deliveries if one.came_back is None]
    (one,) = (d for d in out if d.reed.tag == tag)
    return DaysOut(maker.bench, out).likely_end(one).middle
