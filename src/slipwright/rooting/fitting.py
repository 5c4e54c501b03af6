"""Learning from every round: the two clocks fitted to all records of a garden.

Few records leave the spreads between genera, taxa, seasons and batches in doubt; then the fit is averaged
over settings of the spreads, each weighed by how likely it makes the records.  Of many records the likeliest
setting stands for all.  Either way the result is joint draws of all unknowns (`slipwright.rooting.learned`).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from slipwright.rooting._running import one_thread_a_matrix, uncollected
from slipwright.rooting.cells import CELLS, Cells
from slipwright.rooting.cuttings import TERMS, Term
from slipwright.rooting.fit import Fit, Point
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.mode import ENOUGH, Lean, Mode, Problem
from slipwright.rooting.ranges import Array
from slipwright.rooting.spells import spells_of
from slipwright.rooting.spreads import N_SPREADS, sd_slopes, standard_deviations
from slipwright.rooting.tree import Step

#: up to so many batches the spreads are integrated over
INTEGRATE_UP_TO = 300
#: settings of the spreads at first, at most, and how many must count after weighing
N_POINTS, MOST_POINTS, LEAST_EFFECTIVE = 64, 256, 20.0
#: slope of the evidence, in units of its own width, at which the search for its top stops
_FLAT = {"likeliest": 0.3, "integrated": 0.1}
_STEP = 0.05
_FURTHEST = 6.0
_MOST_CLIMBS = 3
#: above so many batches the search begins where a fit of every tenth genus ended
_FROM_A_TENTH = 2_000
#: a step towards the top that promises less than this, or less than so much a batch, is the last while
#: settings are only tried
_ENOUGH_TO_CLIMB, _ENOUGH_A_BATCH = 1e-3, 1e-6
#: steps by which the search comes near first, how long one is at most, and when it is near (in its own width)
_MOST_SCORED, _LONGEST, _NEAR = 14, 0.6, 0.09
#: and how much shorter it gets where one has gone too far
_SHORTER = 0.3
#: batches times settings worked through at once, and settings at most
_BATCHES_AT_ONCE, _AT_ONCE = 4_000, 64
_SEED = 7

Said = Callable[[float, str], None]


@dataclass(frozen=True)
class Start:
    """Where an earlier fit ended, by name: the next one starts there."""

    psi: Array
    coefficients: Mapping[str, tuple[float, float]]
    nodes: Mapping[tuple[str, ...], tuple[float, float]]


def fit(
    records: Sequence[BatchRecord],
    *,
    start: Start | None = None,
    hold_spreads: bool = False,
    psi: Array | None = None,
    cells: Cells = CELLS,
    terms: Sequence[Term] = TERMS,
    integrate_up_to: int = INTEGRATE_UP_TO,
    n_points: int = N_POINTS,
    said: Said | None = None,
) -> Fit:
    """Fit the two clocks to the records of a garden.

    Parameters
    ----------
    records : sequence of BatchRecord
        Every batch; those of which nothing was counted add nothing and are left out.
    start : Start, optional
        Where an earlier fit ended.
    hold_spreads : bool
        Whether the spreads of ``start`` are kept as they are: quick, for a refit after a save.  Has no
        effect on histories short enough to be integrated.
    psi : array of shape (9,), optional
        Fixed scores of the spreads (`slipwright.rooting.spreads`) [-]; for checks against other programs.
    cells : Cells
        Where hazards may change.
    terms : sequence of Term
        Terms and priors of the coefficients.
    integrate_up_to : int
        Batches up to which the spreads are integrated over [1].
    n_points : int
        Settings of the spreads to begin with [1].
    said : callable, optional
        Told how far it is (0 to 1) and what is being done.

    Returns
    -------
    Fit
        Settings of the spreads with their weights, the top and its curvature at each.

    Raises
    ------
    ValueError
        If a batch comes twice.

    Notes
    -----
    Laplace's approximation given the spreads, by elimination along the tree of effects, with means
    corrected to first order: E x = top - (1/2) K^-1 d ln|K| / dx.  The spreads' scores have standard normal
    priors; for up to ``integrate_up_to`` batches they are averaged over points spread evenly about the top
    of their evidence, weighed by evidence over the density drawn from, doubled until 20 count.  Above, the
    likeliest setting on the logarithm of the standard deviations.

    References
    ----------
    Tierney L. and Kadane J.B. 1986, Journal of the American Statistical Association 81:82-86; Rue H.,
    Martino S. and Chopin N. 2009, Journal of the Royal Statistical Society B 71:319-392 (both from memory).

    Examples
    --------
    >>> fit([]).n_batches
    0
    """
    began = time.process_time()
    tell = said or (lambda share, words: None)
    with one_thread_a_matrix():
        found = _fitted(
            records, start, hold_spreads, psi, cells, tuple(terms), integrate_up_to, n_points, tell
        )
    return replace(found, seconds=time.process_time() - began)


def _fitted(
    records: Sequence[BatchRecord],
    start: Start | None,
    hold_spreads: bool,
    psi: Array | None,
    cells: Cells,
    terms: tuple[Term, ...],
    integrate_up_to: int,
    n_points: int,
    tell: Said,
) -> Fit:
    tell(0.0, "reading the looks")
    with uncollected():
        found = [
            (one, spells_of(one.counts)) for one in sorted(records, key=lambda one: one.kind.path[-1][1:])
        ]
    told = [one for one, spells in found if spells]
    if not told:
        return Fit(0, 0, True, 0.0, (), terms=terms, cells=cells)
    if start is None and psi is None and len(told) > _FROM_A_TENTH:
        tell(0.02, "every tenth genus first")
        tenth = _tenth(told)
        if len(tenth) < len(told) / 3:
            began = _fitted(tenth, None, False, None, cells, terms, 0, n_points, lambda share, words: None)
            start = began.start()
    with uncollected():
        problem = Problem(told, [spells for _, spells in found if spells], cells=cells, terms=terms)
    search = _Search(problem, start, tell)
    if psi is not None:
        given = search.point(np.asarray(psi, dtype=float))
        points, settled = [replace(given, psi_sd=np.zeros(N_SPREADS))], True
    elif len(told) > integrate_up_to:
        held = start.psi if hold_spreads and start is not None else None
        points, settled = search.likeliest(held)
    else:
        points, settled = search.integrated(n_points)
    tell(1.0, "done")
    return Fit(
        len(told),
        sum(one.counts.n_looks for one in told),
        settled and all(point.settled for point in points),
        0.0,
        tuple(points),
        tree=problem.tree,
        design=problem.design,
        terms=terms,
        cells=cells,
        told={one.kind.path[-1]: one for one in told},
    )


def _tenth(told: Sequence[BatchRecord]) -> list[BatchRecord]:
    """Batches of every tenth genus: quickly fitted, they show about where the whole lies."""
    chosen = set(sorted({one.kind.genus for one in told})[::10])
    return [one for one in told if one.kind.genus in chosen]


class _Search:
    """The search for the spreads, each step of it from the top found at the step before."""

    def __init__(self, problem: Problem, start: Start | None, tell: Said) -> None:
        self.problem, self.tell = problem, _onwards(tell)
        self.psi = np.zeros(N_SPREADS) if start is None else np.clip(start.psi, -3, 3)
        self.longest = _LONGEST if start is None else _SHORTER * _LONGEST
        self.at = _started(problem, start)
        self.enough = max(_ENOUGH_TO_CLIMB, _ENOUGH_A_BATCH * problem.tree.sizes[-1])
        self.n_tops = 0

    def top(self, psi: Array, *, enough: float = ENOUGH) -> tuple[Mode, Lean]:
        """Top and lean at one setting; the next search starts from it."""
        mode = self.problem.mode(psi[None], self.at, enough=enough)
        self.at = mode.where
        self.n_tops += 1
        self.tell(min(0.05 + 0.04 * self.n_tops, 0.8), "weighing how far plants and batches lie apart")
        return mode, self.problem.lean(psi[None], mode)

    def point(self, psi: Array) -> Point:
        mode, lean = self.top(psi)
        return _points(psi[None], np.ones(1), mode, lean)[0]

    def climb(self, *, on_log_sd: bool) -> tuple[Array, bool]:
        """Likeliest setting; on the scale of ln sd the density carries its Jacobian."""
        from scipy.optimize import minimize

        first_mode, first = self._scored(on_log_sd=on_log_sd)
        unit = 1 / np.sqrt(first.curve[0])

        def minus(moved: Array) -> tuple[float, Array]:
            psi = self.psi + unit * moved
            mode, lean = (first_mode, first) if not moved.any() else self.top(psi, enough=self.enough)
            value, slope = float(mode.evidence[0]), lean.slope[0]
            if on_log_sd:
                value, slope = value - float(np.log(sd_slopes(psi)).sum()), slope + _log_sd_slope(psi)
            return -value, -unit * slope

        bounds = np.stack([(-_FURTHEST - self.psi) / unit, (_FURTHEST - self.psi) / unit], axis=1)
        options = {"gtol": _FLAT["likeliest" if on_log_sd else "integrated"], "ftol": 1e-9, "maxiter": 60}
        moved = np.zeros(N_SPREADS)
        for _ in range(_MOST_CLIMBS):
            found = minimize(minus, moved, jac=True, method="L-BFGS-B", bounds=bounds, options=options)
            if found.success:
                break
            # merged counts may have two tops, and the evidence leaps where the climb goes over to the other
            moved = found.x
        return np.asarray(self.psi + unit * found.x), bool(found.success)

    def _scored(self, *, on_log_sd: bool) -> tuple[Mode, Lean]:
        """Come near the likeliest setting by steps of slope over rough curvature, none of them long."""
        longest, before = np.full(N_SPREADS, self.longest), np.zeros(N_SPREADS)
        for _ in range(_MOST_SCORED):
            mode, lean = self.top(self.psi, enough=self.enough)
            slope = lean.slope[0] + (_log_sd_slope(self.psi) if on_log_sd else 0.0)
            if (slope**2 / lean.curve[0]).max() < _NEAR:
                return mode, lean
            # a score that turns back has gone too far
            longest = np.where(slope * before < 0, _SHORTER * longest, longest)
            before = np.clip(slope / lean.curve[0], -longest, longest)
            self.psi = np.clip(self.psi + before, -_FURTHEST, _FURTHEST)
        return self.top(self.psi, enough=self.enough)

    def likeliest(self, held: Array | None) -> tuple[list[Point], bool]:
        if held is not None:
            return [self.point(held)], True
        psi, settled = self.climb(on_log_sd=True)
        return [self.point(psi)], settled

    def integrated(self, n_points: int) -> tuple[list[Point], bool]:
        psi, settled = self.climb(on_log_sd=False)
        self.tell(0.5, "averaging over spreads")
        root = self._root(psi)
        points: list[Point] = []
        log_weights = np.zeros(0)
        while True:
            scores = _spread_out(max(n_points, len(points)), len(points))
            more, log_weight = self._at_settings(psi, root, scores)
            points, log_weights = points + more, np.concatenate([log_weights, log_weight])
            weights = np.exp(log_weights - log_weights.max())
            weights /= weights.sum()
            if 1 / (weights**2).sum() >= LEAST_EFFECTIVE or len(points) >= MOST_POINTS:
                break
        return [replace(one, weight=float(w)) for one, w in zip(points, weights, strict=True)], settled

    def _root(self, psi: Array) -> Array:
        """Root of the covariance of the scores at the top, by differences of slopes."""
        moves = _STEP * np.concatenate([np.eye(N_SPREADS), -np.eye(N_SPREADS)])
        at = psi + moves
        mode = self.problem.mode(at, _repeated(self.at, len(at)))
        slopes = self.problem.lean(at, mode).slope
        curve = -(slopes[:N_SPREADS] - slopes[N_SPREADS:]) / (2 * _STEP)
        values, vectors = np.linalg.eigh((curve + curve.T) / 2)
        # the prior alone has curvature 1: where the records bend it the other way half of that is kept
        return np.asarray(vectors / np.sqrt(np.maximum(values, 0.5)))

    def _at_settings(self, psi: Array, root: Array, scores: Array) -> tuple[list[Point], Array]:
        """Fits at settings about the top, and the logarithms of their weights."""
        settings = np.clip(psi + scores @ root.T, -_FURTHEST, _FURTHEST)
        points: list[Point] = []
        evidence: list[Array] = []
        at_once = min(max(_BATCHES_AT_ONCE // self.problem.tree.sizes[-1], 8), _AT_ONCE)
        for first in range(0, len(settings), at_once):
            some = settings[first : first + at_once]
            mode = self.problem.mode(some, _repeated(self.at, len(some)), enough=1e-4)
            points += _points(some, np.ones(len(some)), mode, self.problem.lean(some, mode))
            evidence.append(mode.evidence)
            self.tell(0.5 + 0.4 * (first + len(some)) / len(settings), "averaging over spreads")
        return points, np.concatenate(evidence) + (scores**2).sum(axis=1) / 2


_UNIT = 0.6744897501960817  # a half-normal's middle, where the scores are nought


def _log_sd_slope(psi: Array) -> Array:
    """Slope of ln |d score / d ln sd|, summed over the standard deviations, in the scores, (9,)."""
    slopes = sd_slopes(psi)
    ratio = standard_deviations(psi) / standard_deviations(np.zeros(N_SPREADS)) * _UNIT
    return np.append(psi[:8] + slopes - ratio**2 * slopes, 0.0)


def _spread_out(n: int, after: int) -> Array:
    """Return normal scores, (n, 9), the same each time; those that come ``after`` others are other ones.

    Each is spread evenly (a Latin hypercube); where they are enough, all are turned and stretched so that
    together they have just the mean and the covariance of what they are drawn from.
    """
    from scipy.special import ndtri

    strata = np.tile(np.arange(n)[:, None], (1, N_SPREADS))
    generator = np.random.default_rng([_SEED, after])
    even = ndtri((generator.permuted(strata, axis=0) + 0.5) / n)
    if n < 4 * N_SPREADS:
        return np.asarray(even)
    root = np.linalg.cholesky(even.T @ even / n)
    return np.asarray(np.linalg.solve(root, even.T).T)


def _onwards(said: Said) -> Said:
    """Tell the same, but never that it is less far than it was."""
    furthest = 0.0

    def tell(share: float, words: str) -> None:
        nonlocal furthest
        furthest = max(furthest, share)
        said(furthest, words)

    return tell


def _repeated(at: Step, n: int) -> Step:
    return Step(np.repeat(at.dense[:1], n, axis=0), [np.repeat(node[:1], n, axis=0) for node in at.nodes])


def _points(psi: Array, weights: Array, mode: Mode, lean: Lean) -> list[Point]:
    return [
        Point(
            psi[k],
            float(weights[k]),
            mode.dense[k] + lean.shift.dense[k],
            tuple(node[k] + move[k] for node, move in zip(mode.nodes, lean.shift.nodes, strict=True)),
            mode.elimination,
            k,
            mode.settled,
            1 / np.sqrt(lean.curve[k]),
        )
        for k in range(len(psi))
    ]


def _started(problem: Problem, start: Start | None) -> Step:
    at = problem.start(1)
    if start is None:
        return at
    for column, name in enumerate(problem.design.names):
        if name in start.coefficients:
            for clock in (0, 1):
                at.dense[0, column + clock * len(problem.design.names)] = start.coefficients[name][clock]
    for names, effects in zip(problem.tree.names, at.nodes, strict=True):
        for row, node in enumerate(names):
            if node in start.nodes:
                effects[0, row] = start.nodes[node]
    return at
