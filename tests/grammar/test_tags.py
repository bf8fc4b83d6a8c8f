"""What can be written on a reed, and lists of it."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.domain.maker import Maker

from reedkin.bench.bench import Bench
from reedkin.domain.figures import tag_list
from reedkin.errors import InputError
from reedkin.grammar.reading import ReedAction, read
from reedkin.grammar.words.tags import LONGEST_TAG, MOST_TAGS, expand, tag_problem


@pytest.mark.parametrize(
    "tag", ["1", "142", "007", "A-3", "sop", "T12", "12x", "é", "c5", "pl", "wire!", "x" * LONGEST_TAG]
)
def test_tags(tag: str) -> None:
    assert tag_problem(tag) is None


@pytest.mark.parametrize(
    "tag",
    ["", " ", "a b", "1,2", "#1", "12/1", "1-2", "1–2", 'a"b', "a;b", "a@b", "scrape", "Tie", "c", "S", "-", "…",
     "x" * 13, "a\tb", "a\x1b", "a\u202e"],
)  # fmt: skip
def test_what_is_no_tag(tag: str) -> None:
    assert tag_problem(tag)


@given(st.text(min_size=1, max_size=LONGEST_TAG))
def test_a_reed_with_any_possible_tag_can_be_begun_and_called(tag: str) -> None:
    if tag_problem(tag):
        return
    maker = Maker(f"#{tag} tie eh 60")
    (action,) = read(f"#{tag} clip .5", maker.bench).actions
    assert isinstance(action, ReedAction)
    assert (action.tag, action.reed) == (tag, maker.reed(tag).id)


@pytest.mark.parametrize(
    ("text", "tags"),
    [
        ("142", ["142"]),
        ("143-146", ["143", "144", "145", "146"]),
        ("143–145", ["143", "144", "145"]),
        ("#4-#6", ["4", "5", "6"]),
        ("08-11", ["08", "09", "10", "11"]),
        ("1,3-4,eva", ["1", "3", "4", "eva"]),
        ("143,", ["143"]),
        ("T1,T2", ["T1", "T2"]),
        ("A-3", ["A-3"]),
        ("5-5", ["5"]),
        (",", []),
    ],
)
def test_lists(text: str, tags: list[str]) -> None:
    assert expand(text) == tags


@pytest.mark.parametrize("text", ["5-4", f"1-{MOST_TAGS + 1}", "1-999999999", ",".join(map(str, range(MOST_TAGS + 1)))])
def test_lists_that_are_slips(text: str) -> None:
    with pytest.raises(InputError):
        expand(text)


@given(st.lists(st.integers(1, 200), unique=True, max_size=MOST_TAGS))
def test_what_is_listed_shortly_reads_back(numbers: list[int]) -> None:
    tags = [str(number) for number in sorted(numbers)]
    assert expand(tag_list(tags).replace(" ", "")) == tags


def test_a_tag_on_two_reeds_at_work_is_asked() -> None:
    """As where two logs, each with a reed 5, were merged."""
    first, other = Maker(), Maker()
    told = first.type("5 tie oboe 72") + other.type("5 tie eh 60", "6 tie eh 60")
    first.bench = Bench.of(first.clock, told)
    (question,) = first.read("5 clip .1").questions
    assert question.message == "5 is on several reeds at work: taken for 5/2; else write 5/1"
    assert not first.read("5/1 clip .1").questions
    assert not first.read("6 clip .1").questions


def test_a_tag_is_one_however_its_letters_are_composed() -> None:
    maker = Maker("ren\u00e9 tie eh 60")
    assert maker.action("rene\u0301 clip .5").reed == maker.hand.id if maker.hand else False
    assert maker.bench.find("RENE\u0301") == maker.bench.find("ren\u00e9")
    assert "in use" in maker.error("rene\u0301 tie eh 60")[1]
