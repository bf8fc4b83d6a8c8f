"""What a stranger gets: the package, built, in an empty environment."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import tomllib
import venv
import zipfile
from pathlib import Path

import pytest

import reedkin

ROOT = Path(__file__).parents[2]


def test_the_version_is_the_same_everywhere() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == reedkin.__version__
    assert f"## {reedkin.__version__} (" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")


def test_the_package_is_built_and_runs_in_an_empty_environment(tmp_path: Path) -> None:
    """Without a network: built by the backend that is installed for the tests, and with their libraries beside it."""
    pytest.importorskip("hatchling", reason="the build backend comes with the test extra")
    subprocess.run([sys.executable, "-m", "hatchling", "build", "-d", str(tmp_path)], cwd=ROOT, check=True, timeout=60)
    (wheel,), (source,) = tmp_path.glob("*.whl"), tmp_path.glob("*.tar.gz")
    with tarfile.open(source) as archive:
        names = {name.partition("/")[2] for name in archive.getnames()}
    assert {"README.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", "demo_logs/pictures/bench.svg"} <= names
    assert not [name for name in names if name.startswith(".git/") or "__pycache__" in name]
    with zipfile.ZipFile(wheel) as packed:
        held = packed.namelist()
        (about,) = (packed.read(name).decode() for name in held if name.endswith("METADATA"))
    assert {one.split("/")[0] for one in held} == {"reedkin", f"reedkin-{reedkin.__version__}.dist-info"}
    assert "Description-Content-Type: text/markdown" in about

    empty = tmp_path / "empty"
    venv.create(empty)
    (folder,) = empty.glob("lib/python*/site-packages")
    with zipfile.ZipFile(wheel) as packed:
        packed.extractall(folder)  # as pip does with a wheel of pure Python; its scripts are not needed here
    here = Path(pytest.__file__).parents[1]
    (folder / "libraries.pth").write_text(f"{here}\n")
    python, log = empty / "bin" / "python", tmp_path / "log.jsonl"

    def runs(*words: str) -> str:
        ran = subprocess.run(
            [python, "-W", "error", "-m", "reedkin", "--log", log, *words],
            cwd=tmp_path, capture_output=True, text=True, check=True, timeout=60,
        )  # fmt: skip
        return ran.stdout

    asked = (
        "import reedkin; from reedkin.cli.commands import demo; print(reedkin.__file__, demo.demo_log('first-month'))"
    )
    where = subprocess.run(
        [python, "-c", asked],
        cwd=tmp_path, capture_output=True, text=True, check=True, timeout=60,
    ).stdout  # fmt: skip
    assert where.count(str(folder)) == 2
    assert reedkin.__version__ in runs("--version")
    runs("add", "1 tie oboe 72")
    assert "blank" in runs("stock")
