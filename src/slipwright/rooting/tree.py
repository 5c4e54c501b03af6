"""Solving for all unknowns at once by walking the tree of effects: batch, season, wood, taxon, genus.

The unknowns are a dense block of coefficients and two effects for each node of the tree.  Given the block, a
node touches only its parent, so nodes are eliminated from the batches upwards at a cost linear in their
number; what is left is one dense system.  The walk down gives the step, draws and covariances.

All arrays carry a leading axis of points (settings of the spreads); matrices of a node are 2 by 2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from slipwright.rooting.learned import LEVELS, Kind, Node
from slipwright.rooting.ranges import Array
from slipwright.rooting.spells import Index

#: nodes of one level worked through at once
_AT_ONCE = 1_000


@dataclass(frozen=True)
class Tree:
    """Nodes by level, children of one parent together; ``parents[k]`` are places in the level above.

    The last level is the batches.  ``firsts[k]`` are the first children of each node of level k - 1.
    """

    names: list[list[Node]]
    parents: list[Index]
    firsts: list[Index]

    @property
    def sizes(self) -> list[int]:
        """Nodes by level."""
        return [len(names) for names in self.names]

    def families(self, depth: int) -> list[tuple[slice, Index]]:
        """Cut a level into runs of whole families, and say where each family of a run begins.

        A run is so short that what is worked out of it stays in the processor's cache.
        """
        firsts, n_nodes = self.firsts[depth], len(self.names[depth])
        starts = [0]
        for first in firsts.tolist():
            if first - starts[-1] >= _AT_ONCE:
                starts.append(first)
        runs = [slice(a, b) for a, b in pairwise([*starts, n_nodes])]
        return [(run, firsts[(firsts >= run.start) & (firsts < run.stop)] - run.start) for run in runs]

    def down(self, values: Sequence[Array]) -> Array:
        """Sum of each batch's node and all above it; values of shape (n_points, n_nodes, ...)."""
        total = values[0]
        for depth in range(1, len(values)):
            total = total[:, self.parents[depth]] + values[depth]
        return total

    def up(self, values: Array) -> list[Array]:
        """Sum over the batches below each node, level by level."""
        found = [values]
        for depth in range(len(self.names) - 1, 0, -1):
            found.append(np.add.reduceat(found[-1], self.firsts[depth], axis=1))
        return found[::-1]


def tree_of(kinds: Sequence[Kind]) -> Tree:
    """Tree of the effects that some batches have in common.

    Parameters
    ----------
    kinds : sequence of Kind
        One a batch, sorted so that batches of a genus, a taxon, a wood and a season stand together.

    Returns
    -------
    Tree
        Five levels.

    Raises
    ------
    ValueError
        If batches of one node do not stand together, or one batch comes twice or has no name.

    Notes
    -----
    A node is named by its whole path.

    References
    ----------
    Definition.

    Examples
    --------
    >>> rose = ("Rosa", "Rosa", "hardwood", "2026")
    >>> tree_of([Kind(*rose, "A"), Kind(*rose, "B")]).sizes
    [1, 1, 1, 1, 2]
    """
    names: list[list[Node]] = [[] for _ in LEVELS]
    parents: list[list[int]] = [[] for _ in LEVELS]
    met: set[Node] = set()
    for kind in kinds:
        if not kind.batch:
            raise ValueError(f"a batch of {kind.path[-1]} has no name")
        for depth, node in enumerate(kind.path):
            if names[depth] and names[depth][-1] == node and depth < len(LEVELS) - 1:
                continue
            if node in met:
                raise ValueError(f"batches of {node} must stand together and each batch come once")
            met.add(node)
            names[depth].append(node)
            parents[depth].append(len(names[depth - 1]) - 1 if depth else 0)
    rows = [np.array(row, dtype=np.intp) for row in parents]
    firsts = [np.flatnonzero(np.diff(row, prepend=-1)) for row in rows]
    return Tree(names, rows, firsts)


def inverse(m: Array) -> Array:
    """Inverses of symmetric 2 by 2 matrices.

    Parameters
    ----------
    m : array of shape (..., 2, 2)
        The matrices [-].

    Returns
    -------
    array of shape (..., 2, 2)
        Their inverses [-].

    Notes
    -----
    In closed form; of a singular one it is infinite.

    References
    ----------
    Definition.

    Examples
    --------
    >>> inverse(2 * np.eye(2)).tolist()
    [[0.5, -0.0], [-0.0, 0.5]]
    """
    a, b, d = m[..., 0, 0], m[..., 0, 1], m[..., 1, 1]
    over = 1 / (a * d - b * b)
    return np.stack([np.stack([d * over, -b * over], -1), np.stack([-b * over, a * over], -1)], -2)


def _determinant(m: Array) -> Array:
    return np.asarray(m[..., 0, 0] * m[..., 1, 1] - m[..., 0, 1] ** 2)


class NotDefinite(ArithmeticError):
    """The information is not positive definite at some ``points``."""

    def __init__(self, points: Index) -> None:
        super().__init__("the information is not positive definite")
        self.points = points


class Elimination:
    """The tree eliminated at some point.

    Parameters
    ----------
    tree : Tree
        Nodes.
    information : array of shape (n_points, n_batches, 2, 2)
        Curvature of minus the log likelihood in a batch's two levels [-].
    coupling : array of shape (n_points, n_batches, 2, p)
        The same between the levels and the dense block [-].
    dense : array of shape (n_points, p, p)
        The same of the dense block, its prior included [-].
    precisions : list of arrays of shape (n_points, 2, 2)
        Prior precision of the effects, level by level [-].

    Raises
    ------
    NotDefinite
        If the information is not positive definite.

    Notes
    -----
    With A the information of what lies below a node, B its coupling, W its precision: M = (A + W)^-1; what
    passes up is A - A M A and B - A M B, and B' M B leaves the dense block; ln|A + W| adds to the log
    determinant.

    References
    ----------
    Block elimination (Schur complements), definition.

    Examples
    --------
    >>> tree = tree_of([Kind("Rosa", "Rosa", "hardwood", "2026", "A")])
    >>> one, none = np.eye(2)[None], np.zeros((1, 1, 2, 1))
    >>> found = Elimination(tree, one[None], none, np.ones((1, 1, 1)), [one] * 5)
    >>> float(found.log_determinant.round(4)[0])  # (1 + 1), (1 + 1/2), (1 + 1/3), ... each twice
    3.5835
    """

    def __init__(
        self, tree: Tree, information: Array, coupling: Array, dense: Array, precisions: Sequence[Array]
    ) -> None:
        self.tree = tree
        a, b, dense = information, coupling, dense.copy()
        levels = len(tree.names)
        self.a: list[Array] = [a] * levels
        self.b: list[Array] = [b] * levels
        self.m: list[Array] = [a] * levels
        self.log_determinant = np.zeros(len(dense))
        for depth in range(levels - 1, -1, -1):
            with_prior = a + precisions[depth][:, None]
            determinant = _determinant(with_prior)
            if not ((determinant > 0) & (with_prior[..., 0, 0] > 0)).all():
                bad = ~((determinant > 0) & (with_prior[..., 0, 0] > 0)).all(axis=1)
                raise NotDefinite(np.flatnonzero(bad))
            m = inverse(with_prior)
            self.a[depth], self.b[depth], self.m[depth] = a, b, m
            self.log_determinant += np.log(determinant).sum(axis=1)
            families = tree.families(depth)
            above = [self._pass_up(dense, a[:, run], b[:, run], m[:, run], first) for run, first in families]
            if depth:
                a = np.concatenate([one for one, _ in above], axis=1)
                b = np.concatenate([one for _, one in above], axis=1)
        self.dense = (dense + dense.swapaxes(1, 2)) / 2
        try:
            self.root: Array = np.linalg.cholesky(self.dense).astype(float, copy=False)
        except np.linalg.LinAlgError:
            least = np.linalg.eigvalsh(self.dense)[:, 0] if dense.shape[1] else np.ones(len(dense))
            raise NotDefinite(np.flatnonzero(~(least > 0))) from None
        self.log_determinant += 2 * np.log(np.diagonal(self.root, axis1=1, axis2=2)).sum(axis=1)

    def _pass_up(self, dense: Array, a: Array, b: Array, m: Array, first: Index) -> tuple[Array, Array]:
        """Take a run of whole families out of the dense block; return what passes to their parents."""
        n_points, n_nodes, _, p = b.shape
        mb = m @ b
        flat = b.reshape(n_points, 2 * n_nodes, p)
        dense -= flat.swapaxes(1, 2) @ mb.reshape(n_points, 2 * n_nodes, p)
        am = a @ m
        return (
            np.add.reduceat(a - am @ a, first, axis=1),
            np.add.reduceat(b - a @ mb, first, axis=1),
        )

    def solve(self, by_batch: Array, by_dense: Array, by_node: Sequence[Array] | None = None) -> Step:
        """Solve for all unknowns at once.

        ``by_batch`` (n_points, n_batches, 2) acts on the batches' levels, so on every node above them;
        ``by_dense`` (n_points, p) on the dense block; ``by_node`` level by level on each node alone.
        """
        tree, levels = self.tree, len(self.tree.names)
        g, dense = by_batch, by_dense.copy()
        rests: list[Array] = [g] * levels
        for depth in range(levels - 1, -1, -1):
            rest = g if by_node is None else g + by_node[depth]
            rests[depth] = rest
            mr = (self.m[depth] @ rest[..., None])[..., 0]
            n_points, n_nodes, _, p = self.b[depth].shape
            flat = self.b[depth].reshape(n_points, 2 * n_nodes, p)
            dense -= (flat.swapaxes(1, 2) @ mr.reshape(n_points, 2 * n_nodes, 1))[..., 0]
            if depth:
                g = np.add.reduceat(g - (self.a[depth] @ mr[..., None])[..., 0], tree.firsts[depth], axis=1)
        block = _solved(self.root, dense)
        above = np.zeros_like(rests[0])
        nodes: list[Array] = []
        for depth in range(levels):
            if depth:
                above = above[:, tree.parents[depth]]
            pull = rests[depth] - (self.a[depth] @ above[..., None])[..., 0]
            pull = pull - np.matmul(self.b[depth], block[:, None, :, None])[..., 0]
            step = (self.m[depth] @ pull[..., None])[..., 0]
            nodes.append(step)
            above = above + step
        return Step(block, nodes)

    def covariances(self, n_levels: int | None = None) -> Covariances:
        """Covariances of the dense block, of each node's effects, and of their sums from the genus down.

        Of the first ``n_levels`` only, if given.
        """
        inverse_root = np.linalg.inv(self.root)
        block = inverse_root.swapaxes(1, 2) @ inverse_root
        tree = self.tree
        nodes: list[Array] = []
        levels: list[Array] = []
        level = np.zeros_like(self.m[0])
        with_block = np.zeros_like(self.b[0])
        for depth in range(len(tree.names))[:n_levels]:
            if depth:
                level, with_block = level[:, tree.parents[depth]], with_block[:, tree.parents[depth]]
            m, b = self.m[depth], self.b[depth]
            ma, mb = m @ self.a[depth], m @ b
            mbs = mb @ block[:, None]
            cross = ma @ with_block @ mb.swapaxes(-1, -2)
            own = ma @ level @ ma.swapaxes(-1, -2) + cross + cross.swapaxes(-1, -2)
            nodes.append(own + mbs @ mb.swapaxes(-1, -2) + m)
            keep = np.eye(2) - ma
            cross = keep @ with_block @ mb.swapaxes(-1, -2)
            level = keep @ level @ keep.swapaxes(-1, -2) - cross - cross.swapaxes(-1, -2)
            level = level + mbs @ mb.swapaxes(-1, -2) + m
            levels.append(level)
            with_block = keep @ with_block - mbs
        return Covariances(block, nodes, levels, with_block)

    def draws(self, point: int, n_draws: int, generator: np.random.Generator, batches: Index) -> Step:
        """Draws about nought at one point, effects summed from the genus down.

        The dense block (n_draws, p), then level by level (n_draws, n_nodes, 2); of the last level only
        the ``batches`` asked for.
        """
        root = self.root[point]
        block = np.linalg.solve(root.T, generator.standard_normal((root.shape[0], n_draws))).T
        above = np.zeros((n_draws, 1, 2))
        nodes: list[Array] = []
        last = len(self.tree.names) - 1
        for depth in range(last + 1):
            chosen = batches if depth == last else slice(None)
            m, a, b = self.m[depth][point][chosen], self.a[depth][point][chosen], self.b[depth][point][chosen]
            above = above[:, self.tree.parents[depth][chosen]] if depth else np.zeros((n_draws, len(m), 2))
            pull = (block @ b.reshape(-1, b.shape[-1]).T).reshape(n_draws, len(m), 2)
            pull += np.einsum("nij,dnj->dni", a, above)
            score = generator.standard_normal((n_draws, len(m), 2))
            above = above - np.einsum("nij,dnj->dni", m, pull)
            above += np.einsum("nij,dnj->dni", np.linalg.cholesky(m), score)
            nodes.append(above)
        return Step(block, nodes)


@dataclass(frozen=True)
class Step:
    """A change of all unknowns: the dense block, then the nodes level by level."""

    dense: Array
    nodes: list[Array]


@dataclass(frozen=True)
class Covariances:
    """Covariances: of the block; by level of nodes' effects and of their sums from the genus down.

    ``with_dense`` is that of the last level's sums with the block.
    """

    dense: Array
    nodes: list[Array]
    levels: list[Array]
    with_dense: Array


def _solved(root: Array, right: Array) -> Array:
    half = np.linalg.solve(root, right[..., None])
    return np.asarray(np.linalg.solve(root.swapaxes(1, 2), half)[..., 0])
