"""The diary: its order, what words find, and that it follows corrections."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest
from tests.domain.maker import NOW, Maker

from reedkin.answers.diary.diary import Diary, diary_of, renewed, tokens
from reedkin.bench.correcting import Corrector, step_at
from reedkin.domain.events import Place

LINES = (
    "1-4 tie oboe 72 lot 7 @1 nov",
    "5 tie eh 60 lot 9 name Clara @2 nov",
    "1-4 scrape tip 10m; clip .5 @3 nov",
    '5 play 45 8 rehearsal "buzzes on low notes" @10 nov 18:00',
    "2 give to Ann Berg @11 nov",
    "3 retire cracked @11 nov",
    "3 tie oboe d'amore 60 @12 nov",
)


def made() -> Maker:
    return Maker(*LINES)


def places(diary: Diary) -> list[tuple[date, list[str], str]]:
    return [(line.day, [s.event.tag for s in line.steps], line.steps[0].kind) for line in diary.lines]


def test_newest_day_first_and_an_entry_in_the_order_in_which_it_was_typed() -> None:
    assert [(f"{day:%d}", "".join(tags), kind) for day, tags, kind in places(diary_of(made().bench))] == [
        ("12", "3", "tied"), ("11", "3", "retired"), ("11", "2", "handed over"), ("10", "5", "played"),
        ("03", "1234", "scraped"), ("03", "1234", "clipped"), ("02", "5", "tied"), ("01", "1234", "tied"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("words", "kinds"),
    [
        ("clara", ["played", "tied"]),
        ("CLARA buzz", ["played"]),
        ("berg", ["handed over"]),
        ("lot 9", ["tied"]),
        ("d'amore", ["tied"]),
        ("0.5", ["clipped"]),
        ("0,5", ["clipped"]),
        ("5", ["played", "tied"]),
        ("4", ["scraped", "clipped", "tied"]),
        ("lot 77", []),
        ("", ["tied", "retired", "handed over", "played", "scraped", "clipped", "tied", "tied"]),
    ],
)
def test_every_word_must_be_there(words: str, kinds: list[str]) -> None:
    assert [line.steps[0].kind for line in diary_of(made().bench).holding(words).lines] == kinds


def test_words_of_other_scripts() -> None:
    maker = Maker("1 tie oboe 72", '1 note "Größe e\u0301lan 木"')
    for words in ("größe", "GRÖSSE", "élan", "木"):
        assert len(diary_of(maker.bench).holding(words).lines) == 1, words
    assert tokens("…—!") == []


def test_a_day_is_found_or_the_one_before_it() -> None:
    diary = diary_of(made().bench)
    assert diary.lines[diary.place_of(date(2026, 11, 10))].day == date(2026, 11, 10)
    assert diary.lines[diary.place_of(date(2026, 11, 9))].day == date(2026, 11, 3)
    assert diary.place_of(date(2030, 1, 1)) == 0
    assert diary.place_of(date(1999, 1, 1)) == len(diary.lines) - 1
    assert Diary((), {}).place_of(date(2026, 1, 1)) == 0


@pytest.mark.parametrize("seed", range(30))
def test_the_diary_follows_corrections_as_if_read_anew(seed: int) -> None:
    """Random corrections one after the other, those that may be: what was renewed is what a reader of the whole finds;
    and taken back in turn, the log says what it said."""
    dice, maker = random.Random(seed), made()
    diary = diary_of(maker.bench)
    for _ in range(12):
        steps = list(dice.choice([line for line in diary.lines if line.steps]).steps)
        if dice.random() < 0.3:
            entry = steps[0].event.entry
            steps = [s for reed in diary.reeds.values() for s in reed.steps if s.event.entry == entry]
        corrector = Corrector(maker.bench, maker.uids)
        day = NOW.date() - timedelta(days=dice.randrange(25))
        sources = list(dict.fromkeys(step.event.reed for step in steps))
        reeds = dice.sample(maker.bench.reeds(), min(len(sources), len(maker.bench)))
        plan = dice.choice(
            [
                lambda s=steps, c=corrector: c.strike(s),
                lambda s=steps, c=corrector: c.give_back(s),
                lambda s=steps, c=corrector, d=day: c.to_day(s, d),
                lambda s=steps, c=corrector, r=reeds: c.to_reeds(s, r),
            ]
        )()
        if not plan.ready:
            assert plan.errors
            continue
        maker.clock.forward(minutes=1)
        maker.bench.add(plan.records)
        diary = renewed(diary, maker.bench, {after.id for _, after in plan.effects})
        anew = diary_of(maker.bench)
        assert diary.lines == anew.lines
        assert diary.reeds == anew.reeds
        for before, after in plan.effects:
            assert maker.bench.reed(after.id).now == after.now
            assert before.label


@pytest.mark.parametrize("seed", range(10))
def test_a_move_and_its_other_half_name_each_other(seed: int) -> None:
    dice, maker = random.Random(seed), made()
    steps = [s for reed in maker.bench.reeds() for s in reed.standing[1:]]
    step = dice.choice(steps)
    target = dice.choice([reed for reed in maker.bench.reeds() if reed.id != step.event.reed])
    plan = Corrector(maker.bench, maker.uids).to_reeds([step], [target])
    if not plan.ready:
        assert plan.errors
        return
    maker.bench.add(plan.records)
    left = step_at(maker.bench, Place(step.event.reed, step.event.uid))
    assert left is not None
    assert left.struck
    assert left.moved_to is not None
    came = step_at(maker.bench, left.moved_to)
    assert came is not None
    assert came.event.moved_from == Place(step.event.reed, step.event.uid)
    assert (came.at, came.facts, came.note, came.event.session) == (step.at, step.facts, step.note, step.event.session)
