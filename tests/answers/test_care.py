"""The card that goes with a reed."""

from __future__ import annotations

import pytest
from tests.domain.maker import Maker

from reedkin.answers.card.care import CARE, care_card
from reedkin.domain.cautions import DEFER, LOOSE, MOULD, SHARED, WIRE


def words(lines: list[str]) -> str:
    return " ".join(" ".join(lines).replace("! ", "").replace("- ", "").split())


def test_the_card_of_a_reed_handed_over() -> None:
    maker = Maker("142 tie eh 60 tube T4 27 thread red name Heron", "wire 28", "crow C5", "142 sell to the quartet")
    card = care_card(maker.reed("142"), maker.bench)
    assert card[0] == "English horn reed 142, Heron"
    text = words(card)
    assert "for the quartet, 60 mm long, on a tube of 27 mm, red thread, wired, crows C5, tied 25 November 2026" in text
    for said in (*CARE, WIRE, LOOSE, SHARED, MOULD, DEFER):
        assert " ".join(said.split()) in text.replace("- ", ""), said
    assert card[-1] == "25 November 2026"


def test_one_that_came_back_is_for_nobody_until_it_goes_out_again() -> None:
    maker = Maker("1 tie oboe 72", "1 lend to a pupil", "1 return")
    assert "for a pupil" not in words(care_card(maker.reed("1"), maker.bench))
    maker.type("1 give to Ben")
    assert "for Ben," in words(care_card(maker.reed("1"), maker.bench))


def test_it_says_how_much_it_was_played() -> None:
    maker = Maker("1 tie oboe 72")
    assert "played" not in words(care_card(maker.reed("1"), maker.bench)).split("Soak")[0]
    assert ", new Soak" in words(care_card(maker.reed("1"), maker.bench))
    maker.type("1 play 95")
    assert ", played 1 h 35 Soak" in words(care_card(maker.reed("1"), maker.bench))


def test_a_reed_without_a_wire_needs_no_word_about_it() -> None:
    maker = Maker("1 tie oboe 72")
    text = words(care_card(maker.reed("1"), maker.bench))
    assert WIRE not in text
    assert "for " not in text.split("tied")[0]


@pytest.mark.parametrize("width", [32, 60, 78])
def test_it_fits(width: int) -> None:
    maker = Maker("1 tie eh 60 name " + "x" * 80, "1 give to " + "somebody with a very long name " * 4)
    assert all(len(line) <= width for line in care_card(maker.reed("1"), maker.bench, width))
