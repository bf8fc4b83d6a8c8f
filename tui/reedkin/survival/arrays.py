"""Names of the array types, and the checks that everything from outside passes on its way in."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from reedkin.survival.errors import StatisticsError

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]
BoolArray = NDArray[np.bool_]

_MOST_CELLS = 500_000


def finite(values: ArrayLike, name: str, dimensions: int = 1) -> FloatArray:
    """`values` as floats of so many dimensions; StatisticsError if any is missing, infinite or not a number."""
    try:
        array = np.asarray(values, dtype=np.float64)
    except (TypeError, ValueError, OverflowError) as error:
        raise StatisticsError(f"{name} must be numbers: {error}.") from error
    if array.ndim != dimensions:
        shape = "a plain list of numbers" if dimensions == 1 else "a table of rows and columns"
        raise StatisticsError(f"{name} must be {shape}, and has {array.ndim} dimensions.")
    bad = int(np.count_nonzero(~np.isfinite(array)))
    if bad:
        raise StatisticsError(f"{name}: {bad} missing or infinite. Leave those rows out.")
    return array


def flags(values: ArrayLike, name: str) -> BoolArray:
    """`values` (true and false, or 1 and 0) as booleans; StatisticsError for anything else."""
    array = np.asarray(values)
    if array.dtype == np.bool_ and array.ndim == 1:
        return array.astype(np.bool_)
    numbers = finite(values, name)
    if np.any((numbers != 0) & (numbers != 1)):
        raise StatisticsError(f"{name} must be 1 (retired) or 0 (still under observation).")
    return np.asarray(numbers == 1)


def same_length(expected: int, **columns: Sequence[Any] | NDArray[Any] | None) -> None:
    """StatisticsError unless every column given has `expected` entries."""
    for name, column in columns.items():
        if column is not None and len(column) != expected:
            raise StatisticsError(f"{name} has {len(column)} entries for {expected} rows: give one for each row.")


def labelled(values: ArrayLike | Sequence[Hashable], name: str) -> tuple[IntArray, tuple[Any, ...]]:
    """
    Labels (numbers, words, anything hashable) as codes 0, 1, ... and the labels they stand for.

    The labels come sorted, or in order of first appearance where they cannot be compared.
    """
    array = np.asarray(values)
    if array.ndim != 1:
        raise StatisticsError(f"{name} must be a plain list with one label for each row.")
    listed = array.tolist()
    if any(label is None or label != label for label in listed):
        raise StatisticsError(f"{name} has missing labels. Leave those rows out, or give them a label of their own.")
    distinct = list(dict.fromkeys(listed))
    try:
        distinct.sort()
    except TypeError:
        distinct = list(dict.fromkeys(listed))
    code = {label: number for number, label in enumerate(distinct)}
    return np.fromiter((code[label] for label in listed), dtype=np.intp, count=len(listed)), tuple(distinct)


def tally(places: IntArray, values: FloatArray, size: int) -> FloatArray:
    """At each of the places 0 ... size - 1, the sum of the values (n,) that belong there: (size,)."""
    return np.asarray(np.bincount(places, values, size), dtype=np.float64)


def gram(rows: FloatArray, weight: FloatArray | None = None) -> FloatArray:
    """
    rows (p, n) times diag(weight) (n,), 1 if None, times the transpose of rows: (p, p).

    Products with one long side go through einsum and not through `@`. The linear algebra library behind `@` shares them
    out among threads that wait for each other, and on a busy machine that takes ten times as long as the sum itself.
    """
    product = np.empty((len(rows), len(rows)))
    for place, row in enumerate(rows):
        weighted = row if weight is None else row * weight
        product[place, : place + 1] = along(rows[: place + 1], weighted)
        product[: place + 1, place] = product[place, : place + 1]
    return product


def along(rows: FloatArray, values: FloatArray) -> FloatArray:
    """rows (p, n) times values (n,): (p,)."""
    return np.asarray(np.einsum("in,n->i", rows, values))


def in_parts(rows: int, columns: int) -> Iterator[slice]:
    """The rows of a table in parts that a long log does not make too large for the memory."""
    size = max(1, _MOST_CELLS // max(columns, 1))
    return (slice(begin, begin + size) for begin in range(0, rows, size))
