"""The house letters: which font holds a character, how wide it is, and what to do without one.

Every character that is asked for prints as itself, as its base letter, or as a question mark; the
last two are told to the caller.  An empty box never stands in for a letter.
"""

from __future__ import annotations

import io
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files
from typing import Any, Final, Literal

Face = Literal["regular", "bold", "italic", "bold-italic", "mono-bold", "other", "other-bold"]
Run = tuple[str, Face]
"""Some text and the face it is wished in."""

_FILES: Final[dict[Face, str]] = {
    "regular": "AtkinsonHyperlegibleNext_400Regular.ttf",
    "bold": "AtkinsonHyperlegibleNext_700Bold.ttf",
    "italic": "AtkinsonHyperlegibleNext_400Regular_Italic.ttf",
    "bold-italic": "AtkinsonHyperlegibleNext_700Bold_Italic.ttf",
    "mono-bold": "AtkinsonHyperlegibleMono_700Bold.ttf",
    "other": "OpenSans_400Regular.ttf",
    "other-bold": "OpenSans_700Bold.ttf",
}
# Signs with a plain twin that says the same: nothing is lost, so nothing is told.
_TWINS: Final = {"\u2010": "-", "\u2011": "-", "\u2212": "\u2013", "\u02bc": "\u2019", "\u2103": "°C"}
_NO_LETTER: Final = "?"

ASCENT: Final = 0.76
"""Height of the tallest usual letters above the baseline, as a share of the size."""
DESCENT: Final = 0.22
"""Depth of the lowest usual letters below the baseline, as a share of the size."""
PT_PER_MM: Final = 72 / 25.4


@dataclass(frozen=True)
class Typeset:
    """Text split into runs of one font each, with the characters that no font holds."""

    runs: tuple[Run, ...]
    lost: str = ""


@cache
def _font(face: Face) -> Any:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    data = files("slipwright.outputs").joinpath("fonts", _FILES[face]).read_bytes()
    font = TTFont(f"slipwright-{face}", io.BytesIO(data))
    pdfmetrics.registerFont(font)
    return font


@lru_cache(maxsize=4096)
def typeset(text: str, face: Face) -> Typeset:
    """Return a text as it prints: runs of one font each, and the characters no font holds.

    Parameters
    ----------
    text : str
        What is to be printed; line breaks become spaces.
    face : str
        The face wished: regular, bold, italic, bold-italic or mono-bold.

    Returns
    -------
    Typeset
        Runs whose every character is in the font of its run, and ``lost``, the characters that
        print as their base letter or as a question mark.

    References
    ----------
    The Unicode Standard, annex 15, normalisation forms; the choice of fonts is the house's own
    (common practice, no source).

    Examples
    --------
    >>> typeset("Rosa ж", "bold").runs
    (('Rosa ', 'bold'), ('ж', 'other-bold'))
    >>> typeset("鉢 7", "regular")
    Typeset(runs=(('? 7', 'regular'),), lost='鉢')
    """
    runs: list[list[Any]] = []
    lost = ""
    for char in unicodedata.normalize("NFC", text):
        printed, font, is_lost = _place(char, face)
        lost += char if is_lost and char not in lost else ""
        if runs and runs[-1][1] == font:
            runs[-1][0] += printed
        elif printed:
            runs.append([printed, font])
    return Typeset(tuple((part, font) for part, font in runs), lost)


@lru_cache(maxsize=4096)
def _place(char: str, face: Face) -> tuple[str, Face, bool]:
    if unicodedata.category(char) in ("Zs", "Zl", "Zp", "Cc"):
        return " ", face, False
    if _holds(face, char):
        return char, face, False
    if char in _TWINS:
        return _TWINS[char], face, False
    if unicodedata.category(char) == "Cf" or unicodedata.name(char, "").startswith("VARIATION"):
        return "", face, False
    other: Face = "other-bold" if "bold" in face else "other"
    if _holds(other, char) and unicodedata.bidirectional(char) not in ("R", "AL"):
        return char, other, False
    if unicodedata.category(char) == "Mn":
        return "", face, True
    base = "".join(c for c in unicodedata.normalize("NFKD", char) if not unicodedata.combining(c))
    printable = bool(base) and all(_holds(face, c) for c in base)
    return (base if printable else _NO_LETTER), face, True


def _holds(face: Face, char: str) -> bool:
    return ord(char) in _font(face).face.charToGlyph


@lru_cache(maxsize=16384)
def _width_per_point(text: str, face: Face) -> float:
    font = _font(face).face
    return float(sum(font.charWidths.get(ord(char), font.defaultWidth) for char in text)) / 1000


def text_width_mm(text: str, face: Face, size_pt: float) -> float:
    """Return the width of a text on paper.

    Parameters
    ----------
    text : str
        One line of text.
    face : str
        The face wished; letters it lacks are measured in the font that prints them.
    size_pt : float
        Size of the letters [pt].

    Returns
    -------
    float
        Sum of the advance widths [mm]; no kerning is applied in print either.

    References
    ----------
    OpenType specification, table hmtx (advance widths).

    Examples
    --------
    >>> round(text_width_mm("K7Q2-M9T3", "mono-bold", 11.5), 1)
    23.1
    """
    per_point = sum(_width_per_point(part, font) for part, font in typeset(text, face).runs)
    return per_point * size_pt / PT_PER_MM


def typographic(text: str) -> str:
    """Return a text with its straight quotes made typographic.

    Parameters
    ----------
    text : str
        A name or any other text.

    Returns
    -------
    str
        Opening quotes at the start or after a space or bracket, closing ones and apostrophes elsewhere.

    References
    ----------
    International Code of Nomenclature for Cultivated Plants, 9th edition, article 14: a cultivar
    epithet stands in single quotation marks.

    Examples
    --------
    >>> typographic("Rosa 'Lantern Keeper'")
    'Rosa ‘Lantern Keeper’'
    """
    if "'" not in text and '"' not in text:
        return text
    opens = [i == 0 or text[i - 1] in " (\u00a0" for i in range(len(text))]
    pairs = {"'": "’‘", '"': "”“"}
    return "".join(pairs[char][at] if char in pairs else char for char, at in zip(text, opens, strict=True))


def font_name(face: Face) -> str:
    """Return the name under which the drawing library knows a face, loading it at first use.

    Parameters
    ----------
    face : str
        One of the faces.

    Returns
    -------
    str
        The registered name.

    References
    ----------
    Common practice, no source.

    Examples
    --------
    >>> font_name("bold")
    'slipwright-bold'
    """
    return str(_font(face).fontName)
