"""Instruments and their starting targets. The figures are common practice, no source; those so marked in the module are
from memory."""

from __future__ import annotations

from dataclasses import replace

import pytest

from reedkin.domain.checks import judge
from reedkin.domain.instruments import SHORT_NAMES, instrument_named, starting_targets, with_changes
from reedkin.domain.units import awg_mm
from reedkin.domain.words import INSTRUMENTS


@pytest.mark.parametrize(
    ("text", "instrument"),
    [
        ("eh", "english horn"), ("EH", "english horn"), ("english", "english horn"), ("English  Horn", "english horn"),
        ("cor", "english horn"), ("cor anglais", "english horn"), ("ob", "oboe"), ("o", "oboe"), ("oboe", "oboe"),
        ("oboe d'amore", "oboe d'amore"), ("oboe d’amore", "oboe d'amore"), ("oboe d", "oboe d'amore"),
        ("damore", "oboe d'amore"), ("da", "oboe d'amore"), ("bass", "bass oboe"), ("bo", "bass oboe"),
        ("bassoon", None), ("", None), ("x", None), ("60", None),
    ],
)  # fmt: skip
def test_names(text: str, instrument: str | None) -> None:
    assert instrument_named(text) == instrument


def test_short_names_name_their_instrument() -> None:
    assert {instrument_named(short): name for name, short in SHORT_NAMES.items()} == {n: n for n in INSTRUMENTS}


def test_english_horn_by_the_targets() -> None:
    targets = starting_targets("english horn")
    assert targets.overall_mm - targets.tube_mm == 33
    assert targets.tip_from_mm - targets.heart_from_mm == 7
    assert targets.overall_mm - targets.tip_from_mm == 9.5
    assert targets.gauge_awg is not None
    assert round(awg_mm(int(targets.gauge_awg)), 4) == 0.3211  # ASTM B258
    assert targets.tubing_mm == 5


def test_oboe_by_the_targets() -> None:
    targets = starting_targets("oboe")
    assert (targets.overall_mm, targets.tube_mm) == (72, 47)
    assert targets.gauge_awg is None
    assert targets.tubing_mm is None


@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_a_reed_made_to_the_targets_is_nothing_odd(instrument: str) -> None:
    targets = starting_targets(instrument)
    facts = {
        "instrument": instrument, "overall_mm": targets.overall_mm, "tube_mm": targets.tube_mm,
        "gouge_mm": targets.gouge_mm, "tip_from_mm": targets.tip_from_mm, "heart_from_mm": targets.heart_from_mm,
    }  # fmt: skip
    assert judge("joined", facts, None, targets=targets) == []


def test_the_maker_changes_what_she_aims_at() -> None:
    targets = starting_targets("oboe")
    assert with_changes(targets, {"overall_mm": 71.5, "note": "for summer"}) == replace(targets, overall_mm=71.5)
