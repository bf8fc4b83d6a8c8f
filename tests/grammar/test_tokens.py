"""Splitting an entry line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reedkin.domain.characters import looks_like, plain_word
from reedkin.grammar.words.tokens import Token, quoted, segments, tokens


def _texts(line: str) -> list[str]:
    return [f"«{t.text}»" if t.kind == "quote" else t.text for t in tokens(line)]


@pytest.mark.parametrize(
    ("line", "texts"),
    [
        ("142 scrape tip 10m", ["142", "scrape", "tip", "10m"]),
        ("c .5;crow C5", ["c", ".5", ";", "crow", "C5"]),
        ("retire cracked @yesterday", ["retire", "cracked", "@", "yesterday"]),
        ("p 45@10:30", ["p", "45", "@", "10:30"]),
        ('note "a; b @ c"', ["note", "«a; b @ c»"]),
        ('n "say \\"ah\\""', ["n", '«say "ah"»']),
        ('n "two\\nlines"', ["n", "«two\nlines»"]),
        ('n "open', ["n", "«open»"]),
        ('n "open\\', ["n", "«open»"]),
        ('n ""', ["n", "«»"]),
        ('c 1/64"', ["c", '1/64"']),
        ('c 1/64" "thin"', ["c", '1/64"', "«thin»"]),
        ('p 45"buzzes"', ["p", "45", "«buzzes»"]),
        ("  ", []),
        ("", []),
    ],
)
def test_words_marks_and_quotes(line: str, texts: list[str]) -> None:
    assert _texts(line) == texts


def test_an_open_quote_is_known() -> None:
    assert [t.open for t in tokens('n "closed" "open')] == [False, False, True]


@given(st.text())
def test_every_token_knows_where_it_stands_and_nothing_is_lost(line: str) -> None:
    place = 0
    for token in tokens(line):
        assert not plain_word(line[place : token.start]).strip()
        if token.kind == "word":
            assert plain_word(looks_like(line[token.start : token.end])) == token.text
        place = token.end
    assert not plain_word(line[place:]).strip()


@given(st.text(), st.text(alphabet=" abc;@"))
def test_a_quoted_text_reads_back(text: str, after: str) -> None:
    first = tokens(quoted(text) + " " + after)[0]
    assert (first.kind, first.text, first.open) == ("quote", text, False)


def test_segments_leave_empty_ones_out() -> None:
    parts = segments(tokens("; s 10 ;; c .5;"))
    assert [[t.text for t in part] for part in parts] == [["s", "10"], ["c", ".5"]]
    assert segments([]) == []
    assert segments([Token(";", 0, 1, "semicolon")]) == []


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("n “too hard”", [("n", "word"), ("too hard", "quote")]),
        ("n „zu hart“ @today", [("n", "word"), ("zu hart", "quote"), ("@", "at"), ("today", "word")]),
        ("n «dur; sec»; c", [("n", "word"), ("dur; sec", "quote"), (";", "semicolon"), ("c", "word")]),
        ("n he said “ok” fine", [(word, "word") for word in ("n", "he", "said", "“ok”", "fine")]),
        ('n "he said “ok” fine"', [("n", "word"), ("he said “ok” fine", "quote")]),
        ("１２ ｐ　４５；c", [("12", "word"), ("p", "word"), ("45", "word"), (";", "semicolon"), ("c", "word")]),
        ("\u200b 12", [("12", "word")]),
    ],
)  # fmt: skip
def test_marks_and_letters_of_other_keyboards(line: str, found: list[tuple[str, str]]) -> None:
    assert [(t.text, t.kind) for t in tokens(line)] == found
