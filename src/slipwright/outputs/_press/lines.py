"""Lines of text in a given width: wrapped at spaces, shrunk or cut only when told so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from slipwright.outputs._press.typeface import Run, text_width_mm

ELLIPSIS: Final = "…"
FIRM: Final = "\u00a0"
"""A space that does not break; it prints as a space."""


@dataclass(frozen=True)
class Lines:
    """Lines of runs, and whether some text had to be cut."""

    lines: tuple[tuple[Run, ...], ...]
    is_cut: bool = False


def line_width_mm(runs: Sequence[Run], size_pt: float) -> float:
    """Return the width of one line made of several runs.

    Parameters
    ----------
    runs : sequence of (str, str)
        Pieces of text, each with its face.
    size_pt : float
        Size of the letters [pt].

    Returns
    -------
    float
        Width [mm].

    References
    ----------
    OpenType specification, table hmtx (advance widths).

    Examples
    --------
    >>> line_width_mm([], 9.0)
    0.0
    """
    return sum((text_width_mm(text, face, size_pt) for text, face in runs), 0.0)


def wrapped(runs: Sequence[Run], *, size_pt: float, width_mm: float, max_lines: int | None = None) -> Lines:
    """Return a text wrapped at its spaces; a word wider than the line is broken where it must be.

    Parameters
    ----------
    runs : sequence of (str, str)
        Pieces of text, each with its face.
    size_pt : float
        Size of the letters [pt].
    width_mm : float
        Width no line may exceed [mm].
    max_lines : int, optional
        Most lines allowed [1]; what does not fit is cut and the last line ends with an ellipsis.

    Returns
    -------
    Lines
        The lines and whether anything was cut.

    References
    ----------
    Common practice, no source (greedy line breaking).

    Examples
    --------
    >>> wrapped([("Salvia rosmarinus", "bold")], size_pt=11, width_mm=25).lines
    ((('Salvia', 'bold'),), (('rosmarinus', 'bold'),))
    """
    return _wrapped(tuple(runs), size_pt, width_mm, max_lines)


@lru_cache(maxsize=4096)
def _wrapped(runs: tuple[Run, ...], size_pt: float, width_mm: float, max_lines: int | None) -> Lines:
    lines: list[list[Run]] = [[]]
    used = 0.0
    for word in _words(runs):
        for part in _broken(word, size_pt, width_mm):
            space = _space_before(part, lines[-1])
            extra = line_width_mm(space + part, size_pt)
            if lines[-1] and used + extra > width_mm:
                lines.append([])
                space, used, extra = [], 0.0, line_width_mm(part, size_pt)
            lines[-1].extend(space + part)
            used += extra
    joined = tuple(_joined(line) for line in lines if line)
    if max_lines is None or len(joined) <= max_lines:
        return Lines(joined)
    kept = joined[:max_lines]
    return Lines((*kept[:-1], _cut(kept[-1], size_pt, width_mm)), is_cut=True)


def _words(runs: Sequence[Run]) -> list[list[Run]]:
    """Split at spaces; a word may run over several faces, as in "(Rosa)"."""
    words: list[list[Run]] = [[]]
    for text, face in runs:
        for i, piece in enumerate(text.replace("\n", " ").split(" ")):
            if i:
                words.append([])
            if piece:
                words[-1].append((piece, face))
    return [word for word in words if word]


def _space_before(word: Sequence[Run], line: Sequence[Run]) -> list[Run]:
    return [(" ", line[-1][1] if line[-1][1] == word[0][1] else "regular")] if line else []


def _broken(word: list[Run], size_pt: float, width_mm: float) -> list[list[Run]]:
    if line_width_mm(word, size_pt) <= width_mm:
        return [word]
    parts: list[list[Run]] = [[]]
    used = 0.0
    for text, face in word:
        for char in text:
            wide = text_width_mm(char, face, size_pt)
            if parts[-1] and used + wide > width_mm:
                parts.append([])
                used = 0.0
            parts[-1].append((char, face))
            used += wide
    return parts


def _joined(line: Sequence[Run]) -> tuple[Run, ...]:
    runs: list[Run] = []
    for text, face in line:
        if runs and runs[-1][1] == face:
            runs[-1] = (runs[-1][0] + text, face)
        else:
            runs.append((text, face))
    return tuple(runs)


def _cut(line: Sequence[Run], size_pt: float, width_mm: float) -> tuple[Run, ...]:
    chars = [(char, face) for text, face in line for char in text]
    end: Run = (ELLIPSIS, "bold" if chars and "bold" in chars[-1][1] else "regular")
    while chars and line_width_mm([*_joined(chars), end], size_pt) > width_mm:
        chars.pop()
    while chars and chars[-1][0] == " ":
        chars.pop()
    return _joined([*chars, end])
