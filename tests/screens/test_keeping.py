"""What a screen says, taken away: to the clipboard, as text, as a picture, as a page to print."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest

from reedkin.charts.as_svg import as_svg
from reedkin.charts.canvas import Run
from reedkin.screens.parts.keeping import as_file, copied
from tests.screens.asking import FIVE_LIVES, answered
from tests.screens.conftest import Opened

HOSTILE = "<script>alert(1)</script> & \x1b[31m"


def test_a_drawing_as_svg_has_its_letters_and_every_dot() -> None:
    svg = ElementTree.fromstring(as_svg([(Run("5┤"), Run("⣿⠁ ", "cane")), (Run(HOSTILE),)]))
    tags = [element.tag.rpartition("}")[2] for element in svg]
    assert tags.count("circle") == 8 + 1
    assert "".join(element.text or "" for element in svg).startswith("5┤<script>")


def test_a_page_to_print_is_one_file_that_runs_and_loads_nothing() -> None:
    page = as_file(".html", HOSTILE, [HOSTILE, "Half last 13 h."], [[(Run("⣿"),)]])
    seen: list[str] = []

    class Tags(HTMLParser):
        def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
            seen.append(tag)
            assert not {"src", "href", "onload"} & {name for name, _ in attrs}

    Tags().feed(page)
    assert {"script", "link", "img", "iframe"}.isdisjoint(seen)
    assert {"svg", "pre", "h1"} <= set(seen)
    assert set(re.findall(r"https?://[^\"\s]+", page)) == {"http://www.w3.org/2000/svg"}
    assert "Half last 13 h." in page
    assert "\x1b" not in page


async def test_what_is_shown_is_copied_and_kept(
    opened: Opened, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("TERM", "xterm-256color")
    async with opened((80, 24), *FIVE_LIVES) as bench:
        await bench.keys("<f4>")
        await answered(bench)
        await bench.keys("y")
        assert "Copied" in bench.shown
        assert "half last 3.0 h" in bench.app.clipboard
        for name in ("lives.html", "lives.svg"):
            await bench.keys("p")
            await bench.answer(str(tmp_path / name))
            await bench.settle()
        assert "<svg" in (tmp_path / "lives.html").read_text(encoding="utf-8")
        ElementTree.fromstring((tmp_path / "lives.svg").read_text(encoding="utf-8"))
        await bench.keys("<escape>")
        await bench.enter("1")
        await bench.keys("y")
        assert "retired: worn" in bench.app.clipboard
        monkeypatch.setenv("TERM", "linux")
        assert "no clipboard" in copied(["a"])
