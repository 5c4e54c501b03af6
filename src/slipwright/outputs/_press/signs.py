"""Signs of the house: a shape for each thing that is also said in words."""

from __future__ import annotations

from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper


def draw_caution_sign(paper: Paper, x: float, y: float, r: float) -> None:
    """Draw a triangle with an exclamation mark, its middle at (x, y).

    Parameters
    ----------
    paper : Paper
        The page.
    x : float
        Middle across [mm].
    y : float
        Middle down [mm].
    r : float
        Half its width [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    corners = [(x, y - 0.95 * r), (x + r, y + 0.8 * r), (x - r, y + 0.8 * r)]
    paper.shape(corners, fill=palette.BRASS, width_pt=0.8)
    paper.line([(x, y - 0.4 * r), (x, y + 0.25 * r)], width_pt=0.75 * r)
    paper.circle(x, y + 0.53 * r, 0.13 * r, fill=palette.INK, stroke=None)


def draw_open_book(paper: Paper, x: float, y: float) -> None:
    """Draw an open book: the figures rest on the handbook.

    Parameters
    ----------
    paper : Paper
        The page.
    x : float
        Middle across [mm].
    y : float
        Middle down [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    for side in (-1, 1):
        page = [(x, y - 2.0), (x + side * 3.2, y - 2.8), (x + side * 3.2, y + 2.0), (x, y + 2.8)]
        paper.shape(page, fill=palette.SHEET, width_pt=0.9)
        for k in range(3):
            dy = -1.0 + 1.1 * k
            paper.line([(x + side * 0.7, y + dy), (x + side * 2.5, y + dy - 0.45)], width_pt=0.5)


def draw_notebook(paper: Paper, x: float, y: float) -> None:
    """Draw a ruled notebook: the figures rest on the garden's own records.

    Parameters
    ----------
    paper : Paper
        The page.
    x : float
        Middle across [mm].
    y : float
        Middle down [mm].

    References
    ----------
    The house's own drawing style (common practice, no source).
    """
    paper.box(x - 2.4, y - 3.0, 4.8, 6.0, fill=palette.SHEET, corner=0.4, width_pt=0.9)
    paper.line([(x - 1.4, y - 3.0), (x - 1.4, y + 3.0)], width_pt=0.6)
    for k in range(4):
        paper.line([(x - 0.8, y - 1.6 + 1.1 * k), (x + 1.8, y - 1.6 + 1.1 * k)], width_pt=0.5)
