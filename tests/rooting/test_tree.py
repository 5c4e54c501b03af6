"""Elimination along the tree of effects against one dense matrix of all unknowns: 40 batches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from slipwright.rooting.learned import LEVELS, Kind
from slipwright.rooting.spreads import precisions
from slipwright.rooting.tree import Elimination, NotDefinite, Tree, inverse, tree_of

N_POINTS, WIDTH = 3, 7
KINDS = sorted(
    (
        Kind(f"G{n % 3}", f"T{n % 7}", f"W{n % 2}", f"{2020 + n % 4}", f"B{n:02}")
        for n in np.random.default_rng(1).permutation(40).tolist()
    ),
    key=lambda kind: kind.path[-1],
)
TREE = tree_of(KINDS)


class Dense:
    """The same as an elimination, by one matrix a point: the block first, then the nodes level by level."""

    def __init__(self, generator: np.random.Generator) -> None:
        n = len(KINDS)
        seen = generator.standard_normal((N_POINTS, n, 3, 2 + WIDTH))
        whole = seen.swapaxes(-1, -2) @ seen
        self.information, self.coupling = whole[..., :2, :2], whole[..., :2, 2:]
        self.block = whole[..., 2:, 2:].sum(axis=1) + 0.5 * np.eye(WIDTH)
        self.precisions = precisions(generator.standard_normal((N_POINTS, 9)))
        self.first = np.cumsum([WIDTH, *(2 * size for size in TREE.sizes)])
        self.size = int(self.first[-1])
        #: which of a batch's two levels each unknown adds to, (2 n_batches, size)
        self.adds = np.zeros((2 * n, self.size))
        for row, kind in enumerate(KINDS):
            for depth, node in enumerate(kind.path):
                self.adds[2 * row : 2 * row + 2, self.columns(depth, TREE.names[depth].index(node))] = np.eye(
                    2
                )
        self.matrix = np.zeros((N_POINTS, self.size, self.size))
        for point in range(N_POINTS):
            spread = np.zeros((2 * n, 2 * n))
            for row in range(n):
                spread[2 * row : 2 * row + 2, 2 * row : 2 * row + 2] = self.information[point, row]
            matrix = self.adds.T @ spread @ self.adds
            across = self.adds.T @ self.coupling[point].reshape(2 * n, WIDTH)
            matrix[:, :WIDTH] += across
            matrix[:WIDTH] += across.T
            matrix[:WIDTH, :WIDTH] += self.block[point]
            for depth, size in enumerate(TREE.sizes):
                for node in range(size):
                    at = self.columns(depth, node)
                    matrix[at, at] += self.precisions[depth][point]
            self.matrix[point] = matrix

    def columns(self, depth: int, node: int) -> slice:
        begin = int(self.first[depth]) + 2 * node
        return slice(begin, begin + 2)

    def eliminated(self) -> Elimination:
        return Elimination(TREE, self.information, self.coupling, self.block, self.precisions)


DENSE = Dense(np.random.default_rng(8))
FOUND = DENSE.eliminated()


def flat(dense: np.ndarray, nodes: Sequence[np.ndarray]) -> np.ndarray:
    return np.concatenate([dense, *(node.reshape(len(node), -1) for node in nodes)], axis=1)


def test_the_log_determinant_is_that_of_the_whole_matrix() -> None:
    np.testing.assert_allclose(FOUND.log_determinant, np.linalg.slogdet(DENSE.matrix)[1], rtol=1e-10)


def test_a_step_solves_the_whole_system() -> None:
    generator = np.random.default_rng(2)
    by_batch = generator.standard_normal((N_POINTS, len(KINDS), 2))
    by_dense = generator.standard_normal((N_POINTS, WIDTH))
    by_node = [generator.standard_normal((N_POINTS, size, 2)) for size in TREE.sizes]
    right = flat(by_dense, by_node) + by_batch.reshape(N_POINTS, -1) @ DENSE.adds
    step = FOUND.solve(by_batch, by_dense, by_node)
    expected = np.linalg.solve(DENSE.matrix, right[..., None])[..., 0]
    np.testing.assert_allclose(flat(step.dense, step.nodes), expected, rtol=1e-8, atol=1e-10)
    without = FOUND.solve(by_batch, by_dense)
    right = flat(by_dense, [0 * node for node in by_node]) + by_batch.reshape(N_POINTS, -1) @ DENSE.adds
    expected = np.linalg.solve(DENSE.matrix, right[..., None])[..., 0]
    np.testing.assert_allclose(flat(without.dense, without.nodes), expected, rtol=1e-8, atol=1e-10)


def test_covariances_are_those_of_the_whole_inverse() -> None:
    found, expected = FOUND.covariances(), np.linalg.inv(DENSE.matrix)
    close = {"rtol": 1e-8, "atol": 1e-11}
    np.testing.assert_allclose(found.dense, expected[:, :WIDTH, :WIDTH], **close)
    for depth, size in enumerate(TREE.sizes):
        for node in range(size):
            at = DENSE.columns(depth, node)
            np.testing.assert_allclose(found.nodes[depth][:, node], expected[:, at, at], **close)
    for depth in range(5):
        for kind in KINDS:
            sums = np.zeros((2, DENSE.size))
            for above, node in enumerate(kind.path[: depth + 1]):
                sums[:, DENSE.columns(above, TREE.names[above].index(node))] += np.eye(2)
            own = found.levels[depth][:, TREE.names[depth].index(kind.path[depth])]
            np.testing.assert_allclose(own, sums @ expected @ sums.T, **close)
    levels = DENSE.adds @ expected @ DENSE.adds.T
    for row in range(len(KINDS)):
        at = slice(2 * row, 2 * row + 2)
        np.testing.assert_allclose(found.levels[-1][:, row], levels[:, at, at], **close)
        across = (DENSE.adds @ expected)[:, at, :WIDTH]
        np.testing.assert_allclose(found.with_dense[:, row], across, **close)


class OneByOne(np.random.Generator):
    """Scores of which each draw has one only, so that draws spell out the root of their covariance."""

    def __init__(self, draws_first: list[bool]) -> None:
        super().__init__(np.random.PCG64(0))
        self.draws_first, self.next = draws_first, 0

    def standard_normal(self, size: tuple[int, ...]) -> np.ndarray:  # type: ignore[override]
        first = self.draws_first.pop(0)
        n_draws, n = (size[0], int(np.prod(size[1:]))) if first else (size[1], size[0])
        scores = np.zeros((n_draws, n))
        scores[self.next + np.arange(n), np.arange(n)] = 1
        self.next += n
        return scores.reshape(size) if first else scores.T


@pytest.mark.parametrize("point", range(N_POINTS))
def test_draws_have_the_covariances_of_the_whole_inverse(point: int) -> None:
    batches = np.array([0, 3, 17, 39])
    n_scores = WIDTH + 2 * sum(TREE.sizes[:-1]) + 2 * len(batches)
    drawn = FOUND.draws(point, n_scores, OneByOne([False] + [True] * 5), batches)
    # effects summed from the genus down
    sums = np.zeros((sum(TREE.sizes), 2, DENSE.size))
    row, kept = 0, []
    for depth, names in enumerate(TREE.names):
        for place, node in enumerate(names):
            path = next(kind.path for kind in KINDS if kind.path[depth] == node)
            for above, name in enumerate(path[: depth + 1]):
                sums[row, :, DENSE.columns(above, TREE.names[above].index(name))] += np.eye(2)
            if depth < 4 or place in batches:
                kept.append(row)
            row += 1
    chosen = np.concatenate([np.eye(WIDTH, DENSE.size), sums[kept].reshape(-1, DENSE.size)])
    expected = chosen @ np.linalg.inv(DENSE.matrix[point]) @ chosen.T
    all_drawn = flat(drawn.dense, drawn.nodes)
    np.testing.assert_allclose(all_drawn.T @ all_drawn, expected, rtol=1e-8, atol=1e-10)


def test_the_information_must_be_positive_and_the_points_where_it_is_not_are_named() -> None:
    information = DENSE.information.copy()
    information[1, 5] -= 1e4 * np.eye(2)
    with pytest.raises(NotDefinite) as refused:
        Elimination(TREE, information, DENSE.coupling, DENSE.block, DENSE.precisions)
    assert refused.value.points.tolist() == [1]
    block = DENSE.block.copy()
    block[2] -= 1e4 * np.eye(WIDTH)
    with pytest.raises(NotDefinite) as refused:
        Elimination(TREE, DENSE.information, DENSE.coupling, block, DENSE.precisions)
    assert refused.value.points.tolist() == [2]


def test_elimination_leaves_what_it_is_given_as_it_was() -> None:
    block, coupling = DENSE.block.copy(), DENSE.coupling.copy()
    again = DENSE.eliminated()
    again.solve(np.ones((N_POINTS, len(KINDS), 2)), np.ones((N_POINTS, WIDTH)))
    np.testing.assert_array_equal(DENSE.block, block)
    np.testing.assert_array_equal(DENSE.coupling, coupling)


def test_the_tree_has_a_node_for_each_path_once_and_sums_go_up_and_down_it() -> None:
    for depth, names in enumerate(TREE.names):
        assert len(set(names)) == len(names)
        assert {name[0] for name in names} == {LEVELS[depth]}
    ones = [np.full((1, size, 1), 10.0**depth) for depth, size in enumerate(TREE.sizes)]
    assert (TREE.down(ones) == 11111).all()
    ups = TREE.up(np.ones((1, len(KINDS), 1)))
    assert [up.shape[1] for up in ups] == TREE.sizes
    assert all(up.sum() == len(KINDS) for up in ups)
    assert ups[0][0, :, 0].tolist() == [sum(kind.genus == f"G{k}" for kind in KINDS) for k in range(3)]


def test_one_name_under_two_parents_is_two_nodes() -> None:
    tree: Tree = tree_of([replace(KINDS[0], genus=genus, season="2026") for genus in ("A", "B")])
    assert tree.sizes == [2, 2, 2, 2, 2]
    assert tree.parents[4].tolist() == [0, 1]


@pytest.mark.parametrize(
    "kinds",
    [
        [KINDS[0], KINDS[0]],
        [KINDS[0], KINDS[-1], replace(KINDS[0], batch="another")],
        [KINDS[0], replace(KINDS[0], batch="")],
    ],
    ids=["twice", "apart", "without a name"],
)
def test_batches_that_come_twice_stand_apart_or_have_no_name_are_refused(kinds: list[Kind]) -> None:
    with pytest.raises(ValueError, match="batch"):
        tree_of(kinds)


def test_inverses_of_two_by_two_matrices() -> None:
    seen = np.random.default_rng(3).standard_normal((5, 4, 2, 3))
    matrices = seen @ seen.swapaxes(-1, -2)
    np.testing.assert_allclose(inverse(matrices) @ matrices, np.tile(np.eye(2), (5, 4, 1, 1)), atol=1e-9)
