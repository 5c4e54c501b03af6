"""When wood of a plant is right: its windows, its bloom, and the day each wood is best begun."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Any, Literal, cast

from slipwright.craft.said import Said
from slipwright.craft.wood import EDGE_SD_DAYS, Window, p_open, season_dates, windows_of_seasons
from slipwright.handbook.pages import Amount, Origin, Page, Statement, Wood

Bloom = Literal["clear", "near", "in_bloom"]
Flowers = Literal["once", "repeat"]

#: the mark of what a garden has set for itself
THE_GARDENS_OWN = Said("the garden's own")
#: from first flowers to fallen petals of the first flush
FLUSH_DAYS = 21
#: how long a plant of a page of repeat bloomers flowers if its owner says it flowers once
ONCE_DAYS = 42
#: a window that opens within these days is "soon"
SOON_DAYS = 60


@dataclass(frozen=True, slots=True)
class BloomNow:
    """A plant's bloom and how near a day is to it."""

    state: Bloom
    flowers: Flowers
    first_on: date
    last_on: date
    p_in_bloom: float
    p_clear: float
    gap_before_days: float
    gap_after_days: float
    spent_cost: float
    reason: str

    def as_json(self) -> dict[str, Any]:
        """Plain data."""
        return {
            "state": self.state,
            "flowers": self.flowers,
            "first_on": self.first_on.isoformat(),
            "last_on": self.last_on.isoformat(),
            "p_in_bloom": round(self.p_in_bloom, 3),
            "p_clear": round(self.p_clear, 3),
            "gap_before_days": self.gap_before_days,
            "gap_after_days": self.gap_after_days,
            "spent_cost": self.spent_cost,
            "reason": self.reason,
        }


@dataclass(frozen=True, slots=True)
class Opening:
    """A window, the first day of it worth using, and why not sooner (empty if nothing delays it).

    ``near_bloom``: that day lies so near before bloom that it costs.
    """

    wood: Wood
    window: Window
    from_on: date
    delay: str = ""
    near_bloom: bool = False


def is_south(latitude_deg: float | None) -> bool:
    """Return whether the southern calendar holds.

    Parameters
    ----------
    latitude_deg : float or None
        Latitude, north positive; unknown counts as north [deg].

    Returns
    -------
    bool
        Whether it lies south of the equator.

    Raises
    ------
    ValueError
        If it lies beyond a pole.

    References
    ----------
    Definition.

    Examples
    --------
    >>> is_south(-34.0)
    True
    """
    if latitude_deg is None:
        return False
    if not -90 <= latitude_deg <= 90:
        raise ValueError(f"latitude_deg must be from -90 to 90, not {latitude_deg}")
    return latitude_deg < 0


def windows_of_page(page: Page, on: date, *, south: bool = False) -> tuple[Window, ...]:
    """Return the windows of every wood of a plant that touch the year from a day.

    Parameters
    ----------
    page : Page
        The plant's page.
    on : date
        The day from which 365 are looked at.
    south : bool
        Whether the southern calendar holds.

    Returns
    -------
    tuple of Window
        By the day they open; runs of one wood that meet are one.

    Notes
    -----
    Edges are normal around the handbook's days, standard deviation 14 days; a run is where the
    chance is a half or more.  Valid between the tropics and about 60 degrees, where the handbook's
    months mean what they say.

    References
    ----------
    The seasons carry their source or mark in the handbook; 14 days: common practice, no source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose = load_handbook().page_of("Rosa")
    >>> [w.wood for w in windows_of_page(rose, date(2026, 10, 20))][0]
    'semi-hardwood'
    """
    found: list[Window] = []
    for wood, leaf in page.woods.items():
        seasons = [(season.opens, season.closes) for season in leaf.seasons]
        found += windows_of_seasons(wood, seasons, on, south, EDGE_SD_DAYS)
    return tuple(sorted(found, key=lambda run: (run.opens_on, run.wood)))


def with_own_gaps(
    page: Page, *, gap_before_days: float | None = None, gap_after_days: float | None = None, reason: str = ""
) -> Page:
    """Return a page with the garden's own distance from bloom in place of the handbook's.

    Parameters
    ----------
    page : Page
        The plant's page.
    gap_before_days, gap_after_days : float, optional
        Days to keep clear before first and after last flower; the page's where not given [days].
    reason : str
        The garden's own reason.

    Returns
    -------
    Page
        The same page with the garden's setting.

    References
    ----------
    The garden's own.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> with_own_gaps(load_handbook().page_of("Rosa"), gap_before_days=10).bloom.gap_before_days.value
    10
    """
    own = Origin(mark=THE_GARDENS_OWN)
    rule = page.bloom
    if gap_before_days is not None:
        rule = replace(rule, gap_before_days=Amount(gap_before_days, "days", own))
    if gap_after_days is not None:
        rule = replace(rule, gap_after_days=Amount(gap_after_days, "days", own))
    if reason:
        rule = replace(rule, reason=Statement(reason, own))
    return replace(page, bloom=rule)


def bloom_days(
    page: Page, on: date, *, south: bool = False, flowers: Flowers | None = None
) -> tuple[date, date]:
    """Return the first and last day of the bloom nearest to a day.

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

    Returns
    -------
    tuple of two date
        The bloom that holds ``on``, else the nearest.

    Notes
    -----
    A plant that flowers once on a page of repeat bloomers ends 42 days after it began.

    References
    ----------
    The season carries its source or mark in the handbook; 42 days: common practice, no source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> bloom_days(load_handbook().page_of("Rosa"), date(2026, 5, 1))[0].month
    5
    """
    season = page.bloom.bloom
    closes = season.closes
    if flowers == "once" and page.bloom.flowers == "repeat":
        last = date(2001, *season.opens) + timedelta(days=ONCE_DAYS)
        closes = (last.month, last.day)
    return season_dates(season.opens, closes, south=south, near=on)


def bloom_now(page: Page, on: date, *, south: bool = False, flowers: Flowers | None = None) -> BloomNow:
    """Return how near a day is to a plant's bloom, and what that costs.

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

    Returns
    -------
    BloomNow
        State, days, chances and the reason.

    Notes
    -----
    Edges are normal with a standard deviation of 14 days; p_clear is one less the chance of bloom
    with the gaps added to both ends.  The months are the handbook's: a bush in view knows better.

    References
    ----------
    The gaps and the cost carry their source or mark in the handbook; 14 days: common practice, no
    source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> bloom_now(load_handbook().page_of("Rosa"), date(2026, 7, 1)).state
    'in_bloom'
    """
    rule = page.bloom
    first, last = bloom_days(page, on, south=south, flowers=flowers)
    before, after = rule.gap_before_days.value, rule.gap_after_days.value
    near_from, near_to = first - timedelta(days=round(before)), last + timedelta(days=round(after))
    if first <= on <= last:
        state: Bloom = "in_bloom"
    else:
        state = "near" if near_from <= on <= near_to else "clear"
    return BloomNow(
        state,
        flowers or rule.flowers,
        first,
        last,
        p_open(on, first, last, EDGE_SD_DAYS),
        1 - p_open(on, near_from, near_to, EDGE_SD_DAYS) if near_from <= near_to else 1.0,
        before,
        after,
        rule.spent_cost.value,
        rule.reason.text,
    )


def openings_of_page(
    page: Page,
    windows: tuple[Window, ...],
    on: date,
    *,
    south: bool = False,
    shoot: str | None = None,
    flowers: Flowers | None = None,
) -> tuple[Opening, ...]:
    """Return from when each window is worth using.

    Parameters
    ----------
    page : Page
        The plant's page.
    windows : tuple of Window
        Its windows.
    on : date
        The day from which one may cut.
    south : bool
        Whether the southern calendar holds.
    shoot : {'vegetative', 'budded', 'flowering', 'spent'}, optional
        State of the shoot in hand.
    flowers : {'once', 'repeat'}, optional
        How this plant flowers, if other than the page says.

    Returns
    -------
    tuple of Opening
        Windows not yet over, by the day they are worth using.

    Notes
    -----
    Softwood within the handbook's gap before first flower stays open at a cost (`near_bloom`; see
    `slipwright.advice.odds`).  Only where the garden has set the gap itself does it close the door:
    a once bloomer is then waited for until its gap after bloom has passed, a repeat bloomer until the
    first petals have fallen, 21 days after first flower.  A spent shoot has its bloom behind it: no
    cost and no delay.

    References
    ----------
    The gaps carry their source or mark in the handbook; 21 days: common practice, no source.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose, on = load_handbook().page_of("Rosa"), date(2026, 10, 20)
    >>> openings_of_page(rose, windows_of_page(rose, on), on)[0].from_on == on
    True
    """
    found = []
    for window in windows:
        start = max(window.opens_on, on)
        delay, near = "", False
        if window.wood == "softwood" and not (shoot == "spent" and start == on):
            near = is_before_bloom(page, start, south=south, flowers=flowers)
            if near and page.bloom.gap_before_days.origin.mark == THE_GARDENS_OWN:
                start, delay = _past_bloom(page, start, south, flowers)
                near = False
        if start <= window.closes_on:
            found.append(Opening(cast(Wood, window.wood), window, start, delay, near))
    return tuple(sorted(found, key=lambda opening: (opening.from_on, opening.wood)))


def is_before_bloom(page: Page, on: date, *, south: bool = False, flowers: Flowers | None = None) -> bool:
    """Return whether a day lies within the gap before first flower.

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

    Returns
    -------
    bool
        Whether first flowers come within the gap, and not yet.

    References
    ----------
    The gap carries its source or mark in the handbook.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> is_before_bloom(load_handbook().page_of("Rosa"), date(2026, 5, 10))
    True
    """
    first, _ = bloom_days(page, on, south=south, flowers=flowers)
    return 0 < (first - on).days <= page.bloom.gap_before_days.value


def _past_bloom(page: Page, start: date, south: bool, flowers: Flowers | None) -> tuple[date, str]:
    bloom = bloom_now(page, start, south=south, flowers=flowers)
    if bloom.flowers == "repeat":
        later = bloom.first_on + timedelta(days=FLUSH_DAYS)
    else:
        later = bloom.last_on + timedelta(days=max(round(bloom.gap_after_days), 0) + 1)
    return later, Said("softwood is not recommended just before bloom: {reason}", reason=bloom.reason)


def occurs_within(month_day: tuple[int, int], window: Window, on: date, *, south: bool = False) -> bool:
    """Return whether a day of the calendar has come within the run of a window that holds a day.

    Parameters
    ----------
    month_day : tuple of two int
        Northern month and day [-].
    window : Window
        A run of days.
    on : date
        A day of it.
    south : bool
        Whether the southern calendar holds.

    Returns
    -------
    bool
        Whether it lies on or before ``on``, and not long (30 days) before the run opened.

    References
    ----------
    Definition.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose, on = load_handbook().page_of("Rosa"), date(2026, 10, 20)
    >>> occurs_within((9, 20), windows_of_page(rose, on)[0], on)
    True
    """
    earliest = window.opens_on - timedelta(days=30)
    nearest = (season_dates(month_day, month_day, south=south, near=on - timedelta(days=d)) for d in (0, 365))
    return any(earliest <= day <= on for day, _ in nearest)
