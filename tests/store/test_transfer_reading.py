"""Reading files of events: forms of CSV, JSON Lines, encodings, and faults with their lines."""

from __future__ import annotations

import io

import pytest

from reedkin.errors import InputError
from reedkin.store.reading.lines import header_line
from reedkin.store.transfer import read_rows
from reedkin.store.transfer.mapping import ColumnMap, parse_mapping
from reedkin.store.transfer.read_rows import lines_of, rows_of
from reedkin.store.transfer.rows import NumberedRow, RowFinding


def read(content: bytes | str, *mapping: str) -> list[NumberedRow | RowFinding]:
    raw = content.encode() if isinstance(content, str) else content
    return list(rows_of(lines_of(io.BytesIO(raw)), parse_mapping(mapping)))


def rows(content: bytes | str, *mapping: str) -> list[tuple[int, dict[str, object]]]:
    found = read(content, *mapping)
    assert all(isinstance(one, NumberedRow) for one in found), found
    return [(one.line, dict(one.row)) for one in found if isinstance(one, NumberedRow)]


def faults(content: bytes | str, *mapping: str) -> list[tuple[int, str]]:
    return [(one.line, one.message) for one in read(content, *mapping) if isinstance(one, RowFinding)]


ONE = {"tag": "1", "kind": "tied", "at": "2026-01-05", "lot": "7"}


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("bom", [b"", b"\xef\xbb\xbf"])
def test_the_forms_of_csv(delimiter: str, end: str, bom: bytes) -> None:
    lines = [["tag", "kind", "at", "lot"], ["1", "tied", "2026-01-05", "7"]]
    content = end.join(map(delimiter.join, lines)) + end
    assert rows(bom + content.encode()) == [(2, ONE)]


def test_json_lines() -> None:
    line = '{"tag":"1","kind":"tied","at":"2026-01-05","lot":"7","note":null}'
    assert rows(f"{line}\n\n{line}") == [(1, ONE), (3, ONE)]


def test_headings_are_known_in_any_case_and_empty_rows_are_passed_over() -> None:
    content = "\n Tag ,KIND,at,Lot\n1,tied,2026-01-05,7\n,,,\n\n2,tied,2026-01-06\n"
    assert rows(content) == [(3, ONE), (6, {"tag": "2", "kind": "tied", "at": "2026-01-06"})]


def test_a_row_over_several_lines_counts_from_its_first() -> None:
    content = 'tag,kind,at,note\n1,noted,2026-01-05,"dark\nand\nsoft"\n2,noted,2026-01-05,even\n'
    assert [(line, row["note"]) for line, row in rows(content)] == [(2, "dark\nand\nsoft"), (5, "even")]


def test_an_empty_file_has_no_rows() -> None:
    assert read(b"") == read(b"\n\n") == []


def test_neutralised_cells_are_restored() -> None:
    assert rows("tag,kind,at,note\n1,noted,2026-01-05,'=1\n")[0][1]["note"] == "=1"


def test_missing_and_double_columns_are_told_once() -> None:
    found = faults("tag,lot,lot\n1,7,7\n2,7,7\n")
    assert [line for line, _ in found] == [1, 1, 1]
    assert "kind" in found[0][1]
    assert "at" in found[1][1]
    assert "lot is there 2 times" in found[2][1]


def test_an_unknown_column_is_told_once_and_only_if_it_says_something() -> None:
    content = "tag,kind,at,overal_mm,colour\n1,tied,2026-01-05,60,\n2,tied,2026-01-05,61,\n"
    ((line, message),) = faults(content)
    assert line == 2
    assert "did you mean overall_mm" in message
    assert not faults(content, "overal_mm=")
    lines = '{"tag":"1","kind":"tied","at":"2026-01-05","overal_mm":60}\n' * 2
    assert [line for line, _ in faults(lines)] == [1]


def test_faults_of_the_form_do_not_stop_the_reading() -> None:
    content = b'tag,kind,at,note\n1,noted,2026,"a"b\n2,noted,2026,\xff\n3,noted,2026,a,b\n4,noted,2026,\xc3\xa4\n'
    found = read(content)
    assert [one.line for one in found if isinstance(one, RowFinding)] == [2, 3, 4]
    assert [one.line for one in found if isinstance(one, NumberedRow)][-1] == 5


def test_a_file_in_latin_1_is_read_as_it_is() -> None:
    assert rows("tag,kind,at,note\n1,noted,2026,spät\n".encode("latin-1"))[0][1]["note"] == "spät"


def test_an_open_quote_is_told_at_its_line() -> None:
    assert [line for line, _ in faults('tag,kind,at,note\n1,noted,2026-01-05,"a\n2,noted,2026-01-05,b\n')] == [2]


def test_lines_that_are_not_json() -> None:
    assert [line for line, _ in faults('{"tag":"1"}\n{"tag":\n[1]\n{"note":"\\ud800"}\n')] == [2, 3, 4]


@pytest.mark.parametrize(
    ("content", "what"),
    [
        ("tag,kind,at\n".encode("utf-16")[:-1], "UTF-16"),
        (b'[{"tag":"1"}]', "one object a line"),
        (header_line("7d444840-9dc0-11d1-b245-5ffdce74fad2", "2024-03-01T09:00:00+00:00"), "merge"),
    ],
)
def test_files_that_are_none_of_ours(content: bytes, what: str) -> None:
    with pytest.raises(InputError, match=what):
        read(content)


def test_a_mapping_renames_converts_fills_and_leaves_out() -> None:
    content = "Nr;Was;Tag;Länge;Preis\n3;gebunden;05/01/2026;2,36;12\n4;;06/01/2026;60 mm;\n"
    said = ("Nr=tag", "was=kind", "Tag=at %d/%m/%Y", "Länge=overall_mm in", "Preis=", "kind:gebunden=tied",
            "kind:=joined", "instrument:=oboe")  # fmt: skip
    assert rows(content, *said) == [
        (2, {"tag": "3", "kind": "tied", "at": "2026-01-05T00:00:00", "overall_mm": "2,36 in", "instrument": "oboe"}),
        (3, {"tag": "4", "kind": "joined", "at": "2026-01-06T00:00:00", "overall_mm": "60 mm", "instrument": "oboe"}),
    ]


def test_a_mapping_that_cannot_be_is_refused() -> None:
    for line in ("length", "=tag", "length=overal_mm", "length=overall_mm cubits"):
        with pytest.raises(InputError):
            parse_mapping([line])
    assert parse_mapping(["", "# a remark"]) == ColumnMap()


@pytest.mark.parametrize(
    ("bound", "most", "what"), [("MAX_LINES", 2, "more than 2 lines"), ("MAX_FILE", 20, "more than 20 bytes"),
                                ("MAX_LINE", 9, "a line of more than 9 bytes")],
)  # fmt: skip
def test_a_file_too_large_for_memory_is_refused(
    monkeypatch: pytest.MonkeyPatch, bound: str, most: int, what: str
) -> None:
    monkeypatch.setattr(read_rows, bound, most)
    with pytest.raises(InputError, match=what):
        read("tag,kind,at\n1,noted,2026-03-12\n2,noted,2026-03-12\n")
