"""`reedkin diary`, `find`, `strike`, `amend` and `move`."""

from __future__ import annotations

import re

import pytest

from tests.cli.conftest import CommandLine

MONTH = (
    "1-8 tie oboe 72 lot 7 @3 march",
    "1-8 scrape tip 10m @yesterday",
    "3 play 45 8 rehearsal",
    '5 note "buzzes on low notes"',
    'lot 7 tube cane 10.3 mm from "the south slope"',
    "6 retire cracked",
)


@pytest.fixture
def month(run: CommandLine) -> CommandLine:
    run.enter(*MONTH)
    return run


def name(run: CommandLine, *words: str) -> str:
    """The name of the first line that a word finds."""
    return next(
        found[0] for line in run.done("find", *words).lines if (found := re.search(r"[0-9a-f]{8}(\+\d+)?", line))
    )


def test_every_entry_by_day_newest_first(month: CommandLine) -> None:
    said = [re.sub(r"  [0-9a-f]{8}(\+\d+)?", "", line) for line in month.done("diary").lines]
    assert [line for line in said if line and not line.startswith(" ")] == [
        "Thu 12 Mar 2026", "Wed 11 Mar 2026", "Tue 3 Mar 2026",
    ]  # fmt: skip
    today = said[1 : said.index("")]
    assert [line[9:15].rstrip(":") for line in today] == ["6: ret", "lot 7", "5: not", "3: pla"]
    assert any(line.endswith("1–8: scraped tip, 10 min") for line in said)


def test_the_json_of_a_day(month: CommandLine) -> None:
    events = month.done("diary", "--on", "today", "--json").json["events"]
    assert [(e["tag"], e["kind"]) for e in events] == [("6", "retired"), ("5", "noted"), ("3", "played")]
    assert events[1]["note"] == "buzzes on low notes"
    assert events[2]["facts"] == {"minutes": 45, "score": 8, "setting": "rehearsal"}
    assert events[2]["at"] == "2026-03-12T10:09:00+01:00"
    assert set(events[0]) >= {"uid", "tag", "kind", "at", "facts", "note"}
    assert len(month.done("diary", "--json").json["events"]) == 8 + 8 + 3


def test_days_from_and_to(month: CommandLine) -> None:
    assert len(month.done("diary", "--from", "4 march", "--to", "11 march", "--json").json["events"]) == 8
    assert month.done("diary", "--on", "5 march").lines == ["Nothing was recorded then."]
    assert len(month.done("diary", "--days", "4 march to 11 march", "--json").json["events"]) == 8
    assert "2026-12-01 is to come" in month("diary", "--from", "2026-12-01").err
    for wrong in (
        ("--on", "today", "--from", "today"),
        ("--days", "3", "--on", "today"),
        ("--from", "today", "--to", "1 march"),
        ("--on", "florb"),
    ):
        assert month("diary", *wrong).code == 2


@pytest.mark.parametrize(
    ("words", "tags"),
    [
        (["buzz"], ["5"]),
        (["low", "buzzes"], ["5"]),
        (["low", "cracked"], []),
        (["cracked"], ["6"]),
        (["rehearsal", "oboe"], ["3"]),
        (["3", "play"], ["3"]),
        (["1", "tied"], ["1"]),
        (["LOT", "7", "ob"], list("12345678")),
        (["uzz"], []),
    ],
)
def test_words_are_found(month: CommandLine, words: list[str], tags: list[str]) -> None:
    if words[0] == "1":
        # The line of all eight says it once; what it holds of reed 1 is there.
        assert "1" in {e["tag"] for e in month.done("find", *words, "--json").json["events"]}
        return
    assert [e["tag"] for e in month.done("find", *words, "--json").json["events"]] == tags


def test_what_was_said_beside_the_reeds_is_found(month: CommandLine) -> None:
    found = month.done("find", "slope", "--json").json
    assert found["events"] == []
    assert [said["subject"] for said in found["beside"]] == ["7"]
    assert month("find", "…").code == 2
    assert month.done("find", "nowhere").lines == ["Nothing holds nowhere."]


def test_an_event_is_moved_to_another_reed_and_both_say_so(month: CommandLine) -> None:
    said = month.done("move", name(month, "rehearsal"), "--to", "4").out
    assert "4: played 45 min, rehearsal, scored 8, moved from 3" in said
    assert "3: played 45 min → 0 min, score 8 → –, in service → in progress" in said
    assert "moved to 4: played 45 min" in month.done("show", "3").out
    assert "moved here from 3" in month.done("show", "4").out
    assert month.done("show", "4", "--json").json["hours_played"] == 0.75
    assert month.done("show", "3", "--json").json["hours_played"] == 0
    assert month("check").code == 0


def test_one_key_takes_a_move_back_whole(month: CommandLine) -> None:
    before = month.done("export").out
    month.done("move", name(month, "rehearsal"), "--to", "4")
    month.done("add", "take back")
    assert month.done("export").out == before


@pytest.mark.parametrize("how", ["strike", "amend", "day", "give"])
def test_every_correction_is_taken_back(month: CommandLine, how: str) -> None:
    played = name(month, "rehearsal")
    if how == "give":
        month.done("strike", played)
    before = month.done("export").out
    match how:
        case "strike":
            month.done("strike", played)
        case "amend":
            month.done("amend", played, "--says", "play 30 7")
        case "day":
            month.done("move", played, "--on", "yesterday")
        case "give":
            month.done("strike", played, "--give-back")
    assert month.done("export").out != before
    month.done("add", "take back")
    assert month.done("export").out == before


def test_a_second_taking_back_goes_on_to_the_entry_before(month: CommandLine) -> None:
    month.done("strike", name(month, "buzzes"))
    month.done("add", "take back")
    month.done("add", "take back")
    assert month.done("find", "cracked", "--json").json["events"] == []
    assert len(month.done("find", "buzzes", "--json").json["events"]) == 1


def test_a_batch_goes_to_another_day_each_at_its_time(month: CommandLine) -> None:
    batch = name(month, "scraped")
    assert batch.endswith("+7")
    assert "1–8: scraped tip, 10 min" in month.done("move", batch, "--on", "9 march").out
    moved = month.done("diary", "--on", "9 march", "--json").json["events"]
    assert [e["tag"] for e in moved] == list("12345678")
    assert {e["at"] for e in moved} == {"2026-03-09T12:00:00+01:00"}
    assert "was 11 Mar 12:00" in month.done("diary", "--on", "9 march").out


def test_a_time_may_be_given(month: CommandLine) -> None:
    month.done("move", name(month, "rehearsal"), "--on", "yesterday 18:30")
    (played,) = month.done("find", "rehearsal", "--json").json["events"]
    assert played["at"] == "2026-03-11T18:30:00+01:00"


def test_a_batch_moves_to_as_many_reeds(month: CommandLine) -> None:
    batch, begun = name(month, "scraped"), name(month, "tied")
    month.enter("11-18 tie oboe 72 @2 march")
    assert "a reed's beginning stays with it" in month("move", begun, batch, "--to", "11-18").err
    assert month("move", batch, "--to", "11").code == 2
    month.done("move", batch, "--to", "11-18")
    assert [e["tag"] for e in month.done("find", "scraped", "--json").json["events"]] == [str(n) for n in range(11, 19)]


@pytest.mark.parametrize(
    ("words", "why"),
    [
        (("rehearsal", "--to", "6"), None),  # retired after that
        (("rehearsal", "--to", "3"), "where it is already"),
        (("rehearsal", "--to", "99"), "no reed 99"),
        (("rehearsal", "--on", "2 march"), "tied only on 3 Mar 2026"),
        (("scraped", "--to", "4"), "of 8 reeds"),
        (("tied", "--to", "1-8"), "a reed's beginning stays with it"),
        (("cracked", "--to", "99/1"), "no reed 99/1"),
        (("scraped", "--to", "1-70"), "more than 60"),
        (("rehearsal", "--on", "florb"), "florb"),
    ],
)
def test_what_cannot_be_is_refused_with_a_word(month: CommandLine, words: tuple[str, ...], why: str | None) -> None:
    before = month.done("export").out
    ran = month("move", name(month, words[0]), *words[1:])
    if why is None:
        assert ran.code == 0
        return
    assert ran.code == 2
    assert why in ran.err
    assert month.done("export").out == before


def test_nothing_happens_to_a_reed_after_its_end(month: CommandLine) -> None:
    month.enter("5 play 20")
    ran = month("move", name(month, "played", "20"), "--to", "6")
    assert ran.code == 2
    assert "it is retired (cracked)" in ran.err


def test_a_reed_that_was_not_there_yet(month: CommandLine) -> None:
    month.enter("9 tie oboe 72")
    ran = month("move", name(month, "rehearsal"), "--to", "9")
    assert ran.code == 2
    assert "it was tied only on" in ran.err


def test_a_length_that_cannot_be(month: CommandLine) -> None:
    month.enter("1 clip 20 @today", "2 measure overall 30")
    ran = month("amend", name(month, "clipped"), "--says", "clip 39.9")
    assert ran.code == 1  # odd, and nobody there to ask
    assert month.done("show", "1", "--json").json["overall_mm"] == 52
    month.enter("1 clip 30")
    ran = month("move", name(month, "clipped", "30"), "--to", "2")
    assert ran.code == 2
    assert "that would leave" in ran.err


def test_a_contradiction_after_a_merge_can_be_struck(month: CommandLine) -> None:
    """The reed was retired on one machine and played on, some days later, on the other."""
    other = month.path.with_name("other.jsonl")
    other.write_bytes(month.path.read_bytes())
    month.clock.forward(days=2)
    month.done("add", "2 retire worn")
    month.clock.forward(days=2)
    month.done("add", "2 play 30", log=other)
    month.done("merge", str(other))
    assert month("check").code != 0
    (played,) = (e for e in month.done("find", "played", "30", "--json").json["events"])
    month.done("strike", played["uid"])
    assert month("check").code == 0


def test_a_reed_whose_tag_was_used_again(month: CommandLine) -> None:
    month.enter("6 tie oboe 72", "6 play 15")
    ran = month("strike", name(month, "cracked"))
    assert ran.code == 1
    assert "another reed bears the tag 6" in ran.err
    month.done("strike", name(month, "cracked"), "--yes")
    month.done("move", name(month, "rehearsal"), "--to", "6/1")
    assert month.done("show", "6/1", "--json").json["hours_played"] == 0.75
    (played,) = month.done("find", "rehearsal", "--json").json["events"]
    assert played["reed"] == month.done("show", "6/1", "--json").json["events"][0]["uid"]


def test_a_whole_entry_is_struck_and_given_back(month: CommandLine) -> None:
    month.enter("1-2 scrape heart 5m; clip .5")
    before = month.done("export").out
    name_of_clip = name(month, "clipped")
    month.done("strike", name_of_clip, "--entry")
    assert month.done("find", "heart", "--json").json["events"] == []
    month.done("strike", name_of_clip, "--entry", "--give-back")
    assert month.done("export").out == before


def test_a_beginning_with_a_life_after_it_is_not_struck(month: CommandLine) -> None:
    tied = month.done("find", "tied", "--json").json["events"][0]["uid"]
    ran = month("strike", tied)
    assert ran.code == 2
    assert "strike the later events first" in ran.err


def test_what_is_beside_the_reeds_is_struck_and_no_more(month: CommandLine) -> None:
    said = month.done("find", "slope", "--json").json["beside"][0]["uid"]
    assert month("move", said, "--to", "3").code == 2
    month.done("strike", said)
    assert month.done("find", "slope", "--json").json["beside"] == []
    assert month("strike", said).code == 2
    month.done("add", "take back")
    assert len(month.done("find", "slope", "--json").json["beside"]) == 1


def test_names_that_fit_nothing_or_too_much(month: CommandLine) -> None:
    for wrong in ("zzzzzzzz", "abc", ""):
        ran = month("strike", wrong)
        assert ran.code == 2
        assert "There is no event" in ran.err
    assert month("move", name(month, "rehearsal")).code == 2


def test_a_dry_run_writes_nothing(month: CommandLine) -> None:
    raw = month.path.read_bytes()
    assert "struck: played 45 min" in month.done("strike", name(month, "rehearsal"), "--dry-run").out
    assert month.path.read_bytes() == raw
