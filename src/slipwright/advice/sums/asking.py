"""What a sum asks and what it answers, as data that a page or a program can show."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said
from slipwright.outputs.measures import First

Kind = Literal["number", "whole", "word", "text", "lengths", "day"]
Given = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Blank:
    """One thing that a sum asks for.

    Attributes
    ----------
    name : str
        Its short name, as it stands in an address.
    label : str
        Its name on a page.
    kind : str
        What it takes: a number, a whole number, one of the choices, words, several lengths with
        commas or spaces between, or a day.
    unit : str
        Unit written behind it.
    low, high : float
        Least and most that is taken.
    start : str
        What stands in it before anybody types.
    hint : str
        A word on where the figure comes from.
    choices : tuple
        Words that may be chosen, each with what is said.
    needed : bool
        Whether the sum cannot do without it.
    more : bool
        Whether it stands behind the others, folded away.
    arguments : tuple of str
        Names that ``slipwright.craft`` calls it by, where they differ: its complaints are put here.
    """

    name: str
    label: str
    kind: Kind = "number"
    unit: str = ""
    low: float = 0.0
    high: float = 1e9
    start: str = ""
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    needed: bool = True
    more: bool = False
    arguments: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Line:
    """A figure of the answer: what it is, and how much."""

    what: str
    much: str


@dataclass(frozen=True, slots=True)
class Table:
    """Several answers side by side; the first cell of each row names it."""

    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Reckoned:
    """The answer of a sum.

    Attributes
    ----------
    answer : str
        The answer as a sentence.
    lines : tuple of Line
        Figures beside it.
    notes : tuple of str
        What to do with it, or what to mind.
    range : str
        How far the figure may lie from the truth.
    trust : str
        How far to trust it, and what would make it better.
    holds : str
        Where it holds.
    sources : tuple of str
        What it rests on, each with its mark.
    cautions : tuple of str
        Cautions, where the hand is.
    table : Table, optional
        The same for other cases.
    doubts : tuple of str
        What speaks against the figures given: the answer waits until they are said to be meant so.
    """

    answer: str
    lines: tuple[Line, ...] = ()
    notes: tuple[str, ...] = ()
    range: str = ""
    trust: str = ""
    holds: str = ""
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    table: Table | None = None
    doubts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Sum:
    """A sum of the bench: its name, what it asks, and how it is reckoned."""

    name: str
    title: str
    about: str
    icon: str
    blanks: tuple[Blank, ...]
    reckon: Callable[[Given, First], Reckoned]
    group: str = field(default=Said("At the bench"))

    def blank_of(self, argument: str) -> Blank | None:
        """Return the blank that an argument's value came from, if one did."""
        named = (one for one in self.blanks if argument == one.name or argument in one.arguments)
        return next(named, None)


def celsius(name: str, label: str, start: str = "", **more: Any) -> Blank:
    """Return a blank for a temperature.

    Parameters
    ----------
    name : str
        Its short name.
    label : str
        Its name on a page.
    start : str
        What stands in it at first.
    **more : object
        What else a :class:`Blank` has.

    Returns
    -------
    Blank
        The blank, -60 to 60 °C.

    References
    ----------
    Not a figure.

    Examples
    --------
    >>> celsius("air", "Air").unit
    '°C'
    """
    return Blank(name, label, "number", "°C", -60, 60, start, **more)


def in_order(given: Given) -> None:
    """Refuse a day whose warmest lies below its coldest.

    Parameters
    ----------
    given : mapping
        What was given, by the names of the blanks, among them tmin and tmax [°C].

    Returns
    -------
    None
        Nothing.

    Raises
    ------
    BadArgument
        At the blank of the warmest.

    References
    ----------
    Not a figure.

    Examples
    --------
    >>> in_order({"tmin": 5.0, "tmax": 20.0})
    """
    if given["tmax"] < given["tmin"]:
        raise BadArgument("tmax", Said("be at least the coldest"), given["tmax"])


#: the groups of the list, in their order
AT_THE_BENCH, HORMONE, AIR_AND_LIGHT = Said("At the bench"), Said("Hormone"), Said("Air, light and warmth")
COMMON = Said("common practice, no source")
MEMORY = Said("from memory")
OWN = Said("our own estimate")
ARITHMETIC = Said("arithmetic")
