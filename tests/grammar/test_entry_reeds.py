"""The entry line: which reeds it is about, and what they are called.

The clock stands at Wednesday 25 November 2026, 10:07.
"""

from __future__ import annotations

import pytest
from tests.domain.maker import Maker
from tests.grammar.acting import actions

from reedkin.domain.events import Event
from reedkin.grammar.actions import ReedAction
from reedkin.grammar.preview import preview
from reedkin.grammar.recording import to_records

# Which reeds


@pytest.mark.parametrize(
    "line", ["142,12 s 5", "142, 12 s 5", "142 12 s 5", "#142 #12 s 5", "142,eva s 5", "142, Eva s5", "142,142,12 s 5"]
)
def test_several_tags(maker: Maker, line: str) -> None:
    assert [tag for tag, _, _ in actions(maker.read(line))] == ["142", "12"]


def test_a_tube_has_the_length_that_was_said_of_it_before_any_reed_was_on_it(maker: Maker) -> None:
    maker.type("staple T4 47 mm oboe")
    assert maker.action("31 tie oboe tube t4").facts["tube_mm"] == 47


def test_ranges_and_lists_together(maker: Maker) -> None:
    tags = [tag for tag, _, _ in actions(maker.read("150-152,155,160–161 tie eh"))]
    assert tags == ["150", "151", "152", "155", "160", "161"]
    assert [tag for tag, _, _ in actions(maker.read("08-10 tie eh"))] == ["08", "09", "10"]


def test_the_tags_hold_for_the_verbs_that_follow(maker: Maker) -> None:
    tags = [(tag, kind) for tag, kind, _ in actions(maker.read("12 s 5; c .5; 142 c .5; s 5"))]
    assert tags == [("12", "scraped"), ("12", "clipped"), ("142", "clipped"), ("142", "scraped")]


def test_a_word_for_a_tag_and_a_reed_by_its_name(maker: Maker) -> None:
    assert actions(maker.read("sop tie eh"))[0][0] == "sop"
    assert actions(maker.read("pl tie eh"))[0][0] == "pl"  # though it begins play
    assert actions(maker.read("A tie eh"))[0][0] == "A"  # though elsewhere it says nothing
    assert actions(maker.read("I tied an oboe reed"))[0][0] != "I"
    maker.type("sop tie eh", "pl tie eh")
    assert actions(maker.read("SOP c .5"))[0][0] == "sop"
    assert actions(maker.read("pl c .5"))[0][0] == "pl"
    assert actions(maker.read("p 45"))[0][:2] == ("pl", "played")  # the reed in hand
    assert actions(maker.read("eva p 45"))[0][:2] == ("12", "played")
    maker.type('160 tie eh name "Old Faithful"')
    assert actions(maker.read("old faithful c .5"))[0][0] == "160"


def test_each_reed_on_its_own_tube(maker: Maker) -> None:
    tied = actions(maker.read("150-152 tie eh 60 tube #4-6"))
    assert [(tag, facts["tube"]) for tag, _, facts in tied] == [("150", "4"), ("151", "5"), ("152", "6")]
    tied = actions(maker.read("150,152 tie eh 60 tube T4,T9"))
    assert [(tag, facts["tube"]) for tag, _, facts in tied] == [("150", "T4"), ("152", "T9")]
    assert actions(maker.read("150 tie eh tube #4-6"))[0][2]["tube"] == "4-6"


def test_a_tag_used_again(maker: Maker) -> None:
    maker.type("11 tie ob 72")
    assert actions(maker.read("11 c .5"))[0][2] == {"clip_mm": 0.5}
    assert maker.action('11/1 note "the first"').before == maker.reed("11/1").now
    assert maker.error("11/1 c .5")[1].startswith("11/1 is retired (cracked)")
    assert maker.error("11/3 c .5") == ("11/3", "there is no reed 11/3; of that tag there were 11/1 to 11/2")
    again = maker.read("11 retire worn; 11 tie eh 60")
    assert [a.kind for a in again.actions if isinstance(a, ReedAction)] == ["retired", "tied"]


def test_one_reed_called_in_two_ways_is_one(maker: Maker) -> None:
    maker.take("142")
    reading = maker.read("c 1; 142 c 1; #142/1 c 1")
    lengths = [a.after.overall_mm for a in reading.actions if isinstance(a, ReedAction)]
    assert lengths == [59, 58, 57]


def test_a_reed_begun_and_worked_in_one_entry(maker: Maker) -> None:
    records = maker.type("150 tie eh 60 tube T1 27; scrape 5; c 1; crow C5")
    assert len({r.entry for r in records}) == 1
    assert {r.reed for r in records if isinstance(r, Event)} == {records[0].uid}
    assert maker.reed("150").now.overall_mm == 59


def test_a_lone_tag_is_for_looking_up(maker: Maker) -> None:
    assert maker.read("12").lone_tag == "12"
    assert maker.read("eva").lone_tag == "eva"
    assert maker.read("11/1").lone_tag == "11/1"
    for line in ("99", "12 c", "12,142", "c", "", "12;c .5"):
        assert maker.read(line).lone_tag is None, line


# Another tag


@pytest.mark.parametrize("line", ["1 is 26", "reed 1 is now #26", "1 is really no. 26"])
def test_a_reed_is_given_another_tag(line: str) -> None:
    maker = Maker("1-3 tie eh 60")
    reading = maker.read(line)
    assert reading.ready
    assert not reading.questions
    assert preview(reading, maker.bench) == ["1 is called 26 from now on"]
    one = maker.reed("1").id
    maker.type(line)
    assert maker.reed("26").id == one
    assert maker.bench.find("1") is None


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("1 is 2", "2 is in use; take another, such as 4"),
        ("1 is 1", "that is its tag already"),
        ("9 is 26", "there is no reed 9"),
    ],
)
def test_a_tag_that_cannot_be_is_refused(line: str, why: str) -> None:
    (error,) = Maker("1-3 tie eh 60").read(line).errors
    assert error.message == why


def test_a_tag_that_may_be_a_score_is_asked_and_words_are_no_tags() -> None:
    maker = Maker("1-3 tie eh 60")
    (question,) = maker.read("1 is 8").questions
    assert question.message.endswith("if that is a score, write 1 score 8")
    assert all(action.kind == "noted" for action in maker.read("1 is stuffy").actions)


def test_the_next_tag_is_no_length_where_no_reed_of_the_instrument_is_so_long() -> None:
    maker = Maker("40 tie oboe 72 lot 13")
    assert [(a.tag, a.facts["overall_mm"]) for a in _tied(maker, "tie 41")] == [("41", 72)]
    assert [(a.tag, a.facts.get("overall_mm")) for a in _tied(maker, "tie 41 oboe")] == [("41", None)]
    assert [(a.tag, a.facts["overall_mm"]) for a in _tied(maker, "tie 71")] == [("41", 71)]


def _tied(maker: Maker, line: str) -> list[ReedAction]:
    return [action for action in maker.read(line).actions if isinstance(action, ReedAction)]


def test_a_number_word_that_names_a_reed_or_may_be_two_of_them_is_no_number(maker: Maker) -> None:
    maker.type("7 tie eh", "31 tie eh name Seven")
    assert [tag for tag, _, _ in actions(maker.read("seven clip .3"))] == ["31"]
    assert [tag for tag, _, _ in actions(maker.read("one forty two clip .3"))] == ["142"]
    maker.type("1 tie eh", "42 tie eh")
    assert maker.error("one forty two clip .3")[1].startswith("one is not a verb")
    assert [tag for tag, _, _ in actions(maker.read("reed one forty two clip .3"))] == ["142"]
    maker.type("40 tie eh")
    assert maker.question("reed one forty clip .3")[1].startswith("forty: keep it as a note?")


def test_a_lot_that_is_called_as_a_number_keeps_its_name(maker: Maker) -> None:
    reading = maker.read("31 tie eh lot q")
    records = to_records(reading, maker.uids, maker.clock.now(), None)
    maker.bench.add([r._replace(facts={**r.facts, "lot": "seven"}) for r in records if isinstance(r, Event)])
    assert maker.action("32 tie eh lot seven").facts["lot"] == "seven"
    assert maker.action("32 tie eh lot eight").facts["lot"] == "8"
