"""`reedkin engagements`: what the maker is to play, and how many reeds she wants for each; taken in from a calendar."""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from contextlib import ExitStack
from datetime import date
from pathlib import Path

from reedkin.answers.engagements.question import EngagementsQuestion
from reedkin.bench.bench import Bench
from reedkin.bench.engagements import engagement_line
from reedkin.cli.asked import agreed, can_ask
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context, back_up, say, show
from reedkin.cli.options import add_json, add_seen
from reedkin.domain.figures import plural
from reedkin.domain.words import spelt
from reedkin.errors import InputError
from reedkin.grammar.actions import BesideAction
from reedkin.grammar.reading import read
from reedkin.grammar.when.days import parse_day
from reedkin.grammar.words.tokens import quoted
from reedkin.store.calendars.planning import CalendarPlan, Said, TitleRead, plan_calendar

_SHOWN = 12
"""So many titles that are left out are named."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.usage = (
        "reedkin engagements [--log FILE] [--all] [--json]\n"
        "       reedkin engagements [--log FILE] import FILE.ics [--dry-run] [--word WORD=MEANING]"
    )
    parser.epilog = (
        "A title of the calendar tells by its words what is played. What yours mean is said with --word, such as "
        "--word 'requiem=eh 2 performance' or --word 'dentist=nothing', and is remembered; to change it, say it anew."
    )
    parser.add_argument("action", nargs="?", choices=("list", "import"), default="list", metavar="ACTION")
    parser.add_argument("file", nargs="?", metavar="FILE", type=Path, help="a calendar in .ics (RFC 5545)")
    parser.add_argument("--all", action="store_true", help="those that are over, or were called off, too")
    parser.add_argument("--dry-run", action="store_true", help="say what would be recorded, and record nothing")
    parser.add_argument(
        "--word", metavar="WORD=MEANING", action="append", default=[],
        help="what a word of a title means: an instrument, how many reeds, a setting; or nothing",
    )  # fmt: skip
    parser.add_argument("--name", default="", help="what the calendar is called, if not as it calls itself")
    parser.add_argument("--until", metavar="DATE", help="the last day (in 400 days)")
    parser.add_argument("--accept", action="store_true", help="take in the others where some cannot be read")
    parser.add_argument("--yes", action="store_true", help="record it without a question")
    add_json(parser, "contract.ahead:EngagementsJson")
    add_seen(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    if args.action == "import":
        return _import(args, context)
    if args.file is not None or args.word:
        raise InputError("to take in a calendar write: reedkin engagements import FILE.ics")
    every = ask(context, EngagementsQuestion())
    found = every if args.all else every.to_come()
    if args.json or found.engagements:
        return tell(found, args.json, folded=False)
    show('None is to come. To enter one: reedkin add engage 12 March 19:30 eh 3 performance "second night"')
    return 0


def _import(args: argparse.Namespace, context: Context) -> int:
    if args.file is None:
        raise InputError("which file? such as reedkin engagements import choir.ics")
    until = parse_day(args.until, context.clock) if args.until is not None else None
    with ExitStack() as stack:
        log = context.taking_in(args.dry_run, args.seen)
        if log is not None:
            stack.enter_context(log)
        bench = log.bench if log is not None else Bench(context.clock)
        plan = _plan(args, bench, until)
        for fault in plan.faults:
            say(f"{args.file} line {fault.line}: {fault.message}")
        if plan.faults and not args.accept:
            say("Nothing was recorded. To take in the others all the same: --accept")
            return InputError.exit_code
        _tell(plan)
        if args.dry_run or not (plan.said or plan.words) or not (args.yes or _agreed()):
            return 0
        if log is None:
            log = stack.enter_context(context.writing())
        log.write(plan.records(log.bench, log.uids))
        back_up(log, much=True)
        show("Recorded. To take it back: reedkin add take back")
    return 0


def _plan(args: argparse.Namespace, bench: Bench, until: date | None) -> CalendarPlan:
    words = dict(_word(one, bench) for one in args.word)
    try:
        return plan_calendar(args.file, bench, words, args.name, until)
    except InputError as error:
        named = str(args.file) in str(error) or args.file.name in str(error)
        raise InputError(str(error) if named else f"{args.file}: {error}") from error


def _word(said: str, bench: Bench) -> tuple[str, Said]:
    """A word and what it means, as one would write it behind `calendar` on the entry line."""
    word, equals, meaning = said.partition("=")
    if not equals or not word.strip():
        raise InputError(f"{said}: write --word 'requiem=eh 2 performance' or --word 'dentist=nothing'")
    reading = read(f"calendar {quoted(word.strip())} {meaning}", bench)
    if reading.errors:
        raise InputError(f"--word {said}: {reading.errors[-1].message}")
    (action,) = reading.actions
    assert isinstance(action, BesideAction)
    return action.subject, dict(action.facts)


def _tell(plan: CalendarPlan) -> None:
    """What the titles are taken to mean, and what would change."""
    for one in plan.titles:
        if one.meaning is not None:
            show(_title_line(one))
    left = [one.title or "(no title)" for one in plan.titles if one.meaning is None]
    if left:
        more = f", and {len(left) - _SHOWN} more" if len(left) > _SHOWN else ""
        show(f"No engagements, going by their titles: {', '.join(left[:_SHOWN])}{more}")
    for line in _changes(plan):
        show(line)
    counts = (
        (plan.new, "new"), (plan.changed, "changed"), (plan.off, "called off"),
    )  # fmt: skip
    told = ", ".join(f"{len(some)} {what}" for some, what in counts if some) or "nothing new"
    same = f", {plan.same} as before" if plan.same else ""
    show(f"Calendar {plan.calendar}: {told}{same}.")


def _title_line(one: TitleRead) -> str:
    assert one.meaning is not None
    instrument = spelt(one.meaning.instrument) or "the instrument tied for last"
    means = f"{instrument}, {plural(one.meaning.wanted, 'reed')}, {one.meaning.setting}"
    return f"“{one.title}” ({plural(one.count, 'time')}): {means}, by {', '.join(one.meaning.words)}"


def _changes(plan: CalendarPlan) -> Iterator[str]:
    for one in plan.new:
        yield f"+ {engagement_line(one)}"
    for was, now in plan.changed:
        yield f"~ {engagement_line(was)}"
        yield f"  → {engagement_line(now)}"
    for one in plan.off:
        yield f"- {engagement_line(one)}"


def _agreed() -> bool:
    """Whether it is to be recorded: asked at a terminal, and taken for granted where nobody can answer."""
    if not can_ask() or agreed("Record it?", usual=True):
        return True
    say("Nothing was recorded.")
    return False
