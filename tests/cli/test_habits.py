"""`reedkin habits`."""

from __future__ import annotations

from pathlib import Path

import pytest

from reedkin.cli.commands import demo
from reedkin.store.circle.shares import write_share
from tests import shares
from tests.cli.conftest import CommandLine


@pytest.fixture
def seasons() -> Path:
    return demo.demo_log("three-seasons")


def test_a_log_that_is_too_young(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "1 play 45 8")
    assert "Early days" in run.done("habits").out
    report = run.done("habits", "--clock", "days", "--json").json
    assert (report["clock"], report["habits"]) == ("days", [])


class TestWithACircle:
    @pytest.fixture
    def files(self, tmp_path: Path) -> Path:
        folder = tmp_path / "circle"
        folder.mkdir()
        for maker, name in enumerate(("anna", "bea", "cora"), 1):
            write_share(folder / f"{name}.json", shares.share(maker, (shares.habit(0.4 + maker / 20, 0.2),)))
        return folder

    def test_as_json_with_a_folder_of_files(self, run: CommandLine, seasons: Path, files: Path) -> None:
        report = run.done("habits", "--with", str(files), "--json", log=seasons).json
        assert report["clock"] == "hours"
        assert report["retired"] <= report["reeds"]
        assert len(report["habits"]) > 10
        for habit in report["habits"]:
            assert habit.keys() == {
                "habit", "label", "per", "kind", "n", "retired", "hazard_ratio", "ci", "p", "q", "evidence",
                "direction", "more_retirements_needed", "chance", "hours", "within_lots",
            }  # fmt: skip
            assert habit["kind"] in ("making", "use")
            assert habit["evidence"] in ("clear", "leaning", "unclear")
            assert habit["direction"] == ("shorter" if habit["hazard_ratio"] > 1 else "longer")
            assert habit["p"] <= habit["q"]
        assert report["circle"]["makers"] == ["anna", "bea", "cora"]
        (one,) = report["circle"]["habits"]
        assert one["habit"] == "tied_mm"
        assert one["chance"] > one["chance_alone"]

    def test_as_text_with_files(self, run: CommandLine, seasons: Path, files: Path) -> None:
        named = (str(files / "anna.json"), str(files / "bea.json"))
        text = run.done("habits", "--with", *named, log=seasons).out
        assert "only a fair trial can tell" in text
        assert "You and 2 other makers" in text
        assert "your own: " in text

    def test_a_file_that_cannot_be_used_ends_it(self, run: CommandLine, seasons: Path, files: Path) -> None:
        (files / "anna.json").write_text("{}")
        ran = run("habits", "--with", str(files), log=seasons)
        assert (ran.code, ran.out) == (2, "")
        assert "anna.json is no file of a circle" in ran.err

    def test_without_a_name_it_is_the_folder_beside_the_log(self, run: CommandLine, files: Path) -> None:
        run.enter("1 tie oboe 72", "1 play 45 8")
        ran = run("habits", "--with")
        if run.path.parent == files.parent:
            assert "You and 3 other makers" in ran.out
        else:
            assert "Name the files of your circle" in ran.err
