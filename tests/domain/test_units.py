"""Units, against the standards that define them and against pint's own registry."""

from __future__ import annotations

import re
import subprocess
import sys
from math import isfinite

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedkin.domain.units import awg_mm, awg_near, convert, number, quantity, registry, unit_named
from reedkin.errors import InputError

INCH_MM = 25.4
"""Exactly: international yard and pound agreement, 1959."""


# ASTM B258, standard specification for nominal diameters of solid round wires: AWG 36 is 0.0050 in and AWG 0000 is
# 0.4600 in by definition; the others as tabulated there, in mm.
@pytest.mark.parametrize(
    ("gauge", "diameter_mm", "places"),
    [(36, 0.127, 9), (-3, 0.46 * INCH_MM, 9), (28, 0.3211, 4), (26, 0.4049, 4), (24, 0.5106, 4), (30, 0.2546, 4)],
)
def test_wire_gauge_to_mm(gauge: int, diameter_mm: float, places: int) -> None:
    assert round(awg_mm(gauge), places) == pytest.approx(diameter_mm, abs=1e-9)


def test_28_gauge_in_inches() -> None:
    assert round(awg_mm(28) / INCH_MM, 4) == 0.0126  # ASTM B258


@given(st.integers(10, 40))
def test_a_thickness_gives_its_gauge_back(gauge: int) -> None:
    assert awg_near(awg_mm(gauge)) == gauge
    assert awg_near(round(awg_mm(gauge), 3)) == gauge


@pytest.mark.parametrize("diameter_mm", [0, 0.01, 6, 100])
def test_what_is_no_wire(diameter_mm: float) -> None:
    with pytest.raises(InputError, match="not a wire"):
        awg_near(diameter_mm)


@pytest.mark.parametrize(
    ("text", "kept", "value"),
    [
        ("7", "mm", 7),
        (".5", "mm", 0.5),
        ("0,5", "mm", 0.5),
        (",5", "mm", 0.5),
        ("5.", "mm", 5),
        ("0.3 mm", "mm", 0.3),
        ("0.3mm", "mm", 0.3),
        ("+0.3 mm", "mm", 0.3),
        ("-2 mm", "mm", -2),
        ("1 in", "mm", INCH_MM),
        ("1/64 in", "mm", INCH_MM / 64),
        ('1/64"', "mm", INCH_MM / 64),
        ("1 1/2 in", "mm", 1.5 * INCH_MM),
        ("2 cm", "mm", 20),
        ("400 µm", "mm", 0.4),
        ("10 thou", "mm", 0.254),
        ("45", "min", 45),
        ("45m", "min", 45),
        ("1h", "min", 60),
        ("1h20", "min", 80),
        ("1h20m", "min", 80),
        ("1 h 20 min", "min", 80),
        ("1:05", "min", 65),
        ("90 s", "min", 1.5),
        ("5h30", "h", 5.5),
        ("30 min", "h", 0.5),
        ("68 F", "degC", 20),  # (F - 32) / 1.8: NIST SP 811, appendix B.8
        ("-40 F", "degC", -40),
        ("212°F", "degC", 100),
        ("293.15 K", "degC", 20),
        ("21 C", "degC", 21),
        ("45%", "%", 45),
        ("28 awg", "awg", 28),
        ("28 gauge", "awg", 28),
        ("1 lb", "g", 453.59237),  # exactly: international yard and pound agreement, 1959
        ("1 oz", "g", 28.349523),
        ("442 Hz", "Hz", 442),
    ],
)
def test_quantities_as_makers_write_them(text: str, kept: str, value: float) -> None:
    assert quantity(text, kept) == pytest.approx(value, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "kept", "message"),
    [
        ("five", "mm", "five is not a measure"),
        ("", "mm", "is not a measure"),
        ("1h 8", "min", "1h 8 is not a measure"),  # an hour, and 8 of something else
        ("45 8/10", "", "is not a measure"),  # two numbers; 45 7/8 would be one
        ("5 furlongs", "mm", "furlongs is not a unit known here; write it in mm"),
        ("5 min", "mm", "min does not measure this; write it in mm"),
        ("5 mm", "min", "mm does not measure this; write it in min"),
        ("20 %", "degC", "% does not measure this; write it in °C"),
        ("7 g", "", "g does not measure this; write a plain number"),
        ("1/0", "mm", "1/0 is not a number"),
        ("9" * 400, "mm", "more than can be"),
        (f"{'9' * 5000}/7", "mm", "is not a number"),
    ],
)
def test_what_is_no_quantity_says_what_to_write(text: str, kept: str, message: str) -> None:
    with pytest.raises(InputError, match=re.escape(message)):
        quantity(text, kept)


@given(st.text(max_size=12), st.sampled_from(["mm", "min", "h", "degC", "%", "g", "awg", "Hz", ""]))
def test_any_text_gives_a_number_or_an_input_error(text: str, kept: str) -> None:
    try:
        value = quantity(text, kept)
    except InputError:
        return
    assert isfinite(value)


@given(st.integers(0, 10**6), st.integers(0, 5))
def test_decimals_with_a_comma_are_decimals(digits: int, places: int) -> None:
    text = f"{digits / 10**places:.{places}f}"
    assert number(text.replace(".", ",")) == number(text) == float(text)


# pint's registry as it comes is the reference: each unit of the small one converts as there.
@pytest.mark.parametrize(
    ("unit", "kept", "value"),
    [
        ("in", "mm", 3.7), ("thou", "mm", 12), ("cm", "mm", 1.1), ("um", "mm", 355), ("h", "min", 1.25),
        ("s", "min", 100), ("d", "h", 2), ("min", "h", 50), ("degF", "degC", 70.3), ("K", "degC", 300), ("oz", "g", 9),
        ("lb", "g", 0.5), ("kg", "g", 0.3),
    ],
)  # fmt: skip
def test_the_small_registry_agrees_with_the_whole_one(unit: str, kept: str, value: float) -> None:
    whole = _whole()
    assert convert(value, unit, kept) == pytest.approx(float(whole.Quantity(value, unit).to(kept).magnitude), abs=1e-6)


def _whole() -> pint.UnitRegistry[float]:
    return pint.get_application_registry().get()


def test_the_registry_is_small() -> None:
    assert hasattr(_whole(), "parsec")
    assert not hasattr(registry(), "parsec")
    assert hasattr(registry(), "inch")


@pytest.mark.parametrize(("word", "unit"), [("MM", "mm"), ("Hours", "h"), ("°F", "degF"), ("ga", "awg"), ("ell", None)])
def test_spellings(word: str, unit: str | None) -> None:
    assert unit_named(word) == unit


def test_a_plain_line_loads_neither_pint_nor_a_screen() -> None:
    code = (
        "import sys; from datetime import datetime, UTC\n"
        "from reedkin.bench.bench import Bench; from reedkin.domain.clock import FixedClock\n"
        "from reedkin.grammar.reading import read\n"
        "bench = Bench.of(FixedClock(datetime(2026, 1, 1, tzinfo=UTC)))\n"
        "assert read('12 tie eh 60 mm; scrape 10 min', bench).ready\n"
        "assert not {'pint', 'numpy', 'textual', 'tinydb'} & set(sys.modules), sys.modules\n"
    )
    subprocess.run([sys.executable, "-c", code], check=True, env={"PYTHONPATH": ":".join(sys.path)})
