"""`reedkin completion`: what a shell needs to complete commands, options, tags and lots.

A script of a few lines asks the program itself at each Tab, so that it knows the log; it is no dependency, and costs a
start nothing.
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from reedkin.cli.context import Context, show
from reedkin.errors import ReedkinError

if TYPE_CHECKING:
    from reedkin.bench.bench import Bench

_SCRIPTS = {
    "bash": """\
# In ~/.bashrc: source <(reedkin completion bash)
_reedkin() {
    local IFS=$'\\n' cur="${COMP_WORDS[COMP_CWORD]}"
    [[ $cur == = ]] && cur=
    COMPREPLY=($(reedkin completion words -- "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null))
    # What holds a space is kept together, where no quote was begun.
    [[ $cur == [\\"\\']* ]] || ((${#COMPREPLY[@]} == 0)) || COMPREPLY=($(printf '%q\\n' "${COMPREPLY[@]}"))
}
complete -o default -F _reedkin reedkin""",
    "zsh": """\
# In ~/.zshrc, after compinit: source <(reedkin completion zsh)
_reedkin() {
    local -a found
    found=("${(@f)$(reedkin completion words -- "${(@)words[2,$CURRENT]}" 2>/dev/null)}")
    compadd -a found
    _files
}
compdef _reedkin reedkin""",
    "fish": """\
# In ~/.config/fish/config.fish: reedkin completion fish | source
complete -c reedkin -a '(reedkin completion words -- (commandline -opc)[2..] (commandline -ct) 2>/dev/null)'""",
}

_ENDS_QUOTING = {'"': frozenset('"$`\\!'), "'": frozenset("'!")}
"""What a shell would run, or end the quotes at, behind a quote that was begun: a word that holds it is not offered
there. Elsewhere the shell itself quotes what it is given."""


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "what", choices=(*_SCRIPTS, "words"), help="the script for a shell; or words, which it asks for"
    )
    parser.add_argument("typed", nargs="*", help="after --: what stands on the line so far, the last word unfinished")


def run(args: argparse.Namespace, context: Context) -> int:
    if args.what in _SCRIPTS:
        print(_SCRIPTS[args.what])
        return 0
    *before, begun = _apart(args.typed) or [""]
    quote, begun = begun[:1], begun.lstrip("\"'")
    if "--log" in before[:-1]:
        context = replace(context, path=Path(before[before.index("--log") + 1]))
    for word in dict.fromkeys(_candidates(before, begun, context)):
        if word.casefold().startswith(begun.casefold()) and not _ENDS_QUOTING.get(quote, frozenset()) & set(word):
            show(word)
    return 0


def _apart(typed: list[str]) -> list[str]:
    """The words of a line, of which some shells give --log=FILE in three and others in one."""
    words: list[str] = []
    for word in typed:
        option, equals, value = word.partition("=")
        if word == "=":
            words.append("")
        elif words and words[-1] == "" and len(words) > 1 and words[-2].startswith("--"):
            words[-1] = word
        elif equals and option.startswith("--"):
            words += [option, value]
        else:
            words.append(word)
    return words


def _candidates(before: list[str], begun: str, context: Context) -> Iterable[str]:
    """What can come after some words of the line."""
    from reedkin.cli.commands import COMMANDS
    from reedkin.cli.main import parser_of

    named = next((command for command in COMMANDS if command.name in before), None)
    if named is None:
        return () if before[-1:] == ["--log"] else [*(one.name for one in COMMANDS), "--log", "--help", "--version"]
    actions = parser_of(named)._actions
    last = next((action for action in actions if before[-1] in action.option_strings), None)
    if last is not None and last.nargs != 0:
        return _values(last, context)
    said = before[before.index(named.name) + 1 :]
    if named.name == "add":
        words = list(_entry(said, begun, context))
    elif named.name == "help":
        words = [one.name for one in COMMANDS]
    elif named.name == "trial" and said and said[-1] in ("end", "compare", "give"):
        words = list(_of_log("TRIAL", context))
    else:
        words = [word for action in actions if not action.option_strings for word in _values(action, context)]
    options = [option for action in actions for option in action.option_strings if option.startswith("--")]
    return words if words and not begun.startswith("-") else options


def _values(action: argparse.Action, context: Context) -> Iterable[str]:
    """What the log and the command itself have for a word: choices, tags of the living, lots."""
    if action.choices is not None:
        return [str(choice) for choice in action.choices]
    what = str(action.metavar)
    if what == "I":
        from reedkin.domain.instruments import SHORT_NAMES

        return SHORT_NAMES.values()
    if what == "HABIT":
        from reedkin.domain.periods import PERIODS
        from reedkin.study.habits import HABITS

        return [*(habit.name for habit in HABITS), *PERIODS]
    if what == "BACKUP":
        from reedkin.store.backups.backups import backups_of

        return [backup.name for backup in reversed(backups_of(context.path))]
    return _of_log(what, context)


def _of_log(what: str, context: Context) -> Iterable[str]:
    """What the log has of a kind of thing; nothing where there is no log that can be read."""
    from reedkin.answers.people.question import people
    from reedkin.bench.supplies import lots
    from reedkin.bench.trials import trials

    of: dict[str, Callable[[Bench], Iterable[str]]] = {
        "TAG": lambda bench: (reed.label for reed in bench.at_work()),
        "LOT": lambda bench: (lot.name for lot in lots(bench)),
        "PERSON": lambda bench: (one.name for one in people(bench)),
        "TRIAL": lambda bench: (trial.label for trial in trials(bench)),
    }
    if what not in of:
        return ()
    try:
        with context.reading(tell=False) as log:
            return list(of[what](log.bench))
    except ReedkinError:
        return ()


def _entry(said: list[str], begun: str, context: Context) -> Iterable[str]:
    """What can come next on an entry line, as on the bench."""
    from reedkin.grammar.completing.completion import complete

    line = " ".join([*(word for word in said if not word.startswith("--")), begun])
    try:
        with context.reading(tell=False) as log:
            found = complete(line, log.bench, None)
    except ReedkinError:
        return ()
    return found.options if found.start == len(line) - len(begun) else ()
