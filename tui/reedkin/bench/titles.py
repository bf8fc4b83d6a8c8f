"""What the titles of a calendar mean: which word stands for which instrument, setting and number of reeds.

The usual words of the trade are known from the start; the maker's own come before them and are kept in the log.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import NamedTuple

from reedkin.bench.bench import Bench
from reedkin.bench.engagements import USUAL_REEDS
from reedkin.domain.facts import Value
from reedkin.domain.figures import plural
from reedkin.domain.known import whole, word
from reedkin.domain.words import spelt

CALENDAR = "calendar"
"""The table of the maker's own words; each is a subject."""
_USUAL = {
    "performance": "performance concert recital gig opera mass service wedding matinee show premiere konzert "
    "musical ballet pit audition recording broadcast",
    "rehearsal": "rehearsal rehearse dress sectional sitzprobe generalprobe probe",
    "lesson": "lesson lessons masterclass unterricht",
    "practice": "practice practise etudes scales warm-up warmup",
}
"""Words of a title that tell what is played (common practice, no source)."""
_SETTING_OF = {word: setting for setting, words in _USUAL.items() for word in words.split()}
_INSTRUMENTS = {
    "english horn": "english horn", "cor anglais": "english horn", "eh": "english horn", "oboe": "oboe",
    "oboe d'amore": "oboe d'amore", "d'amore": "oboe d'amore", "oboe damore": "oboe d'amore", "bass oboe": "bass oboe",
}  # fmt: skip
_WORD = re.compile(r"[^\W_]+(?:'[^\W_]+)*")


class Meaning(NamedTuple):
    """What a title means, as far as its words tell; `words` are those that do."""

    words: tuple[str, ...]
    instrument: str = ""
    setting: str = ""
    reeds: int | None = None

    @property
    def wanted(self) -> int:
        """How many reeds are wanted for it."""
        return USUAL_REEDS.get(self.setting, 1) if self.reeds is None else self.reeds


class Titles:
    """The words that a maker's calendar uses, and what they mean."""

    def __init__(self, bench: Bench, further: Mapping[str, Mapping[str, Value]] | None = None) -> None:
        """`further` are words that are said now, and come before those of the log."""
        said = {**bench.beside.subjects(CALENDAR), **(further or {})}
        self.own = {subject: facts for subject, facts in said.items() if facts}

    def meaning(self, title: str) -> Meaning | None:
        """What a title means; None where it is no engagement, since no word of it tells that it is one, or one of the
        maker's own says that it is none. Her own words come first, of them the longest."""
        text = f" {title_key(title)} "
        said = sorted((key for key in self.own if f" {key} " in text), key=lambda key: (-len(key), key))
        if any(self.own[key].get("nothing") is True for key in said[:1]):
            return None
        if not said and _TYING.fullmatch(text):
            return None
        facts: dict[str, Value] = {}
        for key in reversed(said):
            facts.update({name: value for name, value in self.own[key].items() if name != "nothing"})
        words = list(said)
        for name, found in (("setting", _usual(text)), ("instrument", _instrument(text))):
            if name not in facts and found is not None:
                words.append(found[0])
                facts[name] = found[1]
        if not words:
            return None
        return Meaning(
            tuple(words), word(facts, "instrument") or "", word(facts, "setting") or "performance",
            whole(facts, "reeds"),
        )  # fmt: skip

    def told(self) -> Iterator[str]:
        """The maker's own words and what each means, a line for each."""
        for key, facts in sorted(self.own.items()):
            yield f"{key}: {meaning_words(facts)}"


def tying_title(blanks: int, instrument: str) -> str:
    """The title of a day in a calendar on which so many blanks are to be tied; of none, that they are no more."""
    blank = f"{spelt(instrument)} blank"
    return f"Tie {plural(blanks, blank)}" if blanks else f"No {blank}s to tie any more"


_TYING = re.compile(r" (?:tie \d+ .*blanks?|no .*blanks to tie any more) ")
"""Such titles: a telephone on which they are tells them together with the concerts."""


def meaning_words(facts: Mapping[str, Value]) -> str:
    """What a word of hers means."""
    if facts.get("nothing") is True:
        return "no engagement"
    reeds = whole(facts, "reeds")
    said = [
        spelt(word(facts, "instrument") or ""),
        None if reeds is None else f"{reeds} reeds",
        word(facts, "setting"),
    ]
    return ", ".join(one.replace("1 reeds", "1 reed") if reeds == 1 else one for one in said if one)


def title_key(text: str) -> str:
    """The words of a title in one form, whatever its case and its marks."""
    return " ".join(_WORD.findall(text.casefold().replace("’", "'")))


def _usual(text: str) -> tuple[str, str] | None:
    """The word that tells the setting; a rehearsal of a mass is a rehearsal."""
    for setting in ("rehearsal", "lesson", "practice", "performance"):
        for one in _USUAL[setting].split():
            if f" {one} " in text:
                return one, setting
    return None


def setting_word(word: str) -> str | None:
    """The setting that a word of a title tells; None where it tells none."""
    return _SETTING_OF.get(word.lower())


def _instrument(text: str) -> tuple[str, str] | None:
    fits = [name for name in _INSTRUMENTS if f" {name} " in text]
    longest = max(fits, key=len, default=None)
    return None if longest is None else (longest, _INSTRUMENTS[longest])
