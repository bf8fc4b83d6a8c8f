"""Where a log that is new begins: with what its circle knows of lives and blanks, and says so."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from msgspec.structs import replace as replaced
from tests.answers.logs import BEGUN, NOW, Log, bench
from tests.shares import share

from reedkin.answers.case.case import case, case_text
from reedkin.answers.circle.giving import share_of
from reedkin.answers.hours_left.outlook import HoursLeft, Outlook
from reedkin.answers.question import Asked
from reedkin.answers.ready.forecast import Wish, readiness
from reedkin.answers.yields.question import YieldsQuestion
from reedkin.bench.bench import Bench
from reedkin.store.circle.shares import LivesShare, write_share
from reedkin.study.ticks import no_tick


def rows(worn: int = 0) -> list[dict[str, object]]:
    """A log with one reed in service, and so many of 12 hours that were worn out before."""
    found: list[dict[str, object]] = []
    for number in range(worn):
        found += Log(f"old{number}", overall_mm=72.0).play(720).retire().rows
    return [*found, *Log("1", overall_mm=72.0).play(60).rows]


def logged(folder: Path, worn: int = 0) -> Bench:
    made = bench(rows(worn))
    made.circle = folder
    return made


def circle(folder: Path, *lives: LivesShare) -> Path:
    folder.mkdir(exist_ok=True)
    for place, one in enumerate(lives, 1):
        write_share(folder / f"maker{place}.json", share(place, lives=(one,), reeds=400, retired=300))
    return folder


def long_lives(half: int = 30) -> list[LivesShare]:
    return [LivesShare("oboe", 60, 40, (half - 8, half + more, half + 12), (40, 50)) for more in range(6)]


def left(made: Bench) -> HoursLeft:
    reed = made.find("1")
    assert reed is not None
    found = Outlook.of_bench(made).left(reed)
    assert found is not None
    return found


def test_hours_left_lean_on_the_circle_and_say_so(tmp_path: Path):
    none, others = logged(tmp_path / "none"), logged(circle(tmp_path / "circle", *long_lives()))
    assert left(others).middle > 1.7 * left(none).middle
    assert left(none).before is None
    assert left(others).usual
    reed = others.find("1")
    assert reed is not None
    assert "your circle of 6 makers, where half last 3" in Outlook.of_bench(others).sentence(reed)
    said = case_text(case(others), NOW)
    assert "* none of yours is worn out yet: by your circle of 6 makers" in said[-1]
    assert "by common practice" in case_text(case(none), NOW)[-1]


def test_her_own_reeds_have_the_last_word(tmp_path: Path):
    folder = circle(tmp_path / "circle", *long_lives())
    new, few, many = (left(logged(folder, worn)) for worn in (0, 4, 25))
    assert new.middle > few.middle > many.middle
    assert many.middle == pytest.approx(left(logged(tmp_path / "none", 25)).middle, rel=0.12)


def test_the_study_and_what_counts_alone_give_the_same(tmp_path: Path):
    made = logged(circle(tmp_path / "circle", *long_lives()), 3)
    asked, reed = Asked(made), made.find("1")
    assert reed is not None
    assert asked.study.lives
    assert Outlook.of(asked).left(reed) == left(made)


def test_one_other_maker_is_no_common_practice_nor_is_a_broken_file_in_the_way(tmp_path: Path):
    folder = circle(tmp_path / "circle", long_lives()[0])
    (folder / "broken.json").write_text("{")
    assert left(logged(folder)).before is None


def test_her_own_old_file_is_not_another_maker(tmp_path: Path):
    folder = circle(tmp_path / "circle", long_lives()[0])
    made = logged(folder, 12)
    mine = share_of(Asked(made).study, made)
    assert mine.lives[0].left_after[1] == 12
    write_share(folder / "mine.json", mine)
    assert left(made).before is None
    write_share(folder / "second.json", replaced(mine, marks=("0" * 12,)))
    found = left(made).before
    assert found is not None
    assert found.makers == 2


def test_readiness_and_yield_lean_on_the_circle_and_say_so(tmp_path: Path):
    poor = [LivesShare("oboe", 60, 40, (8, 12, 16), (5, 50))] * 4
    none, others = logged(tmp_path / "none"), logged(circle(tmp_path / "circle", *poor))
    wish = Wish("oboe", 2, (NOW + timedelta(days=60)).date())
    without, with_them = readiness(none, wish), readiness(others, wish)
    assert with_them.by_blanks[3] < without.by_blanks[3] - 0.2
    said = " ".join(with_them.leans)
    assert "your circle of 4 makers, of whose blanks 11% come good" in said
    assert "your circle of 4 makers, where half last 12 h" in said
    lines = YieldsQuestion().answer(Asked(others), no_tick).lines()
    assert any("oboe: 11% of the blanks of your circle come good (200 of 4 makers)" in line for line in lines)
    assert not any("circle" in line for line in YieldsQuestion().answer(Asked(none), no_tick).lines())
    assert BEGUN < NOW
