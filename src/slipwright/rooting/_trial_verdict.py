"""One honest sentence about a trial."""

from __future__ import annotations

from slipwright.rooting._trial_summary import Contrast, Summary

#: chances from which a difference is called a difference, and from which a probable one
SURE, PROBABLE = 0.975, 0.9
NEVER = 2.0
_MOST_FACTORS = 4


def verdict_of(summary: Summary, told_of_units: str, *, is_repeated: bool = True) -> str:
    """Return what the trial says: a clause a factor, its interactions, and what is known of the units.

    Where no two units were treated alike (not ``is_repeated``) no difference is more than probable: what
    an arm did and what its one unit did cannot be told apart.
    """
    sure = SURE if is_repeated else NEVER
    clauses = [] if summary.contrasts else [_share(summary)]
    by_factor: dict[str, list[Contrast]] = {}
    for contrast in summary.contrasts:
        by_factor.setdefault(contrast.factor, []).append(contrast)
    for contrasts in list(by_factor.values())[:_MOST_FACTORS]:
        clauses.append(_clause(max(contrasts, key=_surety), sure, is_one_of=len(contrasts)))
    clauses += _together(summary, sure)
    clauses.append(told_of_units)
    return "; ".join(clauses) + "."


def _surety(contrast: Contrast) -> tuple[float, float]:
    """Order by surety; several that are all but certain by size."""
    return min(abs(contrast.p_above_0 - 0.5), 0.499), abs(contrast.difference.mean)


def _clause(contrast: Contrast, sure: float, *, is_one_of: int) -> str:
    share = contrast.difference
    low, high = (round(100 * value) for value in (share.q10, share.q90))
    surest = max(contrast.p_above_0, 1 - contrast.p_above_0)
    if surest < PROBABLE:
        which = f"{contrast.factor} {contrast.level} and {contrast.against} cannot be told apart"
        if is_one_of > 1:
            which = f"no two levels of {contrast.factor} can be told apart"
        named = (
            f" for {contrast.level}" if is_one_of == 1 else f" for {contrast.level} over {contrast.against}"
        )
        return f"{which} ({_signed(low)} to {_signed(high)} in 100{named}, 8 times in 10)"
    better, worse, middle = contrast.level, contrast.against, round(100 * share.mean)
    if contrast.p_above_0 < 0.5:
        better, worse, middle, low, high = worse, better, -middle, -high, -low
    likely = "" if surest >= sure else "probably "
    return (
        f"{contrast.factor} {better} {likely}did better than {worse}, by {middle} in 100 "
        f"({_signed(low)} to {_signed(high)}, 8 times in 10)"
    )


def _signed(number: int) -> str:
    return f"−{-number}" if number < 0 else str(number)


def _share(summary: Summary) -> str:
    if len(summary.cell_means) > 1:
        return "no two levels were tried beside the same others, so none can be compared"
    (cell,) = summary.cell_means
    low, high = (round(100 * value) for value in (cell.q10, cell.q90))
    return (
        f"of {cell.n_stuck:,} stuck {cell.n_rooted:,} rooted, which speaks for "
        f"{low} to {high} in 100 over many units, 8 times in 10"
    )


def _together(summary: Summary, sure: float) -> list[str]:
    """Say which interaction is surest, if one is sure."""
    named = zip(summary.effects, summary.p_above_0, strict=True)
    found = [(max(p, 1 - p), effect.term, p) for effect, p in named if "]:" in effect.term]
    if not found:
        return []
    surest, term, p = max(found)
    if surest < PROBABLE:
        return ["no sign that factors act differently together"]
    more = "more" if p > 0.5 else "less"
    likely = "" if surest >= sure else "probably "
    return [f"{term} together {likely}give {more} than each alone would say"]
