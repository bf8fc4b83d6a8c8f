"""Options that several commands have."""

from __future__ import annotations

import argparse


def add_json(parser: argparse.ArgumentParser) -> None:
    """--json"""
    parser.add_argument("--json", action="store_true", help="as JSON")


def add_clock(parser: argparse.ArgumentParser) -> None:
    """--clock"""
    parser.add_argument("--clock", choices=("hours", "days"), default="hours", help="hours played (the usual), or days")


def add_seen(parser: argparse.ArgumentParser) -> None:
    """--seen"""
    parser.add_argument("--seen", action="store_true", help="record although the log is damaged: the damage was seen")
