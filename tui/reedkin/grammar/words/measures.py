"""Measures in an entry line: one to four words that together are a number with its unit."""

from __future__ import annotations

import re
from collections.abc import Sequence

from reedkin.domain.facts import Fact
from reedkin.domain.units import awg_near, of_ten, quantity
from reedkin.errors import InputError
from reedkin.grammar.words.tokens import Token

_NUMERIC = re.compile(r"[+-]?[.,]?\d")
_PLAIN = re.compile(r"[+-]?[\d.,/]+")
_MINUTES = re.compile(r"([+-]?[\d.,/]+) ?(?:m|mins?|minutes?)?")
_GAUGE = re.compile(r"(\d\d) ?ga?\.?", re.IGNORECASE)
_HUNDREDTHS = re.compile(r"[4-9]\d")
_STOPPED = re.compile(r"\d*[.,]\d+\.")
_STOPS = (".", ",", ":", ";", "!", ")")
_LONGEST = 5
"""Words: "1 hour and 20 min"."""
_THINNEST_GAUGE = 5
"""A plain number below it is a wire's thickness in mm, not its gauge."""


def is_numeric(token: Token) -> bool:
    """Whether a word begins as a number does."""
    return token.kind == "word" and _NUMERIC.match(token.text) is not None


def is_plain(token: Token) -> bool:
    """Whether a word is a number without a unit."""
    return token.kind == "word" and _PLAIN.fullmatch(token.text) is not None


def measure_at(words: Sequence[Token], place: int, fact: Fact) -> tuple[float, int]:
    """The value of `fact` that begins at `place`, and how many words it takes: as many as make sense together.

    Raises InputError if the word there is no such measure.
    """
    group: list[str] = []
    for token in words[place : place + _LONGEST]:
        if token.kind != "word" or (group and "/" not in group[-1] and no_inch(words, token)):
            break  # .1 in the break, and not 1/64 in
        group.append(token.text)
    error = InputError(f"{fact.words} takes a number")
    for count in range(len(group), 0, -1):
        try:
            return _value(" ".join(group[:count]), fact), count
        except InputError as problem:
            error = problem
    raise error


def no_inch(words: Sequence[Token], token: Token) -> bool:
    """Whether a word is "in" before something that is no measure: "in the break"."""
    behind = next((word.text.lower() for word in words if word.start >= token.end), "")
    return token.text == "in" and behind in ("the", "a", "an", "my", "our")


def _value(text: str, fact: Fact) -> float:
    text = text[:-1] if text[-1:] in _STOPS and text[-2:-1].isalpha() else text  # the end of a sentence
    text = text[:-1] if _STOPPED.fullmatch(text) else text
    if fact.name == "gauge_awg":
        return _gauge(text)
    if fact.is_score and "/" in text:
        return of_ten(text)
    if fact.name == "gouge_mm" and _HUNDREDTHS.fullmatch(text):
        return int(text) / 100  # "gouge 58", as one says it
    value = quantity(text, fact.measure)
    if fact.name == "minutes" and value != round(value) and (said := _MINUTES.fullmatch(text)):
        raise InputError(f"{said[1]} is no whole number of minutes; for hours write {said[1]} h")
    if fact.type == "whole" and (value == round(value) or fact.unit == "min"):
        return round(value)
    return value


def _gauge(text: str) -> float:
    """A wire's gauge, which may also be given by its thickness: "0.32 mm", ".0126 in"."""
    if short := _GAUGE.fullmatch(text):
        return int(short[1])  # 28g
    try:
        gauge = quantity(text, "awg")
    except InputError:
        try:
            return awg_near(quantity(text, "mm"))
        except InputError:
            raise InputError(f"{text} is not a wire's gauge; write 28 awg or 0.32 mm") from None
    if gauge < _THINNEST_GAUGE and gauge != round(gauge):
        return awg_near(gauge)
    return round(gauge) if gauge == round(gauge) else gauge
