"""What stands along the walk: batches, places, stock plants, and the day's weather."""

from __future__ import annotations

from dataclasses import dataclass

from slipwright.advice.plant_season import PlantSeason
from slipwright.advice.timing import Flowers
from slipwright.handbook.pages import Page, PotUpRule, Wood
from slipwright.rooting.clocks import Clocks, clocks_of_leaf, clocks_without_page
from slipwright.rooting.counts import BatchCounts


@dataclass(frozen=True, slots=True)
class BatchOnRound:
    """A batch on the round; ``page`` is None where the handbook has none."""

    batch: str
    taxon: str
    wood: Wood
    counts: BatchCounts
    place: str = ""
    plant: str = ""
    cover: str = ""
    page: Page | None = None
    patience_days: float | None = None


@dataclass(frozen=True, slots=True)
class PlaceOnRound:
    """A place: where it comes in the walk, what covers it, how many young pots stand in it.

    ``air_c`` is the warmth an instrument read there within the last three hours [°C], ``shade_percent``
    what its cloth keeps off [%].
    """

    place: str
    kind: str = ""
    cover: str = ""
    walk_order: int | None = None
    n_young_pots: int = 0
    air_c: float | None = None
    shade_percent: float | None = None


@dataclass(frozen=True, slots=True)
class PlantOnRound:
    """A stock plant; ``n_wanted`` is what wants still ask for, None where nobody wrote a want.

    ``season`` is its own as it stands today; where it is not given, that of any plant of the page.
    """

    plant: str
    taxon: str
    page: Page | None
    place: str = ""
    may_stick: bool = True
    n_wanted: int | None = None
    flowers: Flowers | None = None
    season: PlantSeason | None = None


@dataclass(frozen=True, slots=True)
class WeatherOnRound:
    """Extremes of today and tomorrow [°C] and their strongest light in the open [W/m²], as far as known."""

    tmin_c: float | None = None
    tmax_c: float | None = None
    tomorrow_tmin_c: float | None = None
    tomorrow_tmax_c: float | None = None
    light_w_m2: float | None = None
    tomorrow_light_w_m2: float | None = None

    @property
    def tonight_c(self) -> float | None:
        """The coming night's minimum: tomorrow's where it is known, else today's [°C]."""
        return self.tmin_c if self.tomorrow_tmin_c is None else self.tomorrow_tmin_c


def clocks_of_batch(batch: BatchOnRound) -> Clocks:
    """Return the clocks of a batch: its handbook leaf's, else wide ones for any plant.

    Parameters
    ----------
    batch : BatchOnRound
        The batch.

    Returns
    -------
    Clocks
        Rooting and loss of this kind of batch.

    References
    ----------
    As `slipwright.rooting.clocks`.

    Examples
    --------
    >>> from datetime import date
    >>> clocks_of_batch(BatchOnRound("a", "Rosa", "hardwood", BatchCounts(date(2026, 11, 20), 12))).from_page
    False
    """
    leaf = batch.page.woods.get(batch.wood) if batch.page else None
    if leaf is None:
        return clocks_without_page(batch.wood, patience_days=batch.patience_days)
    return clocks_of_leaf(leaf, patience_days=batch.patience_days)


def rule_of(batch: BatchOnRound) -> PotUpRule:
    """Return when a batch may be potted up.

    Parameters
    ----------
    batch : BatchOnRound
        The batch.

    Returns
    -------
    {'at-once', 'after-new-growth', 'undisturbed-until-spring'}
        The handbook's rule; at once where it has none.

    References
    ----------
    The handbook's own.

    Examples
    --------
    >>> from datetime import date
    >>> rule_of(BatchOnRound("a", "Rosa", "hardwood", BatchCounts(date(2026, 11, 20), 12)))
    'at-once'
    """
    leaf = batch.page.woods.get(batch.wood) if batch.page else None
    return leaf.pot_up if leaf else "at-once"
