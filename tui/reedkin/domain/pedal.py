"""The keys that a page-turning pedal sends, which the maker may have two of under her feet."""

from __future__ import annotations

from reedkin.errors import InputError

KEYS = {
    "pagedown": "PgDn", "pageup": "PgUp", "right": "→", "left": "←", "down": "↓", "up": "↑", "space": "Space",
    "enter": "Enter",
}  # fmt: skip
"""The keys that such pedals send (common practice, no source), and what is written on them."""
ON, OFF = "on", "off"
USUAL = ("pagedown", "pageup")
"""What is taken where no keys were learnt: right, left."""


def pedal_keys(said: str) -> tuple[str, str] | None:
    """The keys of the right and the left pedal; None for no pedal. Raises InputError for what says neither."""
    if said == OFF:
        return None
    right, _, left = (",".join(USUAL) if said == ON else said).partition(",")
    if right not in KEYS or left not in KEYS or right == left:
        raise InputError(f"{said} is no pedal: write set pedal on, set pedal off, or two keys, right and left, of "
                         f"{', '.join(KEYS)}, such as {','.join(USUAL)}")  # fmt: skip
    return right, left


def pedal_words(said: str) -> str:
    """A pedal in words: "pedal on, right PgDn, left PgUp"."""
    keys = pedal_keys(said)
    return "pedal off" if keys is None else f"pedal on, right {KEYS[keys[0]]}, left {KEYS[keys[1]]}"
