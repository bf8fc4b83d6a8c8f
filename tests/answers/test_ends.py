"""What ended the reeds on each tube and of each lot."""

from __future__ import annotations

from functools import cache

import pytest
from tests.domain.maker import Maker

from reedkin.answers.cane.question import CaneQuestion
from reedkin.answers.question import Asked
from reedkin.answers.tubes.question import Tubes, TubesQuestion
from reedkin.study.ticks import no_tick


@cache
def _asked() -> Asked:
    """Ten reeds on tube T1, of lot 7, that leak after 2 to 4 hours; thirty on others that wear out after 10 to 14."""
    maker = Maker()
    for place in range(40):
        bad = place % 4 == 0
        tube, lot = ("T1", "7") if bad else (f"T{2 + place}", "8")
        hours = 2 + place % 3 if bad else 10 + place % 5
        maker.type(f"{place + 1} tie oboe 72 tube {tube} 47 lot {lot}", f"{place + 1} play {hours}h 7")
        maker.type(f"{place + 1} retire {'leaking' if bad else 'worn'}")
    return Asked(maker.bench)


@pytest.fixture(scope="module")
def tubes() -> Tubes:
    return TubesQuestion(ends=True).answer(_asked(), no_tick)


def test_what_ended_the_reeds_on_a_tube_and_how_long_they_lasted(tubes: Tubes) -> None:
    ends = tubes.ends["T1"]
    assert (ends.causes, ends.leaked) == ({"leaking": 10}, 10)
    assert (ends.median, ends.others) == (3, 12)


def test_a_tube_whose_reeds_all_leak_early_matters_and_one_with_a_single_reed_tells_nothing(tubes: Tubes) -> None:
    bad, single = tubes.ends["T1"], tubes.ends["T3"]
    assert bad.effect is not None
    assert bad.effect.hazard_ratio > 5
    assert bad.chance is not None
    assert bad.chance > 0.95
    assert (single.effect, single.chance, single.causes) == (None, None, {"worn": 1})


def test_the_same_of_lots() -> None:
    found = CaneQuestion(ends=True).answer(_asked(), no_tick)
    by_lot = {one["lot"]: one["ends"] for one in found.to_json()["lots"]}
    assert by_lot["7"]["leaked"] == 10
    assert by_lot["7"]["hazard_ratio"] > 1 > by_lot["8"]["hazard_ratio"]
    assert any("chance that it matters" in line for line in found.lines())


def test_tubes_told_with_their_ends(tubes: Tubes) -> None:
    lines = tubes.lines()
    assert "  10 ends: 10 leaking; half last 3 h, of others 12 h" in lines
    told = {one["tube"]: one["ends"] for one in tubes.to_json()["tubes"]}
    assert told["T1"]["leaked"] == 10
