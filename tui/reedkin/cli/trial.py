"""`reedkin trial`: fair trials of two ways of making, started, ended, listed and compared."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from reedkin.bench.trials import Trial, assignments, look, trial_named, trials
from reedkin.cli import add
from reedkin.cli.context import Context, say, show, show_json, show_text
from reedkin.cli.options import add_json, add_seen
from reedkin.errors import InputError, LogError
from reedkin.grammar.tokens import quoted
from reedkin.store.log import Log

if TYPE_CHECKING:
    from reedkin.answers.trials.comparison import Comparison

_ACTIONS = ("list", "start", "end", "compare")


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.usage = (
        "reedkin trial [--log FILE] [list]\n"
        "       reedkin trial [--log FILE] start NAME ONE-WAY or ANOTHER [INSTRUMENT] [for REEDS]\n"
        "       reedkin trial [--log FILE] end NAME\n"
        "       reedkin trial [--log FILE] compare NAME [--json]"
    )
    parser.epilog = (
        "While a trial runs, each reed that is tied is assigned one of its two ways by chance. REEDS is how many of "
        "them are to be worn out before the ways are compared; until then a comparison is only a look, and is counted."
    )
    parser.set_defaults(takes_words=True)
    parser.add_argument("action", nargs="?", choices=_ACTIONS, default="list", metavar="ACTION", help="as above")
    add_json(parser)
    add_seen(parser)
    parser.add_argument("--yes", action="store_true", help="start it without a question although something is odd")


def run(args: argparse.Namespace, context: Context) -> int:
    if args.action in ("start", "end"):
        # As one types it on the entry line: what the shell kept together stays together.
        words = [quoted(word) if " " in word.strip() or not word else word for word in args.words]
        entry = argparse.Namespace(words=["trial", args.action, *words], yes=args.yes, strict=False, seen=args.seen)
        return add.run(entry, context)
    if args.action == "list":
        return _list(args, context)
    return _compare(args, context)


def _list(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.trials.comparison import compare_all, trial_json
    from reedkin.answers.trials.words import progress, what

    with context.reading() as log:
        found = compare_all(log.bench)
    if args.json:
        # Not the numbers of each way: to list the trials is not to look at them.
        show_json({"trials": [{**trial_json(c.trial), "assigned": c.assigned, "worn_out": c.worn} for c in found]})
    elif not found:
        show("No trials yet. To start one: reedkin trial start wire before or after eh for 40")
    for comparison in [] if args.json else found:
        trial = comparison.trial
        show_text([f"{trial.name}: {what(trial)}, {progress(comparison)}"])
    return 0


def _compare(args: argparse.Namespace, context: Context) -> int:
    with _counting(context) as log:
        comparison = _compared(_named(log, args.words), log)
        if comparison.is_look and comparison.worn not in comparison.trial.looks:
            _count(comparison, log)
    if args.json:
        show_json(comparison.to_json())
        return 0
    from reedkin.answers.trials.words import comparison_lines

    show_text(comparison_lines(comparison))
    return 0


def _counting(context: Context) -> Log:
    """The log, open for writing if it can be, so that a look is counted."""
    if not context.exists:
        return context.reading()
    return Log.open(context.path, context.clock)


def _named(log: Log, words: list[str]) -> Trial:
    every = trials(log.bench)
    names = (
        f"Trials: {', '.join(trial.name for trial in every)}" if every else "There is none yet: reedkin trial --help"
    )
    if not words and len(every) == 1:
        return every[0]
    found = trial_named(log.bench, " ".join(words)) if words else None
    if found is None:
        unknown = f"There is no trial {' '.join(words)}." if words else "Which trial?"
        raise InputError(f"{unknown} {names}")
    return found


def _compared(trial: Trial, log: Log) -> Comparison:
    from reedkin.answers.trials.comparison import compare
    from reedkin.answers.trials.size import wear_share

    return compare(trial, assignments(trial, log.bench), log.clock.now(), wear_share(trial, log.bench))


def _count(comparison: Comparison, log: Log) -> None:
    try:
        log.write([look(comparison.trial, comparison.worn, log.uids, log.clock.now())])
    except LogError as error:
        say(f"This look could not be counted: {error}")
