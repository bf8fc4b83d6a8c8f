"""`reedkin ready`."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import CommandLine
from tests.cli.demo_copies import on_demo_copy

WISH = ("ready", "--on", "2026-03-26", "--reeds", "2")


@pytest.fixture
def case(run: CommandLine) -> CommandLine:
    """An oboist with three good reeds in service, who ties two blanks; and an older English horn reed."""
    run.enter("9 join eh 4h score 8", "1-3 join oboe 2h score 9", "1-3 play 45 9", "4-5 tie oboe 72")
    return run


def test_the_answer_in_words(case: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    lines = case.done(*WISH, "--hours", "6").lines
    assert lines[0] == "2 oboe reeds to play in public on Thu 26 Mar 2026, in 14 days:"
    assert lines[1].startswith("with today's stock the chance is ")
    assert lines[2].startswith("Of 3 in service and 2 on the bench, ")
    plans = [line.split(":")[0] for line in lines if line.startswith("For ")]
    assert ", ".join(plans).replace("For ", "") == "80%, 90%, 95%"
    told = " ".join(line.strip() for line in lines[3 + len(plans) :])
    assert "two blanks of three come good (from memory) and on 6 to 16 days from tying to playing" in told
    assert "a life of 10 to 15 hours, 20 to 25 for a good one" in told
    assert max(map(len, lines)) <= 80


def test_the_answer_as_json(case: CommandLine) -> None:
    found = case.done(*WISH, "--hours", "6", "--json").json
    assert (found["instrument"], found["reeds"], found["on"], found["days"]) == ("oboe", 2, "2026-03-26", 14)
    assert (found["rehearsal_hours"], found["seed"]) == (6, 1)
    assert found["chance"] == found["by_blanks"][0] == found["at_least"][2]
    assert 0 < found["chance"] <= 1
    assert found["by_blanks"] == sorted(found["by_blanks"])
    assert [plan["chance"] for plan in found["plans"]] == [0.8, 0.9, 0.95]
    for plan in found["plans"]:
        enough = [n for n, chance in enumerate(found["by_blanks"]) if chance >= plan["chance"]]
        assert plan["blanks"] == (enough[0] if enough else None)
    assert [reed["tag"] for reed in found["stock"]] == ["1", "2", "3", "4", "5"]
    assert found["leans"]


def test_the_same_seed_gives_the_same_answer(case: CommandLine) -> None:
    first = case.done(*WISH, "--json").json
    assert case.done(*WISH, "--json").json == first
    other = case.done(*WISH, "--seed", "2", "--json").json
    assert other != first
    assert other["chance"] == pytest.approx(first["chance"], abs=0.1)


def test_today_little_is_left_to_chance(case: CommandLine) -> None:
    today = ("ready", "--on", "today", "--json", "--reeds")
    # A reed that scored 9 may yet have a bad evening.
    assert case.done(*today, "3").json["chance"] > 0.95
    # There are three in service and no blank becomes a reed within a day.
    found = case.done(*today, "4").json
    assert (found["chance"], [plan["blanks"] for plan in found["plans"]]) == (0, [None, None, None])
    assert case.done(*today, "1", "--instrument", "bass oboe").json["chance"] == 0


def test_the_instrument_and_the_day_in_the_makers_words(case: CommandLine) -> None:
    found = case.done("ready", "--on", "26 March", "--reeds", "1", "--instrument", "eh", "--json").json
    assert (found["instrument"], found["on"]) == ("english horn", "2026-03-26")
    assert case.done("ready", "--on", "friday", "--reeds", "1", "--json").json["on"] == "2026-03-13"


def test_what_is_left_out_is_what_the_next_concert_wants(case: CommandLine) -> None:
    """As the screen asks at first; the clock of these tests stands on 12 March 2026."""

    def asked(*words: str) -> tuple[str, int, str]:
        found = case.done("ready", *words, "--json").json
        return found["instrument"], found["reeds"], found["on"]

    assert asked() == ("oboe", 2, "2026-03-26")
    case.enter("engage 20 March eh rehearsal", "engage 28 March eh 3", "engage 4 July oboe 4")
    assert asked() == ("english horn", 3, "2026-03-28")
    assert asked("--reeds", "1") == ("english horn", 1, "2026-03-28")
    assert asked("--instrument", "oboe") == ("oboe", 2, "2026-03-26")
    assert asked("--on", "4 July") == ("oboe", 4, "2026-07-04")
    assert asked("--on", "29 March") == ("oboe", 2, "2026-03-29")


def test_a_chart_where_there_is_room(case: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    wide = case.done("ready", "--on", "2026-03-26", "--reeds", "5", "--chart").lines
    assert any(line.startswith("100%┤") for line in wide)
    monkeypatch.setenv("COLUMNS", "50")
    assert "100%┤" not in case.done("ready", "--on", "2026-03-26", "--reeds", "5", "--chart").out


def test_a_log_without_reeds_goes_by_common_practice(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "take back")
    ran = run(*WISH)
    assert (ran.code, ran.out) == (2, "")
    assert "name the instrument, such as --instrument oboe" in ran.err
    found = run.done(*WISH, "--instrument", "oboe", "--json").json
    assert (found["stock"], found["chance"], found["blanks_settled"]) == ([], 0, 0)
    assert any("leans by 100%" in sentence for sentence in found["leans"])


def test_on_a_demo_log(run: CommandLine) -> None:
    on_demo_copy(run, "first_month")
    before = run.path.read_bytes()
    found = run.done("ready", "--on", "2026-12-12", "--reeds", "2", "--hours", "9", "--json").json
    assert 0 < found["chance"] < 1
    assert found["served"] > 0
    assert run.path.read_bytes() == before


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--on", "someday", "--reeds", "2"), "someday is not a day known here; write 12 March, friday or 2026-03-12"),
        (("--on", "2026-03-11", "--reeds", "2"), "11 Mar 2026 is past; name a day to come"),
        (("--on", "2027-12-01", "--reeds", "2"), "more than a year ahead"),
        (("--on", "tomorrow", "--reeds", "0"), "wish for one reed or more"),
        (("--on", "tomorrow", "--reeds", "two"), "invalid int value"),
        (("--on", "tomorrow", "--reeds", "2", "--hours", "60"), "60 hours of rehearsals do not fit"),
        (("--on", "tomorrow", "--reeds", "2", "--hours", "nan"), "nan hours of rehearsals do not fit"),
        (("--on", "tomorrow", "--reeds", "2", "--seed", "-1"), "-1 is no seed; write 0 or more"),
        (("--on", "tomorrow", "--reeds", "2", "--instrument", "flute"), "flute is no instrument known here"),
    ],
)
def test_what_cannot_be_is_told(run: CommandLine, words: tuple[str, ...], says: str) -> None:
    run.enter("1 tie oboe 72")
    ran = run("ready", *words)
    assert (ran.code, ran.out) == (2, "")
    assert says in ran.err


def test_without_a_log_nothing_is_made(run: CommandLine, tmp_path: Path) -> None:
    ran = run(*WISH, log=tmp_path / "none.jsonl")
    assert ran.code == 2
    assert "Begin one with" in ran.err
    assert not (tmp_path / "none.jsonl").exists()
