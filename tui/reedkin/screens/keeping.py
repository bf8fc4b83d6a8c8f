"""What a screen says, taken away: as text, as a picture, or as a page to print that loads nothing from elsewhere."""

from __future__ import annotations

import os
from collections.abc import Sequence
from html import escape
from pathlib import Path

from reedkin.charts.as_svg import as_svg
from reedkin.charts.canvas import Drawing, Run
from reedkin.domain.columns import fold_text
from reedkin.domain.literal import literal

KINDS = ".txt to read, .html to print, .svg a picture"
WIDTH, HEIGHT = 96, 20
"""The size of a chart on a page."""

_PAGE = """<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>{title}</title>
<style>
body {{ font-family: Georgia, "DejaVu Serif", serif; color: #000; background: #fff; }}
body {{ max-width: 48em; margin: 2em auto; }}
pre {{ font-family: "DejaVu Sans Mono", Menlo, Consolas, monospace; font-size: 0.8em; white-space: pre-wrap; }}
svg {{ width: 100%; page-break-inside: avoid; margin: 1em 0; }}
@page {{ margin: 18mm; }}
</style>
</head>
<body>
<h1>{title}</h1>
{charts}
<pre>{text}</pre>
</body>
</html>
"""


def as_file(suffix: str, title: str, lines: Sequence[str], drawings: Sequence[Drawing]) -> str:
    """What a screen says in the form that a file's suffix asks for: text unless it is .html or .svg."""
    folded = fold_text(lines)
    if suffix == ".svg":
        rows: list[tuple[Run, ...]] = [line for drawing in drawings for line in (*drawing, ())]
        return as_svg((*rows, *((Run(line),) for line in folded))) + "\n"
    if suffix == ".html":
        charts = "\n".join(as_svg(drawing) for drawing in drawings)
        return _PAGE.format(title=escape(literal(title)), charts=charts, text=escape("\n".join(folded)))
    return "\n".join(folded) + "\n"


def suffix_of(name: str) -> str:
    return Path(name).suffix.lower()


def copied(lines: Sequence[str]) -> str:
    """What to say once something was sent to the clipboard by OSC 52, which no terminal confirms."""
    if os.environ.get("TERM", "") in ("linux", "dumb"):
        return "This terminal has no clipboard. p puts it in a file."
    return f"✓ Copied, {len(lines)} lines, if the terminal lets programs do so; else p puts it in a file."
