"""A batch at a glance: rooted as counted, what may come with its range, and today."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from slipwright.outputs.svg import Svg

WIDTH, HEIGHT = 124.0, 58.0
_LEFT, _RIGHT, _TOP, _BASE = 3.0, 121.0, 6.0, 46.0
#: more dots than this run into each other
_MOST_DOTS = 12
_TICKS = (7, 14, 28, 91, 182, 364)


def small_curve(
    seen: Sequence[tuple[int, int]],
    ahead: Sequence[int],
    p10: Sequence[int],
    p50: Sequence[int],
    p90: Sequence[int],
    *,
    age_days: int,
    n_stuck: int,
    title: str = "",
) -> str:
    """Return the small curve of one batch as SVG.

    Parameters
    ----------
    seen : sequence of tuple of int
        Days since sticking and cuttings rooted by then, as counted, in order of days [days, 1].
    ahead : sequence of int
        Days since sticking that are forecast, rising [days].
    p10 : sequence of int
        Cuttings rooted by each of these days, 10 per cent point [1].
    p50 : sequence of int
        The middle of the same [1].
    p90 : sequence of int
        The 90 per cent point of the same [1].
    age_days : int
        Days since sticking, today [days].
    n_stuck : int
        Cuttings stuck: the height of the drawing [1].
    title : str
        The same in words; empty where the words stand beside it.

    Returns
    -------
    str
        SVG: dots and a line as counted, one band for the range with its outline, a brass line for
        today, ticks a week apart, or further where weeks would touch.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> drawn = small_curve([(20, 3)], [21, 60], [3, 6], [3, 9], [3, 12], age_days=21, n_stuck=12)
    >>> drawn.count("<circle"), "d-enamelwash" in drawn
    (1, True)
    """
    last = max([28, age_days, *ahead, *(day for day, _ in seen)])
    most = max([1, n_stuck, *p90, *(n for _, n in seen)])

    def at(day: float, n: float) -> tuple[float, float]:
        x = _LEFT + (_RIGHT - _LEFT) * max(day, 0) / last
        return round(x, 1), round(_BASE - (_BASE - _TOP) * n / most, 1)

    svg = Svg(WIDTH, HEIGHT, title, "small-curve")
    if len(ahead) > 1:
        upper = [at(day, n) for day, n in zip(ahead, p90, strict=True)]
        lower = [at(day, n) for day, n in zip(ahead, p10, strict=True)]
        svg.through([*upper, *reversed(lower)], "d-enamelwash d-thin", closed=True)
        svg.through([at(day, n) for day, n in zip(ahead, p50, strict=True)], "d-enamel d-line")
    counted = [at(0, 0)]
    for (_, before), (day, n) in pairwise([(0, 0), *seen]):
        counted += [at(day, before), at(day, n)]
    counted.append(at(age_days, seen[-1][1] if seen else 0))
    svg.through(_without_repeats(counted), "d-ink d-line")
    svg.line(0, _BASE + 1, WIDTH, _BASE + 1, "d-edge d-line")
    step = next((step for step in _TICKS if last / step <= 14), last)
    ticks = "".join(f"M{at(day, 0)[0]:g} {_BASE + 1:g}v5" for day in range(0, last + 1, step))
    svg.path(ticks, "d-edge d-thin")
    for day, n in seen[-_MOST_DOTS:]:
        svg.circle(*at(day, n), 2.6)
    today = at(age_days, 0)[0]
    svg.rect(round(min(today, _RIGHT) - 1.8, 1), 2, 3.6, _BASE + 8, "d-brass d-thin")
    return str(svg)


def _without_repeats(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Leave out points that change nothing: the same twice, or one in the middle of a straight run."""
    kept: list[tuple[float, float]] = []
    for point in points:
        if kept and point == kept[-1]:
            continue
        if len(kept) > 1 and kept[-2][1] == kept[-1][1] == point[1]:
            kept[-1] = point
        else:
            kept.append(point)
    return kept
