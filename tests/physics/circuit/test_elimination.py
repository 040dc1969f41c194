"""Cyclic reduction against a dense solution of the same equations."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from lightcalc.physics.circuit.elimination import elimination_order, inner_nodes, reduce_to_ports


@given(
    chains=st.lists(st.integers(1, 20), min_size=1, max_size=4),
    rows=st.integers(1, 4),
    seed=st.integers(0, 1000),
)
@settings(max_examples=60, deadline=None)
def test_reduced_chains_are_the_dense_schur_complement(
    chains: list[int], rows: int, seed: int
) -> None:
    dice = np.random.default_rng(seed)
    order = elimination_order(tuple(chains))
    nodes = sum(chains) + 2 * len(chains)
    dense = np.zeros((nodes * rows, nodes * rows))
    coupling = np.zeros((rows, rows, nodes, 1))
    shunt = np.zeros((rows, rows, nodes, 1))

    def conductance() -> NDArray[np.float64]:
        root = dice.uniform(-1, 1, (rows, rows))
        return root @ root.T + 0.1 * np.eye(rows)

    for k in range(nodes):
        here = slice(k * rows, (k + 1) * rows)
        shunt[:, :, k, 0] = dense[here, here] = conductance()
    for first, last in zip(order.first, order.last, strict=True):
        for k in range(first, last):
            coupling[:, :, k, 0] = block = conductance()
            here, there = slice(k * rows, (k + 1) * rows), slice((k + 1) * rows, (k + 2) * rows)
            dense[here, here] += block
            dense[there, there] += block
            dense[here, there] = dense[there, here] = -block
    rhs = dice.uniform(-1, 1, (rows, nodes, 1))
    flat = rhs[:, :, 0].T.ravel()
    whole = np.linalg.solve(dense, flat).reshape(nodes, rows).T
    reduced = reduce_to_ports(order, shunt, coupling, rhs)
    for s in range(len(chains)):
        near, far = reduced.near[:, :, s, 0], reduced.far[:, :, s, 0]
        across = reduced.across[:, :, s, 0]
        matrix = np.block([[near + across, -across], [-across.T, far + across.T]])
        ports = np.concatenate([reduced.near_rhs[:, s, 0], reduced.far_rhs[:, s, 0]])
        expected = np.concatenate([whole[:, order.first[s]], whole[:, order.last[s]]])
        assert np.linalg.solve(matrix, ports) == pytest.approx(expected, abs=1e-10)
    near, far = whole[:, order.first, None], whole[:, order.last, None]
    found = inner_nodes(order, reduced, near, far)
    np.testing.assert_allclose(found[:, :, 0], whole[:, order.units], atol=1e-10)
