"""Options that several commands have."""

from __future__ import annotations

import argparse

from reedkin.bench.bench import Bench
from reedkin.domain.instruments import instrument_named
from reedkin.domain.reeds import Reed
from reedkin.domain.words import INSTRUMENTS
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


def add_json(parser: argparse.ArgumentParser) -> None:
    """--json"""
    parser.add_argument("--json", action="store_true", help="as JSON")


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
        raise InputError(f"{text} is no instrument known here; write one of: {', '.join(INSTRUMENTS)}")
    return found
