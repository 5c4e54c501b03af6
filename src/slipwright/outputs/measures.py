"""Measures in words: metric first, US customary in brackets after, or the other way round."""

from __future__ import annotations

import math
from datetime import date
from typing import Final, Literal

from slipwright.craft.days import day_in_words
from slipwright.craft.errors import BadArgument
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, joined

First = Literal["metric", "us"]

MM_PER_INCH: Final = 25.4
L_PER_US_QUART: Final = 0.946352946
L_PER_US_GALLON: Final = 3.785411784
ML_PER_US_FLUID_OUNCE: Final = 29.5735295625
M2_PER_SQUARE_FOOT: Final = 0.09290304
_EIGHTHS: Final = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


def day_text(on: date) -> str:
    """Return a day as people write it on a label.

    Parameters
    ----------
    on : datetime.date
        The day.

    Returns
    -------
    str
        Day, month in three letters, year.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> day_text(date(2026, 9, 10))
    '10 Sep 2026'
    """
    return day_in_words(on)


def length_text(mm: float, to_mm: float | None = None, *, first: First = "metric") -> str:
    """Return a length, or a range of lengths, in words.

    Parameters
    ----------
    mm : float
        Length, or the lower end of the range [mm].
    to_mm : float, optional
        Upper end of the range [mm].
    first : str
        Which comes before the brackets: metric or us.

    Returns
    -------
    str
        Millimetres below 1 cm, centimetres to a half below 1 m, else metres; inches to an eighth
        below half an inch, to a quarter below 3 ft, else feet and inches.

    Raises
    ------
    BadArgument
        If a length is negative or the range runs backwards.

    References
    ----------
    NIST Special Publication 811, appendix B (1 in is 25.4 mm exactly); the rounding is common
    practice, no source.

    Examples
    --------
    >>> length_text(120), length_text(75, 125)
    ('12 cm (4¾ in)', '7.5 to 12.5 cm (3 to 5 in)')
    >>> length_text(6, first="us")
    '¼ in (6 mm)'
    """
    ends = _ends("mm", mm, to_mm)
    return _both(_range([_metric_length(v) for v in ends]), _range([_us_length(v) for v in ends]), first)


def volume_text(litres: float, to_litres: float | None = None, *, first: First = "metric") -> str:
    """Return a volume, or a range of volumes, in words.

    Parameters
    ----------
    litres : float
        Volume, or the lower end of the range [L].
    to_litres : float, optional
        Upper end of the range [L].
    first : str
        Which comes before the brackets: metric or us.

    Returns
    -------
    str
        Millilitres below a litre, else litres; US fluid ounces, quarts or gallons.

    Raises
    ------
    BadArgument
        If a volume is negative or the range runs backwards.

    References
    ----------
    NIST Special Publication 811, appendix B (US liquid gallon, quart, fluid ounce); the rounding
    is common practice, no source.

    Examples
    --------
    >>> volume_text(2.8), volume_text(0.03), volume_text(20)
    ('2.8 L (3 US qt)', '30 ml (1 US fl oz)', '20 L (5¼ US gal)')
    """
    ends = _ends("litres", litres, to_litres)
    return _both(_range([_metric_volume(v) for v in ends]), _range([_us_volume(v) for v in ends]), first)


def one_volume_text(litres: float, *, units: First = "metric") -> str:
    """Return a volume in words in one measure alone, for where there is no room for both.

    Parameters
    ----------
    litres : float
        Volume [L].
    units : {'metric', 'us'}
        Which measure.

    Returns
    -------
    str
        Millilitres below a litre, else litres; or US fluid ounces, quarts or gallons.

    Raises
    ------
    BadArgument
        If the volume is negative.

    References
    ----------
    As `volume_text`.

    Examples
    --------
    >>> one_volume_text(2.8), one_volume_text(2.8, units="us")
    ('2.8 L', '3 US qt')
    """
    (litres,) = _ends("litres", litres, None)
    return joined(_metric_volume(litres) if units == "metric" else _us_volume(litres))


def hours_text(hours: float) -> str:
    """Return hours of work as people write them.

    Parameters
    ----------
    hours : float
        How long it takes [h].

    Returns
    -------
    str
        To five minutes: minutes alone below an hour, hours alone where they are whole.

    Raises
    ------
    BadArgument
        If the hours are negative.

    References
    ----------
    The rounding is common practice, no source.

    Examples
    --------
    >>> hours_text(0.83), hours_text(4.17), hours_text(2)
    ('50 min', '4 h 10', '2 h')
    """
    (hours,) = _ends("hours", hours, None)
    minutes = round(hours * 60 / 5) * 5 or (5 if hours > 0 else 0)
    whole, rest = divmod(minutes, 60)
    if not rest:
        return Said("{h} h", h=whole)
    return Said("{h} h {min}", h=whole, min=f"{rest:02d}") if whole else Said("{min} min", min=rest)


def area_text(m2: float, *, first: First = "metric") -> str:
    """Return an area in words.

    Parameters
    ----------
    m2 : float
        Area [m²].
    first : str
        Which comes before the brackets: metric or us.

    Returns
    -------
    str
        Square metres to a hundredth below 10, else to a tenth; square feet to a tenth below 10, else whole.

    Raises
    ------
    BadArgument
        If the area is negative.

    References
    ----------
    NIST Special Publication 811, appendix B (1 ft² is 0.09290304 m² exactly); the rounding is common
    practice, no source.

    Examples
    --------
    >>> area_text(0.45), area_text(20, first="us")
    ('0.45 m² (4.8 ft²)', '215 ft² (20 m²)')
    """
    (m2,) = _ends("m2", m2, None)
    return _both(joined(_metric_area(m2)), joined(_us_area(m2)), first)


def one_area_text(m2: float, *, units: First = "metric") -> str:
    """Return an area in words in one measure alone, for where there is no room for both.

    Parameters
    ----------
    m2 : float
        Area [m²].
    units : {'metric', 'us'}
        Which measure.

    Returns
    -------
    str
        Square metres or square feet, rounded as in `area_text`.

    Raises
    ------
    BadArgument
        If the area is negative.

    References
    ----------
    As `area_text`.

    Examples
    --------
    >>> one_area_text(5.6), one_area_text(5.6, units="us")
    ('5.6 m²', '60 ft²')
    """
    (m2,) = _ends("m2", m2, None)
    return joined(_metric_area(m2) if units == "metric" else _us_area(m2))


def temperature_text(c: float, to_c: float | None = None, *, first: First = "metric") -> str:
    """Return a temperature, or a range of temperatures, in words.

    Parameters
    ----------
    c : float
        Temperature, or the lower end of the range [°C].
    to_c : float, optional
        Upper end of the range [°C].
    first : str
        Which comes before the brackets: metric or us.

    Returns
    -------
    str
        Whole degrees Celsius and Fahrenheit.

    Raises
    ------
    BadArgument
        If the range runs backwards.

    References
    ----------
    NIST Special Publication 811, appendix B: F = 1.8 C + 32.

    Examples
    --------
    >>> temperature_text(20), temperature_text(18, 24)
    ('20 °C (68 °F)', '18 to 24 °C (64 to 75 °F)')
    """
    ends = _ends("c", c, to_c, least=-273.15)
    celsius = [(f"{_minus(round(v))}", "°C") for v in ends]
    fahrenheit = [(f"{_minus(round(v * 1.8 + 32))}", "°F") for v in ends]
    return _both(_range(celsius), _range(fahrenheit), first)


def _ends(what: str, low: float, high: float | None, least: float = 0.0) -> list[float]:
    ends = [low] if high is None else [low, high]
    for end in ends:
        if not least <= end < math.inf:
            raise BadArgument(what, f"be a number of at least {least:g}", end)
    if ends[0] > ends[-1]:
        raise BadArgument(f"to_{what}", f"be at least {what}, {ends[0]:g}", ends[1])
    return ends


def _both(metric: str, us: str, first: First) -> str:
    before, after = (metric, us) if first == "metric" else (us, metric)
    return joined([before, joined(["(", after, ")"], "")])


def _range(parts: list[tuple[str, str]]) -> str:
    """Say the unit once where both ends share it, and one figure where both ends round alike."""
    (low, low_unit), (high, high_unit) = parts[0], parts[-1]
    if (low, low_unit) == (high, high_unit):
        return joined([low, low_unit])
    if low_unit != high_unit:
        low = joined([low, low_unit])
    return Said("{low} to {high} {unit}", low=low, high=high, unit=high_unit)


def _metric_length(mm: float) -> tuple[str, str]:
    if mm < 9.5:
        return plain(mm, 0), "mm"
    if mm < 997.5:
        return plain(round(mm / 5) / 2), "cm"
    return plain(mm / 1000, 2), "m"


def _us_length(mm: float) -> tuple[str, str]:
    inches = mm / MM_PER_INCH
    if inches < 35.875:
        return _fraction(inches, 8 if inches < 0.5 else 4), "in"
    feet, rest = divmod(round(inches), 12)
    return f"{feet} ft {rest}" if rest else f"{feet}", "in" if rest else "ft"


def _metric_volume(litres: float) -> tuple[str, str]:
    if litres < 0.995:
        ml = litres * 1000
        return plain(ml, 0 if ml >= 9.5 else 1), "ml"
    return plain(litres, 1 if litres < 100 else 0), "L"


def _us_volume(litres: float) -> tuple[str, str]:
    ounces = litres * 1000 / ML_PER_US_FLUID_OUNCE
    if litres < 0.5:
        return _fraction(ounces, 8 if ounces < 0.5 else 4), "US fl oz"
    if litres < 7.5:
        return _fraction(litres / L_PER_US_QUART, 4), "US qt"
    return _fraction(litres / L_PER_US_GALLON, 4 if litres < 100 else 1), "US gal"


def _metric_area(m2: float) -> tuple[str, str]:
    return plain(m2, 2 if m2 < 9.995 else 1), "m²"


def _us_area(m2: float) -> tuple[str, str]:
    feet = m2 / M2_PER_SQUARE_FOOT
    return plain(feet, 1 if feet < 9.95 else 0), "ft²"


def _fraction(value: float, parts: int) -> str:
    """Round to a part (4 for quarters), never to nought unless it is nought."""
    steps = max(round(value * parts), 1 if value > 0 else 0)
    whole, rest = divmod(steps, parts)
    if not rest:
        return plain(whole, 0)
    return f"{whole or ''}{_EIGHTHS[rest * 8 // parts]}"


def _minus(degrees: int) -> str:
    return f"−{-degrees}" if degrees < 0 else str(degrees)
