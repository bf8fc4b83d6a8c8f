"""The rooms of the program: its screens that a function key leads to from everywhere. To add one: its file, and a line
here."""

from __future__ import annotations

from dataclasses import dataclass
from importlib import import_module
from typing import cast

from textual.screen import Screen

from reedkin.screens.parts.keys import Key, Keys


@dataclass(frozen=True, slots=True)
class Room:
    """A room, the key that leads to it, what it is for, and its class, in the module of its name; that is imported when
    one first goes there."""

    name: str
    key: str
    screen: str
    about: str

    def enter(self) -> Screen[None]:
        """Its screen, anew."""
        return cast("Screen[None]", getattr(import_module(f"reedkin.screens.{self.name}"), self.screen)())

    @property
    def way(self) -> Key:
        """The way there."""
        return Key({self.key: f"go('{self.name}')"}, self.about, self.name)


BENCH = Room("bench", "f2", "BenchScreen", "the reeds at work, the one in hand, and the entry line")
"""It lies under all others."""
DIARY = Room("diary", "f10", "DiaryScreen", "all that was done, day by day; what was recorded is corrected here")
ANSWERS = (
    Room("lives", "f4", "LivesScreen", "how long reeds last, and what ends them"),
    Room("habits", "f5", "HabitsScreen", "which habits go with longer and shorter lives, if one player keeps the log"),
    Room("case", "f6", "CaseScreen", "what to play today, and why"),
    Room("ready", "f7", "ReadyScreen", "whether there will be enough good reeds on a day, and what to tie"),
    Room(
        "week",
        "f8",
        "WeekScreen",
        "the week, yield and cost, steadiness, cane and tubes, orders, people, money, year beside year",
    ),
)
"""Those that answer a question, each beside the one before it on the keyboard."""
ROOMS = {room.name: room for room in (BENCH, *ANSWERS, DIARY)}

HELP = Key({"f1,question_mark": "help"}, "Help", "help")
REED = Key({"f3": "reed"}, "The life of the reed in hand", "reed")
TO_ANSWERS = Key({f"{ANSWERS[0].key}-{ANSWERS[-1].key}": ""}, "The answers", "answers")
"""All of them in a word, for a line that has no room for each."""
QUIT = Key({"ctrl+q": "quit"}, "Quit", "quit", priority=True)
COMMON: Keys = (HELP, BENCH.way, REED, *(room.way for room in ANSWERS), DIARY.way)
"""What every screen has."""
