"""
The lines of a log, as bytes. Every line is `{"crc":"xxxxxxxx",REST`, where the eight hex digits are the CRC-32 of
the bytes of REST (ISO 3309 / ITU-T V.42, as in zlib), so a line is verified without parsing JSON. REST is

- in the first line: `"format":"reedkin log","version":1,"log":"<uuid>","made":"<ISO 8601>"}`
- in every other:    `"left":N,"table":"...","id":"...","doc":{...},"after":"xxxxxxxx"}`

`left` is how many lines of the same entry still follow. `after` is the checksum of the line before: since every
checksum is also that of what its own line says of the one before, none can vanish unseen from the midst of a log. (Logs
of earlier versions have lines without it.) `{` + REST is JSON by itself; that is what is kept in memory.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from struct import pack
from typing import Annotated, Any, NamedTuple
from zlib import crc32

import msgspec

from reedkin.store.errors import DocumentError
from reedkin.store.reading.faults import FaultKind, Flaw

FORMAT = "reedkin log"
VERSION = 1
BOM = b"\xef\xbb\xbf"
"""What some editors put before the first line of a file; it is stepped over."""
MAX_LINE = 4 * 1024 * 1024
"""Bytes. A longer line is taken for damage, so that no file can fill the memory."""

MAX_DEPTH = 100
"""Objects and lists within each other. A document of ours has three; a thousand would stop whoever compares them."""

SEAL = b'{"crc":"%08x",'
SEAL_BYTES = len(SEAL % 0)

_AFTER, _AFTER_END = b',"after":"', b'"}'
_AFTER_BYTES = len(_AFTER) + 8 + len(_AFTER_END)
_BEFORE = re.compile(rb',"after":"([0-9a-f]{8})"\}')
_SEEN = re.compile(rb',"seen":\[("[0-9a-f]{8}"(?:,"[0-9a-f]{8}")*)\]')
_HEAD = re.compile(rb'"left":(0|[1-9][0-9]{0,8}),"table":"([^"\\\x00-\x1f]+)","id":"([^"\\\x00-\x1f]+)","doc":\{')
_TEXT = re.compile(rb'"(?:[^"\\]|\\.)*"', re.DOTALL)
_BRACKET = re.compile(rb"[\[\]{}]")
_TABLE_GUESS = re.compile(rb'"table":"([^"\\]{1,200})"')
_ID_GUESS = re.compile(rb'"id":"([^"\\]{1,200})"')


class Header(NamedTuple):
    """The first line of a log: its version, the id it got when it was made, and when that was (ISO 8601)."""

    version: int
    log: str
    made: str


class Head(NamedTuple):
    """What a document's line says before the document: lines left in its entry, table, id."""

    left: int
    table: str
    id: str


_Count = Annotated[int, msgspec.Meta(ge=0)]
_Name = Annotated[str, msgspec.Meta(min_length=1)]


class _Object(msgspec.Struct, frozen=True, gc=False):
    """Any object of JSON."""


class _Headed(msgspec.Struct, frozen=True, gc=False):
    """A line, of which only the head is looked at."""

    left: _Count
    table: _Name
    id: _Name
    doc: _Object


class GistDocument(msgspec.Struct, frozen=True, gc=False):
    """Of a document what has to be looked at in every line of a log."""

    kind: str = ""
    entry: str = ""
    of: str = ""


class Gist(msgspec.Struct, frozen=True, gc=False):
    """A usual line, in short: as JSON has it, so that it means the same however it is spelt."""

    left: _Count
    table: _Name
    id: _Name
    doc: GistDocument
    crc: str = ""
    after: str = ""


_headed = msgspec.json.Decoder(_Headed).decode
_gists = msgspec.json.Decoder(Gist).decode_lines


def seal(rest: bytes) -> bytes:
    """The whole line, newline included, for `rest`."""
    return SEAL % crc32(rest) + rest + b"\n"


def opened(line: bytes) -> bytes | None:
    """REST of a line (given without its newline) whose checksum is right, or None."""
    rest = line[SEAL_BYTES:]
    return rest if line.startswith(SEAL % crc32(rest)) else None


def gists_of(lines: Sequence[bytes]) -> list[Gist] | None:
    """Some lines, each an object of JSON, in short; None if one of them is not as usual. All at once, which takes a
    tenth of the time that one by one would take."""
    text = b"\n".join(lines)
    try:
        if not text.isascii():
            text.decode()  # in what is left out of a gist, msgspec does not look for bytes that are no text
        gists = _gists(text)
    except (ValueError, RecursionError):
        return None
    return gists if len(gists) == len(lines) else None  # an empty line is none


def digits_of(checksums: Sequence[int]) -> list[str]:
    """Checksums as the lines of a log have them."""
    return pack(f">{len(checksums)}I", *checksums).hex("|", 4).split("|")


def link_of(line: bytes) -> bytes:
    """What the line after a sound one names it by: the eight digits of its checksum."""
    return line[8:16]


def names_before(rest: bytes) -> bytes:
    """The link of the line before as REST of a line names it; empty where it names none."""
    found = _BEFORE.fullmatch(rest, max(0, len(rest) - _AFTER_BYTES))
    return found[1] if found else b""


def linked(rest: bytes, after: bytes, seen: Sequence[bytes] = ()) -> bytes:
    """REST of a line that names the one before it, and the `seen` links that lead nowhere and are known to."""
    said = b',"seen":["' + b'","'.join(seen) + b'"]' if seen else b""
    return rest[:-1] + said + _AFTER + after + _AFTER_END


def links_seen(rest: bytes) -> list[bytes]:
    """The links that are known to lead nowhere, according to REST of a line."""
    end = rest[-_AFTER_BYTES - 1 :]
    if not end.startswith(b"]" + _AFTER):
        return []
    found = _SEEN.fullmatch(rest, max(0, rest.rfind(b',"seen":[')), len(rest) - _AFTER_BYTES)
    return found[1][1:-1].split(b'","') if found else []


def tail_of(rest: bytes) -> bytes:
    """REST of a usual line as `document_tail` made it: without its place in its entry and in the log."""
    if names_before(rest):
        said = links_seen(rest)
        rest = rest[: rest.rfind(b',"seen":[') if said else -_AFTER_BYTES] + b"}"
    return rest[rest.index(b",") + 1 :] if rest.startswith(b'"left":') else rest


def header_line(log: str, made: str, **more: str) -> bytes:
    """The first line of a new log; `more` is what else it is to say."""
    return seal(msgspec.json.encode({"format": FORMAT, "version": VERSION, "log": log, "made": made, **more})[1:])


def document_tail(table: str, id: str, document: dict[str, Any]) -> bytes:
    """
    REST of a document's line without its `left`. Raises DocumentError for what JSON cannot hold or would give back as
    something else, and for an empty table name or id.
    """
    if not table or not id:
        raise DocumentError("A document needs the name of a table and an id of its own.")
    try:
        tail = msgspec.json.encode({"table": table, "id": id, "doc": document})[1:]
        back = parsed(tail)
    except (TypeError, ValueError, RecursionError) as error:
        raise DocumentError(f"It cannot be kept in a log of UTF-8 and JSON: {error}. Nothing was recorded.") from error
    if back != {"table": table, "id": id, "doc": document}:
        raise DocumentError(f"The document {id} holds something that JSON does not keep. Nothing was recorded.")
    return tail


def entry_lines(tails: Sequence[bytes], after: bytes = b"", seen: Sequence[bytes] = ()) -> list[bytes]:
    """
    The lines of one entry, in order, newlines included; `after` is the link of the line before it (empty: none is
    named), `seen` are links that lead nowhere and are known to. Raises DocumentError when a line would be too long.
    """
    lines: list[bytes] = []
    for place, tail in enumerate(tails):
        rest = b'"left":%d,' % (len(tails) - 1 - place) + tail
        if after:
            rest = linked(rest, after, () if lines else seen)
        lines.append(seal(rest))
        after = after and link_of(lines[-1])
    if any(len(line) > MAX_LINE for line in lines):
        raise DocumentError(f"A line may have at most {MAX_LINE} bytes. Shorten the text; nothing was recorded.")
    return lines


def parsed(rest: bytes) -> Any:
    """The JSON of `{` + REST. Raises ValueError for what is no JSON, or is nested more deeply than MAX_DEPTH."""
    if rest.count(b"{") + rest.count(b"[") >= MAX_DEPTH and _depth(rest) >= MAX_DEPTH:
        raise ValueError(f"it is nested more than {MAX_DEPTH} deep")
    return msgspec.json.decode(b"{" + rest)


def _depth(rest: bytes) -> int:
    """How deeply REST is nested, what stands in texts left aside."""
    deepest = depth = 0
    for mark in _BRACKET.findall(_TEXT.sub(b"", rest)):
        depth += 1 if mark in b"{[" else -1
        deepest = max(deepest, depth)
    return deepest


def read_header(rest: bytes) -> Header | None:
    """The header in REST of a sound line, or None if it is no header. Other fields are tolerated."""
    try:
        fields = parsed(rest)
    except ValueError:
        return None
    if not isinstance(fields, dict) or fields.get("format") != FORMAT or type(fields.get("version")) is not int:
        return None
    return Header(fields["version"], str(fields.get("log", "")), str(fields.get("made", "")))


def read_head(rest: bytes) -> Head | Flaw:
    """The head of REST of a sound line, also of one whose document is no JSON, which shows when that is read."""
    try:
        headed = _headed(b"{" + rest)
        return Head(headed.left, headed.table, headed.id)
    except (ValueError, RecursionError):
        pass
    if found := _HEAD.match(rest):
        left, table, id = found.groups()
        try:
            return Head(int(left), table.decode(), id.decode())
        except UnicodeDecodeError:
            return Flaw(FaultKind.NOT_TEXT, "The line is not UTF-8 text.")
    document = read_document(rest)
    return document if isinstance(document, Flaw) else document[0]


def read_document(rest: bytes) -> tuple[Head, dict[str, Any]] | Flaw:
    """Head and document of REST of a sound line; other fields are tolerated."""
    try:
        fields = parsed(rest)
    except ValueError as error:
        return Flaw(FaultKind.SHAPE, f"The line is not JSON: {error}.")
    if type(fields) is dict:
        left, table, id, document = fields.get("left"), fields.get("table"), fields.get("id"), fields.get("doc")
        named = type(table) is str and table and type(id) is str and id
        if type(left) is int and left >= 0 and named and type(document) is dict:
            return Head(left, str(table), str(id)), document
        if "format" in fields:
            return Flaw(FaultKind.SHAPE, "The line is the first line of a log, in the middle of this one.")
    return Flaw(FaultKind.SHAPE, "The line lacks its table, its id or its document.")


def diagnose(line: bytes) -> Flaw:
    """Why a line whose checksum does not hold cannot be trusted."""
    if not line.strip():
        return Flaw(FaultKind.EMPTY, "The line is empty.")
    if b"\0" in line:
        return Flaw(FaultKind.ZEROS, "The line holds zero bytes; the disk may have lost this part of the file.")
    try:
        line.decode("utf-8")
    except UnicodeDecodeError:
        return Flaw(FaultKind.NOT_TEXT, "The line is not UTF-8 text.")
    if not line.startswith(SEAL[:8]):
        return Flaw(FaultKind.SHAPE, "The line is not a line of a log.")
    return Flaw(FaultKind.CHECKSUM, "The line's checksum is wrong: it was changed or damaged after it was written.")


def guess(line: bytes) -> tuple[str | None, str | None]:
    """Table and id that a damaged line seems to name, each None where there is nothing to go by."""
    found = [pattern.search(line) for pattern in (_TABLE_GUESS, _ID_GUESS)]
    table, id = (match and match[1].decode("utf-8", "backslashreplace") for match in found)
    return table or None, id or None
