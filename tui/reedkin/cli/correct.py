"""What `reedkin strike`, `amend` and `move` share: which events are meant, and how a correction is shown and made."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from reedkin.bench.correcting import MOST_AT_ONCE, Correction, Corrector, alike, step_at
from reedkin.cli.asked import agreed, can_ask
from reedkin.cli.context import Context, back_up, say, show
from reedkin.cli.options import add_seen
from reedkin.domain.events import Event, Place, Statement
from reedkin.domain.figures import plural
from reedkin.domain.reeds import Step
from reedkin.errors import InputError, ReedkinError
from reedkin.grammar.correcting.corrections import plan_words
from reedkin.store.log import Log

LEAST_OF_A_NAME = 4
"""Fewer characters of a uid than this are a slip."""

Planner = Callable[[Log, Corrector, list[Step]], Correction]


def add_events(parser: argparse.ArgumentParser, several: bool = True) -> None:
    """EVENT, and --entry."""
    parser.add_argument(
        "events", metavar="EVENT", nargs="+" if several else 1,
        help="as diary, find and show name it: 1f0a83c2, the end of its uid; 1f0a83c2+7, a line of 8 reeds",
    )  # fmt: skip
    parser.add_argument("--entry", action="store_true", help="all that was recorded with it, of all reeds")


def add_making(parser: argparse.ArgumentParser) -> None:
    """--dry-run, --yes and --seen."""
    parser.add_argument("--dry-run", action="store_true", help="only say what it would do")
    parser.add_argument("--yes", action="store_true", help="do it without a question, though something is odd")
    add_seen(parser)


def steps_meant(args: argparse.Namespace, log: Log) -> list[Step]:
    """The events that are named. Raises InputError where a name fits none, several, or no event of a reed."""
    steps = []
    for name in args.events:
        record = _record(name, log)
        step = step_at(log.bench, Place(record.reed, record.uid)) if isinstance(record, Event) else None
        if step is None:
            raise InputError(f"{name} is beside the reeds; it can only be struck")
        steps += _with_it(step, log, whole=args.entry) if args.entry or "+" in name else [step]
    return list({step.event.uid: step for step in steps}.values())


def said_meant(args: argparse.Namespace, log: Log) -> list[Statement]:
    """What was said beside the reeds, where that is all that the names mean."""
    records = [_record(name, log) for name in args.events]
    said = [record for record in records if isinstance(record, Statement)]
    return said if len(said) == len(records) else []


def _record(name: str, log: Log) -> Event | Statement:
    ending = name.partition("+")[0]
    found = log.entries.named(ending) if len(ending) >= LEAST_OF_A_NAME else []
    exact = [record for record in found if record.uid == ending] or found
    if len(exact) != 1:
        if not exact:
            raise InputError(f"There is no event {name}. Their names: reedkin diary --on today, or reedkin show TAG")
        raise InputError(
            f"{name} fits {len(exact)} events; give more of its uid: {', '.join(r.uid for r in exact[:3])}"
        )
    record = exact[0]
    assert isinstance(record, (Event, Statement))
    return record


def _with_it(step: Step, log: Log, whole: bool) -> list[Step]:
    """What was recorded with an event: the whole entry, or what it says alike of other reeds."""
    found = log.entries.of(step.event.entry)
    if len(found) > MOST_AT_ONCE:
        raise InputError(f"That entry holds {len(found)} events, as an import does; name them one by one")
    known = (step_at(log.bench, Place(event.reed, event.uid)) for event in found)
    steps = [one for one in known if one is not None and one.struck == step.struck]
    return (
        steps
        if whole
        else next(group for group in alike(steps) if any(one.event.uid == step.event.uid for one in group))
    )


def correct(args: argparse.Namespace, context: Context, planner: Planner) -> int:
    """Plan a correction, show what it does, and make it. What is odd is asked about at a terminal; where nobody can
    answer it is refused, since nothing is lost by it."""
    context.must_exist()
    with context.reading() if args.dry_run else context.writing(args.seen) as log:
        said = said_meant(args, log)
        steps = [] if said else steps_meant(args, log)
        corrector = Corrector(log.bench, log.uids)
        plan = corrector.strike_said(*said) if said and args.strikes else planner(log, corrector, steps)
        if plan.errors:
            raise InputError("\n".join((*plan.errors, "Nothing was changed.")))
        for line in plan_words(plan, log.bench):
            show(line)
        for question in plan.questions:
            say(question)
        if args.dry_run:
            return 0
        if plan.questions and not args.yes and not _agreed():
            return ReedkinError.exit_code
        log.write(plan.records)
        back_up(log)
        count = len({record.uid for record in plan.records})
        show(f"Done, with {plural(count, 'further record')}. To take it back: reedkin add take back")
    return 0


def _agreed() -> bool:
    if not can_ask():
        say("Nothing was changed. To do it all the same, add --yes.")
        return False
    if not (yes := agreed("Do it all the same?")):
        say("Nothing was changed.")
    return yes
