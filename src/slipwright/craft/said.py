"""Sentences that remember how they were put together, so that they can be said in another tongue."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Callable


class Said(str):
    """Text made from a template and what was put into it.

    It is an English string like any other. :func:`in_tongue` says it anew in another language, and
    whatever stands inside it that was made so too.

    Parameters
    ----------
    template : str
        Sentence with named places, as in :meth:`str.format`.
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
        self = super().__new__(cls, template.format(**values) if values else template)
        self.template = template
        self.values = values
        return self

    def __repr__(self) -> str:
        """Show the text."""
        return repr(str(self))

    def __reduce__(self) -> tuple[Any, ...]:
        """Keep template and values in a pickle."""
        return _remade, (self.template, self.values)


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
    template = translate(text.template)
    return template.format(**values) if values else template


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
