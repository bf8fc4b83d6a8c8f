"""`reedkin lifespans`."""

from __future__ import annotations

import pytest

from tests.cli.conftest import CommandLine

# Six reeds, played for so many hours and then retired or not.
LIVES = [(6, "worn"), (6, "cracked"), (7, "closed up"), (10, "flat"), (6, None), (9, "dropped")]


@pytest.fixture
def season(run: CommandLine) -> CommandLine:
    for tag, (hours, cause) in enumerate(LIVES, 1):
        shape = "K" if tag % 2 else "L"
        end = f"; retire {cause}" if cause else ""
        run.done("add", f"{tag} tie oboe 72 shape {shape}; play {hours}h{end}", "--yes")
        run.clock.forward(days=1)
    return run


def test_the_json(season: CommandLine) -> None:
    report = season.done("lifespans", "--json").json
    assert report["clock"] == "hours"
    assert report["logrank"] is None
    (group,) = report["groups"]
    assert (group["name"], group["n"], group["retired"]) == ("oboe", 6, 4)
    # By hand: of 6, two end at 6 h (4/6 left), one of 3 at 7 h, and the only one left at 10 h.
    assert [(point["t"], point["survival"], point["at_risk"]) for point in group["curve"]] == [
        (6, pytest.approx(4 / 6), 6), (7, pytest.approx(4 / 9), 3), (10, pytest.approx(0), 1),
    ]  # fmt: skip
    assert group["median"] == 7
    assert group["median_ci"][0] == 6
    assert {cause: told["n"] for cause, told in report["causes"].items()} == {
        "worn": 1, "cracked": 1, "closed up": 1, "flat": 1, "dropped": 1,
    }  # fmt: skip


def test_by_a_habit_and_in_days(season: CommandLine) -> None:
    report = season.done("lifespans", "--by", "shape", "--json").json
    assert [(group["name"], group["n"]) for group in report["groups"]] == [("K", 3), ("L", 3)]
    assert report["logrank"]["df"] == 1
    assert season.done("lifespans", "--clock", "days", "--json").json["clock"] == "days"


def test_a_habit_that_is_not_known(season: CommandLine) -> None:
    ran = season("lifespans", "--by", "moon")
    assert ran.code == 2
    assert "moon" in ran.err
    assert "shape" in ran.err
    assert season("lifespans", "--clock", "weeks").code == 2


def test_the_text_has_a_chart_where_there_is_room(season: CommandLine, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert "100%" not in season.done("lifespans").out  # nobody asked, and it goes to a program
    text = season.done("lifespans", "--chart").out
    assert text.index("6 reeds, 4 worn out") < text.index("100%")
    assert "6 reeds, 4 worn out" in text
    assert max(map(len, text.splitlines())) <= 80
    monkeypatch.setenv("COLUMNS", "40")
    assert "100%" not in season.done("lifespans", "--chart").out


def test_a_log_without_lives(run: CommandLine) -> None:
    run.enter("1 tie oboe 72")
    assert run.done("lifespans", "--json").json == {"clock": "hours", "groups": [], "logrank": None, "causes": {}}
    assert "No reed has been played yet" in run.done("lifespans").out
