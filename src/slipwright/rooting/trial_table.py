"""A trial as a table: how many rooted of how many stuck in each unit, and what each unit was given."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation

import numpy as np

from slipwright.craft.errors import BadArgument
from slipwright.rooting.ranges import Counts

MOST_ROWS = 5_000
MOST_IN_ROW = 10_000_000


class BadRow(ValueError):
    """A cell of a trial's table that breaks a rule; carries line, field, rule and value."""

    def __init__(self, line: int, field: str, rule: str, value: str) -> None:
        super().__init__(f"row {line}, {field}: {rule}" + (f", not {value!r}" if value else ""))
        self.line = line
        self.field = field
        self.rule = rule
        self.value = value


@dataclass(frozen=True)
class Trial:
    """Counts by row, what each row was given, and the unit it belongs to.

    ``levels`` holds, by factor, a level for each row; ``units`` a name for each row, or nothing where
    each row is a unit of its own.
    """

    n_rooted: Counts
    n_stuck: Counts
    levels: Mapping[str, tuple[str, ...]]
    units: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def factors_in(by: str, columns: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    """Return the terms of a formula: each a factor, or factors that act together.

    Parameters
    ----------
    by : str
        Factors joined by ``+``; ``a*b`` for both and their interaction, ``a:b`` for the interaction.
        Empty for no factor.
    columns : sequence of str
        Names of the table's columns.

    Returns
    -------
    tuple of tuples of str
        Factors first, then pairs, then larger sets; each set once, after all its parts.

    Raises
    ------
    BadArgument
        If the formula cannot be read, names no column, or holds an interaction without its parts.

    Notes
    -----
    ``a*b`` is ``a + b + a:b``.

    References
    ----------
    Wilkinson and Rogers 1973, Symbolic description of factorial models for analysis of variance,
    Applied Statistics 22, 392-399 (notation, from memory).

    Examples
    --------
    >>> factors_in("dose*position", ["dose", "position", "n"])
    (('dose',), ('position',), ('dose', 'position'))
    """
    found: list[tuple[str, ...]] = []
    for part in by.split("+") if by.strip() else []:
        found += _sets_of(part.strip(), columns, by)
    order = list(dict.fromkeys(factor for one in found for factor in one))
    sets = {tuple(sorted(set(one), key=order.index)) for one in found}
    for one in sets:
        for lower in (one[:i] + one[i + 1 :] for i in range(len(one))):
            if lower and lower not in sets:
                raise BadArgument("by", f"hold {':'.join(lower)} where it holds {':'.join(one)}", by)
    return tuple(sorted(sets, key=lambda one: (len(one), [order.index(factor) for factor in one])))


def _sets_of(part: str, columns: Sequence[str], by: str) -> list[tuple[str, ...]]:
    """Return the sets of factors that one part between two ``+`` stands for."""
    if part in columns:
        return [(part,)]
    sign = "*" if "*" in part else ":"
    names = [name.strip() for name in part.split(sign)]
    for name in names:
        if name not in columns:
            known = ", ".join(columns)
            raise BadArgument("by", f"name columns of the table ({known}), joined by +, * or :", name or by)
    if sign == ":":
        return [tuple(names)]
    sets: list[tuple[str, ...]] = [()]
    for name in names:
        sets += [(*one, name) for one in sets]
    return sets[1:]


def read_trial(
    rows: Iterable[tuple[int, Mapping[str, str]]],
    *,
    rooted: str,
    stuck: str,
    factors: Sequence[str] = (),
    unit: str = "",
) -> Trial:
    """Return a trial read from the rows of a table.

    Parameters
    ----------
    rows : iterable of (int, mapping)
        Line of each row in its file [1], and its cells by column.
    rooted : str
        Column of how many rooted.
    stuck : str
        Column of how many were stuck.
    factors : sequence of str
        Columns of what the units were given.
    unit : str
        Column that says which rows are one unit (plate, pot, plot); empty: each row is one.

    Returns
    -------
    Trial
        The rows that were counted; rows whose rooted cell is empty are left out and told of.

    Raises
    ------
    BadRow
        If a cell breaks a rule: row, field and rule are named.
    BadArgument
        If no counted row is left, or there are too many.

    References
    ----------
    Our own rules: whole numbers, no more rooted than stuck, no empty factor.

    Examples
    --------
    >>> cells = {"dip": "none", "rooted": "7", "stuck": "12"}
    >>> read_trial([(2, cells)], rooted="rooted", stuck="stuck", factors=["dip"]).n_rooted.tolist()
    [7]
    """
    counted: list[tuple[int, int]] = []
    levels: dict[str, list[str]] = {factor: [] for factor in factors}
    units: list[str] = []
    not_counted: list[int] = []
    for line, cells in rows:
        if len(counted) == MOST_ROWS:
            raise BadArgument("rows", f"be at most {MOST_ROWS:,} in number", f"row {line} and on")
        n_stuck = _whole(line, stuck, cells[stuck])
        if not cells[rooted].strip():
            not_counted.append(line)
            continue
        n_rooted = _whole(line, rooted, cells[rooted])
        if n_rooted > n_stuck:
            raise BadRow(line, rooted, f"must be at most {stuck}, which is {n_stuck:,}", cells[rooted])
        counted.append((n_rooted, n_stuck))
        for factor in factors:
            levels[factor].append(_word(line, factor, cells[factor]))
        if unit:
            units.append(_word(line, unit, cells[unit]))
    if not counted:
        raise BadArgument("rows", f"hold at least one that was counted (column {rooted})", "none")
    both = np.array(counted, dtype=np.int64)
    return Trial(
        both[:, 0],
        both[:, 1],
        {factor: tuple(words) for factor, words in levels.items()},
        tuple(units),
        _left_out(not_counted, rooted),
    )


def _left_out(lines: Sequence[int], rooted: str) -> tuple[str, ...]:
    if not lines:
        return ()
    named = ", ".join(f"{line:,}" for line in lines[:5]) + (" and more" if len(lines) > 5 else "")
    one = len(lines) == 1
    told = "row has no count in {} and is" if one else "rows have no count in {} and are"
    return (f"{len(lines):,} {told.format(rooted)} left out: {named}",)


def _whole(line: int, field: str, text: str) -> int:
    try:
        number = Decimal(text.strip())
    except InvalidOperation:
        rule = "must be a whole number of cuttings"
        raise BadRow(line, field, rule if text.strip() else f"{rule}, and is empty", text.strip()) from None
    if not number.is_finite() or number != number.to_integral_value():
        raise BadRow(line, field, "must be a whole number of cuttings, no share or per cent", text)
    if not 0 <= number <= MOST_IN_ROW:
        raise BadRow(line, field, f"must be from 0 to {MOST_IN_ROW:,}", text)
    return int(number)


def _word(line: int, field: str, text: str) -> str:
    word = text.strip()
    if not word:
        raise BadRow(line, field, "must not be empty", "")
    return word
