"""What stands along the walk: batches, places, stock plants, and the day's weather."""

from __future__ import annotations

from dataclasses import dataclass

from slipwright.advice.kinds import kind_of
from slipwright.advice.plant_season import PlantSeason
from slipwright.advice.timing import Flowers
from slipwright.handbook.pages import Page, PotUpRule, Wood
from slipwright.rooting.counts import BatchCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.dates import patience_of
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind
from slipwright.rooting.page_prior import usual_cuttings


@dataclass(frozen=True, slots=True)
class BatchOnRound:
    """A batch on the round; ``page`` is None where the handbook has none.

    ``cuttings`` are what was stuck as the records have it, the handbook's usual way unless given; ``kind`` is
    where it stands among plants and seasons, worked out from name and day unless given.
    """

    batch: str
    taxon: str
    wood: Wood
    counts: BatchCounts
    place: str = ""
    plant: str = ""
    cover: str = ""
    page: Page | None = None
    patience_days: float | None = None
    cuttings: Cuttings | None = None
    kind: Kind | None = None


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

    ``planned`` is why a programme asks to cut from it now, in place of all that follows from its wood.
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
    planned: str = ""


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


def record_of_batch(batch: BatchOnRound, *, south: bool = False) -> BatchRecord:
    """Return a batch as the two clocks take it.

    Parameters
    ----------
    batch : BatchOnRound
        The batch.
    south : bool
        Whether the garden lies south of the equator.

    Returns
    -------
    BatchRecord
        What was stuck, its kind and its looks.

    References
    ----------
    As `slipwright.rooting.page_prior`.

    Examples
    --------
    >>> from datetime import date
    >>> batch = BatchOnRound("a", "Rosa", "hardwood", BatchCounts(date(2026, 11, 20), 12))
    >>> record_of_batch(batch).kind.season
    '2026'
    """
    leaf = batch.page.woods.get(batch.wood) if batch.page else None
    kind = batch.kind or kind_of(
        batch.taxon, leaf, batch.wood, batch.counts.stuck_on, south=south, batch=batch.batch
    )
    return BatchRecord(batch.cuttings or usual_cuttings(leaf, batch.wood), kind, batch.counts)


def has_page(batch: BatchOnRound) -> bool:
    """Return whether the handbook speaks of a batch's wood.

    Parameters
    ----------
    batch : BatchOnRound
        The batch.

    Returns
    -------
    bool
        Whether its page has such a leaf.

    References
    ----------
    The handbook's own.

    Examples
    --------
    >>> from datetime import date
    >>> has_page(BatchOnRound("a", "Rosa", "hardwood", BatchCounts(date(2026, 11, 20), 12)))
    False
    """
    return bool(batch.page and batch.wood in batch.page.woods)


def patience_of_batch(batch: BatchOnRound) -> float:
    """Return after how many days waiting for a batch ends.

    Parameters
    ----------
    batch : BatchOnRound
        The batch.

    Returns
    -------
    float
        The garden's own patience, else the handbook's, else that of the wood [days].

    References
    ----------
    As `slipwright.rooting.dates.patience_of`.

    Examples
    --------
    >>> from datetime import date
    >>> patience_of_batch(BatchOnRound("a", "Rosa", "hardwood", BatchCounts(date(2026, 11, 20), 12)))
    210.0
    """
    if batch.patience_days is not None:
        return batch.patience_days
    leaf = batch.page.woods.get(batch.wood) if batch.page else None
    return leaf.patience_days.value if leaf else patience_of(batch.wood)


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
