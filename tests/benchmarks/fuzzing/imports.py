"""Files to import that no spreadsheet wrote: taken in whole or not at all, and never with a traceback."""

from __future__ import annotations

import json
import shutil
from datetime import timedelta
from pathlib import Path
from random import Random

from tests.benchmarks.fuzzing.logs import NOW, made

from reedkin.cli.main import main
from reedkin.domain.clock import FixedClock
from reedkin.store.scan import scan

_HEADS = (
    "tag", "kind", "at", "session", "uid", "note", "instrument", "overall_mm", "tube", "lot", "clip_mm", "minutes",
    "score", "where", "crow", "cause", "to", "reed", "turns", "gauge_awg", "hours_before", "unknown", "", "Länge",
    "session_start",
)  # fmt: skip
_OWN_HEADS = (
    "Reed", "Nr.", "Date", "Tied on", "first played", "hours", "Retired", "Reason", "What I did", "mins", "Length (in)",
    "Rating (1-5)", "Notes", "Staple", "Instr.", "Where played", "Sold to", "", "mm", "Total", "x" * 300,
)  # fmt: skip
_CELLS = (
    "1", "2", "7", "99", "12/2", "tied", "played", "clipped", "retired", "scraped", "handed over", "amended", "noted",
    "oboe", "english horn", "72", "0,5", ".5", "-3", "1e9", "NaN", "inf", "45", "8", "C5 -20c", "tip,heart",
    "worn", "x" * 3000,
    "2026-01-05T10:00+01:00", "5.1.2026", "2026-02-30", "0001-01-01", "9999-12-31T23:59:59Z", "25:61",
    "=1+1", "'=1", "@x",
    "\x1b[2J", "\x00", "“”", "a pupil", "27", "", " ", "\t", '"', "''", "\u202e", "é" * 50, "1/64 in", "sold",
)  # fmt: skip
_MAPS = (
    "a=b",
    "unknown=note",
    "Länge=overall_mm in",
    "at=at %d.%m.%Y",
    "kind:played=tied",
    "=",
    "note=",
    "instrument:=oboe",
    "kind:=played",
    "date=at day-first",
    "tag=tag",
    "=tag",
)


class Imports:
    """A log, and files for it."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self._folder = folder
        self._begun = folder / "begun.jsonl"
        made(self._begun, ("1-3 tie oboe 72 lot 7 tube 27", "1 clip .5", "1 played 45 8", "2 retire cracked"))
        main(["--log", str(self._begun), "export", str(folder / "begun.csv")], FixedClock(NOW))
        main(["--log", str(self._begun), "export", "--format", "jsonl", str(folder / "begun.rows")], FixedClock(NOW))
        main(["--log", str(self._begun), "export", "--whole", str(folder / "whole.csv")], FixedClock(NOW))
        main(["--log", str(self._begun), "export", "--whole", "--format", "jsonl", str(folder / "whole.rows")],
             FixedClock(NOW))  # fmt: skip
        names = ("begun.csv", "begun.rows", "whole.csv", "whole.rows")
        self._exports = [(folder / name).read_bytes() for name in names]

    def attempt(self, chance: Random) -> str:
        """Import a file; how that ended."""
        log, rows = self._folder / "log.jsonl", self._folder / chance.choice(("rows.csv", "rows.jsonl"))
        for left in self._folder.glob("log.jsonl*"):
            shutil.rmtree(left) if left.is_dir() else left.unlink()
        if chance.random() < 0.7:
            shutil.copyfile(self._begun, log)
        before = log.read_bytes() if log.exists() else None
        rows.write_bytes(self._file(chance))
        words = ["import", str(rows)]
        for _ in range(chance.choice((0, 0, 0, 1, 2))):
            words += ["--map", chance.choice(_MAPS)]
        words += chance.choice(([], [], ["--accept"], ["--accept"], ["--dry-run"], ["--replace"], ["--keep", "both"]))
        try:
            code = main(["--log", str(log), *words], FixedClock(NOW + timedelta(days=1)))
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
        assert code in (0, 1, 2, 3), f"ended with {code}"
        after = log.read_bytes() if log.exists() else None
        if code or "--dry-run" in words:
            assert after == before, "refused, and yet something was written"
            return "refused" if code else "looked at"
        assert after is None or after.startswith(before or b""), "what was there was changed"
        assert after is None or not [fault for fault in scan(log).faults if fault.blocks]
        return "taken in"

    def _file(self, chance: Random) -> bytes:
        how = chance.random()
        if how < 0.4:
            return self._mutated(chance.choice(self._exports), chance)
        if how < 0.5:
            return chance.randbytes(chance.randrange(400))
        if how < 0.8:
            heads = [*_HEADS[:3], *(chance.choice(_HEADS) for _ in range(chance.randrange(6)))]
            if chance.random() < 0.5:
                heads = [chance.choice(_OWN_HEADS) for _ in range(chance.randrange(1, 8))]
            rows = [[chance.choice(_CELLS) for _ in heads] for _ in range(chance.randrange(12))]
            mark = chance.choice(",;\t|")
            text = "\n".join(mark.join(row) for row in [heads, *rows])
            return text.encode(chance.choice(("utf-8", "utf-8-sig", "utf-16", "latin-1")), "replace")
        rows = [{chance.choice(_HEADS): self._cell(chance) for _ in range(6)} for _ in range(chance.randrange(12))]
        return "\n".join(json.dumps({"tag": "7", "kind": "tied", **row}) for row in rows).encode()

    @staticmethod
    def _cell(chance: Random) -> object:
        return chance.choice((chance.choice(_CELLS), 1, -2.5, None, True, [], {}, 1e308, 10**40, [["x"]]))

    @staticmethod
    def _mutated(raw: bytes, chance: Random) -> bytes:
        for _ in range(chance.choice((0, 1, 1, 2, 5))):
            at, lines = chance.randrange(len(raw) + 1), raw.splitlines(keepends=True)
            match chance.randrange(5):
                case 0:
                    raw = raw[:at] + chance.randbytes(1) + raw[at + 1 :]
                case 1:
                    raw = raw[:at] + chance.choice(_CELLS).encode() + raw[at:]
                case 2:
                    raw = raw[:at] + raw[at + chance.choice((1, 10, 100)) :]
                case 3 if lines:
                    raw = b"".join([*lines, chance.choice(lines)])
                case _ if lines:
                    chance.shuffle(lines)
                    raw = b"".join(lines)
        return raw
