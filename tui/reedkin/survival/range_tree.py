"""Sums over ranges by adding alone, for weights so unlike in size that differences of running sums would lose some."""

from __future__ import annotations

import numpy as np

from reedkin.survival.arrays import FloatArray, IntArray, tally


class RangeTree:
    """
    n rows, row i covering the places first[i] <= k < last[i] of 0 ... size - 1.

    A balanced binary tree stands over the places, its nodes numbered as in a heap: 1 is the root, node v has the
    children 2v and 2v + 1, and place k is the leaf `leaves + k`. Each row's range is a union of at most two nodes a
    level, so nothing that was added need ever be taken away again.
    """

    def __init__(self, first: IntArray, last: IntArray, size: int) -> None:
        self.rows = len(first)
        self.size = size
        self.leaves = 1 << max(size - 1, 0).bit_length()
        rows: list[IntArray] = []
        nodes: list[IntArray] = []
        row = np.arange(self.rows)
        low, high = first + self.leaves, last + self.leaves
        while len(row):
            odd = (low & 1) == 1
            rows.append(row[odd])
            nodes.append(low[odd])
            low = (low + odd) >> 1
            odd = (high & 1) == 1
            rows.append(row[odd])
            nodes.append(high[odd] - 1)
            high = high >> 1
            left = low < high
            row, low, high = row[left], low[left], high[left]
        self._row = np.concatenate(rows) if rows else row
        self._node = np.concatenate(nodes) if nodes else row

    def sums(self, values: FloatArray) -> FloatArray:
        """At each place, the sum of the values (n,) of the rows that cover it: (size,)."""
        tree = tally(self._node, values[self._row], 2 * self.leaves)
        level = 1
        while level < self.leaves:
            tree[2 * level : 4 * level] += np.repeat(tree[level : 2 * level], 2)
            level *= 2
        return tree[self.leaves : self.leaves + self.size]

    def largest(self, values: FloatArray) -> FloatArray:
        """At each place, the largest of the values (n,) of the rows that cover it: (size,); -inf where none does."""
        tree = np.full(2 * self.leaves, -np.inf)
        np.maximum.at(tree, self._node, values[self._row])
        level = 1
        while level < self.leaves:
            below = tree[2 * level : 4 * level]
            np.maximum(below, np.repeat(tree[level : 2 * level], 2), out=below)
            level *= 2
        return tree[self.leaves : self.leaves + self.size]

    def totals(self, values: FloatArray) -> FloatArray:
        """For each row, the sum of the values (size,) of the places that it covers: (n,)."""
        tree = np.zeros(2 * self.leaves)
        tree[self.leaves : self.leaves + self.size] = values
        level = self.leaves
        while level > 1:
            tree[level // 2 : level] = tree[level : 2 * level : 2] + tree[level + 1 : 2 * level : 2]
            level //= 2
        return tally(self._row, tree[self._node], self.rows)
