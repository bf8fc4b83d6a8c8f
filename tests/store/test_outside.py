"""Files that others send: a named pipe that nobody writes to is refused at once, wherever a file may be named."""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from pathlib import Path

import pytest

from reedkin.cli.commands.importing import _read
from reedkin.cli.spreadsheet import mapping_lines
from reedkin.errors import InputError
from reedkin.store.calendars.blocks import read_text
from reedkin.store.circle.shares import read_share
from reedkin.store.circle.trial_files import read_trial_file
from reedkin.store.disk.outside import opened

pytestmark = pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="Windows has no named pipes in folders")


@pytest.mark.parametrize(
    "read",
    [lambda path: _read(path, True), lambda path: list(mapping_lines([str(path)])), read_text, read_share,
     read_trial_file],
    ids=["import", "map", "engagements", "habits --with", "trial join"],
)  # fmt: skip
@pytest.mark.timeout(10)
def test_a_pipe_that_nobody_writes_to_is_refused(tmp_path: Path, read: Callable[[Path], object]) -> None:
    os.mkfifo(pipe := tmp_path / "sheet.csv")
    with pytest.raises(InputError, match="is not an ordinary file"):
        read(pipe)


@pytest.mark.timeout(10)
def test_what_the_shell_hands_over_is_read_to_its_end() -> None:
    end, begin = os.pipe()
    writer = threading.Thread(target=lambda: (os.write(begin, b"tag,kind\n"), os.close(begin)))
    writer.start()
    with opened(Path(f"/dev/fd/{end}")) as given:
        assert given.read() == b"tag,kind\n"
    writer.join()
    os.close(end)


def test_a_folder_is_told_as_before(tmp_path: Path) -> None:
    with pytest.raises(IsADirectoryError), opened(tmp_path):
        pass
