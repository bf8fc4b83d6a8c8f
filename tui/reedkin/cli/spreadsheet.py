"""Settling what the columns of a spreadsheet are: proposed, shown, corrected, and kept to be used again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from reedkin.bench.bench import Bench
from reedkin.cli.asked import asked
from reedkin.cli.context import say, show_text
from reedkin.domain.columns import cut, fit
from reedkin.domain.figures import plural
from reedkin.domain.literal import literal
from reedkin.domain.words import NOT_KNOWN
from reedkin.errors import InputError, ReedkinError
from reedkin.store.disk.files import free_name, write_over
from reedkin.store.disk.outside import opened
from reedkin.store.transfer.mapping import TIME, ColumnMap, parse_mapping
from reedkin.store.transfer.sheets.expanding import Expanded, expand
from reedkin.store.transfer.sheets.proposing import OpenQuestion, Proposal, Taken, propose
from reedkin.store.transfer.sheets.sheet import Sheet

_KEPT = "# What the columns of a spreadsheet are, for: reedkin import FILE --map THIS"
MOST_OF_A_MAP = 1 << 20
"""Bytes of a mapping file; more is another file."""
_LACKED = {
    "played": ("minutes:=45",), "retired": ("cause:=worn", f"cause:={NOT_KNOWN}"), "tied": ("instrument:=oboe",),
    "joined": ("instrument:=oboe",),
}  # fmt: skip
"""What can be said of all lines at once, by the kind of the events that lack it."""
_LINES_NAMED = 5
_WIDTH = 79
_PLAIN = {"tag": "which reed", "kind": "what was done", "at": "when", TIME: "of that day", "to": "to whom"}
"""Our columns that do not say by themselves what they are."""
_HOW_TO_CORRECT = (
    "To correct: a column's number and what it is, such as 3=lot, 3=overall_mm in,",
    "3= (left out); a word, kind:bound=tied; for all lines, instrument:=oboe.",
)


def settle(sheet: Sheet, given: ColumnMap, bench: Bench, accept: bool, ask: bool) -> tuple[ColumnMap, bool]:
    """
    What the columns are, as it was given, proposed and corrected; and whether there is anything that was not given.
    What is proposed is shown; with `accept` it is taken as it is, else where one can `ask` corrections are asked for.
    Raises InputError where something stays open, or nobody accepts it.
    """
    while True:
        proposal = propose(sheet, given)
        expanded = expand(sheet, proposal.mapping, bench)
        still = proposal.open or tuple(_lacking(expanded))
        if not (proposal.new or still):
            return proposal.mapping, False
        show_text(_shown(proposal, expanded, still))
        if accept and not still:
            return proposal.mapping, True
        if not ask:
            raise InputError(_refusal(still))
        answer = _correction(sheet, bool(still))
        if answer is None:
            return proposal.mapping, True
        given = answer.over(given)


def _lacking(expanded: Expanded) -> Iterator[OpenQuestion]:
    for (kind, missing), lines in expanded.lacking.items():
        if kind in _LACKED:
            more = f" and {len(lines) - _LINES_NAMED} more" if len(lines) > _LINES_NAMED else ""
            which = f"{', '.join(map(str, lines[:_LINES_NAMED]))}{more}"
            says = f"line {which} does not say" if len(lines) == 1 else f"lines {which} do not say"
            yield OpenQuestion(f"{missing}, which {says}", _LACKED[kind])


def _correction(sheet: Sheet, still: bool) -> ColumnMap | None:
    """What somebody at the terminal corrects; None where it is taken in as it is."""
    for line in _HOW_TO_CORRECT:
        say(line)
    while True:
        answer = asked("> " if still else "Enter takes it in so; q leaves it> ")
        if answer in ("q", "quit"):
            raise InputError("Nothing was recorded.")
        if not answer and not still:
            return None
        number, equals, what = answer.partition("=")
        if equals and number.strip().isdecimal() and 0 < int(number) <= len(sheet.headings):
            answer = f"{sheet.headings[int(number) - 1].key}={what}"
        try:
            if answer:
                return parse_mapping([answer])
            say("Say first what is open; q leaves it.")
        except InputError as error:
            say(str(error))


def _refusal(still: Sequence[OpenQuestion]) -> str:
    if still:
        return "Nothing was recorded: say what is open, with --map '…' for each."
    return "Nothing was recorded. To take it in so: --accept. To correct it: --map 'YOURS=ours', as above."


# What is shown


def _shown(proposal: Proposal, expanded: Expanded, still: Sequence[OpenQuestion]) -> Iterator[str]:
    yield "What its columns are taken for:"
    for number, one in enumerate(proposal.columns, 1):
        yield _column(number, one)
    if proposal.words:
        yield f"Words: {', '.join(proposal.words)}"
    if not still:
        yield from (f"  {told}" for told in expanded.told)
        yield f"It comes to {plural(len(expanded.rows), 'event')}."
    for asked_about in still:
        answers = " or ".join(f"--map {_quoted(answer)}" for answer in asked_about.answers)
        yield f"? {asked_about.question}: {answers}"


def _column(number: int, one: Taken) -> str:
    what = one.target.named if one.target.column else "left out"
    mark = " " if one.proposed else "*"
    said = one.why or _PLAIN.get(one.target.column, "")
    why = f" ({said})" if said else ""
    examples = ", ".join(one.examples)
    row = f"{number:3}{mark} {fit(literal(one.heading.name), 22)} {fit(literal(what + why), 31)} {literal(examples)}"
    return cut(row, _WIDTH).rstrip()


def _quoted(answer: str) -> str:
    return f"'{answer}'"


# The mapping file


def mapping_lines(given: Iterable[str]) -> Iterator[str]:
    """The lines of mappings given one by one, or as files of them. Raises InputError."""
    for one in given:
        yield from [one] if "=" in one else _read(Path(one))


def _read(path: Path) -> list[str]:
    try:
        with opened(path) as file:
            content = file.read(MOST_OF_A_MAP + 1)
        if len(content) > MOST_OF_A_MAP:
            raise InputError(f"{path} is more than a file of such lines as old=new. Name another.")
        return content.decode("utf-8-sig").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise InputError(f"{path} is neither old=new nor a file of such lines: {error}") from error


def _beside(file: Path) -> Path:
    return file.with_name(f"{file.name}.map")


def kept_mapping(file: Path) -> Path | None:
    """The mapping that was kept beside a spreadsheet."""
    beside = _beside(file)
    try:
        with beside.open(encoding="utf-8") as kept:
            return beside if kept.readline(len(_KEPT) + 1).strip() == _KEPT else None
    except (OSError, UnicodeDecodeError):
        return None


def keep_mapping(file: Path, mapping: ColumnMap) -> None:
    """Keep what was settled beside a spreadsheet, and tell where; that it cannot be is told."""
    beside = _beside(file)
    to = beside if kept_mapping(file) is not None else free_name(beside)
    try:
        write_over(to, [f"{line}\n".encode() for line in (_KEPT, *mapping.lines())])
    except ReedkinError as error:
        say(f"What its columns are could not be kept. {error}")
        return
    say(f"What its columns are is kept in {to}; the next import of {file.name} is read so.")
