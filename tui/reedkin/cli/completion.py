"""`reedkin completion`: what a shell needs to complete commands, options, tags and lots.

A script of a few lines asks the program itself at each Tab, so that it knows the log; it is no dependency, and costs a
start nothing.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

from reedkin.cli.context import Context, show
from reedkin.errors import ReedkinError

_SCRIPTS = {
    "bash": """\
# In ~/.bashrc: source <(reedkin completion bash)
_reedkin() {
    local IFS=$'\\n'
    COMPREPLY=($(compgen -W "$(reedkin completion words -- "${COMP_WORDS[@]:1:COMP_CWORD}" 2>/dev/null)" \\
        -- "${COMP_WORDS[COMP_CWORD]}"))
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


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "what", choices=(*_SCRIPTS, "words"), help="the script for a shell; or words, which it asks for"
    )
    parser.add_argument("typed", nargs="*", help="after --: what stands on the line so far, the last word unfinished")


def run(args: argparse.Namespace, context: Context) -> int:
    if args.what in _SCRIPTS:
        print(_SCRIPTS[args.what])
        return 0
    *before, begun = args.typed or [""]
    if "--log" in before[:-1]:
        context = replace(context, path=Path(before[before.index("--log") + 1]))
    for word in _candidates(before, context):
        if word.startswith(begun):
            show(word)
    return 0


def _candidates(before: list[str], context: Context) -> Iterable[str]:
    """What can come after some words of the line."""
    from reedkin.cli.commands import COMMANDS
    from reedkin.cli.main import parser_of

    if before and before[-1] == "--instrument":
        from reedkin.domain.instruments import SHORT_NAMES

        return SHORT_NAMES.values()
    named = next((command for command in COMMANDS if command.name in before), None)
    if named is None:
        return [*(command.name for command in COMMANDS), "--log", "--help", "--version"]
    actions = parser_of(named)._actions
    last = next((action for action in actions if before[-1] in action.option_strings), None)
    if last is not None and last.nargs != 0:
        return [str(choice) for choice in last.choices or ()]
    options = [option for action in actions for option in action.option_strings if option.startswith("--")]
    return [*_values(actions, context), *options]


def _values(actions: list[argparse.Action], context: Context) -> Iterable[str]:
    """What the log and the command itself have for the words that are no options: choices, tags of the living, lots."""
    from reedkin.bench.supplies import lots

    found: list[str] = []
    for action in actions:
        if action.option_strings:
            continue
        found += [str(choice) for choice in action.choices or ()]
        if action.metavar not in ("TAG", "LOT"):
            continue
        try:
            with context.reading(tell=False) as log:
                bench = log.bench
                is_lot = action.metavar == "LOT"
                found += [lot.name for lot in lots(bench)] if is_lot else [reed.label for reed in bench.at_work()]
        except ReedkinError:  # without a log that can be read there is nothing to offer
            continue
    return found
