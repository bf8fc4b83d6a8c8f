"""`reedkin merge`: take in what another log of the same maker holds; `reedkin retag` settles tags taken twice."""

from __future__ import annotations

import argparse
from pathlib import Path

from reedkin.bench.trials import Trial, trials
from reedkin.cli.context import Context, back_up, say, show
from reedkin.cli.options import add_seen
from reedkin.domain.describe import plural
from reedkin.domain.reeds import Reed
from reedkin.errors import InputError, LogError
from reedkin.store.log import Log
from reedkin.store.merging import MergePlan, SameTag, plan_merge, same_tags, same_trials


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("other", metavar="OTHER", type=Path, help="the other log; it is only read")
    add_seen(parser)


def run(args: argparse.Namespace, context: Context) -> int:
    with Log(args.other, context.clock, read_only=True) as theirs:
        if context.exists and args.other.samefile(context.path):
            raise InputError(f"{args.other} is the log itself. Name the other one.")
        _check_theirs(theirs, args.seen)
        with context.writing(args.seen) as ours:
            plan = plan_merge(ours, theirs)
            _refuse_differing(plan, theirs)
            before = frozenset(heading.reed for heading in ours.bench.headings)
            had = frozenset(trial.uid for trial in trials(ours.bench))
            ours.unite(plan.new)
            back_up(ours)
            twice = list(same_trials(ours.bench, had))
            clashes = list(same_tags(ours.bench, before, frozenset(h.reed for h in theirs.bench.headings)))
    show(f"Taken in: {plural(len(plan.new), 'record')}, {plural(plan.reeds, 'new reed')}.")
    if plan.known:
        show(f"{plural(plan.known, 'record was', 'records were')} in both.")
    for clash in clashes:
        say(_told(clash))
    for first, second in twice:
        say(_told_trials(first, second))
    return 0


def _check_theirs(theirs: Log, seen: bool) -> None:
    """Raises LogError where the other log has damage that nobody has seen: what it lost would come too late."""
    for table in theirs.tables:
        theirs.documents(table)  # a damaged document shows when it is read
    if theirs.damaged and not seen:
        raise LogError(
            f"Nothing was taken in: {theirs.path} is damaged. To see how: reedkin --log {theirs.path} check\n"
            "To take in what can be trusted: add --seen."
        )


def _refuse_differing(plan: MergePlan, theirs: Log) -> None:
    if plan.differing:
        table, uid = plan.differing[0]
        raise LogError(
            f"Nothing was taken in: {plural(len(plan.differing), 'record')} of {theirs.path} stand in this log with "
            f"other content, the first {uid} in {table}. One of the two was changed by hand; mend that first."
        )


def _told(clash: SameTag) -> str:
    first, second = (f"{reed.tag}/{reed.bearer} ({_begun(reed)})" for reed in (clash.first, clash.second))
    return (
        f"Two reeds bore the tag {clash.tag} at the same time: {first} and {second}. "
        f"To give one of them another: reedkin retag {clash.second.tag}/{clash.second.bearer} NEW"
    )


def _told_trials(first: Trial, second: Trial) -> str:
    both = f"{first.label}, started {first.started:%d %b %Y}, and {second.label}, started {second.started:%d %b %Y}"
    name = first.name.casefold() == second.name.casefold()
    why = f"Two trials are called {first.name}" if name else "Two trials draw the same for the same reeds"
    if not (first.running and second.running):
        return f"{why}: {both}."
    ends = f"reedkin trial end {second.label}"
    return f"{why}: {both}. To draw on in one of them, end the other, such as: {ends}"


def _begun(reed: Reed) -> str:
    return f"{reed.steps[0].kind} {reed.begun:%d %b %Y}, {reed.instrument}, {reed.stage}"
