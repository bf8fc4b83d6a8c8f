"""Everything that the help can be asked for, each with its words and with what Enter on it does: one list for the help
on the screen and for `reedkin help`."""

from __future__ import annotations

import pkgutil
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from difflib import get_close_matches
from importlib import import_module
from typing import TYPE_CHECKING

from reedkin.domain.cautions import ALL
from reedkin.domain.meaning import NUMBERS
from reedkin.grammar.words.verbs import VERBS, said_as
from reedkin.grammar.words.vocabulary import takes
from reedkin.screens.parts.keys import Key
from reedkin.screens.rooms import HELP, QUIT, REED, ROOMS

if TYPE_CHECKING:
    from reedkin.screens.parts.base import BaseScreen

GRAMMAR: tuple[tuple[str, str], ...] = (
    ("reeds", "143, or 143-148, or 143,145, or a name; 12/1 is the first that bore 12. Without any, the reed in hand"),
    ("verb", "any beginning that fits no other verb; c s w p m r n are clip scrape wire play measure retire note"),
    ("facts", "in any order; numbers take units: 1/64 in, 0.3 mm, 28 awg, 1h20, 68 F"),
    (
        "@when",
        "@yesterday, @10:30, @12 March, @15.10., @2h ago; a clear day needs no @: last tuesday, 7.30pm; "
        "p 60 mon-fri is one a day",
    ),
    ("alone", "tie, wire, tube mean as last time; scrape takes the minutes of the bench clock"),
    ("a tag", "alone, then Enter, shows that reed's whole life"),
    (
        "a room",
        "alone, such as week, leads there, and so do orders, help and quit: for where a key such as F8 does not arrive",
    ),
    ("a tour", "engage 3, 5 and 7 jan 19:30 oboe 2, or engage 3-6 jan oboe 2: an engagement on each day"),
    ("6 is 26", "gives reed 6 another tag"),
    ("take back", "strikes the last entry, as Ctrl+Z does; what is older is corrected in the diary (F10) or with F3"),
    ("Enter", "records; what is odd is asked about, and Enter again records it all the same"),
    (
        "set pedal on",
        "a page-turning pedal keeps the log: with the line empty, its right side records the scrape of the "
        "reed in hand, the minutes on the bench clock, and takes the next; its left side goes back and takes that away",
    ),
    ("Tab", "completes what is typed"),
    ("Esc", "clears the line; Ctrl+P brings it and the lines before it back, Ctrl+N the lines after"),
)
"""How an entry line is written."""


_ASKED_FOR: tuple[tuple[str, tuple[tuple[str, str], ...]], ...] = (
    ("undo mistake wrong slip", (("bench", "Ctrl+Z"), ("the entry line", "take back"), ("diary", "x"))),
    ("edit change mistake wrong", (("diary", "e"),)),
    ("delete remove found again", (("diary", "x"),)),
    ("rename renumber", (("the entry line", "6 is 26"), ("diary", "t"))),
    ("date forgot forgotten late", (("the entry line", "@when"), ("diary", "d"))),
    ("tonight which reed", (("rooms", "F6 case"),)),
    ("concert tour gig recital", (("rooms", "F7 ready"), ("the entry line", "engage"))),
    (
        "student customer colleague",
        (("the entry line", "lend"), ("the entry line", "sell"), ("the entry line", "order")),
    ),
    ("broken lost thrown away", (("the entry line", "retire"),)),
    ("colour color dark light paper background", (("the entry line", "set"),)),
    ("microphone tuner", (("the entry line", "crow"), ("bench", "Ctrl+L"))),
    ("inch inches millimetres", (("the entry line", "facts"),)),
    ("excel spreadsheet table", (("in a shell", "reedkin import"), ("in a shell", "reedkin export"))),
    ("computer laptop", (("diary", "u"), ("in a shell", "reedkin merge"))),
)
"""What people ask for who do not know the word for it here, and what that is."""

WAYS_WITHIN = {
    "reed": ("bench", "reed", ""),
    "season": ("ready", "season", ""),
    "trials": ("habits", "trials", ""),
    "circle": ("habits", "circle", ""),
    "give to a circle": ("habits", "give", ""),
    "habit": ("habits", "", "Enter on a habit"),
    "reeds": ("lives", "", "Enter on a group"),
    "help": ("bench", "help", ""),
    "find in the help": ("bench", "help", "/"),
}
"""The way to each screen that is no room, by its title: the room that leads to it, what is done there, and what is left
for her to do."""
_NUMBERS, _CAUTIONS = "what the numbers mean", "cautions"


@dataclass(frozen=True, slots=True)
class Topic:
    """
    Something that can be looked for.

    of     what it belongs to: "rooms", "bench", "the entry line".
    name   what it is called, typed or pressed; `said` what it is or does; `more` further words that find it.
    room   the room that Enter leads to, if it leads to one; there it does `action`, or puts `line` on the entry line.
    then   what is to be done there to come to it, where that hangs on which row one means.
    """

    of: str
    name: str
    said: str
    more: str = ""
    room: str = ""
    action: str = ""
    line: str = ""
    then: str = ""

    @property
    def is_to_read(self) -> bool:
        """Whether Enter shows it in the help, among what belongs to it."""
        return self.of in (_NUMBERS, _CAUTIONS)

    @property
    def words(self) -> str:
        return f"{self.of} {self.name} {self.said} {self.more}".casefold()


def topics() -> list[Topic]:
    """All topics of the full-screen program."""
    found = [Topic("rooms", f"{_shown(room.way)} {room.name}", room.about, room=room.name) for room in ROOMS.values()]
    found.append(Topic("rooms", f"{_shown(REED)} reed", REED.help, room="bench", action="reed"))
    found += [Topic("rooms", f"{_shown(key)} {key.foot}", f"{key.help}, from every room") for key in (HELP, QUIT)]
    for verb in VERBS:
        also = ", ".join(said_as(verb))
        found.append(
            Topic(
                "the entry line", verb.word, verb.example, f"{takes(verb)} {also}", room="bench", line=f"{verb.word} "
            )
        )
    found += [Topic("the entry line", left, said, room="bench") for left, said in GRAMMAR]
    found += [one for room in ROOMS.values() for one in _of_room(room.name)]
    found += _of_screens_within(set(ROOMS))
    found += [Topic(_NUMBERS, term, said) for term, said in NUMBERS]
    return asked_for([*found, *(Topic(_CAUTIONS, "mind", caution) for caution in ALL)])


def asked_for(found: Iterable[Topic]) -> list[Topic]:
    """The topics, with what those call them who do not know their words."""
    also: dict[tuple[str, str], str] = {}
    for words, names in _ASKED_FOR:
        for name in names:
            also[name] = f"{also.get(name, '')} {words}"
    return [replace(one, more=f"{one.more}{also.get((one.of, one.name), '')}") for one in found]


def _of_room(name: str) -> Iterable[Topic]:
    keys: Sequence[Key] = getattr(import_module(f"reedkin.screens.{name}"), ROOMS[name].screen).KEYS
    for key in keys:
        action = next((action for action in key.does.values() if action), "")
        yield Topic(name, key.in_full, key.help, key.foot, room=name, action=action)


def _of_screens_within(rooms: set[str]) -> Iterable[Topic]:
    """The keys of the screens that a room leads to, such as that of one reed."""
    from reedkin import screens
    from reedkin.screens.parts.base import BaseScreen

    for module in pkgutil.iter_modules(screens.__path__):
        import_module(f"reedkin.screens.{module.name}")
    inner = [one for one in _below(BaseScreen) if one.__module__.rpartition(".")[2] not in rooms and one.TITLE]
    seen: set[tuple[str, str]] = set()
    for screen in inner:
        for key in screen.KEYS:
            if (said := (str(screen.TITLE), key.in_full)) not in seen:
                seen.add(said)
                room, action, then = WAYS_WITHIN[said[0]]
                yield Topic(*said, key.help, key.foot, room, action, then=then)


def _below(kind: type[BaseScreen]) -> list[type[BaseScreen]]:
    return [one for each in kind.__subclasses__() for one in (each, *_below(each))]


def _shown(key: Key) -> str:
    return key.in_full


def holding(every: Sequence[Topic], words: str) -> list[Topic]:
    """The topics that hold all of some words, those that lead somewhere first, and of these those
    that are called so."""
    sought = words.casefold().split()
    found = [topic for topic in every if all(word in topic.words for word in sought)]
    return sorted(found, key=lambda topic: (not topic.room, not _is_called(topic, sought)))


def _is_called(topic: Topic, sought: Sequence[str]) -> bool:
    return any(topic.name.casefold().startswith(word) for word in sought)


def near(every: Sequence[Topic], words: str) -> list[str]:
    """Words of the help that are nearly one of those that nothing holds."""
    known = {piece.strip(".,;:()'\"") for topic in every for piece in topic.words.split() if len(piece) > 2}
    missing = [word for word in words.casefold().split() if word not in known]
    return [one for word in missing for one in get_close_matches(word, known, 2, 0.7)]
