"""The commands of the maker's week: case, orders, card, week, cane, tubes, yield, steady."""

from __future__ import annotations

import json
from collections import Counter
from contextlib import nullcontext
from datetime import date, timedelta
from typing import Any

import pytest

from reedkin.cli.context import Context
from tests.cli.conftest import CommandLine
from tests.cli.demo_copies import on_demo_copy

ALL = (
    ("case",), ("case", "--for", "performance"), ("orders",), ("orders", "--all"), ("week",), ("cane",), ("tubes",),
    ("yield",), ("yield", "--by", "lot"), ("steady",), ("steady", "--of", "tied"),
)  # fmt: skip


@pytest.fixture
def month(run: CommandLine) -> CommandLine:
    """The demo log of a first month, on its last day."""
    return on_demo_copy(run, "first_month")


def events(run: CommandLine, kind: str) -> list[dict[str, Any]]:
    """All standing events of a kind, by another way: as they are exported."""
    rows = map(json.loads, run.done("export", "--format", "jsonl").lines)
    return [row for row in rows if row.get("kind") == kind]


@pytest.mark.parametrize("words", ALL, ids=" ".join)
def test_on_a_month_each_says_something_and_writes_nothing(month: CommandLine, words: tuple[str, ...]) -> None:
    before = month.path.read_bytes()
    assert month.done(*words).lines
    assert month.done(*words, "--json").json
    assert month.path.read_bytes() == before
    assert [file.name for file in month.path.parent.iterdir()] == [month.path.name]


def test_no_line_is_too_long_for_a_terminal(run: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    """The log is opened once for all of them, and each of its reeds read once."""
    monkeypatch.setenv("COLUMNS", "80")
    seasons = on_demo_copy(run, "three_seasons")
    with seasons.log() as log:
        monkeypatch.setattr(Context, "reading", lambda context: nullcontext(log))
        for words in (*ALL, ("cane", "4"), ("yield", "--by", "tube"), ("steady", "--of", "gouge")):
            lines = seasons.done(*words).lines
            assert max(map(len, lines)) <= 80, words


@pytest.mark.parametrize("words", ALL, ids=" ".join)
def test_on_a_log_without_reeds_each_says_what_is_missing(run: CommandLine, words: tuple[str, ...]) -> None:
    run.enter("1 tie oboe 72", "take back")
    said = run.done(*words)
    assert said.err == ""
    assert any(word in said.out for word in ("No", "empty", "Nothing")), said.out
    assert run.done(*words, "--json").json


@pytest.mark.parametrize("words", [*ALL, ("card", "1")], ids=" ".join)
def test_without_a_log_each_says_how_to_begin_one(run: CommandLine, words: tuple[str, ...]) -> None:
    ran = run(*words)
    assert (ran.code, ran.out) == (2, "")
    assert "Begin one with" in ran.err
    assert not run.path.exists()


def test_a_damaged_log_is_read_and_told(run: CommandLine) -> None:
    on_demo_copy(run, "damaged")
    for words in (("case",), ("cane",), ("week",)):
        ran = run.done(*words)
        assert ran.out
        assert "reedkin check" in ran.err


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("case", "--for", "glory"), "there is no choice"),
        (("case", "--instrument", "flute"), "flute is no instrument known here; write one of: English horn, oboe,"),
        (("case", "--on", "someday"), "someday is not a day known here"),
        (("case", "--on", "2026-03-11"), "11 Mar 2026 is past; name today or a day to come"),
        (("card", "99"), "There is no reed 99."),
        (("cane", "9"), "There is no lot 9. Noted are: 7"),
        (
            ("steady", "--of", "luck"),
            "luck is not charted; write one of: tied, finished, tip, heart, opening, gouge, crow",
        ),
        (("week", "--ending", "never"), "never is not a time known here"),
        (("yield", "--by", "moon"), "there is no choice"),
    ],
)
def test_what_cannot_be_is_told(run: CommandLine, words: tuple[str, ...], says: str) -> None:
    run.enter("1 tie eh 60 lot 7")
    ran = run(*words)
    assert (ran.code, ran.out) == (2, "")
    assert says in ran.err


def test_the_card_of_a_reed_that_is_gone_asks_whether_it_is_the_one(run: CommandLine) -> None:
    run.enter("1-2 tie eh 60", "1 retire cracked")
    ran = run.done("card", "1")
    assert ran.err.strip() == "reedkin: 1 is retired (cracked): is this the reed that goes out?"
    assert ran.out.startswith("English horn reed 1")
    assert run.done("card", "2").err == ""


# The case


@pytest.fixture
def concert(run: CommandLine) -> CommandLine:
    """Two English horn reeds in service, one of them saved for a concert, one that has crowed; and an oboe reed."""
    run.enter(
        "1 join eh 3h score 9", "2 join eh 3h score 7", "4 join oboe 2h score 8", "3 tie eh 60; scrape tip 10; crow C5",
        "1-2 play 30 8", "4 play 30 8", "1 save for the concert on 14 March",
    )  # fmt: skip
    run.clock.forward(days=1)
    return run


def test_the_case_has_what_is_in_service_and_what_is_nearly_so(concert: CommandLine) -> None:
    lines = concert.done("case").lines
    assert lines[0] == "English horn:"
    text = " ".join(" ".join(lines).split())
    assert "English horn: 1: played 3 h 30, 1 day in this log, form 8.5, " in text
    assert "saved for the concert 2: " in text
    assert "3: not played, 1 day old, nearly ready" in lines
    assert lines[lines.index("3: not played, 1 day old, nearly ready") + 1] == ""  # between the instruments
    assert "* none of yours is worn out yet: by common practice, lives of 10 to 15 h" in concert.done("case").out
    reeds = concert.done("case", "--json").json["reeds"]
    assert {reed["tag"]: reed["ready"] for reed in reeds} == {"1": True, "2": True, "3": False, "4": True}
    assert "order" not in concert.done("case", "--json").json
    of_oboes = concert.done("case", "--instrument", "oboe", "--json").json["reeds"]
    assert [reed["tag"] for reed in of_oboes] == ["4"]


def order(run: CommandLine, *words: str) -> list[tuple[str, bool]]:
    return [(one["tag"], one["held"]) for one in run.done("case", "--json", *words).json["order"]]


def test_the_order_keeps_what_is_saved_for_its_day(concert: CommandLine) -> None:
    assert order(concert, "--for", "rehearsal", "--instrument", "eh") == [("2", False), ("1", True)]
    concert_day = ("--for", "performance", "--on", "14 March", "--instrument", "eh")
    assert order(concert, *concert_day) == [("1", False), ("2", False)]


def test_each_instrument_has_an_order_of_its_own(concert: CommandLine) -> None:
    ran = concert.done("case", "--for", "practice")
    asked = [line for line in ran.lines if line.startswith("For practice on ")]
    assert [line.rpartition(", ")[2] for line in asked] == ["English horn:", "oboe:"]
    assert [line for line in ran.lines if line.startswith("1. ")][1].startswith("1. reed 4: ")
    assert {tag for tag, _ in order(concert, "--for", "practice")} == {"1", "2", "4"}
    none = concert.done("case", "--for", "rehearsal", "--instrument", "bass oboe")
    assert none.lines == ["No reed is in service for a rehearsal."]


def test_hours_left_of_an_instrument_without_worn_out_reeds_are_the_usual_ones(month: CommandLine) -> None:
    """One English horn reed is worn out, beyond which the log tells nothing; and two oboe reeds."""
    serving = {reed["tag"]: reed for reed in month.done("case", "--json").json["reeds"] if reed["ready"]}
    assert {tag: one["common_practice"] for tag, one in serving.items()} == {
        "88": False, "6": False, "1": False, "2": False, "3": False,
    }  # fmt: skip
    for one in serving.values():
        lo, hi = one["expected_remaining_range"]
        assert 0 <= lo < one["expected_remaining_hours"] < hi


# Reeds for others


@pytest.fixture
def quartet(run: CommandLine) -> CommandLine:
    """An order of three, one of them out and one back; another that is done; a reed lent."""
    run.enter(
        "order quartet 3 eh by 20 March", "order duo 1 oboe", "1-4 tie eh 60", "5 tie oboe 72", "1-2 sell to quartet",
        '2 return "too flat"', "5 sell to duo", "4 lend to a pupil",
    )  # fmt: skip
    return run


def test_open_orders_and_what_is_lent(quartet: CommandLine) -> None:
    quartet.clock.forward(hours=3)
    assert quartet.done("orders").lines == [
        "quartet: 1 of 3 English horn reeds out (1), due in 8 days, Fri 20 Mar",
        "  2 came back the same day: too flat",
        "4 (English horn) lent to a pupil 3 h ago",
    ]
    found = quartet.done("orders", "--json").json
    assert [(one["name"], one["wanting"], one["due"]) for one in found["orders"]] == [("quartet", 2, "2026-03-20")]
    assert [(one["tag"], one["to"]) for one in found["lent"]] == [("4", "a pupil")]
    assert {one["name"] for one in quartet.done("orders", "--all", "--json").json["orders"]} == {"quartet", "duo"}
    assert "duo: 1 of 1 oboe reed out (5), done" in quartet.done("orders", "--all").lines


def test_when_every_order_is_done(quartet: CommandLine) -> None:
    quartet.enter("order quartet done")
    assert quartet.done("orders").lines[0] == "No order is open. All: reedkin orders --all"


def test_the_card_of_a_reed(quartet: CommandLine) -> None:
    lines = quartet.done("card", "1").lines
    assert lines[0] == "English horn reed 1"
    assert "for quartet" in lines[2]
    assert lines[-1] == "12 March 2026"
    assert max(map(len, lines)) <= 60
    found = quartet.done("card", "1", "--json").json
    assert (found["tag"], found["instrument"]) == ("1", "english horn")
    assert found["card"] == lines


def test_what_others_wrote_cannot_steer_the_terminal(run: CommandLine) -> None:
    run.enter(
        'order "\x1b[31mred" 2 oboe by 14 March "\x07bell"',
        '1 tie oboe 72 lot \x1b[2J tube "\x1b]0;x" shape \x9b1m',
        '1 sell to "\x1b[31mred"',
    )  # fmt: skip
    for words in (*ALL, ("card", "1"), ("yield", "--by", "shape"), ("yield", "--by", "tube")):
        said = run.done(*words).out + run.done(*words, "--json").out
        assert not {"\x1b", "\x07", "\x9b"} & set(said), words


# Cane and tubes


def test_every_piece_of_a_lot_is_accounted_for(month: CommandLine) -> None:
    tied = Counter(row["lot"] for row in events(month, "tied") if "lot" in row)
    lots = {lot["lot"]: lot for lot in month.done("cane", "--json").json["lots"]}
    assert {name: lot["tied"] for name, lot in lots.items() if lot["tied"]} == dict(tied)
    for lot in lots.values():
        assert sum(map(len, lot["fates"].values())) == lot["tied"]
        assert lot["pieces_left"] == lot["pieces"] - lot["tied"]


def test_one_lot_with_its_reeds(run: CommandLine) -> None:
    run.enter("lot Hill cane 11 mm 12 pieces", "lot other 5 pieces", "1-4 tie eh 60 lot hill", "2 retire cracked")
    assert run.done("cane", "hill").lines == [
        "lot Hill: tube cane diameter 11 mm",
        "  8 pieces left of 12; 3 on the bench, 1 never came good",
        "  on the bench: 1, 3, 4",
        "  never came good: 2",
    ]
    assert [lot["lot"] for lot in run.done("cane", "HILL", "--json").json["lots"]] == ["Hill"]


def test_tubes_free_and_on_reeds(run: CommandLine) -> None:
    run.enter("1 tie eh 60 tube A", "2 tie eh 60 tube B", "1 retire cracked")
    assert run.done("tubes").lines == [
        "1 tube free",
        "A (English horn) free; before: 1",
        "B (English horn) on 2, blank",
    ]
    found = run.done("tubes", "--json").json["tubes"]
    assert [(one["tube"], one["free"], one["on"]) for one in found] == [("A", True, None), ("B", False, "2")]


# Yield and steadiness


def test_the_yield(run: CommandLine) -> None:
    run.enter("1-10 tie eh 60 lot 7 shape K", "11 tie oboe 72 lot 8", "1-8 play 30 7", "9-10 retire cracked")
    lines = run.done("yield").lines
    # Wilson's 95% interval for 8 of 10: 49% to 94% (Newcombe 1998 gives the formula; worked by hand).
    assert lines[0] == "English horn: 8 of 10 came good, 80% (49% to 94%)"
    assert "2 blanks given up:" in lines
    found = run.done("yield", "--by", "lot", "--json").json
    assert found["by"] == "lot"
    assert [(one["name"], one["good"], one["settled"], one["open"]) for one in found["groups"]] == [
        ("7", 8, 10, 0), ("8", 0, 0, 1),
    ]  # fmt: skip
    assert found["groups"][0]["ci"] == [pytest.approx(0.4902, abs=1e-4), pytest.approx(0.9433, abs=1e-4)]
    assert [(one["instrument"], one["good"]) for one in found["costs"]] == [("english horn", 8), ("oboe", 0)]
    of_oboes = run.done("yield", "--instrument", "oboe", "--json").json
    assert [one["name"] for one in of_oboes["groups"]] == ["oboe"]
    assert sum(one["count"] for one in of_oboes["lost"]) == 0


LENGTHS = (49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1)
"""NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, flowrates of ten batches (from memory): the mean is 50.81,
the limits are 45.8159 and 55.8041."""


@pytest.fixture
def lengths(run: CommandLine) -> CommandLine:
    for tag, length in enumerate(LENGTHS, 1):
        run.done("add", f"{tag} tie eh {length}", "--yes")
        run.clock.forward(minutes=1)
    return run


def test_the_limits_are_those_of_the_handbook(lengths: CommandLine) -> None:
    (found,) = lengths.done("steady", "--of", "tied", "--json").json["charts"]
    assert found["mean"] == pytest.approx(50.81)
    assert found["limits"] == [pytest.approx(45.8159, abs=1e-4), pytest.approx(55.8041, abs=1e-4)]
    assert [point["value"] for point in found["points"]] == list(LENGTHS)
    # The mean moving range is 1.8778, its limit 3.267 times that (the same page).
    assert (found["range_mean"], found["range_limit"]) == (
        pytest.approx(1.8778, abs=1e-4), pytest.approx(3.267 * 1.8778, abs=1e-3),
    )  # fmt: skip
    assert [point["range"] for point in found["points"]][:3] == [None, pytest.approx(2.0), pytest.approx(2.3)]
    assert lengths.done("steady", "--instrument", "oboe", "--json").json == {"charts": []}


def test_the_chart_of_one_measure_is_drawn_where_there_is_room(
    lengths: CommandLine, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    drawn = lengths.done("steady", "--of", "Tied", "--chart").lines
    assert sum("limit" in line and "┤" in line for line in drawn) == 3  # the third is that of the moving ranges
    assert any("moved 1.878" in line for line in drawn)
    assert max(map(len, drawn)) <= 80
    assert "┤" not in lengths.done("steady").out
    monkeypatch.setenv("COLUMNS", "40")
    narrow = lengths.done("steady", "--of", "tied", "--chart").lines
    assert drawn[: len(narrow)] == narrow  # the words first, since nobody looks at a terminal
    assert narrow[0] == "English horn, overall length when tied: 10 reeds"


def test_too_few_values_are_told(run: CommandLine) -> None:
    run.enter("1 tie eh 60")
    assert run.done("steady", "--of", "tied").lines[-1] == "  too few for limits: 8 are needed"
    assert run.done("steady", "--of", "gouge", "--instrument", "oboe").lines[-1] == "  too few for limits: 8 are needed"


# The week


def test_the_week_has_all_that_was_played_in_it(month: CommandLine) -> None:
    last = month.clock.now().date()
    found = month.done("week", "--json").json
    assert (found["from"], found["to"]) == ((last - timedelta(days=6)).isoformat(), last.isoformat())
    rows = [row for row in events(month, "played") if last - timedelta(days=6) <= date.fromisoformat(row["at"][:10])]
    assert sum(found["minutes"].values()) == sum(row["minutes"] for row in rows) > 0
    tied = [row for row in events(month, "tied") if last - timedelta(days=6) <= date.fromisoformat(row["at"][:10])]
    assert len(found["tied"]) == len(tied) > 0


def test_a_week_that_ended_before(run: CommandLine) -> None:
    run.enter("1 tie eh 60", "order quartet 2 eh by 20 March")
    run.clock.forward(days=7)
    for ending in ("--to", "--ending"):  # as it was called before
        assert run.done("week", ending, "12 March").lines[:2] == ["Fri 6 Mar to Thu 12 Mar", "Tied: 1 eh (1)"]
    assert run.done("week", "--on", "12 March").lines[:2] == ["Thu 12 Mar", "Tied: 1 eh (1)"]
    assert run.done("week", "--from", "11 March").lines[0] == "Wed 11 Mar to Thu 19 Mar"
    assert run.done("week", "--from", "11 March", "--to", "13 March").lines[0] == "Wed 11 Mar to Fri 13 Mar"
    assert run.done("week", "--days", "2", "--to", "13 March").lines[0] == "Thu 12 Mar to Fri 13 Mar"
    assert not any(line.startswith("Tied") for line in run.done("week").lines)
    assert "Due: quartet: 0 of 2 English horn reeds out, due tomorrow" in run.done("week").lines


def test_the_review_of_other_days_than_seven(run: CommandLine) -> None:
    run.enter("1 tie eh 60 @2026-01-10", "2 tie eh 60")
    assert run.done("week", "--days", "this year").lines[:2] == ["Thu 1 Jan to Thu 12 Mar", "Tied: 2 eh (1, 2)"]
    assert run.done("week", "--days", "january").lines[:2] == ["Thu 1 Jan to Sat 31 Jan", "Tied: 1 eh (1)"]
    ran = run("week", "--days", "2027")
    assert (ran.code, ran.out) == (2, "")
    assert "is to come; name days that are past" in ran.err


def test_this_year_beside_the_last_and_things_by_year(run: CommandLine) -> None:
    run.enter("1 tie eh 60 @2025-02-10", "1 play 60 8 @2025-02-20", "2 tie eh 60")
    found = run.done("week", "--by", "year", "--json").json
    assert (found["period"], found["beside"], found["compared"]) == (
        "2026", {"from": "2025-01-01", "to": "2025-03-12"}, [],
    )  # fmt: skip
    assert [one["name"] for one in run.done("yield", "--by", "season", "--json").json["groups"]] == [
        "2025/26",
        "2024/25",
    ]
    assert run.done("lifespans", "--by", "year", "--json").json["groups"][0]["name"] == "2025"
    assert run.done("steady", "--by", "season", "--of", "tied").lines[0] == "English horn, overall length when tied:"
