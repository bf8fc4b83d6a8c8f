"""The file that is given to a circle: read back as it was written, and looked at before any of it is used."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.shares import share

from reedkin.errors import InputError
from reedkin.store.circle.shares import MOST_BYTES, read_share, share_bytes, share_of, write_share
from reedkin.store.disk.files import FileWriteError

Document = dict[str, Any]


def document() -> Document:
    return dict(json.loads(share_bytes(share())))


def refused(text: bytes) -> str:
    with pytest.raises(InputError) as told:
        share_of(text, "circle.json")
    assert "circle.json" in str(told.value)
    return str(told.value)


def test_it_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    path = tmp_path / "circle.json"
    write_share(path, share())
    assert read_share(path) == share()
    write_share(path, share(joined=3))
    assert read_share(path).joined == 3


def test_what_a_later_version_adds_is_left_unread() -> None:
    assert share_of(json.dumps({**document(), "further": {"a": [1]}}).encode(), "x") == share()


def test_a_file_that_cannot_be_read_or_written_is_told(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_share(tmp_path / "none.json")
    with pytest.raises(InputError, match="cannot be read"):
        read_share(tmp_path)
    with pytest.raises(FileWriteError):
        write_share(tmp_path / "none" / "circle.json", share())


@pytest.mark.parametrize(
    "text",
    [
        b"", b"{", b"[]", b"null", b"\xff\xfe\x00", b"[" * 100_000, b'{"format":' * 30_000, b'{"format":"other"}',
        b'{"format":"reedkin share","version":1e999}', b'{"format":"reedkin share","x":NaN}', b"x" * (MOST_BYTES + 1),
    ],
)  # fmt: skip
def test_what_is_no_share_is_refused(text: bytes) -> None:
    assert "reedkin share FILE" in refused(text) or "larger than any share" in refused(text)


def test_a_share_has_at_most_200_000_bytes() -> None:
    text = share_bytes(share())
    assert share_of(text.ljust(200_000), "x") == share()
    assert "larger than any share" in refused(text.ljust(200_001))


@pytest.mark.parametrize("field", ["version", "definitions"])
def test_what_was_reckoned_otherwise_is_not_taken(field: str) -> None:
    assert "another version" in refused(json.dumps({**document(), field: 2}).encode())


def _habit(**changed: Any) -> Callable[[Document], None]:
    return lambda made: made["habits"][0].update(changed)


def _lives(**changed: Any) -> Callable[[Document], None]:
    return lambda made: made["lives"][0].update(changed)


def _trial(**changed: Any) -> Callable[[Document], None]:
    return lambda made: made["trials"][0].update(changed)


@pytest.mark.parametrize(
    "change",
    [
        _habit(standard_error=0), _habit(standard_error=-1), _habit(standard_error=1e-300), _habit(standard_error=0.01),
        _habit(log_hazard_ratio=40), _habit(log_hazard_ratio=-1e308), _habit(log_hazard_ratio="1.4"),
        _habit(log_hazard_ratio=None), _habit(spread=0), _habit(spread=-2), _habit(spread=1e308), _habit(retired=4),
        _habit(retired=41), _habit(reeds=10**6), _habit(reeds=2.5), _habit(quarters=[62, 60]), _habit(quarters=[60]),
        _habit(habit="tied \x1b[31m"), _habit(habit="x" * 61), _habit(habit="tied_mm\n"), _habit(clock="weeks"),
        _lives(instrument="kazoo"), _lives(left_after=[9, 8, 12]), _lives(left_after=[0, 8, 12]), _lives(reeds=3),
        _lives(retired=39), _lives(reeds=400), _trial(worn_out=[9, 30]), _trial(served=[12, 13]),
        _trial(variance=4.5), _trial(variance=-1), _trial(more_worn=18), _trial(variance=0), _trial(trial="wire"),
        _trial(mark="anna"),
        lambda made: made["habits"].append(made["habits"][0]),
        lambda made: made["lives"].append(made["lives"][0]),
        lambda made: made["trials"].append(made["trials"][0]),
        lambda made: made.update(retired=41), lambda made: made.update(joined=-1), lambda made: made.update(marks=[]),
        lambda made: made.update(marks=["0" * 12, "0" * 12]), lambda made: made.update(marks=["g" * 12]),
        lambda made: made.update(program="\u202e0.1"), lambda made: made.update(habits=made["habits"] * 300),
        lambda made: made.pop("reeds"),
    ],
)  # fmt: skip
def test_what_cannot_be_is_refused(change: Callable[[Document], None]) -> None:
    made = document()
    change(made)
    assert "Ask its maker for it again" in refused(json.dumps(made).encode())


@settings(max_examples=60)
@given(st.data())
def test_whatever_stands_in_a_file_it_is_a_share_or_refused(data: st.DataObject) -> None:
    made = document()
    number = st.one_of(st.floats(), st.integers(), st.text(max_size=5), st.none(), st.lists(st.integers(), max_size=3))
    parts = [made, *made["habits"], *made["lives"], *made["trials"]]
    for _ in range(data.draw(st.integers(1, 3))):
        inner = data.draw(st.sampled_from(parts))
        inner[data.draw(st.sampled_from(sorted(inner)))] = data.draw(number)
    try:
        read = share_of(json.dumps(made).encode(), "circle.json")
    except InputError:
        return
    assert share_of(share_bytes(read), "x") == read
