"""Options that several commands have."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any, NoReturn

from reedkin.bench.bench import Bench
from reedkin.cli.context import show_json
from reedkin.domain.clock import Clock
from reedkin.domain.instruments import instrument_named
from reedkin.domain.reeds import Reed
from reedkin.domain.words import INSTRUMENTS, spelt
from reedkin.errors import InputError


def add_tag(parser: argparse.ArgumentParser) -> None:
    """TAG; its value is for `reed_meant`."""
    parser.add_argument("tag", metavar="TAG", help="12: the living reed 12, or the last; 12/1: the first that bore it")


def reed_meant(tag: str, bench: Bench) -> Reed:
    """The reed that a tag means. Raises InputError where there is none."""
    reed = bench.find(tag)
    if reed is None:
        raise InputError(f"There is no reed {tag}. The living ones: reedkin stock")
    return reed


def reeds_meant(tags: Sequence[str], bench: Bench) -> list[Reed]:
    """The reeds that tags mean, which may be listed as on the entry line: 12 14, 12,14, 11-20. Raises InputError."""
    from reedkin.grammar.words.tags import expand

    said = (one for tag in tags for one in ([tag] if bench.find(tag) is not None else expand(tag)))
    return [reed_meant(one, bench) for one in dict.fromkeys(said)]


def add_json(parser: argparse.ArgumentParser, *shapes: str, said: str = "as JSON") -> None:
    """--json, and --schema, which says what that gives: a document of one of these `shapes`, named by module and class
    since they are imported only when they are asked for."""
    parser.add_argument("--json", action="store_true", help=said)
    parser.add_argument(
        "--schema", action=_ShowSchema, nargs=0, shapes=shapes, help="what --json gives, as a JSON Schema (2020-12)"
    )


class _ShowSchema(argparse.Action):
    """Shows a schema and ends, as --help does, whatever else a command would want to know."""

    def __init__(self, *args: Any, shapes: tuple[str, ...], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self._shapes = shapes

    def __call__(self, parser: argparse.ArgumentParser, *rest: object) -> NoReturn:
        from pkgutil import resolve_name

        from reedkin.contract.schema import schema_of

        shapes = [resolve_name(f"reedkin.{name}") for name in self._shapes]
        show_json(schema_of(f"{parser.prog} --json", *shapes))
        parser.exit()


def add_days(parser: argparse.ArgumentParser) -> None:
    """--on, --from and --to, --days; their values are for `days_meant`."""
    parser.add_argument("--on", metavar="DATE", help="one day: tuesday, '12 March', 2026-03-12")
    parser.add_argument("--from", metavar="DATE", dest="first", help="the first of several days")
    parser.add_argument("--to", metavar="DATE", dest="last", help="the last of several days")
    parser.add_argument(
        "--days", metavar="SPAN", help="several in words: 30, october, 2026, '1 sep to 30 nov', 'last year'"
    )


def days_meant(args: argparse.Namespace, clock: Clock) -> tuple[date | None, date | None]:
    """The first and the last of the days that are meant, as far as that was said. Raises InputError."""
    from reedkin.grammar.when.days import parse_when
    from reedkin.grammar.when.spans import parse_span

    ways = (args.on is not None, args.days is not None, args.first is not None)
    if sum(ways) > 1 or (args.on is not None and args.last is not None):
        raise InputError("--on is one day, --from and --to are several, and so is --days; give one or the other")
    if args.on is not None:
        day = parse_when(args.on, clock).at.date()
        return day, day
    first, last = (None if text is None else parse_when(text, clock).at.date() for text in (args.first, args.last))
    if args.days is not None:
        return parse_span(args.days, clock, last)
    if first is not None and last is not None and first > last:
        raise InputError(f"{first} is after {last}; give --from the earlier day")
    if first is not None and first > clock.now().date():
        raise InputError(f"{first} is to come; name days that are past")
    return first, last


def add_file(parser: argparse.ArgumentParser, kinds: str) -> None:
    """--file, whose form its suffix asks for; its value is for `written`."""
    parser.add_argument("--file", metavar="FILE", help=f"into a new file: {kinds}")


def written(name: str, made: Callable[[str], str]) -> str:
    """Write a new file of what is made for its suffix, and say where it is. Raises ReedkinError where it cannot be."""
    from reedkin.domain.paths import named_path
    from reedkin.screens.parts.keeping import suffix_of
    from reedkin.store.disk.files import write_new

    return f"Written to {write_new(named_path(name), made(suffix_of(name)))}"


def add_chart(parser: argparse.ArgumentParser) -> None:
    """--chart and --no-chart"""
    parser.add_argument(
        "--chart", action=argparse.BooleanOptionalAction, default=None,
        help="draw one too, or none; without this: on a terminal, and not for a file or another program",
    )  # fmt: skip


def add_clock(parser: argparse.ArgumentParser) -> None:
    """--clock"""
    parser.add_argument("--clock", choices=("hours", "days"), default="hours", help="hours played (the usual), or days")


def add_seen(parser: argparse.ArgumentParser) -> None:
    """--seen"""
    parser.add_argument("--seen", action="store_true", help="record although the log is damaged: the damage was seen")


def add_instrument(parser: argparse.ArgumentParser, otherwise: str) -> None:
    """--instrument; `otherwise` says which are meant without it. Its value is for `instrument_meant`."""
    parser.add_argument("--instrument", metavar="I", help=f"such as oboe or eh; {otherwise}")


def instrument_meant(text: str | None) -> str | None:
    """The instrument that --instrument names, None where it is left out. Raises InputError."""
    if text is None:
        return None
    found = instrument_named(text)
    if found is None:
        raise InputError(f"{text} is no instrument known here; write one of: {', '.join(map(spelt, INSTRUMENTS))}")
    return found
