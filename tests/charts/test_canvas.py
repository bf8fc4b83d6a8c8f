"""The grid that drawings are written on."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st
from tests.charts.measure import assert_size, examples

from reedkin.charts.canvas import Canvas, Run, plain, sentence, too_small
from reedkin.charts.dots import Dots

TEXT = st.text(st.characters(), max_size=12)


@given(st.lists(st.tuples(st.integers(-5, 25), st.integers(-1, 4), TEXT), max_size=8))
@examples
def test_whatever_is_written_the_canvas_keeps_its_size(writings: list[tuple[int, int, str]]) -> None:
    canvas = Canvas(20, 4)
    for column, row, text in writings:
        canvas.put(column, row, text, "strong")
    assert_size(canvas.drawing(), 20, 4)


def test_runs_are_joined_by_what_they_show() -> None:
    canvas = Canvas(8, 1)
    canvas.put(0, 0, "ab", "heart")
    canvas.put(2, 0, "c", "heart")
    canvas.put(3, 0, "d", "tip")
    assert canvas.drawing() == ((Run("abc", "heart"), Run("d", "tip"), Run("    ", "")),)


def test_half_of_a_wide_character_is_not_left_behind() -> None:
    canvas = Canvas(6, 1)
    canvas.put(0, 0, "中文字")
    canvas.put(1, 0, "xy")
    assert plain(canvas.drawing()) == " xy 字"


def test_escape_codes_and_markup_are_shown_and_do_nothing() -> None:
    canvas = Canvas(20, 1)
    canvas.put(0, 0, "\x1b[31m[bold]\u202e")
    assert plain(canvas.drawing()) == "␛[31m[bold]\\u202e   "


def test_a_space_that_stands_for_something_is_not_free() -> None:
    canvas = Canvas(6, 1)
    canvas.put(1, 0, "a b", "wire")
    assert [canvas.is_free(column, 0, 1) for column in range(-1, 7)] == [
        False, True, False, False, False, True, True, False,
    ]  # fmt: skip


def test_dots_are_the_braille_patterns_of_unicode() -> None:
    # The Unicode Standard, chapter 21: U+28FF has all eight dots, U+2801 the upper left, U+2880 the lower right.
    canvas = Canvas(3, 1)
    dots = Dots(3, 1)
    for x in range(2):
        for y in range(4):
            dots.set(x, y, "heart")
    dots.set(2, 0, "tip")
    dots.set(5, 3, "tip")
    dots.set(6, 0, "tip")
    dots.put_on(canvas)
    assert plain(canvas.drawing()) == "\u28ff\u2801\u2880"


@given(st.text(st.characters(), max_size=60), st.integers(0, 40), st.integers(0, 5))
@examples
def test_a_sentence_fills_its_place(text: str, width: int, height: int) -> None:
    assert_size(sentence(text, width, height), width, height)


def test_too_small_says_what_is_needed() -> None:
    assert too_small(30, 6, 30, 6) is None
    said = too_small(29, 6, 30, 6)
    assert said is not None
    assert "needs 30 x 6" in " ".join(plain(said).split())
