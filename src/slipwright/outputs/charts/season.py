"""A season in bars: what the cuttings came to, why they were lost, how far the wants were met."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from slipwright.outputs.svg import Svg

WIDTH: Final = 340.0
_LETTER: Final = 7.1
_BAR: Final = 17.0
_ROW: Final = 42.0


def came_to_bar(parts: Sequence[tuple[str, str, int]], title: str, *, words: Sequence[str] = ()) -> str:
    """Return one bar of all cuttings, parted by what they came to, a word for each part.

    Parameters
    ----------
    parts : sequence of (str, str, int)
        What they came to (rooted, waiting, lost or removed), the word for it, and how many [1].
    title : str
        What it shows, in a sentence.
    words : sequence of str
        Under each part what is written in place of its number; the number where there is none.

    Returns
    -------
    str
        The drawing as SVG: rooted solid, waiting pale, lost hatched, removed white.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> came_to_bar((("rooted", "rooted", 7), ("lost", "lost", 3)), "7 of 10 rooted").count("<text")
    4
    """
    shown = [(n, part) for n, part in enumerate(parts) if part[2] > 0]
    total = sum(part[2] for _, part in shown) or 1
    labels = [(part[1], words[n] if n < len(words) else str(part[2])) for n, part in shown]
    svg = Svg(WIDTH, 76, title, "season-all")
    wide_all = WIDTH - 2
    wides = [wide_all * part[2] / total for _, part in shown]
    starts = [1.0 + sum(wides[:n]) for n in range(len(wides))]
    rooms = [_LETTER * max(len(word), len(number)) + 9 for word, number in labels]
    for (_, (state, _, _)), start, wide in zip(shown, starts, wides, strict=True):
        _part(svg, state, start, 4, wide, 28)
    for (word, number), start, wide, left in zip(labels, starts, wides, _apart(starts, rooms), strict=True):
        if abs(left - start) > 3:
            svg.line(start + min(wide, 6) / 2, 32, left + 4, 40, "d-edge d-thin")
        svg.text(left, 52, number, "strong")
        svg.text(left, 68, word)
    return str(svg)


def losses_bars(rows: Sequence[tuple[str, int]], title: str) -> str:
    """Return bars of how many were lost by each cause, the most first.

    Parameters
    ----------
    rows : sequence of (str, int)
        Name of a cause and how many were lost by it [1].
    title : str
        What is found, in a sentence.

    Returns
    -------
    str
        The drawing as SVG, each bar with its name above and its number at its end.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> losses_bars((("rot from base", 12), ("dried", 3)), "Most rotted").count("<rect")
    2
    """
    most = max((n for _, n in rows), default=1) or 1
    svg = Svg(WIDTH, max(len(rows), 1) * _ROW + 2, title, "season-losses")
    for i, (name, n) in enumerate(rows):
        top = i * _ROW
        wide = max((WIDTH - 62) * n / most, 2.0)
        svg.text(1, top + 14, name)
        svg.rect(1, top + 19, wide, _BAR, "d-madderfill")
        svg.text(wide + 7, top + 33, f"{n}", "strong")
    return str(svg)


def wants_bars(rows: Sequence[tuple[str, int, int, str]], title: str) -> str:
    """Return a bar for each want: how many are there of those wanted, the number wanted as a post.

    Parameters
    ----------
    rows : sequence of (str, int, int, str)
        Name of the want, how many are there [1], how many were wanted [1], and what is said of it.
    title : str
        What is found, in a sentence.

    Returns
    -------
    str
        The drawing as SVG.

    References
    ----------
    Our own drawing.

    Examples
    --------
    >>> wants_bars((("Gate roses", 24, 30, "6 short"),), "No want was met").count("<rect")
    2
    """
    svg = Svg(WIDTH, max(len(rows), 1) * _ROW + 2, title, "season-wants")
    full = WIDTH - 96
    for i, (name, n, wanted, said) in enumerate(rows):
        top = i * _ROW
        scale = full / max(wanted, n, 1)
        svg.text(1, top + 14, _fitted(name, WIDTH - 12 - _LETTER * len(said)), "strong")
        svg.text(WIDTH - 1, top + 14, said, "end")
        svg.rect(1, top + 19, wanted * scale, _BAR, "d-inset d-edge d-thin")
        if n:
            svg.rect(1, top + 19, n * scale, _BAR, "d-enamelfill")
        post = 1 + wanted * scale
        svg.line(post, top + 16, post, top + 39, "d-ink d-thick")
        svg.text(max(post, 1 + n * scale) + 7, top + 33, f"{n} / {wanted}")
    return str(svg)


def _fitted(words: str, room: float) -> str:
    """Return words cut to the room there is."""
    most = max(int(room / (_LETTER + 0.6)), 4)
    return words if len(words) <= most else words[: most - 1].rstrip() + "…"


def _apart(starts: Sequence[float], rooms: Sequence[float]) -> list[float]:
    """Return where labels begin: as near as can be to what they name, none upon another nor over the end."""
    found: list[float] = []
    for n, start in enumerate(starts):
        found.append(max(start, found[-1] + rooms[n - 1]) if found else start)
    end = WIDTH + 6
    for n in range(len(found) - 1, -1, -1):
        found[n] = min(found[n], end - rooms[n])
        end = found[n]
    return found


def _part(svg: Svg, state: str, x: float, y: float, wide: float, high: float) -> None:
    look = {"rooted": "d-enamelfill", "waiting": "d-brasswash d-ink d-line", "lost": "d-sheet d-ink d-line"}
    if state == "lost":
        svg.rect(x, y, wide, high, "d-sheet")
        step, at = 7.0, x - high
        while at < x + wide:
            # each line held to the part it hatches
            low, top = max(at, x), min(at + high, x + wide)
            if top > low:
                svg.line(low, y + high - (low - at), top, y + high - (top - at), "d-madder d-line")
            at += step
        svg.rect(x, y, wide, high, "d-ink d-line")
        return
    svg.rect(x, y, wide, high, look.get(state, "d-sheet d-ink d-line"))
