"""What people read is spelt as players spell it, whatever command says it; the log and JSON keep their own words."""

from __future__ import annotations

import json

from tests.cli.conftest import CommandLine

ENTERED = (
    "lot 7 eh 11 mm", "staple T1 27 mm eh", "target eh tied 60", "1-3 tie eh 60 tube T1 lot 7", "1 scrape 20m",
    "1-2 p 45 8 @2h ago", "1 crow C5", "1 retire worn @1h ago", "2 lend to Ben", "order Ben 2 eh soft",
    "engage tomorrow 19:30 eh 1", "trial start wire before or after eh for 40",
)  # fmt: skip
ASKED = (
    "stock", "case", "case --for rehearsal", "engagements", "orders --all", "people", "labels", "labels --tubes",
    "card 2", "week", "cane", "tubes", "yield", "steady", "lifespans", "trial list", "diary", "find horn", "show 1",
    "case --instrument flute",
)  # fmt: skip


def test_the_english_horn_is_written_as_players_write_it(run: CommandLine) -> None:
    for entry in ENTERED:
        assert run("add", "--yes", entry).code == 0, entry
    said = {asked: run(*asked.split()) for asked in ASKED}
    assert [asked for asked, ran in said.items() if "english horn" in ran.out + ran.err] == []
    assert sum("English horn" in ran.out + ran.err for ran in said.values()) > 12
    assert json.loads(run.done("show", "3", "--json").out)["instrument"] == "english horn"
