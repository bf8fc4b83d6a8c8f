"""`reedkin add`: record an entry line."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from dataclasses import dataclass

from reedkin.bench.bench import Bench
from reedkin.cli.asked import agreed, can_ask
from reedkin.cli.context import Context, back_up, say, show, tell_faults
from reedkin.cli.fate import fate_of
from reedkin.cli.options import add_seen
from reedkin.cli.typed import as_typed
from reedkin.domain.columns import columns
from reedkin.domain.literal import literal
from reedkin.errors import InputError, ReedkinError
from reedkin.grammar.preview import cautions, preview, told_together
from reedkin.grammar.reading import Reading, read
from reedkin.grammar.words.tokens import Problem
from reedkin.hearing.recording import Recordings
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
    line = as_typed(" ".join(args.words), "set the terminal to UTF-8. Nothing was recorded.")
    if not args.words:
        from reedkin.cli.lines import run_lines

        return run_lines(args, context)
    if not line:
        say("What happened? Write it after add, such as: reedkin add 142 scrape tip 10m")
        return InputError.exit_code
    if not context.exists:
        # A slip must not leave an empty log behind.
        line = Recordings().heard(line)
        reading = read(line, Bench(context.clock))
        if not reading.ready:
            return _refuse(reading, reading.errors)
    with context.writing(args.seen) as log:
        code = _Adding(log, args).add(line)
        if code == 0:
            back_up(log)
        return code


@dataclass(frozen=True, slots=True)
class _Adding:
    log: Log
    args: argparse.Namespace

    def add(self, line: str) -> int:
        hand = None
        line = Recordings().heard(line, self.log.bench.settings.a4)
        reading = read(line, self.log.bench)
        if reading.takes_back:
            return self._take_back()
        if not reading.ready and len(handled := self.log.handled_last()) == 1:
            hand = handled[0]
            reading = read(line, self.log.bench, hand)
        if not reading.ready:
            tell_faults(self.log)  # what is missing may be in a damaged line
        fate = fate_of(reading, self.args, can_ask())
        if fate.refused or not reading.ready:
            return _refuse(reading, fate.refused)
        if fate.asked:
            _point(reading, fate.asked)
            if not agreed("Record it all the same?"):
                say("Not recorded.")
                return ReedkinError.exit_code
        said = preview(reading, self.log.bench)
        if hand is not None:
            say(f"No tag, so taken for reed {hand.label}, that of the last entry.")
        self.log.record(reading)
        for one in said:
            show(one)
        if care := cautions(reading):
            show(f"  {'  '.join(care)}")
        if fate.told:
            _point(reading, fate.told)
            say(f"Recorded all the same. If it is a slip: {_TAKE_BACK}")
        return 0

    def _take_back(self) -> int:
        for said in told_together(self.log.take_back()):
            show(f"Taken back: {said}")
        return 0


def _refuse(reading: Reading, problems: Iterable[Problem]) -> int:
    _point(reading, problems)
    say("Nothing was recorded.")
    return InputError.exit_code


def _point(reading: Reading, problems: Iterable[Problem]) -> None:
    """Each problem, and the line with marks under the words it is about."""
    for problem in problems:
        say(problem.message)
        marks = "^" * max(1, columns(literal(reading.line[problem.start : problem.end])))
        print(f"  {literal(reading.line)}", file=sys.stderr)
        print(f"  {' ' * columns(literal(reading.line[: problem.start]))}{marks}", file=sys.stderr)
