"""What is printed from the shell: care cards, labels, histories, a year's review."""

from __future__ import annotations

import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from reedkin.answers.card.care import CARE
from reedkin.domain.cautions import DEFER, LOOSE, MOULD, SHARED, WIRE
from tests.cli.conftest import CommandLine


class Page(HTMLParser):
    """A page read as a browser does: what it says, and whether it wants anything from elsewhere."""

    def __init__(self, path: Path) -> None:
        super().__init__()
        self.said, self.tags, self.pieces, self.elsewhere = "", set[str](), 0, list[str]()
        source = path.read_text(encoding="utf-8")
        self.elsewhere += re.findall(r"url\(|@import", source)
        self.feed(source)
        self.said = " ".join(self.said.split())  # as folded on paper

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.elsewhere += [name for name, _ in attrs if name in ("src", "href", "srcset", "data")]
        self.pieces += "piece" in (dict(attrs).get("class") or "")
        self.said += " "

    def handle_endtag(self, tag: str) -> None:
        self.said += " "

    def handle_data(self, data: str) -> None:
        self.said += data


@pytest.fixture
def bench(run: CommandLine, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> CommandLine:
    monkeypatch.chdir(tmp_path)
    run.enter("12 tie eh 60 tube T4 27 lot 7 thread red name Heron", "12 wire 28", "13 tie oboe 72 tube N1 47")
    return run


def test_a_care_card_to_print(bench: CommandLine) -> None:
    bench.enter('12 sell to "<script>alert(1)</script>"')
    assert "Written to card.html" in bench.done("card", "12", "--file", "card.html").out
    page = Page(Path("card.html"))
    assert (page.pieces, page.elsewhere) == (1, [])
    assert "English horn reed 12, Heron" in page.said
    for said in (*CARE, WIRE, LOOSE, SHARED, MOULD, DEFER):
        assert said in page.said
    assert "script" not in page.tags


def test_cards_of_several_reeds_at_once(bench: CommandLine) -> None:
    bench.enter("14 tie oboe 72")
    bench.done("card", "12-14", "--file", "cards.html")
    page = Page(Path("cards.html"))
    assert page.pieces == 3
    for said in ("English horn reed 12, Heron", "Oboe reed 13", "Oboe reed 14"):
        assert said in page.said
    told = bench.done("card", "14", "12,13", "14", "--json").json["cards"]
    assert [one["tag"] for one in told] == ["14", "12", "13"]
    assert bench.done("card", "14", "--json").json["tag"] == "14"
    assert sum(line.startswith("Oboe reed") for line in bench.done("card", "13", "14").lines) == 2
    assert bench("card", "13-15").code == 2


def test_labels_of_reeds_and_of_tubes(bench: CommandLine) -> None:
    assert bench.done("labels").lines == [
        "12  English horn  Heron, red thread  60 mm, lot 7  tied 12 Mar 2026",
        "13  oboe  72 mm  tied 12 Mar 2026",
    ]
    assert bench.done("labels", "12-13", "--json").json["labels"][1] == {
        "large": "13", "lines": ["oboe", "72 mm", "tied 12 Mar 2026"]
    }  # fmt: skip
    bench.done("labels", "13", "--file", "one.html")
    page = Page(Path("one.html"))
    assert (page.pieces, page.elsewhere) == (1, [])
    assert "13 oboe" in page.said
    assert SHARED in page.said
    assert DEFER in page.said
    bench.done("labels", "--tubes", "--file", "tubes.html")
    page = Page(Path("tubes.html"))
    assert page.pieces == 2
    assert "T4 English horn, 27 mm carried 1 so far" in page.said
    assert bench("labels", "13", "--tubes").code == 2


def test_without_reeds_labels_say_how_to_get_one(run: CommandLine) -> None:
    run.enter("1 tie oboe 72", "take back")
    ran = run("labels")
    assert ran.code == 2
    assert "1 tie oboe 72" in ran.err


def test_a_history_and_a_year_to_print(bench: CommandLine) -> None:
    bench.done("show", "12", "--file", "reed.html")
    page = Page(Path("reed.html"))
    assert "svg" in page.tags
    assert not page.elsewhere
    assert "tied as English horn, 60 mm" in page.said
    bench.done("week", "--days", "2026", "--file", "year.html")
    assert "1 ob (13)" in Page(Path("year.html")).said
    bench.done("show", "12", "--file", "reed.csv")
    assert Path("reed.csv").read_text().startswith("tag,kind")
