"""What the handbook says of growing on before any record: shares that live, and days to each stage."""

from __future__ import annotations

from dataclasses import dataclass

from slipwright.handbook.pages import Page, Spread
from slipwright.rooting.ranges import SplitNormal
from slipwright.rooting.ready_days import days_curve

Points = tuple[float, float, float]
DAYS_A_MONTH = 365.25 / 12
#: established, as shares of the days from potting to finished
ESTABLISHED: Points = (0.25, 0.5, 0.9)
#: where the handbook has no page: shares that live, days to wean, and the middle days to finished
NO_PAGE_SURVIVE: Points = (0.40, 0.75, 0.93)
NO_PAGE_WEANING: Points = (3.0, 10.0, 21.0)
_FINISHED_DAYS = 365.0


@dataclass(frozen=True, slots=True)
class GrowPrior:
    """The handbook's word on growing on: shares that live to finished, and by wood and stage the days.

    Days to finished are counted from sticking, the others from potting.
    """

    survive: Points
    #: (wood, stage, days); an empty wood stands for any
    days: tuple[tuple[str, str, Points], ...]

    def days_to(self, wood: str, stage: str) -> Points | None:
        """Days to a stage; None where nobody says."""
        return next((days for of, what, days in self.days if of in (wood, "") and what == stage), None)

    def curve(self, wood: str, stage: str) -> SplitNormal | None:
        """Return the curve of ln days to a stage; None where nobody says."""
        points = self.days_to(wood, stage)
        return days_curve(*points) if points else None

    def middle_days(self, wood: str, before: int) -> tuple[float, float]:
        """Middle days from potting to weaned and to finished, potted ``before`` days after sticking."""
        weaned = (self.days_to(wood, "weaned") or NO_PAGE_WEANING)[1]
        finished = self.days_to(wood, "finished")
        return weaned, max(finished[1] - before if finished else _FINISHED_DAYS, 2 * weaned)


def prior_of_page(page: Page | None) -> GrowPrior:
    """Return what is believed of a plant's growing on before any record.

    Parameters
    ----------
    page : Page or None
        The handbook's; None where it has none.

    Returns
    -------
    GrowPrior
        Shares [-] and days [days].

    Notes
    -----
    Established has no days in the handbook: a quarter, a half and nine tenths of the days from rooting to
    finished, by its middles.

    References
    ----------
    The handbook's own; established, and all of a plant without a page: common practice, no source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> prior_of_page(load_handbook().page_of("Rosa")).survive
    (0.6, 0.8, 0.92)
    """
    if page is None:
        return GrowPrior(NO_PAGE_SURVIVE, (("", "weaned", NO_PAGE_WEANING),))
    survive = page.survive_percent
    days: list[tuple[str, str, Points]] = []
    for wood, leaf in page.woods.items():
        finished = _points(leaf.months_to_finished, DAYS_A_MONTH)
        grown = max(finished[1] - 7 * leaf.weeks_to_root[0].p50, 2.0)
        early, middle, late = (share * grown for share in ESTABLISHED)
        days += [
            (wood, "weaned", _points(leaf.weaning_days, 1.0)),
            (wood, "established", (early, middle, late)),
            (wood, "finished", finished),
        ]
    return GrowPrior(_points(survive, 0.01) if survive else NO_PAGE_SURVIVE, tuple(days))


def _points(spread: Spread, each: float) -> Points:
    return spread.p10 * each, spread.p50 * each, spread.p90 * each
