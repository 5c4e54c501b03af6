"""Sentences that remember how they were put together, so that they can be said in another tongue."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import fields, is_dataclass, replace
from typing import TYPE_CHECKING, Any, Literal, TypeVar, cast

if TYPE_CHECKING:
    from collections.abc import Callable

T = TypeVar("T")
Casing = Literal["capital", "small", "sentence", "first"]


class _Words(str):
    """Text that a template may ask for with a capital, in small, as a sentence or its first one only."""

    def __format__(self, spec: str) -> str:
        text = str(self)
        if spec == "capital":
            return text[:1].upper() + text[1:]
        if spec == "small":
            return text[:1].lower() + text[1:]
        if spec == "first":
            first, stop, _ = text.partition(". ")
            return first + "." if stop else text
        if spec == "sentence":
            whole = text.strip()
            whole = whole[:1].upper() + whole[1:]
            return whole if whole[-1:] in ".?!:" else whole + "."
        return format(text, spec)


class Said(_Words):
    """Text made from a template and what was put into it.

    It is an English string like any other. :func:`in_tongue` says it anew in another language, and
    whatever stands inside it that was made so too.

    Parameters
    ----------
    template : str
        Sentence with named places, as in :meth:`str.format`; a place for words may ask for them with a
        capital, in small, with a capital and a stop, or for their first sentence: "{wood:capital}",
        "{wood:small}", "{why:sentence}", "{why:first}".
    **values : object
        What is put in the places.

    Examples
    --------
    >>> Said("{n} days since the last look", n=7)
    '7 days since the last look'
    """

    template: str
    values: dict[str, Any]

    def __new__(cls, template: str, /, **values: Any) -> Said:
        """Put the values in their places."""
        self = super().__new__(cls, _filled(template, values))
        self.template = template
        self.values = values
        return self

    def __repr__(self) -> str:
        """Show the text."""
        return repr(str(self))

    def __reduce__(self) -> tuple[Any, ...]:
        """Keep template and values in a pickle."""
        return _remade, (self.template, self.values)


def _filled(template: str, values: dict[str, Any]) -> str:
    if not values:
        return template
    words = {name: _Words(value) if isinstance(value, str) else value for name, value in values.items()}
    return template.format(**words)


def _remade(template: str, values: dict[str, Any]) -> Said:
    return Said(template, **values)


def in_tongue(text: str, translate: Callable[[str], str]) -> str:
    """Return a text in another tongue; one that does not remember its template is looked up as it stands.

    Parameters
    ----------
    text : str
        A :class:`Said`, or any text.
    translate : callable
        Takes a template and returns it in the other tongue, or as it was.

    Returns
    -------
    str
        The text as ``translate`` has it.

    References
    ----------
    Our own; message look-up by the English sentence is that of GNU gettext.

    Examples
    --------
    >>> spanish = {"{n} days": "{n} días"}
    >>> in_tongue(Said("{n} days", n=7), lambda text: spanish.get(text, text))
    '7 días'
    """
    if not isinstance(text, Said):
        return translate(text) if text else text
    values = {
        name: in_tongue(value, translate) if isinstance(value, Said) else value
        for name, value in text.values.items()
    }
    return _filled(translate(text.template) if text.template else "", values)


def all_in_tongue(thing: T, translate: Callable[[str], str]) -> T:
    """Return a data class with every :class:`Said` in it, however deep, in another tongue.

    Parameters
    ----------
    thing : object
        A data class, tuple, list or mapping, or a text; texts that are not :class:`Said` stay.
    translate : callable
        Takes a template and returns it in the other tongue, or as it was.

    Returns
    -------
    object
        The same in the other tongue.

    References
    ----------
    Our own.

    Examples
    --------
    >>> all_in_tongue((Said("pot"), "Rosa"), lambda text: {"pot": "maceta"}.get(text, text))
    ('maceta', 'Rosa')
    """
    told: Any = thing
    if isinstance(thing, Said):
        told = in_tongue(thing, translate)
    elif is_dataclass(thing) and not isinstance(thing, type):
        parts = {one.name: getattr(thing, one.name) for one in fields(thing) if one.init}
        told = replace(thing, **{name: all_in_tongue(part, translate) for name, part in parts.items()})
    elif isinstance(thing, tuple | list):
        told = type(thing)(all_in_tongue(part, translate) for part in thing)
    elif isinstance(thing, Mapping):
        told = {name: all_in_tongue(part, translate) for name, part in thing.items()}
    return cast(T, told)


def joined(parts: Iterable[str], between: str = " ") -> str:
    """Return texts one after the other, each of them still to be said in another tongue.

    Parameters
    ----------
    parts : iterable of str
        :class:`Said`, or any text; empty ones are left out.
    between : str
        What stands between two of them.

    Returns
    -------
    str
        The one text, or all of them joined.

    References
    ----------
    Our own.

    Examples
    --------
    >>> joined([Said("Wash the pots."), "", "Rosa."])
    'Wash the pots. Rosa.'
    """
    some = [part for part in parts if part]
    if len(some) < 2:
        return some[0] if some else ""
    places = between.join(f"{{p{i}}}" for i in range(len(some)))
    return Said(places, **{f"p{i}": part for i, part in enumerate(some)})


def cased(text: str, casing: Casing) -> str:
    """Return a text with a capital, in small, with a capital and a stop, or cut short, in any tongue.

    Parameters
    ----------
    text : str
        A :class:`Said`, or any text.
    casing : {'capital', 'small', 'sentence', 'first'}
        How it begins and ends; ``first`` is its first sentence alone.

    Returns
    -------
    str
        The text; empty for no words.

    References
    ----------
    Our own.

    Examples
    --------
    >>> cased(Said("wash the pots"), "sentence")
    'Wash the pots.'
    """
    template = "{text:" + casing + "}"
    return Said(template, text=text) if text.strip() else ""


def as_told(text: str) -> str | list[Any]:
    """Return a text as plain data that :func:`heard` reads back.

    Parameters
    ----------
    text : str
        A :class:`Said`, or any text.

    Returns
    -------
    str or list
        Text, or its template and values; values other than text and numbers become text.

    References
    ----------
    Our own.

    Examples
    --------
    >>> as_told(Said("{n} days", n=7))
    ['{n} days', {'n': 7}]
    """
    if not isinstance(text, Said):
        return text
    values: dict[str, Any] = {
        name: as_told(value)
        if isinstance(value, str)
        else value
        if isinstance(value, int | float)
        else str(value)
        for name, value in text.values.items()
    }
    return [text.template, values]


def heard(told: str | list[Any]) -> str:
    """Return the text that :func:`as_told` made plain.

    Parameters
    ----------
    told : str or list
        Text, or template and values.

    Returns
    -------
    str
        The text, with its template where it had one.

    References
    ----------
    Our own.

    Examples
    --------
    >>> heard(["{n} days", {"n": 7}])
    '7 days'
    """
    if isinstance(told, str):
        return told
    template, values = told
    return Said(template, **{name: heard(v) if isinstance(v, list) else v for name, v in values.items()})
