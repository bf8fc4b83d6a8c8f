"""`reedkin add`: record an entry line."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from dataclasses import dataclass

from reedkin.bench.bench import Bench
from reedkin.cli.context import Context, back_up, say, show, tell_faults
from reedkin.cli.options import add_seen
from reedkin.domain.literal import literal
from reedkin.errors import InputError, ReedkinError
from reedkin.grammar.preview import caution, preview, told
from reedkin.grammar.reading import Reading, read
from reedkin.grammar.tokens import Problem
from reedkin.hearing.recording import heard_line
from reedkin.store.log import Log

_TAKE_BACK = "reedkin add take back"


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.usage = "reedkin add [--log FILE] [--yes | --strict] [--seen] [ENTRY]"
    parser.epilog = "Without an entry: lines from standard input, each an entry; on a terminal with a prompt."
    parser.set_defaults(takes_words=True)
    odd = parser.add_mutually_exclusive_group()
    odd.add_argument("--yes", action="store_true", help="record odd values without a question")
    odd.add_argument("--strict", action="store_true", help="refuse odd values")
    add_seen(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    line = " ".join(args.words)
    if not args.words:
        from reedkin.cli.lines import run_lines

        return run_lines(args, context)
    if not line.strip():
        say("What happened? Write it after add, such as: reedkin add 142 scrape tip 10m")
        return InputError.exit_code
    if not context.exists:
        # A slip must not leave an empty log behind.
        line = heard_line(line)
        reading = read(line, Bench(context.clock))
        if not reading.ready:
            return _refuse(reading, reading.errors)
    with context.writing(args.seen) as log:
        code = _Adding(log, args.yes, args.strict).add(line)
        if code == 0:
            back_up(log)
        return code


@dataclass(frozen=True, slots=True)
class _Adding:
    log: Log
    yes: bool
    strict: bool

    def add(self, line: str) -> int:
        hand = None
        line = heard_line(line, self.log.bench.settings.a4)
        reading = read(line, self.log.bench)
        if reading.takes_back:
            return self._take_back()
        if not reading.ready and len(handled := self.log.handled_last()) == 1:
            hand = handled[0]
            reading = read(line, self.log.bench, hand)
        if not reading.ready:
            tell_faults(self.log)  # what is missing may be in a damaged line
            return _refuse(reading, reading.errors)
        if self.strict and reading.questions:
            return _refuse(reading, reading.questions)
        if not self.yes and not _can_ask() and (offers := [q for q in reading.questions if q.offer]):
            return _refuse(reading, offers)
        if reading.questions and not self.yes and _can_ask():
            _point(reading, reading.questions)
            if not _asked("Record it all the same?"):
                say("Not recorded.")
                return ReedkinError.exit_code
        said = preview(reading, self.log.bench)
        if hand is not None:
            say(f"No tag, so taken for reed {hand.label}, that of the last entry.")
        self.log.record(reading)
        for one in said:
            show(one)
        if cautions := caution(reading):
            show(f"  {cautions}")
        if reading.questions and not self.yes and not _can_ask():
            _point(reading, reading.questions)
            say(f"Recorded all the same. If it is a slip: {_TAKE_BACK}")
        return 0

    def _take_back(self) -> int:
        for record in self.log.take_back():
            show(f"Taken back: {told(record)}")
        return 0


def _can_ask() -> bool:
    return sys.stdin is not None and sys.stdin.isatty()


def _asked(question: str) -> bool:
    print(f"{question} [y/N] ", end="", file=sys.stderr, flush=True)
    return sys.stdin.readline().strip().lower() in ("y", "yes")


def _refuse(reading: Reading, problems: Iterable[Problem]) -> int:
    _point(reading, problems)
    say("Nothing was recorded.")
    return InputError.exit_code


def _point(reading: Reading, problems: Iterable[Problem]) -> None:
    """Each problem, and the line with marks under the words it is about."""
    for problem in problems:
        say(problem.message)
        marks = "^" * max(1, len(literal(reading.line[problem.start : problem.end])))
        print(f"  {literal(reading.line)}", file=sys.stderr)
        print(f"  {' ' * len(literal(reading.line[: problem.start]))}{marks}", file=sys.stderr)
