"""Which unit of a trial gets what, and where it stands: randomised complete blocks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from slipwright.craft.errors import BadArgument

#: columns of a layout's table; ``rooted`` stays empty until it is counted
LAYOUT_COLUMNS = ("unit", "block", "position", "arm", "stuck", "rooted", "note")
LAYOUT_TEXTS = ("unit", "arm", "note")


@dataclass(frozen=True)
class TrialUnit:
    """One unit: its name, its block and position there counted from 1, and what it gets."""

    unit: str
    block: int
    position: int
    arm: str
    n_stuck: int

    def as_row(self) -> dict[str, object]:
        """Return the unit as a row of a layout's table."""
        return {
            "unit": self.unit,
            "block": self.block,
            "position": self.position,
            "arm": self.arm,
            "stuck": self.n_stuck,
        }


def trial_layout(
    arms: Sequence[str], *, n_units_per_arm: int, n_per_unit: int, generator: np.random.Generator
) -> tuple[TrialUnit, ...]:
    """Return the units of a trial in the order in which they stand.

    Parameters
    ----------
    arms : sequence of str
        What is compared.
    n_units_per_arm : int
        Units of each arm, which is the number of blocks [1].
    n_per_unit : int
        Cuttings in each unit [1].
    generator : numpy.random.Generator
        Draws the order of the arms in each block.

    Returns
    -------
    tuple of TrialUnit
        Block by block; in each block every arm once, in an order drawn for it alone.

    Raises
    ------
    BadArgument
        If an arm has no name, or two have the same.

    References
    ----------
    Fisher 1935, The Design of Experiments (randomised blocks; from memory).

    Examples
    --------
    >>> rng = np.random.default_rng(7)
    >>> units = trial_layout(["none", "iba"], n_units_per_arm=2, n_per_unit=8, generator=rng)
    >>> [unit.block for unit in units], sorted(unit.arm for unit in units[:2])
    ([1, 1, 2, 2], ['iba', 'none'])
    """
    names = [arm.strip() for arm in arms]
    if not all(names) or len(set(names)) != len(names):
        raise BadArgument("arms", "each have a name of their own", list(arms))
    n_units = n_units_per_arm * len(names)
    wide = max(2, len(str(n_units)))
    units: list[TrialUnit] = []
    for block in range(1, n_units_per_arm + 1):
        for position, at in enumerate(generator.permutation(len(names)), 1):
            name = f"U{len(units) + 1:0{wide}d}"
            units.append(TrialUnit(name, block, position, names[at], n_per_unit))
    return tuple(units)
