"""`reedkin trial`: fair trials of two ways of making, started, ended, listed and compared."""

from __future__ import annotations

import argparse

from reedkin.answers.question import Asked
from reedkin.bench.trials import Trial, trials, trials_named
from reedkin.cli import add
from reedkin.cli.asking import ask, tell
from reedkin.cli.context import Context
from reedkin.cli.options import add_json, add_seen
from reedkin.errors import InputError
from reedkin.grammar.tokens import quoted
from reedkin.store.log import Log
from reedkin.study.ticks import no_tick

_ACTIONS = ("list", "start", "end", "compare")


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.usage = (
        "reedkin trial [--log FILE] [list]\n"
        "       reedkin trial [--log FILE] start NAME ONE-WAY or ANOTHER [INSTRUMENT] [for REEDS]\n"
        "       reedkin trial [--log FILE] end NAME\n"
        "       reedkin trial [--log FILE] compare NAME [--json]"
    )
    parser.epilog = (
        "While a trial runs, each reed that is tied is assigned one of its two ways by chance. They may be "
        "compared at any time: it is over when it is settled which way is the better, or when REEDS are worn out."
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
    from reedkin.answers.trials.question import TrialsQuestion

    return tell(ask(context, TrialsQuestion()), args.json)


def _compare(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.trials.question import OneTrialQuestion

    with context.reading() as log:
        compared = OneTrialQuestion(_named(log, args.words)).answer(Asked(log.bench), no_tick)
    return tell(compared, args.json)


def _named(log: Log, words: list[str]) -> Trial:
    every = trials(log.bench)
    names = (
        f"Trials: {', '.join(trial.label for trial in every)}" if every else "There is none yet: reedkin trial --help"
    )
    if not words and len(every) == 1:
        return every[0]
    found = trials_named(log.bench, " ".join(words)) if words else []
    if not found:
        unknown = f"There is no trial {' '.join(words)}." if words else "Which trial?"
        raise InputError(f"{unknown} {names}")
    if len(found) > 1:
        which = " or ".join(f"{trial.label} of {trial.started:%d %b %Y}" for trial in found)
        raise InputError(f"Which trial {found[0].name}? {which}")
    return found[0]
