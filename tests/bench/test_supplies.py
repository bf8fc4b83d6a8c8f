"""Cane and tubes: what is left, what became of every piece, what is free."""

from __future__ import annotations

import pytest
from tests.domain.maker import Maker

from reedkin.bench.supplies import lot_as_dict, lots, lots_text, tube_as_dict, tubes, tubes_text
from reedkin.domain.facts import FACTS
from reedkin.domain.fates import FATES, came_good, fate, good_from, stage_reached


@pytest.fixture
def maker() -> Maker:
    """A lot of twelve pieces, six of them tied, each with another fate, on three tubes; and a spare tube."""
    maker = Maker(
        "lot 7 cane 11 mm 12 pieces price 18 from the spring harvest",
        "staple T1 27 mm eh price 8; staple T9 27 mm eh",
        *(f"{n} tie eh 60 lot 7 tube T{n % 3 + 1}" for n in range(1, 7)),
    )
    maker.type(
        "1 play 40 8", "2 scrape tip", "3 play 30 7; retire worn", "4 play 20; retire dropped", "5 sell to a pupil",
        "6 scrape; crow C5; clip .5; retire never came good",
    )  # fmt: skip
    return maker


def test_what_became_of_every_piece(maker: Maker) -> None:
    (lot,) = lots(maker.bench)
    assert [fate(maker.reed(str(n))) for n in range(1, 7)] == [
        "in service", "on the bench", "worn out", "lost to an accident", "handed over", "never came good",
    ]  # fmt: skip
    assert {name: len(reeds) for name, reeds in lot.fates.items()} == dict.fromkeys(FATES, 1) | {
        "gone, not known why": 0
    }
    assert (lot.pieces, lot.pieces_left, lot.piece_price) == (12, 6, 1.5)


def test_an_end_that_nobody_knows_is_neither_wear_nor_an_accident(maker: Maker) -> None:
    maker.type("1 retire not known")
    assert fate(maker.reed("1/1")) == "gone, not known why"
    assert came_good(maker.reed("1/1"))


def test_pieces_counted_later_go_before_those_reckoned(maker: Maker) -> None:
    maker.type("lot 7 left 4")
    assert lots(maker.bench)[0].pieces_left == 4
    maker.type("17 tie eh 60 lot 7")
    (lot,) = lots(maker.bench)
    assert (lot.pieces_left, lot.low, lot.spent) == (3, True, False)
    maker.type("lot 7 left 0")
    (lot,) = lots(maker.bench)
    assert (lot.spent, lot.low) == (True, False)


def test_a_lot_that_was_only_named_and_one_that_was_never_tied() -> None:
    maker = Maker("1 tie eh 60 lot hill", "lot river 40 pieces")
    hill, river = sorted(lots(maker.bench), key=lambda lot: lot.name)
    assert (hill.pieces_left, len(hill.reeds), hill.low) == (None, 1, False)
    assert (river.pieces_left, len(river.reeds), river.low) == (40, 0, False)
    assert (hill.piece_price, river.piece_price) == (None, None)


def test_names_of_lots_and_tubes_are_the_same_in_capitals() -> None:
    maker = Maker("lot Hill 10 pieces", "1 tie eh 60 lot hill tube t4", "1 retire worn", "2 tie eh 60 tube T4")
    assert [(lot.name, lot.pieces_left) for lot in lots(maker.bench)] == [("Hill", 9)]
    (tube,) = tubes(maker.bench)
    assert [reed.tag for reed in tube.reeds] == ["1", "2"]


def test_lots_in_words(maker: Maker) -> None:
    assert lots_text(lots(maker.bench)) == [
        "lot 7: from the spring harvest, tube cane diameter 11 mm, price 18",
        "  6 pieces left of 12, runs low; " + ", ".join(f"1 {name}" for name in FATES if name != "gone, not known why"),
    ]
    assert lots_text([])[0].startswith("No cane is noted.")
    assert lots_text(lots(Maker("lot 8 eh 10 pieces").bench))[0] == "lot 8: English horn"
    told = lot_as_dict(lots(maker.bench)[0])
    assert told["fates"]["worn out"] == ["3"]  # type: ignore[index]
    assert (told["price"], told["harvest"], told["low"], told["pieces_left"]) == (18, None, True, 6)


@pytest.mark.parametrize(
    ("line", "harvest"),
    [
        ("lot 8 20 pieces harvest spring 2024 from my garden", "spring 2024"),
        ("lot 8 harvest 2024 20 pieces from my garden", "2024"),
        ('lot 8 harvest "winter of 23" 20 pieces from my garden', "winter of 23"),
        ("lot 8 harvest winter 20 pieces from my garden", "winter"),
    ],
)
def test_a_harvest_may_have_its_year(line: str, harvest: str) -> None:
    facts = lots(Maker(line).bench)[0].facts
    assert facts == {"pieces": 20, "harvest": harvest, "source": "my garden"}


def test_what_is_counted_is_told_once_and_one_is_no_plural() -> None:
    assert FACTS["pieces"].told(40) == "40 pieces"
    assert FACTS["grams"].told(250) == "weight 250 g"
    assert FACTS["count"].told(1) == "asked for 1 reed"
    assert FACTS["done"].told(True) == "done"


def test_tubes_with_their_reeds_and_where_they_are(maker: Maker) -> None:
    found = {tube.name: tube for tube in tubes(maker.bench)}
    assert {name: [reed.tag for reed in tube.reeds] for name, tube in found.items()} == {
        "T1": ["3", "6"], "T9": [], "T2": ["1", "4"], "T3": ["2", "5"],
    }  # fmt: skip
    # 6 and 4 are retired, so their tubes are free; 5 went to a pupil and is not expected back.
    assert {name for name, tube in found.items() if tube.free} == {"T1", "T9", "T2"}
    assert found["T3"].holder == maker.reed("5")
    assert found["T3"].gone
    told = {name: tube_as_dict(tube) for name, tube in found.items()}
    assert [(told[name]["price"], told[name]["tube_mm"]) for name in ("T1", "T9")] == [(8, 27), (None, 27)]


def test_a_tube_is_where_its_last_reed_is() -> None:
    maker = Maker("1 tie eh 60 tube A", "2 tie eh 60 tube B", "3 tie eh 60 tube C", "2 lend to a pupil", "3 sell to x")
    lines = tubes_text(tubes(maker.bench))
    assert lines == [
        "0 tubes free", "A (English horn) on 1, blank", "B (English horn) lent with 2",
        "1 tube gone with reeds sold or given",
    ]  # fmt: skip
    assert [tube_as_dict(tube)["gone"] for tube in tubes(maker.bench)] == [False, False, True]


def test_the_length_of_a_tube_is_that_which_was_tied_on_where_none_is_said() -> None:
    maker = Maker("1 tie eh 60 tube A 26", "1 retire worn", "2 tie eh 60 tube A only", "staple B 27 mm eh")
    assert [(tube.name, tube.length_mm) for tube in tubes(maker.bench)] == [("B", 27), ("A", 26)]


def test_free_tubes_come_first_then_instrument_by_instrument() -> None:
    maker = Maker(
        "1 tie oboe 72 tube A", "2 tie eh 60 tube B", "staple D oboe", "staple C eh", "3 tie bass oboe 90 tube E"
    )
    assert [line.split()[0] for line in tubes_text(tubes(maker.bench))] == ["2", "C", "D", "E", "B", "A"]
    assert tubes_text([]) == ["No tube is noted. Name it when tying: 143 tie eh 60 tube T4"]


def test_tubes_in_the_order_of_their_numbers() -> None:
    maker = Maker("staple T10 27 eh", "staple T9 27 eh", "staple T2 27 eh")
    assert [line.split()[0] for line in tubes_text(tubes(maker.bench))[1:]] == ["T2", "T9", "T10"]


@pytest.mark.parametrize(
    ("lines", "good", "stage"),
    [
        ([], None, "tied"),
        (["scrape tip"], None, "scraped"),
        (["scrape tip", "clip .5", "crow C5"], None, "crowed"),
        (["crow C5", "clip .5"], None, "finished"),
        (["play 5"], True, "tied"),
        (["lend to a pupil"], None, "tied"),
        (["lend to a pupil", "return"], None, "tied"),
        (["lend to a pupil", "return", "retire cracked"], False, "tied"),
        (["sell to a pupil", "retire worn"], True, "tied"),
        (["sell to a pupil", "retire dropped"], None, "tied"),
        (["score 8"], True, "tied"),
        (["score 4"], None, "tied"),
        (["scrape", "retire cracked"], False, "scraped"),
        (["play 5", "retire never came good"], False, "tied"),
        (["play 5", "retire worn"], True, "tied"),
    ],
)
def test_what_came_good_and_how_far_the_making_got(lines: list[str], good: bool | None, stage: str) -> None:
    maker = Maker("1 tie eh 60", *lines)
    assert (came_good(maker.reed("1")), stage_reached(maker.reed("1"))) == (good, stage)


def test_since_when_it_is_good() -> None:
    maker = Maker("1-3 tie eh 60", "2 lend to a pupil", "1 play 5")
    played = maker.reed("1").standing[-1].at
    maker.type("2 return", "2 play 5", "1 lend to a pupil", "3 retire cracked")
    again = maker.reed("2").first("played")
    assert again is not None
    assert [good_from(maker.reed(tag)) for tag in "123"] == [played, again.at, None]
    maker.type("2 retire never came good")
    assert good_from(maker.reed("2")) is None


def test_of_a_reed_that_joined_it_is_not_known_of_how_many_it_came_good() -> None:
    assert came_good(Maker("1 join eh 5h").reed("1")) is None
