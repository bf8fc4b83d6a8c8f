"""The commands. To add one: a module in this folder with `arguments(parser)` and `run(args, context) -> int`,
and a line here."""

from __future__ import annotations

import argparse
from importlib import import_module
from typing import NamedTuple, Protocol, cast

from reedkin.cli.context import Context


class Module(Protocol):
    """What a command's module holds. `run` returns the exit code, and raises ReedkinError for what it tells."""

    def arguments(self, parser: argparse.ArgumentParser) -> None: ...
    def run(self, args: argparse.Namespace, context: Context) -> int: ...


class Command(NamedTuple):
    """A command, its module in this package, and what it does; the module is imported when the command is used."""

    name: str
    module: str
    help: str

    def load(self) -> Module:
        return cast(Module, import_module(f"reedkin.cli.commands.{self.module}"))


COMMANDS = (
    Command("help", "helping", "what of the help holds some words, such as: reedkin help wire"),
    Command("demo", "demo", "the program on a copy of an invented maker's log"),
    Command("add", "add", "record an entry line, such as: reedkin add 142 scrape tip 10m"),
    Command("show", "show", "the whole life of a reed, by its tag"),
    Command("stock", "stock", "the living reeds: stage, hours, score, rest, hours to expect"),
    Command("case", "case", "what to play: the reeds in service and nearly so, in order for an occasion"),
    Command("ready", "ready", "will there be enough good reeds on a day, and how many blanks to tie"),
    Command("season", "season", "will there be enough for all that is to come, and what to tie by when"),
    Command("engagements", "engagements", "what is to be played, and how many reeds are wanted for it"),
    Command("orders", "orders", "reeds for others: what is due, what went where, what came back"),
    Command("people", "people", "who has which reeds, what came back and why, whose need replacing"),
    Command("money", "money", "what came in and went out by month and year, and what is owed"),
    Command("card", "card", "the card that goes with a reed handed over, to print"),
    Command("labels", "labels", "labels for the reeds of the case, or for the tubes, to print"),
    Command("week", "week", "a week in review: made, played, retired, what runs low, what is due"),
    Command("cane", "cane", "the lots of cane and what became of their pieces"),
    Command("tubes", "tubes", "the tubes: which are free, where the others are, what they carried"),
    Command("yield", "yields", "how many blanks come good, where the others are lost, time and cost"),
    Command("steady", "steady", "how steady the hand is: measures against their own limits and the target"),
    Command("lifespans", "lifespans", "how long your reeds last, by instrument or by a habit"),
    Command("habits", "habits", "which habits go with longer and shorter lives"),
    Command("share", "share", "a file of what a circle of makers needs of your log, and nothing more"),
    Command("trial", "trial", "fair trials of two ways of making: list, start, end, compare"),
    Command("import", "importing", "take in events from a CSV or JSON Lines file: all or nothing"),
    Command("export", "exporting", "all events as they stand, as CSV or JSON Lines"),
    Command("merge", "merge", "take in what another log holds, such as that of a second computer"),
    Command("diary", "diary", "what was done on a day, or on all days, newest first"),
    Command("find", "find", "events, notes, names, lots and people that hold some words"),
    Command("strike", "strike", "take something that was recorded out of account, or give it back"),
    Command("amend", "amend", "have something that was recorded say something else"),
    Command("move", "move", "take something that was recorded to another day, or to another reed"),
    Command("retag", "retag", "give a reed another tag, such as one of two that bear the same"),
    Command("backups", "backups", "the backups of the log: when they were made, what they hold, where they are"),
    Command("restore", "restore", "put a backup in the place of the log, which is kept aside"),
    Command("completion", "completion", "what bash, zsh or fish needs to complete commands, options and tags"),
    Command("check", "check", "every fault of the log; ends with 0 only if there is none"),
)
