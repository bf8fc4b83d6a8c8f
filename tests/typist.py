"""What becomes of keys that are typed slowly, one looked at before the next: the bench without a screen."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

from reedkin.desk import Desk
from reedkin.errors import ReedkinError

KEYS = ("backspace", "left", "right", "home", "end", "tab", "enter", "escape", "up", "down", "ctrl+z", "ctrl+p", "f2")
"""Keys that are no letters; a stroke is one of them or a character."""


class Typist:
    """Types on the bench of a desk."""

    def __init__(self, desk: Desk) -> None:
        self.desk = desk
        self.line, self._cursor = "", 0
        self._asked = self._away = False
        self._earlier: list[str] = []
        self._place: int | None = None

    def type(self, strokes: list[str]) -> None:
        for stroke in strokes:
            if not self._away or stroke == "f2":
                self._stroke(stroke)

    def _stroke(self, stroke: str) -> None:
        match stroke:
            case "backspace" if self._cursor:
                self._put(self.line[: self._cursor - 1] + self.line[self._cursor :], self._cursor - 1)
            case "left":
                self._cursor = max(0, self._cursor - 1)
            case "right" if self._cursor < len(self.line):
                self._cursor += 1
            case "right" | "tab":
                self._complete(stroke == "tab")
            case "home":
                self._cursor = 0
            case "end":
                self._cursor = len(self.line)
            case "enter":
                self._enter()
            case "escape":
                self._escape()
            case "up" | "down":
                self.desk.step(1 if stroke == "down" else -1)
            case "ctrl+z":
                self._take_back()
            case "ctrl+p" if self._earlier:
                place = len(self._earlier) if self._place is None else self._place
                self._place = max(0, place - 1)
                self._put(self._earlier[self._place])
            case "f2":
                self._away = False
            case _ if len(stroke) == 1:
                self._put(self.line[: self._cursor] + stroke + self.line[self._cursor :], self._cursor + 1)

    def _put(self, text: str, cursor: int | None = None) -> None:
        if text != self.line:
            self._asked = False
        self.line, self._cursor = text, len(text) if cursor is None else cursor

    def _complete(self, options: bool) -> None:
        completion = self.desk.complete(self.line)
        if completion.ghost:
            self._put(self.line + completion.ghost)
        elif options and completion.options:
            self._put(self.line[: completion.start] + completion.options[0] + " ")

    def _set_aside(self) -> None:
        if self.line.strip():
            self._earlier.append(self.line.strip())
        self._place = None
        self._put("")

    def _escape(self) -> None:
        if self._asked:
            self._asked = False
        elif self.line:
            self._set_aside()

    def _enter(self) -> None:
        if not self.line.strip():
            return
        reading = self.desk.read(self.line)
        if reading.lone_tag is not None:
            reed = self.desk.bench.find(reading.lone_tag)
            self._set_aside()
            if reed is not None and reed.at_work:
                self.desk.take(reed)
            self._away = True
        elif reading.takes_back:
            self._set_aside()
            self._take_back()
        elif reading.questions and not reading.errors and not self._asked:
            self._asked = True
        elif reading.ready:
            self.desk.record(reading)
            self._set_aside()

    def _take_back(self) -> None:
        try:
            typed = self.desk.take_back()[1]
        except ReedkinError:  # there is nothing to take back
            return
        if typed and not self.line:
            self._put(typed)


def strokes_of(line: str) -> list[str]:
    """The strokes of a line written with names of keys in <>."""
    strokes: list[str] = []
    while line:
        name, closed, rest = line[1:].partition(">")
        named = line[0] == "<" and closed and name in KEYS
        strokes.append(name if named else line[0])
        line = rest if named else line[1:]
    return strokes


def session(seed: int, lines: int) -> list[str]:
    """The strokes of a session typed blindly, by this seed: entries, slips that are mended, questions, taking back.
    Each kind of line comes once before any comes again: fourteen lines hold them all."""
    random = Random(seed)
    typed = ""
    left: list[int] = []
    for number in range(lines):
        tag = random.randint(1, 8)
        kinds = [
            f"{tag} note x{number}y<enter>",
            f"note x{number}y<backspace><backspace>{number}z<enter>",
            f"{tag} scrape tip {number % 30 + 1}<enter>",
            f"<down>note below {number}<enter>",
            f"<up><up>note above {number}<enter>",
            f"{tag} note odd {number}<enter><ctrl+z> again<enter>",
            f"{tag} crow 900 Hz<enter>{'<enter>' * (number % 2)}<escape><up><escape><up><down>",
            f"{tag} score 7<backspace>8<enter><ctrl+z><enter>",
            f"{tag} not<tab> t{number}<enter>",
            f"no such {number}<enter><escape><up><down>",
            f"{tag}<enter>kjk<f2>note seen {number}<enter>",
            f"ote n{number}<home>n<end>!<left><backspace>7<enter>",
            f"note once {number}<enter><ctrl+p> more<enter>",
            f"<enter><backspace>{tag} play 4<right><enter><escape><up><escape><down>",
        ]
        if not left:
            left = random.sample(range(len(kinds)), len(kinds))
        typed += kinds[left.pop()]
    return strokes_of(typed)


def written(log: Path) -> list[object]:
    """What a log holds, without what differs from run to run: identifiers and times."""
    known: dict[str, int] = {}
    found: list[object] = []
    for line in log.read_text().splitlines()[1:]:
        entry = json.loads(line)
        known[entry["id"]] = len(known)
        doc = entry["doc"]
        of = known[doc["of"]] if "of" in doc else None
        facts = sorted((doc.get("facts") or {}).items())
        found.append((doc["kind"], doc.get("tag"), facts, doc.get("note"), of))
    return found
