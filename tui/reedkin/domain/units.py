"""Quantities as a maker writes them ("1/64 in", "0,3 mm", "1h20", "68 F") turned into the unit a fact is kept in.

Plain numbers and the kept unit itself need no pint; anything else is converted by a small registry of the units
the trade uses, made when it is first needed.
"""

from __future__ import annotations

import re
from fractions import Fraction
from functools import cache
from math import isfinite, log
from typing import TYPE_CHECKING

from reedkin.errors import InputError

if TYPE_CHECKING:
    from pint import UnitRegistry

# The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
_DEFINITIONS = """
meter = [length] = m = metre
millimeter = 0.001 meter = mm = millimetre
centimeter = 0.01 meter = cm = centimetre
micrometer = 0.000001 meter = um = micrometre
inch = 25.4 millimeter = in
thou = 0.001 inch = mil
minute = [time] = min
second = minute / 60 = s = sec
hour = 60 minute = h = hr
day = 24 hour = d
kelvin = [temperature] = K
degree_Celsius = kelvin; offset: 273.15 = degC
degree_Fahrenheit = 5 / 9 * kelvin; offset: 233.15 + 200 / 9 = degF
gram = [mass] = g
kilogram = 1000 gram = kg
ounce = 28.349523125 gram = oz
pound = 16 ounce = lb
hertz = 1 / second = Hz
"""

SPELLINGS = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeter": "mm", "millimeters": "mm",
    "cm": "cm", "um": "um", "µm": "um", "μm": "um", "in": "in", "inch": "in", "inches": "in", '"': "in",
    "thou": "thou", "mil": "thou", "mils": "thou",
    "m": "min", "'": "min", "′": "min", "min": "min", "mins": "min", "minute": "min", "minutes": "min",
    "s": "s", "sec": "s",
    "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "d": "d", "day": "d", "days": "d",
    "c": "degC", "°c": "degC", "degc": "degC", "f": "degF", "°f": "degF", "degf": "degF", "k": "K",
    "℃": "degC", "℉": "degF", "degrees": "degC", "degree": "degC", "celsius": "degC", "fahrenheit": "degF",
    "%": "%", "percent": "%", "rh": "%", "%rh": "%",
    "g": "g", "gram": "g", "grams": "g", "kg": "kg", "kilo": "kg", "kilos": "kg", "oz": "oz", "lb": "lb", "hz": "Hz",
    "awg": "awg", "ga": "awg", "gauge": "awg",
}  # fmt: skip
"""How makers write units, in lower case, and what pint or we call them."""

_SHOWN = {"degC": "°C", "degF": "°F"}

# A whole number and a fraction together only as rulers have them: "45 8/10" is two numbers.
NUMBER = r"(?:\d+ \d/(?:2|4|8)|\d+ \d\d?/(?:16|32|64)|\d+/\d+|\d+(?:[.,]\d*)?|[.,]\d+)"
_QUANTITY = re.compile(rf"([+-]?{NUMBER})\s*([^\d\s.,;@+-][^\s\d;@]*)?")
_HOURS_MINUTES = re.compile(
    r"(\d{1,4})h([0-5]?\d)(?:m|min)?|(\d{1,4}):([0-5]\d)(?::[0-5]\d)?(?:\s?(?:h|hrs?|hours?))?"
    r"|(\d{1,4})\s*(?:h|hrs?|hours?)\s*(?:and\s+|,\s*)?([0-5]?\d)\s*(?:m|mins?|minutes?)"
    r"|(\d{1,4}) (?:h|hrs?|hours?) ([1-5]\d)",
    re.IGNORECASE,
)
"""Hours and minutes, whose seconds are let go, as spreadsheets write them ("1:45:00"); apart only where the minutes say
so, since "1h 8" is an hour, and 8 of something else; "1 hour 20" and "1 h 20" have more of them than a score."""


_OF_MOST = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:/|out of|of)\s*(\d+)", re.IGNORECASE)
_AND_A_HALF = re.compile(r"\d+ \d/[248]")
_MOST_OF_A_SCORE = (5, 10, 20, 100)
"""What people score up to (common practice, no source); 1/2 is none."""


@cache
def registry() -> UnitRegistry[float]:
    """The registry of the trade's units (loads in milliseconds, where pint's default takes hundreds)."""
    from pint import UnitRegistry

    return UnitRegistry(_DEFINITIONS.strip().splitlines(), autoconvert_offset_to_baseunit=True)


def unit_named(word: str) -> str | None:
    """The unit that `word` spells, or None."""
    return SPELLINGS.get(word.lower())


def number(text: str) -> float:
    """A number as written: "7", ".5", "0,5", "1/64", "1 1/2". Raises InputError."""
    whole, _, fraction = text.strip().rpartition(" ")
    try:
        if "/" in fraction:
            value = float(Fraction(fraction) + (Fraction(whole) if whole else 0))
        else:
            value = float(text.replace(",", "."))
    except (ValueError, ZeroDivisionError, OverflowError):
        raise InputError(f"{text} is not a number; write 7, .5 or 1/64") from None
    if not isfinite(value):
        raise InputError(f"{text} is more than can be")
    return value


def of_ten(text: str) -> float:
    """A score as written, of 0 to 10: "7", "6.5/10", "4/5", "15 out of 20". Raises InputError."""
    match = _OF_MOST.fullmatch(text.strip())
    if match is None and ("/" not in text or _AND_A_HALF.fullmatch(text)):
        return number(text)
    score, most = (number(match[1]), int(match[2])) if match is not None else (0, 0)
    if most not in _MOST_OF_A_SCORE or score > most:
        raise InputError(f"{text} is no score; write one of 0 to 10")
    return score * 10 / most


def convert(value: float, unit: str, kept: str) -> float:
    """`value` in `unit` (as `unit_named` calls it) in the unit `kept`; both lengths, or both times, and so on.

    Raises InputError where one is not a measure of the other's kind.
    """
    if unit == kept:
        return value
    wrong = InputError(f"{_SHOWN.get(unit, unit)} does not measure this; write {_shown(kept)}")
    if "%" in (unit, kept) or "awg" in (unit, kept) or not kept:
        raise wrong
    from pint import DimensionalityError

    units = registry()
    try:
        converted = float(units.Quantity(value, unit).to(kept).magnitude)
    except DimensionalityError:
        raise wrong from None
    if not isfinite(converted):
        raise InputError(f"{value:g} {unit} is more than can be")
    return round(converted, 6)


def _shown(unit: str) -> str:
    return f"it in {_SHOWN.get(unit, unit)}" if unit else "a plain number"


def quantity(text: str, kept: str) -> float:
    """The number that `text` gives in the unit `kept`; without a unit it is in `kept` already.

    `kept` is one of mm, min, h, degC, %, g, awg, Hz or "" (a plain number). Raises InputError.
    """
    text = text.strip()
    if kept in ("min", "h") and (match := _HOURS_MINUTES.fullmatch(text)):
        hours, minutes = (int(group) for group in match.groups() if group)
        total = hours * 60 + minutes
        return total if kept == "min" else total / 60
    match = _QUANTITY.fullmatch(text)
    if match is None:
        raise InputError(f"{text} is not a measure; write a number with or without a unit")
    value = number(match[1].lstrip("+-")) * (-1 if match[1].startswith("-") else 1)
    if match[2] is None:
        return value
    unit = unit_named(match[2])
    if unit is None:
        raise InputError(f"{match[2]} is not a unit known here; write {_shown(kept)}")
    return convert(value, unit, kept)


def awg_mm(gauge: int) -> float:
    """The diameter in mm of an American wire gauge (ASTM B258): 0.127 mm x 92^((36 - n)/39)."""
    return float(0.127 * 92 ** ((36 - gauge) / 39))


def awg_near(diameter_mm: float) -> int:
    """The gauge number whose wire is nearest to a diameter in mm (ASTM B258). Raises InputError if it is no wire."""
    if not 0.01 < diameter_mm < 6:
        raise InputError(f"{diameter_mm:g} mm is not a wire's thickness")
    return round(36 - 39 * log(diameter_mm / 0.127) / log(92))
