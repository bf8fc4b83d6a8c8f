"""The lines of a log: the seal, the heads, and what is said of a line that cannot be trusted."""

from __future__ import annotations

import json
import zlib
from datetime import UTC, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.store.making import HEADER, documents, entry, names

from reedkin.store.errors import DocumentError
from reedkin.store.reading.faults import FaultKind, Flaw, excerpt
from reedkin.store.reading.lines import (
    MAX_LINE,
    Head,
    Header,
    diagnose,
    document_tail,
    entry_lines,
    guess,
    opened,
    read_document,
    read_head,
    read_header,
    seal,
)


def test_the_seal_is_the_published_crc_32() -> None:
    # The check value of CRC-32/ISO-HDLC, the CRC of "123456789", in the catalogue of parametrised CRC algorithms.
    assert seal(b"123456789") == b'{"crc":"cbf43926",123456789\n'


def test_a_header_is_json_and_reads_back() -> None:
    assert list(json.loads(HEADER)) == ["crc", "format", "version", "log", "made"]
    rest = opened(HEADER[:-1])
    assert rest is not None
    assert read_header(rest) == Header(1, "7d444840-9dc0-11d1-b245-5ffdce74fad2", "2024-03-01T09:00:00+00:00")


def test_a_line_has_its_keys_in_order_and_no_spaces() -> None:
    line = entry(("reed a", "1", {"note": "Rohr für Ö", "facts": {"minutes": 10}}))
    rest = '"left":0,"table":"reed a","id":"1","doc":{"note":"Rohr für Ö","facts":{"minutes":10}}}'
    assert line == f'{{"crc":"{zlib.crc32(rest.encode()):08x}",{rest}\n'.encode()


def test_left_counts_down_to_the_last_line_of_an_entry() -> None:
    lines = entry(("a", "1", {}), ("b", "2", {}), ("a", "3", {})).splitlines()
    assert [json.loads(line)["left"] for line in lines] == [2, 1, 0]


@given(names, names, documents)
def test_any_document_survives_its_line(table: str, id: str, document: dict[str, Any]) -> None:
    line = entry_lines([document_tail(table, id, document)])[0]
    assert line.count(b"\n") == 1
    rest = opened(line[:-1])
    assert rest is not None
    assert read_head(rest) == Head(0, table, id)
    assert read_document(rest) == (Head(0, table, id), document)
    assert json.loads(line)["doc"] == document


@given(st.data())
def test_any_changed_byte_breaks_the_seal(data: st.DataObject) -> None:
    line = entry(("reed a", "1", {"kind": "scraped", "minutes": 10}))[:-1]
    place = data.draw(st.integers(0, len(line) - 1))
    other = data.draw(st.integers(0, 255).filter(lambda b: b != line[place]))
    assert opened(line[:place] + bytes([other]) + line[place + 1 :]) is None


def test_other_fields_are_tolerated() -> None:
    rest = b'"left":0,"by":"another version","table":"a","id":"1","doc":{"x":1},"more":[2]}'
    assert read_head(rest) == Head(0, "a", "1")
    assert read_document(rest) == (Head(0, "a", "1"), {"x": 1})
    header = read_header(b'"format":"reedkin log","version":1,"log":"l","made":"m","more":true}')
    assert header == Header(1, "l", "m")


@pytest.mark.parametrize(
    "rest",
    [
        b"",
        b"}",
        b'"left":0,"table":"a","id":"1","doc":[]}',
        b'"left":0,"table":"a","id":"1","doc":{}',
        b'"left":-1,"table":"a","id":"1","doc":{}}',
        b'"left":true,"table":"a","id":"1","doc":{}}',
        b'"left":"0","table":"a","id":"1","doc":{}}',
        b'"left":0,"table":1,"id":"1","doc":{}}',
        b'"left":0,"table":"","id":"1","doc":{}}',
        b'"left":0,"table":"a","id":"","doc":{}}',
        b'"left":0,"id":"1","doc":{}}',
        HEADER[18:-1],
    ],
)
def test_a_sealed_line_of_another_shape_is_no_document(rest: bytes) -> None:
    found = read_document(rest)
    assert isinstance(found, Flaw)
    assert found.kind is FaultKind.SHAPE


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        (b"", FaultKind.EMPTY),
        (b" \t\r", FaultKind.EMPTY),
        (b'{"crc":"00000000","le\0\0\0', FaultKind.ZEROS),
        (b'{"crc":"00000000","note":"\xff\xfe"}', FaultKind.NOT_TEXT),
        (b"hello", FaultKind.SHAPE),
        (b'{"crc":"00000000","left":0}', FaultKind.CHECKSUM),
        (b'{"crc":"', FaultKind.CHECKSUM),
    ],
)
def test_what_is_said_of_a_damaged_line(line: bytes, kind: FaultKind) -> None:
    assert opened(line) is None
    assert diagnose(line).kind is kind


def test_a_damaged_line_still_names_its_reed() -> None:
    assert guess(b'{"crc":"00000000","left":0,"table":"reed 12","id":"7","do') == ("reed 12", "7")
    assert guess(b"\0\0\0") == (None, None)


def test_an_excerpt_can_do_nothing_to_a_terminal() -> None:
    shown = excerpt(b"\x1b[31m\x07\xff" + "\u202e\u2028é".encode() + b"x" * 500)
    assert shown.isprintable()
    assert shown.startswith(r"\x1b[31m\x07\xff\u202e\u2028é")
    assert shown.endswith("x…")


@pytest.mark.parametrize("document", [{"x": object()}, {1: "x"}, {"x": float("nan")}, {"x": "\ud800"}])
def test_what_json_cannot_hold_is_refused(document: dict[str, Any]) -> None:
    with pytest.raises(DocumentError):
        document_tail("a", "1", document)


@pytest.mark.parametrize(("table", "id"), [("", "1"), ("a", "")])
def test_a_document_needs_a_table_and_an_id(table: str, id: str) -> None:
    with pytest.raises(DocumentError):
        document_tail(table, id, {"at": datetime(2024, 3, 1, tzinfo=UTC).isoformat()})


def test_a_line_that_is_too_long_is_refused() -> None:
    with pytest.raises(DocumentError):
        entry_lines([document_tail("a", "1", {"note": "x" * MAX_LINE})])
