"""Which of the handbook's sentences are shown on pages, and so are said in every tongue."""

from __future__ import annotations

from collections.abc import Iterator

from slipwright.handbook.finding import Handbook
from slipwright.handbook.pages import Page, WoodLeaf


def shown_texts(handbook: Handbook) -> tuple[str, ...]:
    """Return the sentences of the handbook that answers, sheets and cards may show.

    Parameters
    ----------
    handbook : Handbook
        Every page.

    Returns
    -------
    tuple of str
        Each once, in the order of the pages. Sources stay as they were published and are not among them.

    References
    ----------
    Our own.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> "Strip the lower half; leave the tip whole." in shown_texts(load_handbook())
    True
    """
    texts = (text for page in handbook.pages for text in _of_page(page))
    return tuple(dict.fromkeys(str(text) for text in texts if text))


def _of_page(page: Page) -> Iterator[str]:
    care = (*page.winter, *page.light, *page.water, *page.planting, *page.cutting_back)
    rights = (*page.rights[:1], *page.rights[-1:])
    for statement in (*page.storing, *care, *page.restricted, *rights, *page.hazard_notes):
        yield statement.text
    yield page.bloom.reason.text
    yield from (note.text for note in page.bloom.notes if note.origin.sources)
    for leaf in page.woods.values():
        yield from _of_wood(leaf)


def _of_wood(leaf: WoodLeaf) -> Iterator[str]:
    for statement in (*leaf.cover, leaf.leaves_note, leaf.pot_up_note):
        yield statement.text
    if leaf.leafless_note:
        yield leaf.leafless_note.text
    yield from (change.text for change in leaf.cover_from)
    yield leaf.buried.note
    yield leaf.weaning_days.treatment
    yield from (row.treatment for row in leaf.rooted_percent if row.origin.sources)
