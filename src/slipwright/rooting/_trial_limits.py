"""What sizes of a trial are reckoned with."""

from __future__ import annotations

from collections.abc import Sequence

from slipwright.craft.errors import BadArgument

MOST_UNITS, MOST_PER_UNIT, MOST_SPREAD = 1_000, 10_000, 3.0


def check_sizes(n_units_per_arm: int, n_per_unit: int, spread: float) -> None:
    """Refuse a size nobody can mean."""
    if not 1 <= n_units_per_arm <= MOST_UNITS:
        raise BadArgument("n_units_per_arm", f"be from 1 to {MOST_UNITS:,}", n_units_per_arm)
    if not 1 <= n_per_unit <= MOST_PER_UNIT:
        raise BadArgument("n_per_unit", f"be from 1 to {MOST_PER_UNIT:,}", n_per_unit)
    if not 0 <= spread <= MOST_SPREAD:
        raise BadArgument("spread", f"be from 0 to {MOST_SPREAD:g}", spread)


def check_shares(shares: Sequence[float]) -> None:
    """Refuse shares that are none, or all but certain."""
    for share in shares:
        if not 0.001 <= share <= 0.999:
            raise BadArgument("share", "lie from 0.001 to 0.999", share)
