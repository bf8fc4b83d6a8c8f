"""A mended copy has all that can be trusted, in order, and is clean; the log is not touched; nothing is thrown away."""

from __future__ import annotations

import errno
import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.store.making import (
    HEADER,
    A,
    B,
    C,
    D,
    FailingDisk,
    HastyDisk,
    Triple,
    content,
    entry,
    histories,
    on_disk,
    record,
    unchained,
)

from reedkin.store.errors import LogForeignError, MendError
from reedkin.store.mending.mending import Mended, mend
from reedkin.store.reading.lines import MAX_LINE, opened, read_head, seal
from reedkin.store.scan import scan
from reedkin.store.storage import AppendOnlyStorage

MADE = "2026-11-25T12:00:00+01:00"
ONE, TWO, THREE = (entry(triple) for triple in (A, B, D))
OTHER = entry(("reed a", "1", {}))
TRIO = entry(B, C, D).splitlines(keepends=True)
OTHER_ENDS = [part.replace(b"\n", b"\r\n") for part in (HEADER, *TRIO, b"x\n")]


def mended(path: Path, raw: bytes) -> Mended:
    """Mend a log of these bytes and check what holds for every mended copy."""
    path.write_bytes(raw)
    before = scan(path)
    done = mend(path, path.with_name("mended.jsonl"), MADE, HastyDisk())
    assert path.read_bytes() == raw
    after = scan(done.path)
    assert after.faults == ()
    assert after.documents == before.documents
    assert after.header is not None
    assert after.header.made == MADE
    return done


def kept_aside(done: Mended) -> dict[int, bytes]:
    """The pieces that were left out, by line, read as another program would read them."""
    if done.damaged is None:
        return {}
    raw, found = done.damaged.read_bytes(), {}
    while raw:
        head, raw = raw.split(b"\n", 1)
        match = re.fullmatch(rb"line (\d+), (\d+) bytes, ([a-z, ]+):", head)
        assert match is not None
        size = int(match[2])
        found[int(match[1])], raw = raw[:size], raw[size + 1 :]
    return found


def lefts(done: Mended) -> list[int]:
    rests = [opened(line) for line in done.path.read_bytes().splitlines()[1:]]
    return [read_head(rest)[0] for rest in rests if rest is not None]  # type: ignore[misc, index]


@pytest.mark.parametrize(
    ("name", "lines", "aside", "counts"),
    [
        ("sound", [HEADER, ONE, TWO], {}, [0, 0]),
        ("changed", [HEADER, ONE, TWO.replace(b"scr", b"scx"), THREE], {3: TWO.replace(b"scr", b"scx")}, [0, 0]),
        ("zeros", [HEADER, ONE, b"\0" * 30 + b"\n", TWO], {3: b"\0" * 30 + b"\n"}, [0, 0]),
        ("not text", [HEADER, b"\xff\xfe\n", TWO], {2: b"\xff\xfe\n"}, [0]),
        ("empty", [HEADER, ONE, b"\n", TWO], {3: b"\n"}, [0, 0]),
        ("repeated", [HEADER, ONE, TWO, ONE], {4: ONE}, [0, 0]),
        ("conflict", [HEADER, ONE, OTHER], {3: OTHER}, [0]),
        ("conflict doubled", [HEADER, ONE, OTHER, OTHER, TWO], {3: OTHER, 4: OTHER}, [0, 0]),
        ("torn", [HEADER, ONE, TWO[:-9]], {3: TWO[:-9]}, [0]),
        ("torn entry", [HEADER, ONE, *TRIO[:2]], {3: TRIO[0], 4: TRIO[1]}, [0]),
        ("no header", [ONE, TWO], {}, [0, 0]),
        ("bad header", [b"x" + HEADER, ONE], {1: b"x" + HEADER}, [0]),
        ("two headers", [HEADER, ONE, HEADER], {3: HEADER}, [0]),
        ("first of three", [HEADER, b"x\n", *TRIO[1:], ONE], {2: b"x\n"}, [1, 0, 0]),
        ("second of three", [HEADER, TRIO[0], b"x\n", TRIO[2], ONE], {3: b"x\n"}, [1, 0, 0]),
        ("last of three", [HEADER, *TRIO[:2], b"x\n", ONE], {4: b"x\n"}, [1, 0, 0]),
        ("one lost", [HEADER, TRIO[0], TRIO[2], ONE], {}, [0, 0, 0]),
        ("line doubled", [HEADER, *TRIO[:2], TRIO[1], TRIO[2], ONE], {4: TRIO[1]}, [2, 1, 0, 0]),
        ("last of an entry repeated", [HEADER, ONE, *entry(B, A).splitlines(keepends=True)], {4: ONE}, [0, 0]),
        ("line doubled in another entry", [HEADER, ONE, *TRIO[:2], ONE, TRIO[2]], {5: ONE}, [0, 1, 0, 0]),
        ("entry doubled", [HEADER, *TRIO, *TRIO, ONE], {5: TRIO[0], 6: TRIO[1], 7: TRIO[2]}, [2, 1, 0, 0]),
        (
            "other line ends",
            OTHER_ENDS,
            {5: b"x\r\n"},
            [2, 1, 0],
        ),
        ("document", [HEADER, seal(b'"left":0,"table":"t","id":"i","doc":{"a":}}')], None, []),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_each_kind_of_damage(
    path: Path, name: str, lines: list[bytes], aside: dict[int, bytes] | None, counts: list[int]
) -> None:
    done = mended(path, b"".join(lines))
    assert kept_aside(done) == (aside if aside is not None else {2: lines[1]})
    assert lefts(done) == counts


def test_whole_entries_keep_their_bytes_but_for_the_chain_which_is_made_anew(path: Path) -> None:
    done = mended(path, HEADER + ONE + b"rubbish\n" + b"".join(TRIO))
    header, *lines = done.path.read_bytes().splitlines(keepends=True)
    assert unchained(b"".join(lines)) == ONE + b"".join(TRIO)
    assert [line[-11:-3] for line in lines] == [line[8:16] for line in (header, *lines[:-1])]


def test_the_new_first_line_names_the_old_log(path: Path) -> None:
    done = mended(path, HEADER + ONE + b"rubbish\n")
    header: dict[str, Any] = json.loads(done.path.read_bytes().splitlines()[0])
    assert header["mended_from"] == "7d444840-9dc0-11d1-b245-5ffdce74fad2"
    assert header["log"] != header["mended_from"]


def test_a_line_of_another_form_is_sealed_anew(path: Path) -> None:
    """Fields in another order, as another program might write them, in an entry that lost its second line."""
    odd = seal(b'"id":"9","table":"reed a","doc":{"n":1.0},"left":1}')
    done = mended(path, HEADER + odd + b"rubbish\n")
    assert lefts(done) == [0]


def test_an_endless_line_is_kept_aside_whole(path: Path) -> None:
    endless = b"x" * (MAX_LINE + 100_000) + b"\n"
    done = mended(path, HEADER + ONE + endless + TWO)
    assert kept_aside(done) == {3: endless}


@on_disk
@given(history=histories(), data=st.data())
def test_any_damage_can_be_mended(
    tmp_path_factory: pytest.TempPathFactory, history: list[list[Triple]], data: st.DataObject
) -> None:
    raw = bytearray(content(history))
    for _ in range(data.draw(st.integers(1, 4))):
        place = data.draw(st.integers(len(HEADER), len(raw)))
        what = data.draw(st.sampled_from(["flip", "cut", "insert", "double"]))
        if what == "flip" and place < len(raw):
            raw[place] ^= data.draw(st.integers(1, 255))
        elif what == "cut":
            del raw[place : place + data.draw(st.integers(1, 200))]
        elif what == "insert":
            raw[place:place] = data.draw(st.binary(min_size=1, max_size=40))
        elif what == "double":
            raw += raw[place:]
    done = mended(tmp_path_factory.mktemp("log") / "bench.jsonl", bytes(raw))
    with AppendOnlyStorage(done.path, disk=HastyDisk()) as storage:
        record(storage, ("reed zzzzzzz", "new", {}))  # longer names than any drawn


def test_nothing_is_written_over(path: Path) -> None:
    path.write_bytes(HEADER + b"rubbish\n" + ONE)
    for name in ("mended.jsonl", "mended.jsonl.damaged"):
        there = path.with_name(name)
        there.write_bytes(b"hers")
        with pytest.raises(MendError, match="already"):
            mend(path, path.with_name("mended.jsonl"), MADE)
        assert there.read_bytes() == b"hers"
        there.unlink()
    with pytest.raises(MendError):
        mend(path, path, MADE)


@pytest.mark.parametrize("call", ["write", "fsync"])
@pytest.mark.parametrize("room", [None, 400])
def test_a_full_disk_leaves_no_copy(path: Path, call: str, room: int | None) -> None:
    path.write_bytes(HEADER + ONE + b"rubbish" * 100 + b"\n")
    disk = FailingDisk(room=room)
    if room is None:
        disk.fail(call, errno.ENOSPC)
    with pytest.raises(MendError, match="Free some space"):
        mend(path, path.with_name("mended.jsonl"), MADE, disk)
    assert [p.name for p in path.parent.iterdir()] == ["bench.jsonl"]


def test_another_programs_file_is_not_mended(path: Path) -> None:
    path.write_bytes(b"a shopping list\n")
    with pytest.raises(LogForeignError):
        mend(path, path.with_name("mended.jsonl"), MADE)
    assert [p.name for p in path.parent.iterdir()] == ["bench.jsonl"]
