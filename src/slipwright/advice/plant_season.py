"""The season of one plant: its windows, the day each is worth using, and which to take."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from slipwright.advice.asked import Asked
from slipwright.advice.plan import best_opening
from slipwright.advice.seen import NOTHING_SEEN, SeenPlant, windows_of_plant, windows_rest_on
from slipwright.advice.timing import Flowers, Opening, openings_of_page
from slipwright.craft.wood import Window, windows_of_chances

if TYPE_CHECKING:
    from slipwright.handbook.pages import Page

#: what is known on a day bears on days so far before and after it [d]
MOST_DAYS_OFF = 366


@dataclass(frozen=True, slots=True)
class PlantSeason:
    """Windows of a plant, from when each is worth using, the one to take if any, and what they rest on."""

    windows: tuple[Window, ...] = ()
    openings: tuple[Opening, ...] = ()
    best: Opening | None = None
    rests_on: str = ""


def season_of_plant(
    page: Page,
    on: date,
    *,
    south: bool = False,
    flowers: Flowers | None = None,
    seen: SeenPlant = NOTHING_SEEN,
) -> PlantSeason:
    """Return the season of a plant as it stands on a day.

    Parameters
    ----------
    page : Page
        The plant's page.
    on : date
        The day.
    south : bool
        Whether the southern calendar holds.
    flowers : {'once', 'repeat'}, optional
        How this plant flowers, if other than the page says.
    seen : SeenPlant
        What was seen of it; without, the season of any plant of the page.

    Returns
    -------
    PlantSeason
        Its windows of the year to come, their openings and the best of these.

    References
    ----------
    As `windows_of_plant`, `openings_of_page` and `best_opening`.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> season = season_of_plant(load_handbook().page_of("Rosa"), date(2026, 10, 20))
    >>> season.best.wood
    'semi-hardwood'
    """
    windows = windows_of_plant(page, seen, on, south)
    openings = openings_of_page(page, windows, on, south=south, flowers=flowers, seen=seen)
    best = best_opening(page, openings, Asked(page.genus, on, flowers=flowers), south)
    return PlantSeason(windows, openings, best, windows_rest_on(seen, on))


def windows_since(
    page: Page, seen: SeenPlant, on: date, from_on: date, *, south: bool = False
) -> tuple[Window, ...]:
    """Return the windows of a plant that touch the year from another day, by all that is known today.

    Parameters
    ----------
    page : Page
        The plant's page.
    seen : SeenPlant
        What was seen of it.
    on : date
        Today; records of later days are left out.
    from_on : date
        The first day looked at, within a year of today; from one further off only the months and what
        was seen in other years are known.
    south : bool
        Whether the southern calendar holds.

    Returns
    -------
    tuple of Window
        By the day they open; their chance of being open is that on ``from_on``.

    References
    ----------
    As `windows_of_plant`.

    Examples
    --------
    >>> from slipwright.advice.seen import FirmnessFelt
    >>> from slipwright.handbook import load_handbook
    >>> rose, on = load_handbook().page_of("Rosa"), date(2026, 7, 20)
    >>> firm = SeenPlant(firmness=(FirmnessFelt(on, firmness_mid=3),))
    >>> [run.wood for run in windows_since(rose, firm, on, date(2026, 5, 1)) if run.closes_on < on]
    ['softwood']
    """
    n_back = (on - from_on).days
    if n_back == 0 or abs(n_back) > MOST_DAYS_OFF or not seen.tells_of_wood:
        return windows_of_plant(page, seen, from_on, south)
    from slipwright.advice._wood_seen import WoodDays

    known = WoodDays(page, seen, on, south)
    found: list[Window] = []
    for wood, leaf in page.woods.items():
        chances = known.chances(wood, [(one.opens, one.closes) for one in leaf.seasons]).tolist()
        # as many days before the first as `windows_of_chances` wants, none of which is looked at
        later = max(-n_back, 0)
        shifted = [*[0.0] * max(n_back, 0), *chances, *[0.0] * later][later : later + len(chances)]
        found += windows_of_chances(wood, shifted, from_on)
    return tuple(sorted(found, key=lambda run: (run.opens_on, run.wood)))
