"""Block cyclic reduction of many chains at once, for many cases at once.

A chain is a row of nodes, each joined by a conductance to its neighbours and by a shunt to ground.
Its two ends are ports, kept to the last; every other node is eliminated, each second one in turn,
so that a chain of `n` nodes takes about `log2 n` rounds of array arithmetic::

    A--o--o--o--o--o--B   ->   A-----o-----o-----B   ->   A-----------o--B   ->   A--B
       x     x     x                 x                                x

A node with conductances `a` and `b` to its neighbours and shunt `s` leaves `a b / (a+b+s)` between
them and adds `a s / (a+b+s)` and `b s / (a+b+s)` to their shunts. Nothing is subtracted, so a chain
of almost no resistance with almost no shunts keeps full precision. Conductances are small square
blocks, one row for each return rail, handled entry by entry over arrays whose last two axes are
nodes and cases. They are positive definite, so no pivoting is needed.

Sources: R. Sweet, "A generalized cyclic reduction algorithm", SIAM J. Numer. Anal. 11 (1974)
506-520, for the order of elimination; W. Grassmann, M. Taksar, D. Heyman, "Regenerative analysis
and steady state distributions for Markov chains", Oper. Res. 33 (1985) 1107-1116, for eliminating
without subtraction (the star-mesh transformation of network theory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from lightcalc.physics.circuit.strip import Array

Indices = NDArray[np.intp]
Blocks = TypeVar("Blocks", NDArray[np.float64], NDArray[np.float32])
Places = Indices | slice
"""Places among the nodes; a slice where they are evenly spaced, so that no copy is made."""


@dataclass(frozen=True)
class Order:
    """Which nodes go in which round, with the neighbours each has at that time.

    units: places of the inner nodes among all nodes. first, last: the ports of each chain.
    """

    rounds: tuple[tuple[Places, Places, Places], ...]
    units: Places
    first: Indices
    last: Indices


@dataclass(frozen=True)
class Reduced:
    """Chains reduced to their ports, with what is needed to find the inner nodes again.

    near and far: shunts of the first and the last node; across: conductance between them, each
    (rows, rows, chains, cases). near_rhs and far_rhs (rows, chains, cases).
    """

    near: Array
    across: Array
    far: Array
    near_rhs: Array
    far_rhs: Array
    kept: tuple[tuple[Array, Array, Array], ...]


@lru_cache(maxsize=256)
def elimination_order(inner_nodes: tuple[int, ...]) -> Order:
    """Plan the rounds for chains with the given numbers of inner nodes.

    >>> order = elimination_order((3, 1))
    >>> [gone for gone, _, _ in elimination_order((7,)).rounds]
    [slice(1, 8, 2), slice(2, 7, 4), slice(4, 5, 1)]
    >>> [np.arange(8)[gone].tolist() for gone, _, _ in order.rounds]
    [[1, 3, 6], [2]]
    """
    starts = np.cumsum([0, *(n + 2 for n in inner_nodes)])
    rows = [
        list(range(start, start + n + 2))
        for start, n in zip(starts[:-1].tolist(), inner_nodes, strict=True)
    ]
    units = np.concatenate([np.asarray(row[1:-1], dtype=np.intp) for row in rows])
    rounds = []
    while any(len(row) > 2 for row in rows):
        gone: list[tuple[int, int, int]] = []
        for row in rows:
            gone += zip(row[1:-1:2], row[0:-2:2], row[2::2], strict=True)
        going = {node for node, _, _ in gone}
        rows = [[node for node in row if node not in going] for row in rows]
        node, left, right = np.array(gone, dtype=np.intp).T.copy()
        rounds.append((_spaced(node), _spaced(left), _spaced(right)))
    first = np.array([row[0] for row in rows], dtype=np.intp)
    last = np.array([row[-1] for row in rows], dtype=np.intp)
    return Order(tuple(rounds), _spaced(units), first, last)


def _spaced(places: Indices) -> Places:
    """As a slice, if the places are evenly spaced."""
    step = int(places[1] - places[0]) if len(places) > 1 else 1
    if np.any(np.diff(places) != step):
        return places
    return slice(int(places[0]), int(places[-1]) + 1, step)


def reduce_to_ports(order: Order, shunt: Array, coupling: Array, rhs: Array) -> Reduced:
    """Eliminate all inner nodes of the chains; the three arrays are overwritten.

    Parameters: `shunt` (rows, rows, nodes, cases) conductance of each node to ground; `coupling`,
    same shape, to its next neighbour; `rhs` (rows, nodes, cases) current into each node.
    """
    size = len(rhs)
    kept = []
    for gone, left, right in order.rounds:
        if size == 1:
            kept.append(_eliminate_single(shunt[0, 0], coupling[0, 0], rhs[0], (gone, left, right)))
            continue
        to_left = coupling[:, :, left].swapaxes(0, 1)
        to_right = coupling[:, :, gone]
        ground = shunt[:, :, gone]
        sides = [to_left, to_right, ground, rhs[:, None, gone]]
        solved = solve_blocks(to_left + to_right + ground, np.concatenate(sides, axis=1))
        on_left = _multiply(coupling[:, :, left], solved[:, size:])
        on_right = _multiply(to_right.swapaxes(0, 1), solved[:, 2 * size :])
        coupling[:, :, left] = on_left[:, :size]
        shunt[:, :, left] += on_left[:, size:-1]
        rhs[:, left] += on_left[:, -1]
        shunt[:, :, right] += on_right[:, :-1]
        rhs[:, right] += on_right[:, -1]
        kept.append((solved[:, :size], solved[:, size : 2 * size], solved[:, -1]))
    return Reduced(
        shunt[:, :, order.first],
        coupling[:, :, order.first],
        shunt[:, :, order.last],
        rhs[:, order.first],
        rhs[:, order.last],
        tuple(kept),
    )


def _eliminate_single(
    shunt: Array, coupling: Array, rhs: Array, places: tuple[Places, Places, Places]
) -> tuple[Array, Array, Array]:
    """Do one round where every block is a single number, which needs far fewer copies."""
    gone, left, right = places
    to_left, ground, driven = coupling[left], shunt[gone], rhs[gone]
    whole = to_left + coupling[gone]
    whole += ground
    np.reciprocal(whole, out=whole)
    by_left, by_right = to_left * whole, coupling[gone] * whole
    coupling[left] = to_left * by_right
    shunt[left] += ground * by_left
    rhs[left] += driven * by_left
    shunt[right] += ground * by_right
    rhs[right] += driven * by_right
    whole *= driven
    return by_left[None, None], by_right[None, None], whole[None]


def inner_nodes(order: Order, reduced: Reduced, near: Array, far: Array) -> Array:
    """Find the inner nodes (rows, inner nodes, cases) from the ports (rows, chains, cases)."""
    nodes = int(order.last[-1]) + 1
    found = np.empty((len(near), nodes, near.shape[-1]))
    found[:, order.first] = near
    found[:, order.last] = far
    for (gone, left, right), kept in zip(
        reversed(order.rounds), reversed(reduced.kept), strict=True
    ):
        by_left, by_right, alone = kept
        if len(near) == 1:
            value = by_left[0] * found[:, left]
            value += by_right[0] * found[:, right]
            value += alone
            found[:, gone] = value
            continue
        value = alone + _multiply(by_left, found[:, None, left])[:, 0]
        value += _multiply(by_right, found[:, None, right])[:, 0]
        found[:, gone] = value
    return found[:, order.units]


def _multiply(a: Array, b: Array) -> Array:
    """Matrix product over the two leading axes."""
    rows = []
    for row in a:
        total = row[0] * b[0]
        for factor, part in zip(row[1:], b[1:], strict=True):
            total += factor * part
        rows.append(total)
    return np.stack(rows)


def solve_blocks(a: Blocks, b: Blocks) -> Blocks:
    """Solve a x = b over the two leading axes, by elimination without pivots; overwrites both."""
    size = len(a)
    for i in range(size - 1):
        factor = (a[i + 1 :, i] / a[i, i])[:, None]
        a[i + 1 :, i + 1 :] -= factor * a[i, i + 1 :]
        b[i + 1 :] -= factor * b[i]
    for i in reversed(range(size)):
        b[i] /= a[i, i]
        b[:i] -= a[:i, i, None] * b[i]
    return b
