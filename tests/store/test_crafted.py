"""Logs that somebody made to do harm: each line with a right checksum. They cost no more than their size, and a line
that cannot be kept in mind is a damaged line like any other."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from time import process_time
from typing import Any

import pytest
from tests.store.making import HEADER, entry

from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.domain.uid import UidMaker, uuid7
from reedkin.errors import LogError
from reedkin.grammar.reading import read
from reedkin.store.log import Log
from reedkin.store.mending.consistency import consistency
from reedkin.store.reading.faults import FaultKind
from reedkin.store.reading.lines import seal

NOW = FixedClock(datetime(2026, 11, 25, 10, 0, tzinfo=UTC))
AT = "2026-11-20T18:30:00+01:00"


def doc(kind: str, **more: Any) -> dict[str, Any]:
    return {"kind": kind, "tag": "7", "at": AT, "recorded": AT, "entry": "e", "facts": {}, **more}


BEGUN = HEADER + entry(("reed r", "r", doc("tied", facts={"instrument": "oboe"})))


@pytest.mark.parametrize("depth", [150, 500, 980, 1100, 20_000])
@pytest.mark.parametrize("mark", ["[]", "{}"])
def test_what_is_nested_too_deeply_is_a_damaged_line(tmp_path: Path, depth: int, mark: str) -> None:
    inner = b"[" * depth + b"]" * depth if mark == "[]" else b'{"x":' * depth + b"1" + b"}" * depth
    path = tmp_path / "log.jsonl"
    line = seal(b'"left":0,"table":"reed r","id":"d","doc":{"kind":"noted","x":' + inner + b"}}")
    path.write_bytes(BEGUN + line + entry(("reed r", "c", doc("clipped", facts={"clip_mm": 0.5}))))
    assert main(["--log", str(path), "check"], NOW) == 3
    with Log(path, NOW) as log:
        assert [step.kind for step in log.bench.reeds()[0].steps] == ["tied", "clipped"]
        assert [(fault.line, fault.kind) for fault in log.faults] == [(3, FaultKind.SHAPE)]


def test_brackets_in_a_text_are_not_nested(tmp_path: Path) -> None:
    path = tmp_path / "log.jsonl"
    path.write_bytes(BEGUN + entry(("reed r", "n", doc("noted", note='[{"' * 500))))
    with Log(path, NOW) as log:
        assert log.bench.reeds()[0].steps[1].note == '[{"' * 500
        assert not log.faults


def doubled(count: int) -> bytes:
    return b"".join(2 * entry(("reed r", f"x{n}", doc("scraped"))) for n in range(count))


def doubled_at_the_end(count: int) -> bytes:
    return 2 * b"".join(entry(("reed r", f"x{n}", doc("scraped"))) for n in range(count))


def chain(count: int) -> bytes:
    return b"".join(entry(("reed r", f"x{n}", doc("struck", of=f"x{n - 1}"))) for n in range(count))


def circle(count: int) -> bytes:
    return b"".join(entry(("reed r", f"x{n}", doc("struck", of=f"x{(n - 1) % count}"))) for n in range(count))


@pytest.mark.parametrize("crafted", [doubled, doubled_at_the_end, chain, circle])
def test_four_times_as_many_take_about_four_times_as_long(tmp_path: Path, crafted: Callable[[int], bytes]) -> None:
    def took(count: int) -> float:
        path = tmp_path / f"{count}.jsonl"
        path.write_bytes(BEGUN + crafted(count))
        start = process_time()
        with Log(path, NOW, read_only=True) as log:
            assert len(log.bench.reeds()) == 1
            assert sum(1 for _ in consistency(log)) in (0, count)
            assert len(log.faults) in (0, count)
        return process_time() - start

    few = min(took(500) for _ in range(3))
    assert any(took(2000) < 9 * few for _ in range(2))  # sixteen times, if each looked at each


def test_identifiers_do_not_wrap(tmp_path: Path) -> None:
    last = "ffffffff-ffff-7fff-bfff-ffffffffffff"
    with pytest.raises(LogError, match="end of all time"):
        UidMaker(after=last).new()
    path = tmp_path / "log.jsonl"
    path.write_bytes(BEGUN + entry(("reed r", last, doc("scraped", entry=last))))
    before = path.read_bytes()
    assert main(["--log", str(path), "add", "7", "clip", ".5"], NOW) == LogError.exit_code
    assert path.read_bytes() == before


@pytest.mark.parametrize("table", ["reed r", "lots", "reed other"])
def test_one_at_the_end_of_its_range_whose_entry_is_small_lets_no_later_correction_count_for_nothing(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], table: str
) -> None:
    """Of two amendments of one event that with the greater identifier counts, whatever its entry says."""
    last, small = "ffffffff-ffff-7fff-bfff-ffffffffffff", "00000000-0000-7000-8000-000000000000"
    path = tmp_path / "log.jsonl"
    clip = entry(("reed r", "c", doc("clipped", facts={"clip_mm": 0.5})))
    path.write_bytes(BEGUN + clip + entry((table, last, doc("amended", entry=small, of="c", facts={"clip_mm": 0.25}))))
    before = path.read_bytes()
    assert main(["--log", str(path), "add", "7", "clip", ".5"], NOW) == LogError.exit_code
    assert "end of all time" in capsys.readouterr().err
    assert path.read_bytes() == before


def test_identifiers_from_the_future_are_followed_by_greater_ones(tmp_path: Path) -> None:
    ahead, small = uuid7(16_000_000_000_000, 5), "00000000-0000-7000-8000-000000000000"
    path = tmp_path / "log.jsonl"
    clip = entry(("reed r", small, doc("clipped", entry="zzz", facts={"clip_mm": 0.5})))
    amended = doc("amended", entry=small, of=small, facts={"clip_mm": 0.25})
    path.write_bytes(BEGUN + clip + entry(("reed r", ahead, amended)))
    with Log(path, NOW) as log:
        (scraped,) = log.record(read("7 scrape tip", log.bench))
    assert scraped.uid > scraped.entry > ahead or scraped.uid == scraped.entry > ahead


def test_a_reed_whose_beginning_is_lost_is_not_taken_for_the_one_in_hand(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "log.jsonl"
    with_beginning = BEGUN + entry(("reed r", "c", doc("clipped", facts={"clip_mm": 0.5})))
    path.write_bytes(with_beginning.replace(b"oboe", b"obof"))
    assert main(["--log", str(path), "add", "--seen", "7", "note", "x"], NOW) == 2
    assert "7" in capsys.readouterr().err
