"""What a terminal sends, taken apart into keys before Textual reads it.

Textual takes Escape and a key that soon follows it for that key with Alt, and a byte that is not UTF-8 ends its
reading. A maker who is ahead of the screen means Escape and then the key, and no byte may cost her the keyboard.
"""

from __future__ import annotations

import re
from codecs import getincrementaldecoder

ESCAPE = "\x1b"
"""The piece that is the Escape key."""

_ESC = b"\x1b"
_PASTE, _PASTED = b"\x1b[200~", b"\x1b[201~"
_LONGEST = 32
"""Textual takes nothing longer for a sequence, but for what was typed."""

# The forms are those of ECMA-48 and of xterm's control sequences, from memory. What begins one and is as likely typed
# after Escape (P, O, a bracket) begins one only with what a terminal sends next.
_WHOLE = re.compile(
    rb"""\x1b(?:(?P<key>
        \[\[[A-E]                             # function keys of the Linux console
      | \[(?!M|\[)[0-?]{0,64}[\ -/]*[@-~]
      | O[ABCDEFHMPQRSabcdj-y]
      )
    | \[M...                                # the mouse as of old, in three bytes of any kind
    | (?P<ground>\]11;rgb:[0-9A-Fa-f/]{3,14}(?:\x07|\x1b\\))    # the colour of its ground, which was asked
    | \][0-9]+;.{0,4096}?(?:\x07|\x1b\\)    # answers to what nobody here asked
    | P[0-9]?[>$+!].{0,4096}?\x1b\\
    )""",
    re.VERBOSE | re.DOTALL,
)
_BEGUN = re.compile(
    rb"""\x1b(?:
      \[(?:M.{0,2}|\[|[0-?]{0,64}[\ -/]*)
    | O
    | \](?:[0-9]+(?:;.{0,4097})?)?
    | P(?:[0-9]?(?:[>$+!].{0,4097})?)
    )?""",
    re.VERBOSE | re.DOTALL,
)
_BROKEN_OFF = re.compile(
    rb"\x1b(?:\[(?:M.{0,2}|\[|[0-?]{1,64}[ -/]*)|\][0-9]+;.{0,4097}|P[0-9]?[>$+!].{0,4097})", re.DOTALL
)
"""What somebody began to send and did not finish, and nobody has typed."""


_GROUND = re.compile(r"\x1b\]11;rgb:([0-9A-Fa-f]{1,4})/([0-9A-Fa-f]{1,4})/([0-9A-Fa-f]{1,4})")


def ground_in(piece: str) -> bool | None:
    """Whether the ground that a terminal tells of is dark; None where the piece is no such answer. Each part has one to
    four hexadecimal digits, of the most that as many can say (XParseColor); weighed as brightness is (ITU-R BT.709)."""
    told = _GROUND.match(piece)
    if told is None:
        return None
    red, green, blue = (int(part, 16) / (16 ** len(part) - 1) for part in told.groups())
    return bool(0.2126 * red + 0.7152 * green + 0.0722 * blue < 0.5)


class Keyboard:
    """Tells keys apart, however the bytes that stand for them are split over reads."""

    def __init__(self) -> None:
        self._rest = b""
        """What begins with Escape, and may be a sequence whose end is still to come."""
        self._pasted: bytearray | None = None
        self._text = getincrementaldecoder("utf-8")("ignore")

    @property
    def waiting(self) -> bool:
        """Whether what came last is Escape, or a sequence of which the rest should follow at once."""
        return bool(self._rest)

    def feed(self, sent: bytes) -> list[str]:
        """The pieces that are whole now: text, one sequence, a whole paste, or `ESCAPE` for that key."""
        rest, self._rest = self._rest + sent, b""
        pieces: list[str] = []
        while rest:
            if self._pasted is not None:
                rest = self._paste(rest, pieces)
            elif not rest.startswith(_ESC):
                text, escape, after = rest.partition(_ESC)
                pieces.append(self._text.decode(text, final=bool(escape)))
                rest = escape + after
            elif rest.startswith(_PASTE):
                self._pasted, rest = bytearray(), rest[len(_PASTE) :]
            elif whole := _WHOLE.match(rest):
                if whole["ground"] or (whole["key"] and len(whole[0]) <= _LONGEST):
                    pieces.append(whole[0].decode("ascii"))
                rest = rest[whole.end() :]
            elif _BEGUN.fullmatch(rest):
                self._rest, rest = rest, b""
            else:
                rest = self._no_sequence(rest, pieces)
        return [piece for piece in pieces if piece]

    def give_up(self) -> list[str]:
        """The pieces that there are if nothing more follows: Escape was pressed, or a sequence stays unfinished."""
        rest, self._rest = self._rest, b""
        pieces: list[str] = []
        if rest:
            rest = self._no_sequence(rest, pieces)
        return pieces + self.feed(rest)

    @staticmethod
    def _no_sequence(rest: bytes, pieces: list[str]) -> bytes:
        """What is left behind an Escape that begins no sequence; what was broken off is dropped."""
        if broken := _BROKEN_OFF.match(rest):
            return rest[broken.end() :]
        pieces.append(ESCAPE)
        return rest[1:]

    def _paste(self, rest: bytes, pieces: list[str]) -> bytes:
        """Go on with a paste; what is left behind its end. Escapes in it are nothing that a line of text could hold."""
        assert self._pasted is not None
        seen = max(0, len(self._pasted) - len(_PASTED))
        self._pasted += rest
        end = self._pasted.find(_PASTED, seen)
        if end < 0:
            return b""
        text = bytes(self._pasted[:end]).decode("utf-8", "ignore").replace(ESCAPE, "")
        left = bytes(self._pasted[end + len(_PASTED) :])
        self._pasted = None
        pieces.append(f"{_PASTE.decode()}{text}{_PASTED.decode()}")
        return left
