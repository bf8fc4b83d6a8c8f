"""The entry line: what is typed, what is understood, and what is said where it is not.

The clock stands at Wednesday 25 November 2026, 10:07.
"""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.domain.maker import NOW, Maker
from tests.grammar.acting import actions

from reedkin.domain.events import Event
from reedkin.domain.facts import Facts
from reedkin.grammar.actions import BesideAction, ReedAction
from reedkin.grammar.words.verbs import VERBS

EH_60: Facts = {"instrument": "english horn", "overall_mm": 60, "lot": "7", "tube_mm": 27}


# The examples that the grammar was promised with


def test_half_a_millimetre_off_the_reed_in_hand(maker: Maker) -> None:
    assert actions(maker.read("c .5")) == [("142", "clipped", {"clip_mm": 0.5})]


def test_several_verbs_for_one_reed(maker: Maker) -> None:
    assert actions(maker.read("142 scrape tip 10m; clip .5; crow C5 -20c")) == [
        ("142", "scraped", {"where": ("tip",), "minutes": 10}),
        ("142", "clipped", {"clip_mm": 0.5}),
        ("142", "crowed", {"crow": "C5 -20c"}),
    ]


def test_a_range_of_reeds_begun_at_once(maker: Maker) -> None:
    tied = actions(maker.read("143-148 tie eh 60 lot 7 tube 27"))
    assert tied == [(str(tag), "tied", EH_60) for tag in range(143, 149)]


def test_a_playing_with_its_score_and_setting(maker: Maker) -> None:
    assert actions(maker.read("p 45 8 rehearsal")) == [
        ("142", "played", {"minutes": 45, "score": 8, "setting": "rehearsal"})
    ]


def test_wire_and_tubing(maker: Maker) -> None:
    assert actions(maker.read("wire 28 awg; tube 5")) == [
        ("142", "wired", {"gauge_awg": 28}),
        ("142", "tubed", {"tubing_mm": 5}),
    ]


def test_measures(maker: Maker) -> None:
    assert actions(maker.read("measure tip 50.5 heart 43.5")) == [
        ("142", "measured", {"tip_from_mm": 50.5, "heart_from_mm": 43.5})
    ]
    after = maker.action("measure tip 50.5 heart 43.5").after
    assert (after.blade_mm, after.heart_mm, after.tip_mm) == (33, 7, 9.5)


def test_a_note(maker: Maker) -> None:
    action = maker.action('note "buzzes on low notes"')
    assert (action.kind, action.facts, action.note) == ("noted", {}, "buzzes on low notes")


def test_an_end_on_another_day(maker: Maker) -> None:
    action = maker.action("retire cracked @yesterday")
    assert (action.kind, action.facts) == ("retired", {"cause": "cracked"})
    assert action.at == (NOW - timedelta(days=1)).replace(hour=12, minute=0)


@pytest.mark.parametrize(
    ("line", "facts"),
    [
        ("c 1/64 in", {"clip_mm": 0.396875}),
        ('c 1/64"', {"clip_mm": 0.396875}),
        ("c 0.3 mm", {"clip_mm": 0.3}),
        ("wire 28 awg", {"gauge_awg": 28}),
        ("p 1h20", {"minutes": 80}),
    ],
)
def test_numbers_take_units(maker: Maker, line: str, facts: Facts) -> None:
    assert maker.action(line).facts == facts


def test_a_room_in_fahrenheit(maker: Maker) -> None:
    (action,) = maker.read("session start 68 F 45% fresh knife").actions
    assert isinstance(action, BesideAction)
    assert action.facts == {
        "started": maker.clock.now().isoformat(), "room_c": 20, "humidity_pct": 45, "knife_fresh": True,
    }  # fmt: skip


# Keys


@pytest.mark.parametrize(
    ("line", "kind", "facts"),
    [
        ("s10", "scraped", {"minutes": 10}),
        ("s t10", "scraped", {"where": ("tip",), "minutes": 10}),
        ("c.5", "clipped", {"clip_mm": 0.5}),
        ("w", "wired", {"gauge_awg": 28, "material": "brass", "turns": 3}),
        ("tu", "tubed", {"tubing_mm": 5}),
        ("p45 8", "played", {"minutes": 45, "score": 8}),
        ("r cr", "retired", {"cause": "cracked"}),
    ],
)
def test_the_commonest_events_take_at_most_eight_keys(maker: Maker, line: str, kind: str, facts: Facts) -> None:
    maker.type("wire 28 awg brass 3 turns", "tube 5")
    action = maker.action(line)
    assert (action.tag, action.kind, action.facts) == ("142", kind, facts)
    enter = 1
    assert len(line) + enter <= 8


def test_a_scrape_takes_the_minutes_of_the_bench_clock(maker: Maker) -> None:
    assert maker.action("s", minutes=12).facts == {"minutes": 12}
    assert maker.action("s tip", minutes=12).facts == {"where": ("tip",), "minutes": 12}
    assert maker.action("s 5", minutes=12).facts == {"minutes": 5}
    assert maker.action("s only", minutes=12).facts == {}
    assert maker.action("c 1", minutes=12).facts == {"clip_mm": 1}


# Verbs and their beginnings


@pytest.mark.parametrize("verb", VERBS, ids=lambda verb: verb.word)
def test_the_example_of_every_verb_is_understood(maker: Maker, verb: object) -> None:
    examples = verb.example.split("  or  ")  # type: ignore[attr-defined]
    if verb.word in ("tie", "join"):  # type: ignore[attr-defined]
        maker = Maker()
    maker.type(*examples)


@pytest.mark.parametrize(
    ("word", "kind"),
    [("scr", "scraped"), ("SCRAPE", "scraped"), ("cli", "clipped"), ("cr", "crowed"), ("m", "measured"),
     ("wi", "wired"),
     ("so", "soaked"), ("cle", "cleaned"), ("retu", "returned"), ("no", "noted"), ("j", "joined"), ("ti", "tied")],
)  # fmt: skip
def test_any_beginning_that_is_the_only_one(maker: Maker, word: str, kind: str) -> None:
    facts = {"clipped": ".5", "measured": "59"}.get(kind, "")
    assert maker.action(f'{word} {facts} "x"').kind == kind


def test_a_beginning_that_may_be_several(maker: Maker) -> None:
    assert maker.error("cl 1") == ("cl", "cl could be clip or clean")
    assert maker.error("re cracked") == ("re", "re could be return or retire")
    assert maker.error("p 45 8 p") == ("p", "p could be practice or performance")


def test_a_slip_gets_the_word_that_was_meant(maker: Maker) -> None:
    assert maker.error("scarpe tip 10") == ("scarpe", "scarpe is not a verb; did you mean scrape?")
    assert maker.error("x 10") == (
        "x",
        "x is not a verb; verbs are tie, scrape, clip, wire, play, note and others; a note stands in quotes",
    )
    assert maker.error("p 45 reharsal") == ("reharsal", "reharsal is not understood; did you mean rehearsal?")
    assert maker.error("retire craked") == ("craked", "craked is not understood; did you mean cracked?")
    assert maker.error("gouge .6 @yesterday") == ("gouge", "gouge is not a verb; it goes with one, such as tie gouge")
    assert maker.error("thread red @10:00") == ("thread", "thread is not a verb; it goes with one, such as tie thread")
    assert maker.error("take") == ("take", "take is not a verb; take back strikes the last entry")
    assert maker.question("scrape tpi 10") == ("tpi", "tpi: did you mean tip?")


# Words behind the verb


@pytest.mark.parametrize(
    ("line", "facts"),
    [
        ("scrape tip heart 10", {"where": ("tip", "heart"), "minutes": 10}),
        ("scrape tip,heart 10", {"where": ("tip", "heart"), "minutes": 10}),
        ("scrape tip, heart, 10", {"where": ("tip", "heart"), "minutes": 10}),
        ("scrape 10 ti ti", {"where": ("tip",), "minutes": 10}),
        ("clip to 57.5", {"overall_mm": 57.5}),
        ("clip .5 to 59.5", {"clip_mm": 0.5, "overall_mm": 59.5}),
        ("clip 0,5", {"clip_mm": 0.5}),
        ("wire .32 mm of brass at 31", {"gauge_awg": 28, "material": "brass", "wire_mm": 31}),
        ("wire .0126 in", {"gauge_awg": 28}),
        ("wire .32", {"gauge_awg": 28}),
        ("wire 3 turns", {"turns": 3}),
        ("wire 26 cop", {"gauge_awg": 26, "material": "copper"}),
        ('wire 28 of "gilt brass"', {"gauge_awg": 28, "material": "gilt brass"}),
        ("wire off", {"wire": "off"}),
        ("wire move at 32", {"wire": "moved", "wire_mm": 32}),
        ("tube off", {"tubing_mm": 0}),
        ("crow C5 -20c octaves", {"crow": "C5 -20c", "octaves": True}),
        ("crow single b4 steady 7", {"crow": "B4", "octaves": False, "steadiness": 7}),
        ("crow 518 Hz", {"crow": "518 Hz"}),
        ("crow", {}),
        ("m 59.5", {"overall_mm": 59.5}),
        ("m tip50.5", {"tip_from_mm": 50.5}),
        ("m ov 59 op 1.6 wid 7", {"overall_mm": 59, "opening_mm": 1.6, "width_mm": 7}),
        ("p 45 8/10", {"minutes": 45, "score": 8}),
        ("p 45 7 1/2", {"minutes": 45, "score": 7.5}),
        ("p 1h 8", {"minutes": 60, "score": 8}),
        ("p 1h20 7,5 perf response 8 tone 7",
         {"minutes": 80, "score": 7.5, "setting": "performance", "response": 8, "tone": 7}),
        ("p 45 les", {"minutes": 45, "setting": "lesson"}),
        ("p 45 8 concert", {"minutes": 45, "score": 8, "setting": "performance"}),
        ("score 7", {"score": 7}),
        ("score response 8 pitch 6", {"response": 8, "pitch": 6}),
        ("soak 3m in warm water", {"minutes": 3, "how": "in warm water"}),
        ("clean with a feather", {"how": "with a feather"}),
        ("sell to the quartet", {"terms": "sold", "to": "the quartet"}),
        ("sell quartet for 30", {"terms": "sold", "to": "quartet", "price": 30}),
        ("lend to a pupil", {"terms": "lent", "to": "a pupil"}),
        ("give", {"terms": "given"}),
        ("hand over to the quartet", {"to": "the quartet"}),
        ("hand over", {}),
        ('hand over to "2; 3"', {"to": "2; 3"}),
        ("save for the recital on the lake on 12 March", {"occasion": "the recital on the lake", "due": "2027-03-12"}),
        ("save audition by friday", {"occasion": "audition", "due": "2026-11-27"}),
        ("save off", {"occasion": "off"}),
        ("retire closed up", {"cause": "closed up"}),
        ("retire never came good", {"cause": "never came good"}),
        ("retire never", {"cause": "never came good"}),
        ("retire dropped", {"cause": "dropped"}),
        ("r mouldy", {"cause": "mouldy"}),
    ],
)  # fmt: skip
def test_what_follows_a_verb(maker: Maker, line: str, facts: Facts) -> None:
    assert maker.action(line).facts == facts


@pytest.mark.parametrize(
    ("line", "facts"),
    [
        ("9 tie eh 60 lot 7 tube 27", EH_60),
        ("9 tie english horn 60", {"instrument": "english horn", "overall_mm": 60}),
        ("9 tie oboe d'amore 62", {"instrument": "oboe d'amore", "overall_mm": 62}),
        ("9 tie cor anglais", {"instrument": "english horn"}),
        ("9 tie eh60", {"instrument": "english horn", "overall_mm": 60}),
        ("9 tie ob tube T12 46", {"instrument": "oboe", "tube": "T12", "tube_mm": 46}),
        ("9 tie ob tube T12 72", {"instrument": "oboe", "tube": "T12", "overall_mm": 72}),
        ("9 tie ob tube #4", {"instrument": "oboe", "tube": "4"}),
        ("9 tie ob tube 4", {"instrument": "oboe", "tube": "4"}),
        ("9 tie ob tube 4 46.5", {"instrument": "oboe", "tube": "4", "tube_mm": 46.5}),
        ("9 tie ob tube #27", {"instrument": "oboe", "tube": "27"}),
        ("9 tie ob tube 46 mm 72", {"instrument": "oboe", "tube_mm": 46, "overall_mm": 72}),
        ('9 tie ob tube "the old one"', {"instrument": "oboe", "tube": "the old one"}),
        ("9 tie ob lot 7 shape K gouge .59 sink 12m thread red name Eva",
         {"instrument": "oboe", "lot": "7", "shape": "K", "gouge_mm": 0.59, "sink_min": 12, "thread": "red",
          "name": "Eva"}),
        ("9 tie ob 72 red thread lot 3", {"instrument": "oboe", "overall_mm": 72, "thread": "red", "lot": "3"}),
        ("9 tie ob 72 lot 3 red thread", {"instrument": "oboe", "overall_mm": 72, "thread": "red", "lot": "3"}),
        ("9 tie ob lot 3 thread red", {"instrument": "oboe", "thread": "red", "lot": "3"}),
        ("9 join eh 12h", {"instrument": "english horn", "hours_before": 12}),
        ("9 join eh 12", {"instrument": "english horn", "hours_before": 12}),
        ("9 join eh 60", {"instrument": "english horn", "overall_mm": 60}),
        ("9 join eh 5 58 score 8", {"instrument": "english horn", "hours_before": 5, "overall_mm": 58, "score": 8}),
        ("9 join oboe 5h30 overall 70.5 tip 66",
         {"instrument": "oboe", "hours_before": 5.5, "overall_mm": 70.5, "tip_from_mm": 66}),
    ],
)  # fmt: skip
def test_what_a_reed_is_begun_with(line: str, facts: Facts) -> None:
    assert Maker().action(line).facts == facts


@pytest.mark.parametrize(
    ("line", "words", "message"),
    [
        ("c x", "x", "x is not understood; clip takes how much in mm, to a number in mm"),
        ("c 150", "150", "clip must be between 0.01 mm and 40 mm"),
        ("c -1", "-1", "clip must be between"),
        ("c 40", "40", "that would leave 20 mm: no longer than the tube of 27 mm"),
        ("c 5 min", "5 min", "5 min is not understood; clip is in mm"),
        ("p 45mm", "45mm", "mm does not measure this; write it in min"),
        ("s 10 20", "20", "20 is not understood"),
        ("measure tip 70", "70", "the tip cannot begin at 70 mm of a reed of 60 mm"),
        ("measure tip heart 43", "tip", "tip needs a number in mm after it"),
        ("measure tip 50 tip 51", "51", "tip from is given twice: 50 mm"),
        ("p 45 11", "11", "score must be between 0 and 10"),
        ("retire", "retire", "of what? such as retire cracked @yesterday"),
        ("clip", "clip", "how much? such as clip .5  or  clip to 57.5"),
        ("clip; s 10", "clip", "how much? such as clip .5  or  clip to 57.5"),
        ("measure tip", "tip", "tip needs a number in mm after it"),
        ("note", "note", "what is to be noted? such as"),
        ("p 8 @soon", "@soon", "soon: write the day itself, such as @12 March"),
        ("p 8 @today @yesterday", "@yesterday", "the time is given twice"),
        ("99 c .5", "99", "there is no reed 99; to begin one write 99 tie or 99 join"),
        ("142 tie eh", "142", "142 is in use: correct its tying with F3 and e, retire it, or take 143"),
        ("143-141 tie eh", "143-141", "143-141 runs backwards; write 141-143"),
        ("1-99 s 10", "1-99", "that is more than 60 at once; write fewer"),
        ("#scrape tie eh", "#scrape", "scrape means scrape, so it cannot be a tag"),
        ("averyverylongtag tie eh", "averyverylongtag", "averyverylongtag cannot be a tag"),
        (
            "11 s 10",
            "11",
            "11 is retired (cracked); strike its retirement first (its tag, Enter, x), or tie a new one",
        ),
        ("142 session start", "142", "session is not said of a reed; leave the tag out"),
        ("session 20 C", "session 20", "no session is running; write session start"),
        ("target kazoo 60", "kazoo", "kazoo is not an instrument known here"),
        ("set a4 300", "a4 300", "A4 must be between 390 Hz and 480 Hz"),
        ("150-152 tie eh tube #4-5", "#4-5", "2 tubes for 3 reeds; name one for each"),
        ("measure heart 60", "60", "the heart cannot begin at 60 mm of a reed of 60 mm"),
        ("9 tie eh 60 feet", "60 feet", "60 feet is not understood; overall length is in mm"),
        ("c 3 feet", "3 feet", "3 feet is not understood; clip is in mm"),
        ("s tip 10 mm", "10 mm", "10 mm is not understood; write minutes"),
        ("crow H7", "H7", "H7 is not understood; crow takes a note such as C5, octaves or single, steady"),
        ("s" * 200, "s" * 200, f"{'s' * 29}… is not a verb"),
        ("p 45 " + "x" * 200, "x" * 200, f"{'x' * 29}… is not understood"),
        ("; ;", "; ;", "what happened? such as 12 scrape tip 10m"),
        ("@yesterday", "@yesterday", "what happened? such as 12 scrape tip 10m"),
        ("142", "142", "what was done to it? such as 142 scrape 10m"),
    ],
)
def test_errors_point_at_the_word(maker: Maker, line: str, words: str, message: str) -> None:
    pointed, said = maker.error(line)
    assert said.startswith(message)
    assert pointed == words or line == "set a4 300"


def test_without_a_reed_in_hand() -> None:
    empty = Maker()
    assert empty.error("c .5") == ("c", "which reed? write its tag first, such as 12 clip")
    assert empty.error("concert sat 2 pm oct")[1].endswith("what is still to come: engage and its day")
    assert empty.error("concert sat 19:30")[1] == "for which instrument? such as engage 28 Nov 2026 19:30 oboe"
    assert empty.error('"a thought"') == ('"a thought"', "which reed? write its tag first, such as 12 note")
    assert empty.error("tie") == ("tie", "for which instrument? such as 143-148 tie eh 60 lot 7 tube 27")
    assert actions(empty.read("tie eh 60")) == [("1", "tied", {"instrument": "english horn", "overall_mm": 60})]


# As last time


def test_wire_and_tubing_as_last_time_on_this_instrument(maker: Maker) -> None:
    assert maker.action("wire").facts == {"gauge_awg": 28, "material": "brass"}  # the target, before the first
    assert maker.action("tube").facts == {"tubing_mm": 5}
    maker.type("wire 26 copper 2 turns", "tube 6", "12 wire 30 of silver")
    assert maker.action("wire").facts == {"gauge_awg": 26, "material": "copper", "turns": 2}
    assert maker.action("tube").facts == {"tubing_mm": 6}
    assert maker.action("12 wire").facts == {"gauge_awg": 30, "material": "silver"}
    maker.type("wire off", "tube off")
    assert maker.action("w").facts == {"gauge_awg": 26, "material": "copper", "turns": 2}
    assert maker.action("tu").facts == {"tubing_mm": 6}
    assert maker.action('w "tight"').facts == {"gauge_awg": 26, "material": "copper", "turns": 2}
    assert maker.action("wire only").facts == {}


def test_a_reed_tied_as_the_last_one(maker: Maker) -> None:
    maker.type("150 tie eh 60.5 lot 9 tube T7 27 shape K name Ida sink 9")
    action = maker.action("tie")
    assert action.tag == "151"
    assert action.facts == {"instrument": "english horn", "overall_mm": 60.5, "lot": "9", "tube_mm": 27, "shape": "K"}


def test_the_length_of_a_known_tube_goes_without_saying(maker: Maker) -> None:
    maker.type("150 tie eh tube T7 27.5", "150 retire worn")
    assert maker.action("151 tie eh 60 tube T7").after.blade_mm == 32.5
    assert "tube_mm" not in maker.action("151 tie only eh 60 tube T7").facts


# Time


def test_a_day_without_an_hour_comes_after_what_is_known_of_it(maker: Maker) -> None:
    maker.clock.forward(days=1)
    first = maker.type("s 10 @yesterday")[0]
    assert isinstance(first, Event)
    assert first.at == (NOW + timedelta(days=1)).replace(hour=12, minute=0) - timedelta(days=1)
    maker.type("c 1 @yesterday", "c 1 @yesterday")
    steps = maker.reed("142").steps
    assert [s.kind for s in steps] == ["tied", "scraped", "clipped", "clipped"]
    assert maker.reed("142").now.overall_mm == 58


def test_an_event_of_the_past_is_judged_by_what_the_reed_was_then(maker: Maker) -> None:
    begun = maker.reed("142").begun
    maker.clock.forward(days=2)
    maker.type("c 5", "retire worn")
    action = maker.action(f"p 45 8 @{(begun + timedelta(hours=1)).isoformat()}")
    assert action.before is not None
    assert (action.before.stage, action.before.overall_mm) == ("blank", 60)
    assert maker.error("p 45 8")[1].startswith("142 is retired")


def test_the_time_may_stand_anywhere_in_a_clause(maker: Maker) -> None:
    for line in ("p 45 @10:00 8", "@10:00 p 45 8", "p 45 8 @10:00", 'p 45 8 @10:00 "x"', "p 45 8; @10:00"):
        reading = maker.read(line)
        assert reading.at is not None, line
        assert actions(reading)[0][2] == {"minutes": 45, "score": 8}, line


# Notes


def test_notes(maker: Maker) -> None:
    assert maker.action('s 10 "too thin"').note == "too thin"
    assert maker.action('s "too" 10 "thin"').note == "too thin"
    assert maker.action("n thin at the left").note == "thin at the left"
    assert maker.action('return "a corner gone"').note == "a corner gone"
    assert maker.action("n 3 of 12 are good").note == "3 of 12 are good"
    assert maker.action('12 "softer now"').tag == "12"
    assert maker.action('"softer now"').kind == "noted"
    both = maker.read('s 10; "softer now"').actions
    assert [a.note for a in both if isinstance(a, ReedAction)] == ["", "softer now"]
    assert maker.action('n "say \\"ah\\""').note == 'say "ah"'


# While one types


@pytest.mark.parametrize(
    "line",
    ["c", "c ", "c .", "c 5", "c 50", "cl", "sc", "x", "142", "142 ", "14", "@", "s 10 @", "s 10 @y", "s 10 @yest",
     "retire", "retire c", "retire cra", "measure tip", "measure tip ", "session", "lot", "lot 7", "target", "target e",
     "p 45 r", "p 45 pe", "note", "tie eh tube", "set", "set a", "149 t", "150-15"],
)  # fmt: skip
def test_an_unfinished_line_is_open(maker: Maker, line: str) -> None:
    assert all(p.open for p in maker.read(line).errors), [p.message for p in maker.read(line).errors]


@pytest.mark.parametrize(
    "line",
    ["cl 1", "x ", "c 150 ", "142 tie eh", "retire craked @today", "measure tip heart 43", "clip; s 10", "clip;",
     "s 10 @soon ; c 1", "99 c .5", "scarpe 10", "p 45mm 8"],
)  # fmt: skip
def test_what_more_letters_cannot_mend_is_not_open(maker: Maker, line: str) -> None:
    errors = maker.read(line).errors
    assert errors
    assert not all(p.open for p in errors)


@pytest.mark.parametrize(
    "line", ["142 scrape tip 10m; clip .5; crow C5 -20c", "p 45 8 rehearsal @yesterday 18:00", "r cracked"]
)
def test_no_shouting_on_the_way_to_a_good_line(maker: Maker, line: str) -> None:
    for length in range(len(line) + 1):
        shouted = [p.message for p in maker.read(line[:length]).errors if not p.open]
        assert shouted == [], line[:length]


@pytest.mark.parametrize(
    "line",
    [
        "played 1.5 hours", "cut half a millimetre", "reed 2 clip .5", "I scraped reed 2 for 10 minutes",
        "this morning scraped tip 10", "2 stuffy", "2 lost", "worn out", "clip 2 .5 yesterday",
        "order Dora 3 eh by 20 nov",
    ],
)  # fmt: skip
def test_nothing_is_wrong_at_any_key_of_what_is_right_in_the_end(line: str) -> None:
    maker = Maker("1-3 tie eh 60")
    for length in range(1, len(line) + 1):
        assert all(error.open for error in maker.read(line[:length]).errors), line[:length]


def test_a_sale_half_typed_is_of_the_reed_it_names_at_every_key() -> None:
    maker = Maker("1-3 tie eh 60")
    line = "sell 2 to Anna for 30"
    for length in range(len("sell 2"), len(line) + 1):
        reading = maker.read(line[:length])
        assert [a.tag for a in reading.actions if isinstance(a, ReedAction)] == ["2"], line[:length]
        assert all(error.open for error in reading.errors), line[:length]


def test_what_is_odd_because_of_a_slip_is_not_told_beside_it() -> None:
    maker = Maker("1 tie eh 60")
    assert [e.message for e in maker.read("1 measure tip 50 hart 43").errors] == [
        "hart is not understood; did you mean heart?"
    ]


def test_a_day_that_is_a_number_alone_is_asked_for_in_words() -> None:
    assert Maker().error("order Dora 3 eh by 20")[1] == "by needs a day such as 12 March after it"
