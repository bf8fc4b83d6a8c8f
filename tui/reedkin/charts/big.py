"""Tags so large that they are read from where one works: five rows of blocks."""

from __future__ import annotations

from reedkin.domain.columns import cut
from reedkin.domain.literal import literal

ROWS = 5
_ROWS_OF = {
    "0": "75557", "1": "26227", "2": "71747", "3": "71717", "4": "55711", "5": "74717", "6": "74757", "7": "71122",
    "8": "75757", "9": "75717", "A": "25755", "B": "65656", "C": "34443", "D": "65556", "E": "74647", "F": "74644",
    "G": "34553", "H": "55755", "I": "72227", "J": "11152", "K": "55655", "L": "44447", "M": "57755", "N": "65555",
    "O": "25552", "P": "65644", "Q": "25563", "R": "65655", "S": "34216", "T": "72222", "U": "55557", "V": "55552",
    "W": "55775", "X": "55255", "Y": "55222", "Z": "71247", "-": "00700", "/": "11244", ".": "00002", "'": "22000",
}  # fmt: skip
"""A figure, three blocks wide: a digit a row, whose bits are its blocks."""


def big(tag: str, width: int) -> list[str]:
    """A tag in ROWS rows of at most `width` columns; as plain text in the middle row where it does not fit, or has
    other signs."""
    figures = [_ROWS_OF.get(character) for character in tag.upper()]
    wide = min(2, (width + 1) // (4 * len(figures))) if figures else 0
    if wide and all(figures):
        return ["".join(_row(int(f[row]), wide) for f in figures if f is not None).rstrip() for row in range(ROWS)]
    return ["", "", cut(literal(tag), width), "", ""]


def _row(bits: int, wide: int) -> str:
    return "".join(("█" if bits & bit else " ") * wide for bit in (4, 2, 1)) + " " * wide
