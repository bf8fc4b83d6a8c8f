"""
Documents that cannot be changed in place. What is recorded stays as it is; TinyDB's own `update` edits the
dictionaries that a storage hands out, and would otherwise change the memory without changing the file.
"""

from __future__ import annotations

from typing import Any, NoReturn

from reedkin.store.errors import AppendOnlyError


def _refuse(self: object, *args: object, **kwargs: object) -> NoReturn:
    raise AppendOnlyError("What is recorded is never changed or removed. Record a correction instead.")


class SealedDict(dict[str, Any]):
    """A dictionary that refuses changes. A copy made with `dict(...)` may be changed."""

    __setitem__ = __delitem__ = __ior__ = _refuse
    update = setdefault = pop = popitem = clear = _refuse


class SealedList(list[Any]):
    """A list that refuses changes."""

    __setitem__ = __delitem__ = __iadd__ = __imul__ = _refuse
    append = extend = insert = pop = remove = clear = sort = reverse = _refuse


def sealed(document: dict[str, Any]) -> SealedDict:
    """`document` as parsed from JSON, sealed all the way down."""
    copy = SealedDict(document)
    for name, value in document.items():
        if type(value) is dict or type(value) is list:
            dict.__setitem__(copy, name, _value(value))
    return copy


def _value(value: Any) -> Any:
    if type(value) is dict:
        return sealed(value)
    if type(value) is list:
        return SealedList(map(_value, value))
    return value
