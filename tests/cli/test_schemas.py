"""What each command gives as JSON keeps to the schema that it gives out (JSON Schema 2020-12, by the library
jsonschema): on a log without reeds, on a month of a demo log, and, by `Ran.json`, wherever a test reads any."""

from __future__ import annotations

import pytest
from jsonschema import Draft202012Validator, ValidationError

from reedkin.cli.commands import COMMANDS
from reedkin.cli.main import parser_of
from tests.cli.conftest import CommandLine, keeper
from tests.cli.demo_copies import on_demo_copy

WAYS = (
    "show 1", "stock", "case", "case --for performance", "ready --on friday --reeds 2 --instrument oboe", "season",
    "engagements --all", "orders --all", "people", "money", "card 1", "card 1 2", "labels",
    "labels --tubes", "week", "week --by season", "cane", "cane --ends",
    "tubes", "tubes --ends", "yield --by lot", "steady", "steady --by year", "lifespans --by lot",
    "lifespans --clock days", "habits", "habits --clock days", "share FILE", "trial", "diary", "find the", "check",
    "backups",
)  # fmt: skip
ABOUT_A_REED = ("show 1", "card 1", "card 1 2")


def test_each_command_with_json_is_among_those_tried_here() -> None:
    having = {command.name for command in COMMANDS if "--json" in parser_of(command)._option_string_actions}
    assert len(having) > 20
    assert {way.split()[0] for way in WAYS} == having


def test_each_schema_is_one() -> None:
    for name in {way.split()[0] for way in WAYS}:
        Draft202012Validator.check_schema(keeper(name).schema)


def test_on_a_log_without_reeds(run: CommandLine) -> None:
    run.enter("set a4 442")
    for way in WAYS:
        if way not in ABOUT_A_REED:
            assert run.done(*way.split(), "--json").json


@pytest.mark.parametrize("way", WAYS)
def test_on_a_demo_log(run: CommandLine, way: str) -> None:
    assert on_demo_copy(run, "first_month").done(*way.split(), "--json").json


def test_what_a_schema_does_not_name_is_against_it(run: CommandLine) -> None:
    stock = on_demo_copy(run, "first_month").done("stock", "--json").json
    for changed in ({**stock, "more": 1}, {}, {"reeds": [{**stock["reeds"][0], "hours_played": "three"}]}):
        with pytest.raises(ValidationError):
            keeper("stock").validate(changed)
