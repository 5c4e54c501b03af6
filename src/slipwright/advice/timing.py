"""When wood of a plant is right: its windows, its bloom, and the day each wood is best begun."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import TYPE_CHECKING, Any, Literal, cast

from slipwright.advice.seen import NOTHING_SEEN, SeenPlant, windows_of_plant
from slipwright.craft.said import Said
from slipwright.craft.wood import EDGE_SD_DAYS, Window, p_open, season_dates
from slipwright.handbook.pages import Amount, Origin, Page, Statement, Wood

if TYPE_CHECKING:
    from slipwright.advice.blooming import BloomDays

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
#: a day is called clear of bloom from this chance on
CLEAR_FROM = 0.9
_BY_MONTHS = Said("the handbook's months")
#: 8 times in 10 the first flower lies within so many days of the handbook's
_RANGE_DAYS = round(1.2815515655446004 * EDGE_SD_DAYS)


@dataclass(frozen=True, slots=True)
class _BookDays:
    """Bloom by the handbook's months."""

    first_on: date
    last_on: date
    n_own: int = 0
    rests_on: str = _BY_MONTHS

    @property
    def p10(self) -> date:
        """First flower comes no sooner, nine times in ten."""
        return self.first_on - timedelta(days=_RANGE_DAYS)

    @property
    def p90(self) -> date:
        """First flower comes no later, nine times in ten."""
        return self.first_on + timedelta(days=_RANGE_DAYS)


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
    #: the range that holds the first flower 8 times in 10, and its middle
    p10: date
    p50: date
    p90: date
    #: own records of first flowers, and all that it rests on in words
    n_own: int
    rests_on: str

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
            "p10": self.p10.isoformat(),
            "p50": self.p50.isoformat(),
            "p90": self.p90.isoformat(),
            "n_own": self.n_own,
            "rests_on": self.rests_on,
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
    return windows_of_plant(page, NOTHING_SEEN, on, south)


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
    page: Page,
    on: date,
    *,
    south: bool = False,
    flowers: Flowers | None = None,
    seen: SeenPlant = NOTHING_SEEN,
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
    seen : SeenPlant
        What was seen of the plant.

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
    told = _bloom_of(page, on, south, flowers, seen)
    return told.first_on, told.last_on


def _book_bloom(page: Page, on: date, south: bool, flowers: Flowers | None) -> tuple[date, date]:
    season = page.bloom.bloom
    closes = season.closes
    if flowers == "once" and page.bloom.flowers == "repeat":
        last = date(2001, *season.opens) + timedelta(days=ONCE_DAYS)
        closes = (last.month, last.day)
    return season_dates(season.opens, closes, south=south, near=on)


def _bloom_of(
    page: Page, on: date, south: bool, flowers: Flowers | None, seen: SeenPlant
) -> BloomDays | _BookDays:
    first, last = _book_bloom(page, on, south, flowers)
    if not seen.tells_of_bloom:
        return _BookDays(first, last)
    from slipwright.advice.blooming import bloom_of_plant

    repeats = (flowers or page.bloom.flowers) == "repeat"
    return bloom_of_plant(seen, first, last, on, repeats=repeats, south=south)


def bloom_now(
    page: Page,
    on: date,
    *,
    south: bool = False,
    flowers: Flowers | None = None,
    seen: SeenPlant = NOTHING_SEEN,
) -> BloomNow:
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
    seen : SeenPlant
        What was seen of the plant.

    Returns
    -------
    BloomNow
        State, days, chances and the reason.

    Notes
    -----
    By the handbook's months edges are normal with a standard deviation of 14 days, and p_clear is one less
    the chance of bloom with the gaps added to both ends.  With own records or weather the first flower is
    that of `slipwright.advice.blooming`, and a day is clear from a chance of .9.  A bush in view knows
    better.

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
    told = _bloom_of(page, on, south, flowers, seen)
    first, last = told.first_on, told.last_on
    before, after = rule.gap_before_days.value, rule.gap_after_days.value
    near_from, near_to = first - timedelta(days=round(before)), last + timedelta(days=round(after))
    if isinstance(told, _BookDays):
        p_bloom = p_open(on, first, last, EDGE_SD_DAYS)
        p_clear = 1 - p_open(on, near_from, near_to, EDGE_SD_DAYS) if near_from <= near_to else 1.0
        is_near = near_from <= on <= near_to
    else:
        p_bloom, p_clear = _chances(told, on, before, after)
        is_near = p_clear < CLEAR_FROM
    if first <= on <= last:
        state: Bloom = "in_bloom"
    else:
        state = "near" if is_near else "clear"
    return BloomNow(
        state,
        flowers or rule.flowers,
        first,
        last,
        p_bloom,
        p_clear,
        before,
        after,
        rule.spent_cost.value,
        rule.reason.text,
        told.p10,
        first,
        told.p90,
        told.n_own,
        told.rests_on,
    )


def _chances(told: BloomDays, on: date, before: float, after: float) -> tuple[float, float]:
    """Chance of bloom on a day, and of lying clear of it by the gaps."""
    from slipwright.craft.bloom import p_clear, p_in_bloom

    ends = (float(told.first_on.toordinal()), float(told.last_on.toordinal()))
    first_sd, last_sd = told.first_sd_days, told.last_sd_days
    day = float(on.toordinal())
    in_bloom = p_in_bloom(day, *ends, first_sd_days=first_sd, last_sd_days=last_sd)
    clear = p_clear(
        day,
        *ends,
        first_sd_days=first_sd,
        last_sd_days=last_sd,
        gap_before_days=before,
        gap_after_days=after,
    )
    return float(in_bloom), float(clear)


def openings_of_page(
    page: Page,
    windows: tuple[Window, ...],
    on: date,
    *,
    south: bool = False,
    shoot: str | None = None,
    flowers: Flowers | None = None,
    seen: SeenPlant = NOTHING_SEEN,
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
    seen : SeenPlant
        What was seen of the plant.

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
            near = is_before_bloom(page, start, south=south, flowers=flowers, seen=seen)
            if near and page.bloom.gap_before_days.origin.mark == THE_GARDENS_OWN:
                start, delay = _past_bloom(page, start, south, flowers, seen)
                near = False
        if start <= window.closes_on:
            found.append(Opening(cast(Wood, window.wood), window, start, delay, near))
    return tuple(sorted(found, key=lambda opening: (opening.from_on, opening.wood)))


def is_before_bloom(
    page: Page,
    on: date,
    *,
    south: bool = False,
    flowers: Flowers | None = None,
    seen: SeenPlant = NOTHING_SEEN,
) -> bool:
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
    seen : SeenPlant
        What was seen of the plant.

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
    first, _ = bloom_days(page, on, south=south, flowers=flowers, seen=seen)
    return 0 < (first - on).days <= page.bloom.gap_before_days.value


def _past_bloom(
    page: Page, start: date, south: bool, flowers: Flowers | None, seen: SeenPlant
) -> tuple[date, str]:
    bloom = bloom_now(page, start, south=south, flowers=flowers, seen=seen)
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
