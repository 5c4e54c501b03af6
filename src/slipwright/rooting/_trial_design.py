"""From the levels of a trial's rows to the columns of its linear predictor."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from slipwright.craft.errors import BadArgument
from slipwright.rooting.ranges import Array

MOST_TERMS = 120
#: one level of one factor
Level = tuple[str, str]


@dataclass(frozen=True)
class Design:
    """Factors with their levels, the reference first; terms as sets of levels; a row of ``x`` a row."""

    factors: Mapping[str, tuple[str, ...]]
    terms: tuple[tuple[Level, ...], ...]
    x: Array
    #: each term as a sum of what single levels, and combinations of levels, add to the mean of all
    adds: Array
    warnings: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Name of each term."""
        return tuple(":".join(f"{a}[{level}]" for a, level in term) or "intercept" for term in self.terms)

    def row(self, levels: Mapping[str, str]) -> Array:
        """How much of each term these levels have, shape (n_terms,)."""
        return np.array([float(all(levels[a] == level for a, level in term)) for term in self.terms])


def design_of(
    levels: Mapping[str, Sequence[str]],
    sets: Sequence[tuple[str, ...]],
    reference: Mapping[str, str],
    n_rows: int,
) -> Design:
    """Return the design; levels in the order they are met, the reference first."""
    factors = {factor: _ordered(factor, levels[factor], reference.get(factor)) for factor in levels}
    for factor, level in reference.items():
        if factor not in factors:
            raise BadArgument("reference", "name a factor of --by", f"{factor}={level}")
    wanted = [term for one in sets for term in _terms_of(one, factors)]
    if len(wanted) + 1 > MOST_TERMS:
        most = max(factors, key=lambda factor: len(factors[factor]))
        rule = f"make at most {MOST_TERMS} terms (column {most} has {len(factors[most]):,} levels)"
        raise BadArgument("by", rule, len(wanted) + 1)
    columns = {factor: np.array(words) for factor, words in levels.items()}
    terms: list[tuple[Level, ...]] = [()]
    x = [np.ones(n_rows)]
    unseen = []
    for term in wanted:
        column = np.prod([columns[a] == level for a, level in term], axis=0).astype(float)
        if column.any():
            terms.append(term)
            x.append(column)
        else:
            unseen.append(term)
    stacked = np.column_stack(x)
    return Design(factors, tuple(terms), stacked, _adds(terms, sets, factors), _warnings(stacked, unseen))


def _ordered(factor: str, words: Sequence[str], reference: str | None) -> tuple[str, ...]:
    found = tuple(dict.fromkeys(words))
    if reference is None:
        return found
    if reference not in found:
        raise BadArgument("reference", f"be a level of {factor} ({', '.join(found[:20])})", reference)
    return (reference, *(level for level in found if level != reference))


def _terms_of(one: tuple[str, ...], factors: Mapping[str, tuple[str, ...]]) -> list[tuple[Level, ...]]:
    n_terms = math.prod(len(factors[factor]) - 1 for factor in one)
    if n_terms > MOST_TERMS:
        rule = f"make at most {MOST_TERMS} terms of {':'.join(one)}"
        raise BadArgument("by", rule, n_terms)
    choices = [[(factor, level) for level in factors[factor][1:]] for factor in one]
    return list(itertools.product(*choices))


def _adds(
    terms: Sequence[tuple[Level, ...]],
    sets: Sequence[tuple[str, ...]],
    factors: Mapping[str, tuple[str, ...]],
) -> Array:
    """Return how each term is made of parts, one a combination of levels of each set, the mean first.

    A term of some levels is the sum, with alternating signs, of what is predicted with each of them at
    its own level or at the reference; only sets that hold all its factors do not cancel.
    """
    columns: dict[tuple[Level, ...], int] = {(): 0}
    entries: list[tuple[int, int, float]] = []
    for row, term in enumerate(terms):
        own = dict(term)
        for one in ((), *sets):
            if not own.keys() <= set(one):
                continue
            for moved in itertools.product((False, True), repeat=len(term)):
                at = {factor: own[factor] for (factor, _), is_own in zip(term, moved, strict=True) if is_own}
                part = tuple((factor, at.get(factor, factors[factor][0])) for factor in one)
                column = columns.setdefault(part, len(columns))
                entries.append((row, column, (-1.0) ** (len(term) - sum(moved))))
    found = np.zeros((len(terms), len(columns)))
    for row, column, sign in entries:
        found[row, column] += sign
    return found


def _warnings(x: Array, unseen: Sequence[tuple[Level, ...]]) -> tuple[str, ...]:
    found = []
    for term in unseen[:5]:
        together = " with ".join(f"{a} {level}" for a, level in term)
        found.append(f"no row has {together}: that term is left out")
    if len(unseen) > 5:
        found.append(f"{len(unseen) - 5:,} more terms without a row are left out")
    if np.linalg.matrix_rank(x) < x.shape[1]:
        found.append(
            "some terms always come together and cannot be told apart: the prior divides between them"
        )
    return tuple(found)
