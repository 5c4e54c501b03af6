"""What a garden has seen of one stock plant, and the windows of its wood that follow from it."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING

from slipwright.craft.days import day_in_words
from slipwright.craft.said import Said, joined
from slipwright.craft.wood import EDGE_SD_DAYS, Window, windows_of_chances, windows_of_seasons

if TYPE_CHECKING:
    from slipwright.advice._wood_seen import WoodDays
    from slipwright.craft.bloom import Slope
    from slipwright.craft.years import WeatherYears
    from slipwright.handbook.pages import Page


@dataclass(frozen=True, slots=True)
class StageSeen:
    """The growth stage of a plant on a day, on the BBCH scale (0 to 99)."""

    on: date
    bbch: int


@dataclass(frozen=True, slots=True)
class FirmnessFelt:
    """What the hand felt on a day, 1 soft to 5 woody; None where a part was not felt."""

    on: date
    firmness_tip: int | None = None
    firmness_mid: int | None = None
    firmness_base: int | None = None

    @property
    def firmness(self) -> int | None:
        """Firmness of the shoot: of its middle, else of its base, else of its tip."""
        felt = (self.firmness_mid, self.firmness_base, self.firmness_tip)
        return next((one for one in felt if one is not None), None)


@dataclass(frozen=True, slots=True)
class SeenPlant:
    """What a garden has seen of one stock plant; all of it may be empty.

    Attributes
    ----------
    stages : tuple of StageSeen
        Growth stages of every year, in any order.
    firmness : tuple of FirmnessFelt
        Firmness of every year, in any order.
    cut_back : tuple of date
        Days on which the plant was cut back.
    deadheaded : tuple of date
        Days on which its spent flowers were taken.
    weather : WeatherYears, optional
        The garden's weather, made once for all its plants by `slipwright.craft.years.weather_years`.
    slope : Slope, optional
        What all plants of the garden tell together of how bloom follows warmth, made by
        `slope_of_garden`; the general one unless given.
    """

    stages: tuple[StageSeen, ...] = ()
    firmness: tuple[FirmnessFelt, ...] = ()
    cut_back: tuple[date, ...] = ()
    deadheaded: tuple[date, ...] = ()
    weather: WeatherYears | None = field(default=None, compare=False)
    slope: Slope | None = None

    @property
    def tells_of_wood(self) -> bool:
        """Whether anything in it bears on the days of the wood."""
        return bool(self.stages or self.firmness or self.cut_back or self.weather is not None)

    @property
    def tells_of_bloom(self) -> bool:
        """Whether anything in it bears on the days of bloom."""
        return self.weather is not None or any(60 <= stage.bbch <= 69 for stage in self.stages)


NOTHING_SEEN = SeenPlant()


def windows_of_plant(page: Page, seen: SeenPlant, on: date, south: bool = False) -> tuple[Window, ...]:
    """Return the windows of every wood of a plant that touch the year from a day.

    Parameters
    ----------
    page : Page
        The plant's page.
    seen : SeenPlant
        What was seen of it; `NOTHING_SEEN` for nothing.
    on : date
        The day from which 365 are looked at; records of later days are left out.
    south : bool
        Whether the southern calendar holds.

    Returns
    -------
    tuple of Window
        By the day they open; runs of one wood that meet are one.

    Notes
    -----
    Where nothing was seen: edges normal about the handbook's days, sd 14 days; a run is where the chance
    is a half or more. Softwood begins at firmness 2 and is over at 3, semi-hardwood begins at 3 and is over
    at 5: the edges of the season under way are corrected by what the hand felt, those of coming seasons by
    the days, or the heat since bud break, at which it felt it in other years. Hardwood opens at leaf fall
    (BBCH 93 to 97) or when growth has stopped in winter months, by the hand or by two weeks' cold, and
    closes at bud break (BBCH 07 to 09). After cutting back new wood is usually right in 6 to 10 weeks.
    Valid between the tropics and about 60 degrees. The needs for heat are untested: no open records exist.

    References
    ----------
    The seasons carry their source or mark in the handbook; the classes of firmness are from memory; spreads
    as in `slipwright.craft.ripening`.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> rose, on = load_handbook().page_of("Rosa"), date(2026, 7, 20)
    >>> firm = SeenPlant(firmness=(FirmnessFelt(on, firmness_mid=3),))
    >>> by_book, by_hand = (windows_of_plant(rose, seen, on) for seen in (NOTHING_SEEN, firm))
    >>> [w.wood for w in by_hand if w.opens_on <= on <= w.closes_on]
    ['semi-hardwood']
    """
    found: list[Window] = []
    own = _days_of(page, seen, on, south)
    for wood, leaf in page.woods.items():
        seasons = [(season.opens, season.closes) for season in leaf.seasons]
        if own is None:
            found += windows_of_seasons(wood, seasons, on, south, EDGE_SD_DAYS)
        else:
            found += windows_of_chances(wood, own.chances(wood, seasons).tolist(), on)
    return tuple(sorted(found, key=lambda run: (run.opens_on, run.wood)))


def _days_of(page: Page, seen: SeenPlant, on: date, south: bool) -> WoodDays | None:
    if not seen.tells_of_wood:
        return None
    from slipwright.advice._wood_seen import WoodDays

    return WoodDays(page, seen, on, south)


def chances_of_plant(
    page: Page, seen: SeenPlant, on: date, south: bool = False
) -> dict[str, tuple[float, ...]]:
    """Return the chance by day that each wood of a plant is right, over the 365 days from a day.

    Parameters
    ----------
    page : Page
        The plant's page.
    seen : SeenPlant
        What was seen of it.
    on : date
        The first day.
    south : bool
        Whether the southern calendar holds.

    Returns
    -------
    dict of tuple of float
        Chances by wood [-].

    References
    ----------
    As `windows_of_plant`.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> chances = chances_of_plant(load_handbook().page_of("Rosa"), NOTHING_SEEN, date(2026, 10, 1))
    >>> round(chances["semi-hardwood"][0], 2)
    1.0
    """
    from slipwright.advice._wood_seen import WoodDays

    own = WoodDays(page, seen, on, south)
    return {
        wood: tuple(own.chances(wood, [(one.opens, one.closes) for one in leaf.seasons])[365:730].tolist())
        for wood, leaf in page.woods.items()
    }


def windows_rest_on(seen: SeenPlant, on: date) -> str:
    """Return what the days of a plant's wood rest on.

    Parameters
    ----------
    seen : SeenPlant
        What was seen of it.
    on : date
        The day asked about.

    Returns
    -------
    str
        In words.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> windows_rest_on(NOTHING_SEEN, date(2026, 7, 20))
    "the handbook's months, weeks wide"
    """
    firmness = [one for one in seen.firmness if one.firmness is not None and one.on <= on]
    stages = [one for one in seen.stages if one.on <= on and not 50 <= one.bbch <= 69]
    parts: list[str] = [Said("the handbook's months, weeks wide")]
    if firmness:
        last = max(one.on for one in firmness)
        parts.append(
            Said("firmness felt {n} times, last on {day}", n=len(firmness), day=day_in_words(last, beside=on))
            if len(firmness) > 1
            else Said("firmness felt once, on {day}", day=day_in_words(last, beside=on))
        )
    if stages:
        parts.append(
            Said("buds and leaf fall seen {n} times", n=len(stages))
            if len(stages) > 1
            else Said("buds or leaf fall seen once")
        )
    if any(day <= on for day in seen.cut_back):
        last = max(day for day in seen.cut_back if day <= on)
        parts.append(Said("cut back on {day}", day=day_in_words(last, beside=on)))
    if seen.weather is not None:
        parts.append(_weather_words(seen.weather, on))
    return joined(parts, "; ")


def _weather_words(weather: WeatherYears, on: date) -> str:
    known = day_in_words(weather.known_to, beside=on)
    n_years = max(len(weather) // 365, 1)
    if weather.n_filled:
        return Said(
            "weather to {day} of {n_years} years, {n} days of it as they usually are; later days as usual",
            day=known,
            n_years=n_years,
            n=weather.n_filled,
        )
    return Said("weather to {day} of {n_years} years; later days as usual", day=known, n_years=n_years)
