"""From an event to the entry line that records it: for amending, and to check that the grammar can say everything."""

from __future__ import annotations

from datetime import datetime

from reedkin.domain.entry.tokens import quoted
from reedkin.domain.entry.verbs import Slot, Verb, verb_of
from reedkin.domain.facts import FACTS, Facts, Value


def as_line(kind: str, facts: Facts, at: datetime | None = None, note: str = "") -> str:
    """The entry line (without a tag) that reads back to these facts, time and note."""
    preset = facts.get("terms")
    verb = verb_of(kind, str(preset) if preset is not None else None)
    words = [verb.word, *_words(verb, facts)]
    if at is not None:
        words.append(f"@{at.isoformat(timespec='seconds')}")
    if note:
        words.append(quoted(note))
    return " ".join(words)


def _words(verb: Verb, facts: Facts) -> list[str]:
    words = []
    slots = {slot.fact: slot for slot in verb.slots}
    for name, value in facts.items():
        if name in verb.preset and verb.preset[name] == value:
            continue
        if name == "tube_mm" and "tube" in facts:
            continue
        slot = slots.get(name) or (slots.get("tube") if name == "tube_mm" else None)
        if name == "tube" and slot is not None:
            length = facts.get("tube_mm")
            words += ["tube", quoted(f"{value}"), *([_plain(length)] if length is not None else [])]
        elif slot is None:
            words += [quoted_word(str(value))] if verb.text == name else []
        else:
            words += _slot_words(slot, name, value)
    return words


def _slot_words(slot: Slot, name: str, value: Value) -> list[str]:
    for word, flag in slot.flags.items():
        if flag == value and type(flag) is type(value) and (name != "tubing_mm" or value == 0):
            return [word]
    if isinstance(value, tuple):
        return list(value)
    unit = FACTS[name].unit
    text = _plain(value)
    if slot.bare and not slot.words:
        needs_unit = name == "minutes"
        return [text + ("min" if needs_unit and unit else "")]
    if isinstance(value, str) and name not in ("instrument", "crow", "setting", "cause", "terms", "wire"):
        text = quoted(value)
    return [slot.words[0], text] if slot.words else [text]


def quoted_word(text: str) -> str:
    """Words that a verb's free text takes; kept as they are where they cannot be mistaken."""
    return text


def _plain(value: Value | None) -> str:
    if isinstance(value, float):
        return repr(value) if value != int(value) else str(int(value))
    return str(value)
