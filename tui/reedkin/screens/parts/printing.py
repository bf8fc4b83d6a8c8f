"""Pages to print and cut up: care cards and labels, each page one file that loads nothing from elsewhere."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from html import escape

from reedkin.answers.card.labels import Label
from reedkin.domain.cautions import DEFER, LOOSE, MOULD, SHARED
from reedkin.domain.columns import fold_text
from reedkin.domain.literal import literal
from reedkin.screens.parts.keeping import is_page, page

KINDS = ".html to print and cut up, .txt to read"

_STYLE = """\
@page { margin: 10mm; }
body { font-family: Georgia, "DejaVu Serif", serif; color: #000; background: #fff; margin: 0; }
.sheet { display: flex; flex-wrap: wrap; align-content: flex-start; }
.piece { box-sizing: border-box; border: 0.3mm dashed #777; break-inside: avoid; page-break-inside: avoid; }
.card { width: 90mm; min-height: 120mm; padding: 5mm; font-size: 9pt; line-height: 1.3; white-space: pre-wrap; }
.label { width: 45mm; min-height: 20mm; padding: 1.5mm 2mm; font-size: 7pt; line-height: 1.2; }
.piece b { display: block; font-size: 13pt; overflow-wrap: anywhere; }
.foot { font-size: 7pt; margin: 3mm 0; }"""


def cards_as_file(suffix: str, cards: Sequence[Sequence[str]]) -> str:
    """Care cards in the form that a file's suffix asks for: a page of cards, else text."""
    if not is_page(suffix):
        return "\n\n\n".join("\n".join(fold_text(card)) for card in cards) + "\n"
    pieces = [_piece("card", title, "\n".join(_flowing(rest))) for title, _, *rest in cards]
    return page("Care cards", _STYLE, _sheet(pieces))


def labels_as_file(suffix: str, labels: Sequence[Label]) -> str:
    """Labels in the same forms; the usual cautions are on the sheet, since they have no room on a label."""
    cautions = [*map(literal, (SHARED, MOULD, LOOSE, DEFER))]
    if not is_page(suffix):
        return "\n".join([*fold_text(label.text() for label in labels), "", *fold_text(cautions)]) + "\n"
    pieces = [_piece("label", label.large, "\n".join(label.lines)) for label in labels]
    foot = f'<p class="foot">{escape(" ".join(cautions))}</p>\n'
    return page("Labels", _STYLE, _sheet(pieces) + foot)


def _sheet(pieces: Sequence[str]) -> str:
    return '<div class="sheet">\n' + "\n".join(pieces) + "\n</div>\n"


def _piece(kind: str, large: str, text: str) -> str:
    lines = escape("\n".join(literal(line) for line in text.splitlines()))
    said = lines if kind == "card" else lines.replace("\n", "<br>")
    return f'<div class="piece {kind}"><b>{escape(literal(large))}</b>{said}</div>'


def _flowing(lines: Iterable[str]) -> list[str]:
    """Lines of a card that were folded for a terminal, whole again: on paper they flow."""
    found: list[str] = []
    for line in lines:
        goes_on = bool(found and found[-1] and line and not line.startswith(("- ", "! ")))
        if goes_on:
            found[-1] += f" {line.strip()}"
        else:
            found.append(line)
    return found
