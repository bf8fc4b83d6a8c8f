"""Hours left of a reed: one figure everywhere, whose range holds four times in five."""

from __future__ import annotations

import random

import pytest
from tests.answers.logs import Log, bench
from tests.benchmarks.hours_left import WORLDS, error, knowing_error, told
from tests.domain.maker import Maker

from reedkin.answers.case.case import case, in_case_as_dict
from reedkin.answers.hours_left.outlook import HoursLeft, Outlook, left_words, span_words
from reedkin.answers.hours_left.remaining import remaining_as_dict
from reedkin.study.study import Study
from reedkin.survival.arrays import FloatArray
from reedkin.survival.life_law import LifeLaw


def left(maker: Maker, tag: str) -> HoursLeft:
    found = Outlook.of_bench(maker.bench).left(maker.reed(tag))
    assert found is not None
    return found


def worn(maker: Maker, first: int, lives: list[float], instrument: str = "eh 60") -> None:
    """Reeds of these lives in hours, played three times each, scored 8, 7.5 and 5."""
    for number, life in enumerate(lives, start=first):
        part = round(life * 20)
        plays = "; ".join(f"play {part} {score}" for score in (8, 7.5, 5))
        maker.type(f"{number} tie {instrument}; {plays}; retire worn")


def test_the_range_holds_four_times_in_five_whatever_the_makers_are_like() -> None:
    """A small version of `tests.benchmarks.hours_left`, of every third kind and of the same seeds each time."""
    found = [one for world in list(WORLDS.values())[::3] for one in told(world, 3000)]
    assert len(found) > 50
    held = sum(one.held for one in found) / len(found)
    assert 0.75 <= held <= 0.88
    assert error(found) < knowing_error(found)


def test_without_a_worn_out_reed_it_is_what_reeds_usually_last() -> None:
    maker = Maker("1 tie eh 60; play 30", "2 tie oboe 72")
    found = left(maker, "1")
    assert found.usual
    assert 8 < found.middle < 15
    assert found.lo < 6 < 20 < found.hi
    assert span_words(found).endswith("*")
    assert Outlook.of_bench(maker.bench).left(maker.reed("2")) is None


def test_reeds_that_were_played_as_long_are_reckoned_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """The law of lives is asked as often of 4 n reeds as of n where they were played alike, as a seller's are."""
    asked: list[float] = []
    remaining = LifeLaw.remaining

    def counted(law: LifeLaw, so_far: float, edges: FloatArray) -> FloatArray:
        asked.append(so_far)
        return remaining(law, so_far, edges)

    monkeypatch.setattr(LifeLaw, "remaining", counted)
    for reeds in (3, 12):
        made = Maker(*(f"{tag} tie oboe 72; play {20 + 10 * (tag % 3)}" for tag in range(1, reeds + 1)))
        outlook = Outlook.of_bench(made.bench)
        assert len({outlook.left(reed) for reed in made.bench.at_work()}) == 3
        assert sorted(asked) == pytest.approx([20 / 60, 30 / 60, 40 / 60])
        asked.clear()


def test_own_lives_count_more_the_more_there_are() -> None:
    maker = Maker("1 tie eh 60; play 30")
    usual = left(maker, "1").middle
    worn(maker, 10, [4, 5])
    two = left(maker, "1")
    worn(maker, 20, [3.5, 4, 4.5, 5, 5.5, 6, 4, 5, 5, 4.5])
    twelve = left(maker, "1")
    assert usual > two.middle > twelve.middle > 3
    assert two.hi - two.lo > twelve.hi - twelve.lo
    assert (two.worn, twelve.worn) == (2, 12)


def test_a_log_need_not_be_read_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of many reeds, played in another order than they were begun, the last alone tell what the whole log tells."""
    rng = random.Random(5)
    lives = [rng.randint(4, 12) for _ in range(420)]
    reeds = [Log(str(n), instrument=("oboe", "english horn")[n % 3 == 0]) for n in range(420)]
    for reed, hours in zip(reeds, lives, strict=True):
        reed.play(hours * 30, after=rng.uniform(60, 9000)).add("scored", score=rng.randint(2, 9)).play(hours * 30)
    for reed in reeds[:-9]:
        reed.retire(rng.choice(("worn", "worn", "cracked")))
    rows = [row for reed in reeds for row in reed.rows]
    whole, latest = Outlook(Study.of_bench(bench(rows))), bench(rows)
    reeds_at_work, seen, read = latest.at_work(), set(), latest.reed
    monkeypatch.setattr(latest, "reed", lambda reed: (seen.add(reed), read(reed))[1])
    found = Outlook.of_bench(latest)
    assert len(seen) < 390
    for reed in reeds_at_work:
        assert found.left(reed) == whole.left(reed)


def test_those_of_another_instrument_tell_something_too() -> None:
    maker = Maker("1 tie eh 60; play 30")
    usual = left(maker, "1")
    worn(maker, 10, [4, 5, 4.5, 5.5, 6, 4, 5], "oboe 72")
    found = left(maker, "1")
    assert found.usual
    assert 5 < found.middle < usual.middle


def test_a_failing_reed_has_less_left_than_one_that_scores_as_it_did() -> None:
    maker = Maker()
    worn(maker, 10, [9, 10, 11, 12, 13, 14, 15, 10, 12])
    maker.type("1-3 tie eh 60", "1 play 240 8; play 120 8", "2 play 240 8; play 120 5.5", "3 play 240; play 120")
    good, failing, unscored = (left(maker, tag) for tag in "123")
    assert failing.middle < unscored.middle < good.middle
    assert failing.hi - failing.lo < unscored.hi - unscored.lo
    assert (good.scores, unscored.scores) == (2, 0)


def test_reeds_begun_long_ago_count_less() -> None:
    then_and_now, at_once = Maker(), Maker()
    long, short = [14.0, 15, 16] * 8, [5.0, 6, 7] * 8
    worn(then_and_now, 10, [*long, *short])
    worn(at_once, 10, [*short, *long])
    for maker in (then_and_now, at_once):
        maker.type("1 tie eh 60; play 30")
    assert left(then_and_now, "1").middle < left(at_once, "1").middle - 1


def test_a_reed_that_joined_goes_on_from_its_hours_or_from_some_age_that_nobody_knows() -> None:
    maker = Maker("1 join eh 10h", "2 join eh", "3 join eh 0h")
    ten, unknown, new = (left(maker, tag) for tag in "123")
    assert ten.middle < new.middle
    assert unknown.middle < new.middle
    maker.type("2 play 600 2")
    assert left(maker, "2").middle > 0.5
    assert left(maker, "2").scores == 0


def test_a_reed_far_beyond_all_others_still_has_an_answer() -> None:
    maker = Maker("1 join eh 150h")
    worn(maker, 10, [5, 6, 7])
    found = left(maker, "1")
    assert 0 < found.lo < found.middle < found.hi


def test_one_figure_everywhere() -> None:
    maker = Maker("1 tie eh 60; play 90 8")
    worn(maker, 10, [8, 9, 10])
    found, one = left(maker, "1"), case(maker.bench)[0]
    assert one.left == found
    told_of = in_case_as_dict(one, maker.clock.now())
    for name, value in remaining_as_dict(found).items():
        assert told_of[name] == value
    assert f"{found.middle:.0f} h left" in left_words(found)
    sentence = Outlook.of_bench(maker.bench).sentence(maker.reed("1"))
    assert "four times in five" in sentence
    assert "your 3 worn-out reeds and its 1 score" in sentence
    assert "Have the next one ready within" in sentence


@pytest.mark.parametrize(("hours", "words"), [(0.26, "0.3"), (0.97, "1"), (4.6, "5")])
def test_hours_are_told_as_near_as_they_can_be(hours: float, words: str) -> None:
    assert left_words(HoursLeft(hours, 0.04, 12.3, 3, 0)) == f"about {words} h left (0.0 to 12)"
