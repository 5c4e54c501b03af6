"""What a pot's height does to the water and the air in it."""

from __future__ import annotations

from typing import Final

from slipwright.advice._wording import plain, span
from slipwright.advice.sums.asking import Blank, Given, Line, Reckoned, Sum, Table
from slipwright.craft.errors import BadArgument
from slipwright.craft.medium import MEDIA, Retention, pot_volume_ml, water_after_draining
from slipwright.craft.said import Said
from slipwright.outputs.measures import First, length_text, volume_text

#: heights of medium that are put side by side [mm]
_HEIGHTS_MM: Final = (25, 50, 75, 100, 150)
#: how far the figures may lie off, our own estimate; a core of bagged peat held 0.14 more than loose peat
_ERROR: Final = {"peat": 0.15}
_USUAL_ERROR: Final = 0.10
MEDIUM_WORDS: Final = {
    "peat": Said("loose peat"),
    "peat and perlite": Said("peat and perlite, half and half"),
    "perlite": Said("coarse perlite"),
    "perlite and vermiculite": Said("perlite and vermiculite, half and half"),
}
AT_THE_BOTTOM: Final = Said("At its bottom no pot holds air, whatever the mix.")
MEDIA_CHOICES: Final = tuple((name, MEDIUM_WORDS[name]) for name in reversed(MEDIA))


def _height(given: Given, first: First) -> Reckoned:
    name = given["medium"] or "perlite and vermiculite"
    medium, high_mm = MEDIA[name], given["height"] * 10
    top, bottom = given["top"], given["bottom"]
    if (top is None) != (bottom is None):
        missing = "top" if top is None else "bottom"
        raise BadArgument(missing, Said("be given where the other width is"), "")
    widths = {} if top is None else {"top_mm": top * 10, "bottom_mm": bottom * 10}
    above_mm = 10 * (given["above"] or 0)
    water = float(water_after_draining(medium, high_mm, above_water_mm=above_mm, **widths))
    error = _ERROR.get(name, _USUAL_ERROR)
    air = medium.full - water
    lines = [
        Line(Said("Water"), share_words(water, error)),
        Line(Said("Air"), share_words(air, error)),
    ]
    if widths:
        held = float(pot_volume_ml(widths["top_mm"], widths["bottom_mm"], high_mm)) / 1000
        lines.append(Line(Said("Such a pot holds"), volume_text(held, first=first)))
    return Reckoned(
        Said(
            "In {height} of {medium}: about {water} water and {air} air once drained, an estimate.",
            height=length_text(high_mm, first=first),
            medium=MEDIUM_WORDS[name],
            water=percent(water),
            air=percent(air),
        ),
        tuple(lines),
        (AT_THE_BOTTOM,),
        range=Said("About {points} points either way.", points=plain(100 * error, 0)),
        trust=Said(
            "The way it goes, lower is wetter, not the figure: a drain test of your own goes before it."
        ),
        holds=Said("Filled loosely, watered until it ran, left to drain; columns 2 to 30 cm high."),
        sources=(
            Said("van Genuchten 1980 (from memory), its mean over the pot in closed form"),
            Said("the medium: {origin}", origin=medium.origin),
        ),
        table=water_by_height(medium, first, Said("The same medium in other pots")),
    )


HEIGHT: Final = Sum(
    "pot-height",
    Said("Height of a pot"),
    Said("water and air in low and high pots"),
    "pot-up",
    (
        Blank("height", Said("Height of the medium"), "number", "cm", 1, 100, "10", arguments=("height_mm",)),
        Blank(
            "medium",
            Said("Medium"),
            "word",
            choices=MEDIA_CHOICES,
            start="perlite and vermiculite",
            needed=False,
        ),
        Blank(
            "top",
            Said("Width at the surface"),
            "number",
            "cm",
            1,
            1000,
            hint=Said("of a round pot"),
            needed=False,
            more=True,
            arguments=("top_mm",),
        ),
        Blank(
            "bottom",
            Said("Width at the bottom"),
            "number",
            "cm",
            1,
            1000,
            needed=False,
            more=True,
            arguments=("bottom_mm",),
        ),
        Blank(
            "above",
            Said("Stands above water"),
            "number",
            "cm",
            0,
            100,
            hint=Said("on a mat or in a tray: how far its bottom is above the water"),
            needed=False,
            more=True,
            arguments=("above_water_mm",),
        ),
    ),
    _height,
)


def water_by_height(medium: Retention, first: First, title: str) -> Table:
    """Return the water and air of a medium in pots of several heights.

    Parameters
    ----------
    medium : Retention
        The medium.
    first : {'metric', 'us'}
        Which measure comes first.
    title : str
        What stands above it.

    Returns
    -------
    Table
        A row a height.

    References
    ----------
    As :func:`slipwright.craft.medium.water_after_draining`.

    Examples
    --------
    >>> water_by_height(MEDIA["perlite"], "metric", "Perlite").rows[0]
    ('2.5 cm (1 in)', '66', '9')
    """
    rows = []
    for high_mm in _HEIGHTS_MM:
        water = float(water_after_draining(medium, high_mm))
        cells = (plain(100 * water, 0), plain(100 * (medium.full - water), 0))
        rows.append((length_text(high_mm, first=first), *cells))
    return Table(title, (Said("Height"), Said("Water, %"), Said("Air, %")), tuple(rows))


def share_words(share: float, error: float) -> str:
    """Return a share of a pot with its range.

    Parameters
    ----------
    share : float
        Share [-].
    error : float
        How far it may lie off either way [-].

    Returns
    -------
    str
        Per cents.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> " ".join(share_words(0.25, 0.03).split())
    '25 % of the pot (22 to 28 %)'
    """
    low, high = max(0.0, share - error), min(1.0, share + error)
    return Said(
        "{mid} of the pot ({range})",
        mid=percent(share),
        range=span(100 * low, 100 * high, "%", 0),
    )


def percent(share: float) -> str:
    """Return a share in whole per cents.

    Parameters
    ----------
    share : float
        Share [-].

    Returns
    -------
    str
        Such as "25 %", with a space at which no line ends.

    References
    ----------
    Our own wording.

    Examples
    --------
    >>> percent(0.25).split()
    ['25', '%']
    """
    return span(100 * share, 100 * share, "%", 0)
