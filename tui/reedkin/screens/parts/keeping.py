"""What a screen says, taken away: as text, as a picture, or as a page to print that loads nothing from elsewhere."""

from __future__ import annotations

import os
from collections.abc import Sequence
from html import escape
from pathlib import Path
from typing import TYPE_CHECKING

from reedkin.charts.as_svg import as_svg
from reedkin.charts.canvas import Drawing, Run
from reedkin.domain.columns import fold_text
from reedkin.domain.literal import literal

if TYPE_CHECKING:
    from reedkin.bench.bench import Bench
    from reedkin.domain.reeds import Reed

KINDS = ".txt to read, .html to print, .svg a picture"
WIDTH, HEIGHT = 96, 20
"""The size of a chart on a page."""

_FRAME = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>{title}</title>
<style>
{style}
</style>
</head>
<body>
{body}</body>
</html>
"""
_STYLE = """\
body { font-family: Georgia, "DejaVu Serif", serif; color: #000; background: #fff; }
body { max-width: 48em; margin: 2em auto; }
pre { font-family: "DejaVu Sans Mono", Menlo, Consolas, monospace; font-size: 0.8em; white-space: pre-wrap; }
svg { width: 100%; page-break-inside: avoid; margin: 1em 0; }
@page { margin: 18mm; }"""


def page(title: str, style: str, body: str) -> str:
    """A page to print: one HTML file that loads nothing from elsewhere. `title` is made safe here, `body` is not."""
    return _FRAME.format(title=escape(literal(title)), style=style, body=body)


def as_file(suffix: str, title: str, lines: Sequence[str], drawings: Sequence[Drawing]) -> str:
    """What a screen says in the form that a file's suffix asks for: text unless it is .html or .svg."""
    folded = fold_text(lines)
    if suffix == ".svg":
        rows: list[tuple[Run, ...]] = [line for drawing in drawings for line in (*drawing, ())]
        return as_svg((*rows, *((Run(line),) for line in folded))) + "\n"
    if is_page(suffix):
        charts = "\n".join(as_svg(drawing) for drawing in drawings)
        text = escape("\n".join(folded))
        return page(title, _STYLE, f"<h1>{escape(literal(title))}</h1>\n{charts}\n<pre>{text}</pre>\n")
    return "\n".join(folded) + "\n"


def is_page(suffix: str) -> bool:
    """Whether a file's suffix asks for a page to print."""
    return suffix in (".html", ".htm")


def reed_as_file(suffix: str, reed: Reed, bench: Bench, lines: Sequence[str]) -> str:
    """The history of a reed, whose `lines` are plain text, with its drawing and its charts where there is room."""
    if suffix in (".csv", ".jsonl"):
        from reedkin.store.transfer.exporting import reeds_as_text

        return reeds_as_text([reed], bench, suffix.removeprefix("."))
    if suffix != ".svg" and not is_page(suffix):
        return "\n".join(lines) + "\n"
    from reedkin.charts.life import life_charts
    from reedkin.charts.reed import draw_reed

    targets = bench.settings.targets(reed.instrument)
    charts = [draw_reed(reed.now, targets, WIDTH, 10), life_charts(reed, WIDTH, 30, bench.clock.now().date())]
    return as_file(suffix, f"Reed {reed.label}", lines, charts)


def suffix_of(name: str) -> str:
    return Path(name).suffix.lower()


def copied(lines: Sequence[str]) -> str:
    """What to say once something was sent to the clipboard by OSC 52, which no terminal confirms."""
    if os.environ.get("TERM", "") in ("linux", "dumb"):
        return "This terminal has no clipboard. p puts it in a file."
    return f"✓ Copied, {len(lines)} lines, if the terminal lets programs do so; else p puts it in a file."
