"""`reedkin trial`: fair trials of two ways of making, started, ended, listed and compared."""

from __future__ import annotations

import argparse
from pathlib import Path

from reedkin.answers.question import Asked
from reedkin.bench.trials import Trial, trials, trials_named
from reedkin.cli.asking import ask, tell
from reedkin.cli.commands import add
from reedkin.cli.context import Context, show
from reedkin.cli.options import add_json, add_seen
from reedkin.domain.figures import date_words
from reedkin.errors import InputError
from reedkin.grammar.words.tokens import quoted
from reedkin.store.log import Log
from reedkin.study.ticks import no_tick

_ACTIONS = ("list", "start", "end", "compare", "give", "join")


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.usage = (
        "reedkin trial [--log FILE] [list]\n"
        "       reedkin trial [--log FILE] start NAME ONE-WAY or ANOTHER [INSTRUMENT] [for REEDS] [for the circle]\n"
        "       reedkin trial [--log FILE] give NAME     (writes a circle's trial for the others, in NAME-trial.json)\n"
        "       reedkin trial [--log FILE] join FILE     (takes it in: you draw by a chance of your own)\n"
        "       reedkin trial [--log FILE] end NAME\n"
        "       reedkin trial [--log FILE] compare NAME [--json]"
    )
    parser.epilog = (
        "While a trial runs, each reed that is tied is assigned one of its two ways by chance. They may be "
        "compared at any time: it is over when it is settled which way is the better, or when REEDS are worn out."
    )
    parser.set_defaults(takes_words=True)
    parser.add_argument("action", nargs="?", choices=_ACTIONS, default="list", metavar="ACTION", help="as above")
    add_json(parser, "contract.lives:TrialsJson", "contract.lives:ComparisonJson")
    add_seen(parser)
    parser.add_argument("--yes", action="store_true", help="start it without a question although something is odd")


def run(args: argparse.Namespace, context: Context) -> int:
    if args.action in ("start", "end"):
        # As one types it on the entry line: what the shell kept together stays together.
        words = [quoted(word) if " " in word.strip() or not word else word for word in args.words]
        entry = argparse.Namespace(words=["trial", args.action, *words], yes=args.yes, strict=False, seen=args.seen)
        done = add.run(entry, context)
        return _given(_latest(context), context) if done == 0 and args.action == "start" else done
    if args.action == "give":
        with context.reading() as log:
            named = _named(log, args.words)
        if not named.of_circle:
            raise InputError(f"Trial {named.label} is your own alone. One for a circle: trial start ... for the circle")
        return _given(named, context)
    if args.action == "join":
        return _join(args, context)
    if args.action == "list":
        return _list(args, context)
    return _compare(args, context)


def _latest(context: Context) -> Trial:
    with context.reading(tell=False) as log:
        return max(trials(log.bench), key=lambda trial: trial.uid)


def _given(trial: Trial, context: Context) -> int:
    """Write what the others of a circle take in; nothing of a trial of her own alone."""
    if trial.of_circle:
        from reedkin.answers.circle.trial_files import file_of, usual_name
        from reedkin.store.circle.trial_files import write_trial

        path = write_trial(Path(usual_name(trial)), file_of(trial))
        show(f"For the others of your circle: {path}")
        show("They take it in with: reedkin trial join FILE; each draws by a chance of her own.")
    return 0


def _join(args: argparse.Namespace, context: Context) -> int:
    from reedkin.answers.circle.trial_files import joining_line
    from reedkin.store.circle.trial_files import read_trial_file

    if len(args.words) != 1:
        raise InputError("Which file? The one that was made where the trial was begun: reedkin trial join FILE")
    line = joining_line(read_trial_file(Path(args.words[0])))
    return add.run(argparse.Namespace(words=[line], yes=args.yes, strict=False, seen=args.seen), context)


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
        which = " or ".join(f"{trial.label} of {date_words(trial.started)}" for trial in found)
        raise InputError(f"Which trial {found[0].name}? {which}")
    return found[0]
