"""The drawing of the reed: to scale, honest about what was not measured, right at every size."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.charts.measure import assert_size, columns_of, dots, examples, row_with

from reedkin.charts.canvas import plain
from reedkin.charts.reed import MARGIN_MM, draw_reed
from reedkin.charts.reed_plan import plan_of
from reedkin.charts.reed_shape import shape_of
from reedkin.domain.instruments import starting_targets
from reedkin.domain.reeds import State, Wire, advance
from reedkin.domain.words import INSTRUMENTS

# Common practice, no source: a 60 mm English horn reed on a 27 mm tube, its tip from 50.5 and its heart from 43.5.
HORN = State(
    instrument="english horn", overall_mm=60, tied_mm=60, tube_mm=27, tip_from_mm=50.5, heart_from_mm=43.5, tubing_mm=5,
    wire=Wire(28, "brass", 3, 34),
)  # fmt: skip
TARGETS = starting_targets("english horn")
SIZES = [(40, 5, 1), (60, 9, 2), (78, 7, 1), (116, 12, 4)]
"""Widths and heights, and the row through the middle of the reed."""

MM = st.none() | st.floats(-20, 200)
STATES = st.builds(
    State,
    instrument=st.sampled_from([*INSTRUMENTS, "", "no such"]),
    overall_mm=MM,
    tied_mm=MM,
    tube_mm=st.none() | st.floats(15, 90),
    tip_from_mm=MM,
    heart_from_mm=MM,
    width_mm=st.none() | st.floats(2, 20),
    tubing_mm=st.none() | st.floats(0, 40),
    wire=st.none() | st.builds(Wire, from_butt_mm=MM),
    crow=st.none() | st.text(),
)


def scale(width: int) -> float:
    """Columns for a mm on a drawing of English horn reeds."""
    return width / (TARGETS.overall_mm + MARGIN_MM)


@given(STATES, st.sampled_from(INSTRUMENTS), st.integers(0, 130), st.integers(0, 16))
@examples
def test_any_reed_at_any_size_is_exactly_as_large_as_asked(state: State, of: str, width: int, height: int) -> None:
    assert_size(draw_reed(state, starting_targets(of), width, height), width, height)


@pytest.mark.parametrize(("width", "height", "middle"), SIZES)
def test_each_part_begins_in_the_column_of_its_measure(width: int, height: int, middle: int) -> None:
    drawing = (draw_reed(HORN, TARGETS, width, height)[middle],)
    begins = {"heart": 43.5, "tip": 50.5, "wire": 34, "cane": 27, "tubing": 0}
    for part, at in begins.items():
        assert columns_of(drawing, part)[0] == pytest.approx(at * scale(width) - 0.5, abs=0.76), part
    assert columns_of(drawing, "tip")[-1] == pytest.approx(60 * scale(width) - 1, abs=0.76)
    assert columns_of(drawing, "thread")[-1] == pytest.approx(27 * scale(width) - 1, abs=0.76)


def test_the_corner_before_a_value_stands_right_under_the_place() -> None:
    values = row_with(draw_reed(HORN, TARGETS, 78, 7), "50.5")
    assert values.index("╰50.5") == int(50.5 * scale(78))
    assert values.index("╰43.5") == int(43.5 * scale(78))
    assert values.index("╰27") == pytest.approx(27 * scale(78), abs=1)
    assert values.index("╰60") == int(60 * scale(78) - 0.5)


def test_the_parts_are_named_with_their_lengths() -> None:
    names = row_with(draw_reed(HORN, TARGETS, 78, 7), "heart")
    assert "heart 7" in names
    assert "tip 9.5" in names
    assert "back 16.5" in names
    assert "tubing 5" in names


def test_three_clips_shorten_the_drawing_and_leave_a_ghost() -> None:
    # Common practice, no source: clips of 1, 1 and 0.5 mm leave 57.5 mm.
    state, ends = HORN, []
    for clip in (1, 1, 0.5):
        ends.append(columns_of(draw_reed(state, TARGETS, 116, 12), "tip")[-1])
        state = advance(state, "clipped", {"clip_mm": clip})
    drawing = draw_reed(state, TARGETS, 116, 12)
    ends.append(columns_of(drawing, "tip")[-1])
    assert state.overall_mm == 57.5
    assert ends == sorted(set(ends), reverse=True)
    assert ends[0] - ends[-1] == pytest.approx(2.5 * scale(116), abs=1)
    assert columns_of(drawing[:8], "ghost")[-1] == ends[0]
    assert "−2.5" in row_with(drawing, "−")
    assert "ghost" not in {run.role for line in draw_reed(HORN, TARGETS, 116, 12) for run in line}


def test_a_longer_reed_of_the_same_instrument_is_drawn_to_the_same_scale() -> None:
    for overall in (52, 57.5, 60, 62):
        state = HORN._replace(overall_mm=overall, tied_mm=overall)
        end = columns_of(draw_reed(state, TARGETS, 116, 12), "tip")[-1]
        assert end == pytest.approx(overall * scale(116) - 1, abs=1)


def test_the_heart_is_the_densest_and_the_tip_the_lightest() -> None:
    drawing = draw_reed(HORN, TARGETS, 116, 12)
    density = {role: dots(drawing[2:6], role) for role in ("cane", "heart", "tip")}
    assert density["heart"] > 1.5 * density["cane"] > 3 * density["tip"]


def test_the_blades_widen_to_the_tip_and_keep_the_width_that_was_measured() -> None:
    shape = shape_of("english horn", 7.2)
    widths = [shape.blade(at, 27, 60) for at in range(27, 61)]
    assert widths == sorted(widths)
    assert widths[-1] == 7.2


def test_what_was_not_measured_is_marked_as_the_target() -> None:
    blank = State(instrument="english horn", overall_mm=60, tied_mm=60, tube_mm=27)
    drawing = draw_reed(blank, TARGETS, 78, 7)
    values, names = row_with(drawing, "50.5"), row_with(drawing, "back")
    for unsure in ("43.5?", "50.5?"):
        assert unsure in values
    assert "60?" not in values
    assert all(part in names for part in ("back ?", "heart ?", "tip ?"))
    assert not columns_of(drawing, "heart")
    assert not columns_of(drawing, "tip")
    assert columns_of(drawing[:4], "ghost")


def test_a_reed_of_which_nothing_is_known_is_all_question() -> None:
    drawing = draw_reed(State(instrument="english horn", wire=Wire()), TARGETS, 78, 7)
    values = row_with(drawing, "50.5")
    assert all(f"{value}?" in values for value in ("27", "43.5", "50.5", "60"))
    assert "wire ?" in values


def test_a_wire_without_a_place_is_above_the_thread_and_drawn_broken() -> None:
    unsure = HORN._replace(wire=Wire(28))
    plan = plan_of(unsure, TARGETS)
    assert plan.wire is not None
    assert 27 < plan.wire.mm < 43.5
    there = HORN._replace(wire=Wire(28, from_butt_mm=plan.wire.mm))
    solid, broken = (draw_reed(state, TARGETS, 116, 12) for state in (there, unsure))

    assert dots(broken[:8], "wire") < dots(solid[:8], "wire")
    assert "wire 34" in row_with(draw_reed(HORN, TARGETS, 116, 12), "wire")
    assert "wire ?" in row_with(broken, "wire")


def test_targets_are_marked_beneath() -> None:
    row = row_with(draw_reed(HORN._replace(overall_mm=57.5), TARGETS, 78, 7), "target")
    assert row.index("▴50.5") == int(50.5 * scale(78))
    assert "▴43.5" in row
    assert "▴60" in row
    other = replace(TARGETS, tip_from_mm=52.0)
    assert "▴52" in row_with(draw_reed(HORN, other, 78, 7), "target")


def test_the_parts_are_told_apart_without_colour() -> None:
    drawing = draw_reed(HORN, TARGETS, 116, 12)
    middle = "".join(run.text for run in drawing[3])
    cells = {part: middle[columns[len(columns) // 2]] for part in ("tubing", "thread", "cane", "heart", "wire")
             if (columns := columns_of((drawing[3],), part))}  # fmt: skip
    assert len(cells) == 5
    assert cells["heart"] == "⣿"
    assert len({cells[part] for part in ("tubing", "thread", "cane", "heart")}) == 4
    assert middle[60:62] != middle[52:54]


def test_the_oboe_has_cork_and_no_tubing() -> None:
    targets = starting_targets("oboe")
    state = State(instrument="oboe", overall_mm=70.5, tied_mm=72, tube_mm=47, tip_from_mm=66, heart_from_mm=61)
    drawing = draw_reed(state, targets, 78, 7)
    assert columns_of(drawing, "cork")[0] == 0
    assert not columns_of(drawing, "tubing")
    assert not columns_of(draw_reed(HORN, TARGETS, 78, 7), "cork")


def test_where_there_is_no_room_a_sentence_says_so() -> None:
    assert "needs 40 x 5" in " ".join(plain(draw_reed(HORN, TARGETS, 39, 5)).split())


def test_both_lengths_that_are_aimed_at_are_shown() -> None:
    """A finished oboe reed of 70 mm looked short beside the 72 mm of tying. Common practice, no source."""
    finished = State(instrument="oboe", overall_mm=70, tied_mm=72, tube_mm=47)
    for width, height in ((78, 9), (116, 12), (60, 7)):
        drawing = draw_reed(finished, starting_targets("oboe"), width, height)
        row = row_with(drawing, "finished")
        assert "tied ▴72" in row
        assert "finished ▴70" in row
        ends = [int(at * width / (72 + MARGIN_MM) - 0.5) for at in (70, 72)]
        assert all("▴" in row[end - 1 : end + 2] for end in ends)


@pytest.mark.parametrize(
    ("thread", "roles"),
    [
        (None, {"thread"}),
        ("teal", {"teal-thread"}),
        ("Dark Teal", {"teal-thread"}),
        ("red and white", {"red-thread", "white-thread"}),
        ("grandmother's", {"grey-thread"}),
    ],
)
def test_the_winding_has_the_colour_of_its_own_thread(thread: str | None, roles: set[str]) -> None:
    drawing = draw_reed(HORN._replace(thread=thread), TARGETS, 78, 9)
    assert {run.role for line in drawing for run in line if run.role.endswith("thread")} == roles
