"""Batches that are solved in pieces: putting solutions together, and keeping cases for later."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, is_dataclass
from typing import Any, Generic, TypeVar

import numpy as np

from lightcalc.physics.circuit.elimination import Indices
from lightcalc.physics.circuit.strip import Array

Solved = TypeVar("Solved")


class Gathered(Generic[Solved]):
    """Solutions of pieces of a flat batch, put together.

    A solution is a dataclass of arrays that begin with the cases, or of tuples of such, to any
    depth. Memory is laid out with the cases last, as the pieces are worked out. An axis along which
    a piece only repeats itself (stride 0) is kept once.
    """

    def __init__(self, cases: int) -> None:
        self.cases = cases
        self._first: Any = None
        self._whole: Any = None

    def put(self, part: slice | Indices, piece: Solved) -> None:
        """Write the solution of some of the cases."""
        if self._first is None:
            self._first, self._whole = piece, each_array(self._room, piece)
        each_array(lambda whole, array: _write(whole, part, array), self._whole, piece)

    def take(self, whole: Solved) -> None:
        """Take the solution of all cases as it is; nothing can be written into it after."""
        self._first = self._whole = whole

    def _room(self, array: Array) -> Array:
        kept = [
            size if stride else 1
            for size, stride in zip(array.shape[1:], array.strides[1:], strict=True)
        ]
        return np.empty((*kept[::-1], self.cases)).T

    def shaped(self, batch: tuple[int, ...]) -> Solved:
        """Give the whole solution the axes of the batch in place of the flat one."""
        if self._first is self._whole and len(batch) == 1:
            same: Solved = self._whole
            return same

        def shape(whole: Array, first: Array) -> Array:
            apart, full = whole.reshape(batch + whole.shape[1:]), batch + first.shape[1:]
            return apart if apart.shape == full else np.broadcast_to(apart, full)

        found: Solved = each_array(shape, self._whole, self._first)
        return found


class Waiting:
    """Cases with their unit currents, kept until there are enough for a batch."""

    def __init__(self) -> None:
        self.count = 0
        self._kept: list[tuple[Indices, Array]] = []

    def add(self, cases: Indices, unit_a: Array) -> None:
        """Keep cases and the unit currents (returns, units, cases) to start from."""
        self.count += cases.size
        self._kept.append((cases, unit_a))

    def take(self, most: int) -> tuple[Indices, Array]:
        """Give away at most so many of them."""
        cases = np.concatenate([cases for cases, _ in self._kept])
        unit_a = np.concatenate([unit_a for _, unit_a in self._kept], axis=2)
        self._kept = [(cases[most:], unit_a[:, :, most:])]
        self.count = cases[most:].size
        return cases[:most], unit_a[:, :, :most]


def each_array(change: Callable[..., Any], *given: Any) -> Any:
    """Apply `change` to each array of a solution, or to each pair of two solutions.

    >>> each_array(lambda a, b: a + b, (np.array([1, 2]), 7), (np.array([3, 4]), 8))
    (array([4, 6]), 7)
    """
    first = given[0]
    if isinstance(first, np.ndarray):
        return change(*given)
    if isinstance(first, tuple):
        return tuple(each_array(change, *parts) for parts in zip(*given, strict=True))
    if not is_dataclass(first) or isinstance(first, type):
        return first
    names = [field.name for field in fields(first)]
    parts = (each_array(change, *(getattr(one, name) for one in given)) for name in names)
    return type(first)(*parts)


def _write(whole: Array, part: slice | Indices, array: Array) -> None:
    once = tuple(slice(0, size) for size in whole.shape[1:])
    whole[part] = array[(slice(None), *once)]
