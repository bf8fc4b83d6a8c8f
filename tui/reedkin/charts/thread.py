"""The colours of the thread that a reed is wound with, by the words that its maker has for them."""

from __future__ import annotations

import re
from collections.abc import Mapping

from reedkin.charts.canvas import Role

_SAID: Mapping[Role, str] = {
    "red-thread": "red scarlet crimson burgundy maroon ruby cherry wine",
    "orange-thread": "orange rust copper apricot peach",
    "yellow-thread": "yellow gold golden mustard lemon amber",
    "green-thread": "green olive lime mint emerald moss khaki",
    "teal-thread": "teal turquoise aqua cyan petrol",
    "blue-thread": "blue navy azure indigo cobalt sky",
    "purple-thread": "purple violet lilac lavender plum mauve",
    "pink-thread": "pink magenta rose fuchsia salmon coral",
    "brown-thread": "brown tan chocolate bronze",
    "white-thread": "white cream ivory natural beige ecru",
    "grey-thread": "grey gray silver",
    "black-thread": "black charcoal",
}
_ROLE_OF: Mapping[str, Role] = {word: role for role, words in _SAID.items() for word in words.split()}


def winding(thread: str | None) -> tuple[Role, ...]:
    """The colours of a winding, in bands where its thread is said to have several: of "teal" and of "dark teal" one,
    of "red and white" two. A thread whose colour is not known here is drawn grey, since only one that nobody noted has
    the usual brick red."""
    if not thread:
        return ("thread",)
    named = (_ROLE_OF.get(word) for word in re.findall(r"[^\W\d_]+", thread.casefold()))
    return tuple(dict.fromkeys(role for role in named if role is not None)) or ("grey-thread",)
