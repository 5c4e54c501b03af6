"""Names of plants, written by the code for cultivated plants (ICNCP)."""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

from slipwright.craft.name_parts import NotAPlantName, PlantName

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = ["LENGTH_LIMIT", "NotAPlantName", "PlantName", "genus_of", "plant_name"]

#: longer texts are refused unread
LENGTH_LIMIT = 200

_SINGLE_QUOTES = dict.fromkeys(map(ord, "‘’‛′`´"), "'")
_DOUBLE_QUOTES = '"“”„«»'
_CROSSES = ("×", "x", "X")
_GENUS = re.compile(r"[A-Z][a-zäëïöü]+(?:-[a-zäëïöü]+)*")
_EPITHET = re.compile(r"[a-zäëïöü]+(?:-[a-zäëïöü]+)*")
_RANKS = {
    "subsp.": "subsp.",
    "ssp.": "subsp.",
    "subsp": "subsp.",
    "ssp": "subsp.",
    "nothosubsp.": "nothosubsp.",
    "var.": "var.",
    "var": "var.",
    "nothovar.": "nothovar.",
    "f.": "f.",
    "fo.": "f.",
    "forma": "f.",
    "nothof.": "nothof.",
}
_RANK_ORDER = {"subsp.": 0, "nothosubsp.": 0, "var.": 1, "nothovar.": 1, "f.": 2, "nothof.": 2}
_GREX_WORDS = ("grex", "gx", "gx.", "g.")
_GROUP_WORDS = ("Group", "Gp", "Gp.")
_EPITHET_MARKS = set("'-,.!/&+#")


def plant_name(text: str) -> PlantName:
    """Return a plant's name in its parts, or say which rule the text breaks.

    Parameters
    ----------
    text : str
        A genus, with what may follow: × and species, subsp., var. or f., grex, Group and a
        cultivar epithet in single quotes, at most 200 characters.

    Returns
    -------
    PlantName
        The parts. Typographic quotes, ``x`` for ×, ``ssp.`` and doubled spaces are put right.

    Raises
    ------
    NotAPlantName
        If the text is not such a name.

    Notes
    -----
    Not read: authors' names, hybrid formulas, common names, and trade designations, which have a
    column of their own. Names are not looked up: a well-formed name may belong to no plant.

    References
    ----------
    Examples under the ICNCP, liquisearch.com: single quotes, capital initial, roman type; the word
    Group with a capital, grex without. Cultivated plant code, floricode.com: a Group in brackets
    before the epithet. International Code of Botanical Nomenclature (Saint Louis) Art. H.3.1: × and
    notho-. No "cv." and no double quotes: from memory, ICNCP Art. 14.

    Examples
    --------
    >>> plant_name("Salvia rosmarinus 'Harbour Mist'").cultivar
    'Harbour Mist'
    """
    if len(text) > LENGTH_LIMIT:
        raise NotAPlantName(text, f"a name has at most {LENGTH_LIMIT} characters, this has {len(text)}")
    tidy = " ".join(unicodedata.normalize("NFC", text).translate(_SINGLE_QUOTES).split())
    _refuse_at_sight(text, tidy)
    head, quote, tail = tidy.partition("'")
    if quote and head and not head.endswith(" "):
        raise NotAPlantName(text, "a space stands before the opening quote of a cultivar epithet")
    words = head.split()
    mark, genus = _take_genus(text, words)
    is_hybrid, species = _take_species(text, words)
    ranks = _take_ranks(text, words, species)
    grex, group = _take_grex_and_group(text, words)
    cultivar = _cultivar(text, tail) if quote else ""
    return PlantName(genus, mark, species, is_hybrid, ranks, grex, group, cultivar)


def genus_of(taxon: str) -> str:
    """Return the genus of a botanical name, without the sign of a hybrid.

    Parameters
    ----------
    taxon : str
        Botanical name; of one that is none the first word.

    Returns
    -------
    str
        The genus.

    References
    ----------
    As `plant_name`.

    Examples
    --------
    >>> [genus_of(name) for name in ("Rosa \u00d7 alba", "\u00d7 Fatshedera lizei", "\u00d7 something")]
    ['Rosa', 'Fatshedera', 'something']
    """
    try:
        return plant_name(taxon).genus
    except NotAPlantName:
        return next((word for word in taxon.replace("\u00d7", " ").split() if word not in "+xX"), taxon)


def _refuse_at_sight(text: str, tidy: str) -> None:
    if not tidy:
        raise NotAPlantName(text, "a name is needed: at least a genus")
    if any(unicodedata.category(c) in ("Cc", "Cf", "Co", "Cn", "Cs") for c in tidy):
        raise NotAPlantName(text, "a name holds no control characters")
    if any(c in tidy for c in _DOUBLE_QUOTES):
        raise NotAPlantName(text, "a cultivar epithet stands in single quotes, not double")
    if any(word in ("cv.", "cv", "cvar.") for word in tidy.partition("'")[0].split()):
        raise NotAPlantName(text, "'cv.' is no longer used: put the cultivar epithet in single quotes")


def _take_genus(text: str, words: list[str]) -> tuple[str, str]:
    mark = ""
    if words and (words[0] in _CROSSES or words[0] == "+"):
        mark = "+" if words.pop(0) == "+" else "×"
    elif words and words[0][0] in "×+":
        mark, words[0] = words[0][0], words[0][1:]
    if not words:
        raise NotAPlantName(text, "a name begins with a genus")
    genus = words.pop(0)
    if not _GENUS.fullmatch(genus):
        if _GENUS.fullmatch(genus.capitalize()):
            raise NotAPlantName(text, f"a genus begins with a capital: write {genus.capitalize()}")
        raise NotAPlantName(text, f"a genus is one word of Latin letters with a capital, not {genus!r}")
    return mark, genus


def _take_species(text: str, words: list[str]) -> tuple[bool, str]:
    if not words:
        return False, ""
    is_hybrid = words[0] in _CROSSES
    if words[0] == "X" and (len(words) < 2 or words[1] in _GREX_WORDS or not _EPITHET.fullmatch(words[1])):
        is_hybrid = False  # a capital X may also be the epithet of a grex or Group
    if is_hybrid:
        words.pop(0)
    elif words[0][0] == "×":
        is_hybrid, words[0] = True, words[0][1:]
    if is_hybrid and not (words and _EPITHET.fullmatch(words[0])):
        raise NotAPlantName(
            text, "× stands before the epithet of a hybrid; formulas of parents are not names"
        )
    if not words or words[0] in _RANKS or words[0] in _GREX_WORDS or not _EPITHET.fullmatch(words[0]):
        if words and words[0] in ("sp.", "spp."):
            raise NotAPlantName(text, f"{words[0]!r} is not part of a name: write the genus alone")
        return False, ""
    if words[0] in ("sp", "spp", "group"):
        raise NotAPlantName(text, f"{words[0]!r} is not the epithet of a species")
    return is_hybrid, words.pop(0)


def _take_ranks(text: str, words: list[str], species: str) -> tuple[tuple[str, str], ...]:
    ranks: list[tuple[str, str]] = []
    while words and words[0] in _RANKS:
        rank = _RANKS[words.pop(0)]
        if not species:
            raise NotAPlantName(text, f"{rank} stands below a species")
        if not words or not _EPITHET.fullmatch(words[0]) or words[0] in _RANKS:
            raise NotAPlantName(text, f"an epithet in small letters follows {rank}")
        if ranks and _RANK_ORDER[ranks[-1][0]] >= _RANK_ORDER[rank]:
            raise NotAPlantName(text, f"{rank} cannot stand below {ranks[-1][0]}")
        ranks.append((rank, words.pop(0)))
    return tuple(ranks)


def _take_grex_and_group(text: str, words: list[str]) -> tuple[str, str]:
    grex = group = ""
    held: list[str] = []
    for word in _without_brackets(text, words):
        if word in _GREX_WORDS and held and not grex and not group:
            grex, held = " ".join(held), []
        elif word in _GROUP_WORDS and held and not group:
            group, held = " ".join(held), []
        else:
            held.append(word)
    if held:
        raise NotAPlantName(text, _why_left_over(held))
    for epithet in (grex, group):
        if epithet and not _is_epithet(epithet):
            raise NotAPlantName(text, f"a grex or Group has letters and a capital initial, not {epithet!r}")
    return grex, group


def _without_brackets(text: str, words: list[str]) -> Iterable[str]:
    joined = " ".join(words)
    if "(" not in joined and ")" not in joined:
        return words
    before, _, inner = joined.partition("(")
    if not inner.endswith(")") or "(" in inner or ")" in inner[:-1] or ")" in before:
        raise NotAPlantName(text, "brackets hold a Group, just before the cultivar epithet")
    inside = inner[:-1].split()
    if not inside or inside[-1] not in (*_GROUP_WORDS, *_GREX_WORDS):
        raise NotAPlantName(text, "brackets hold a Group, as (Lacecap Group)")
    return [*before.split(), *inside]


def _why_left_over(held: list[str]) -> str:
    words = " ".join(held)
    if any(word in _CROSSES for word in held):
        return "a formula of parents is not a name"
    if held[0] in _GROUP_WORDS or held[0] in _GREX_WORDS:
        return f"an epithet with a capital stands before {held[0]}"
    if held[0][0].isupper() and all(c.isalpha() or c in " -" for c in words):
        return (
            f"{words!r} stands where a cultivar epithet would: put it in single quotes if it is one, and "
            "keep selling names and authors in their own columns"
        )
    return f"{words!r} is no part of a name here"


def _cultivar(text: str, tail: str) -> str:
    epithet, quote, after = tail.rpartition("'")
    if not quote:
        raise NotAPlantName(text, "the closing quote of the cultivar epithet is missing")
    if after:
        raise NotAPlantName(text, f"nothing follows the cultivar epithet, not {after.strip()!r}")
    if "' '" in epithet or epithet != epithet.strip() or epithet.strip("'") != epithet:
        raise NotAPlantName(text, "a name has one cultivar epithet, close within one pair of quotes")
    if not _is_epithet(epithet):
        raise NotAPlantName(
            text,
            f"a cultivar epithet begins with a capital or numeral and has letters, numerals, spaces "
            f"and ' - , . ! / & + # alone, not {epithet!r}",
        )
    return epithet


def _is_epithet(epithet: str) -> bool:
    first = epithet[:1]
    if not (first.isdecimal() or (first.isalpha() and not first.islower())):
        return False
    return all(c.isalnum() or c == " " or c in _EPITHET_MARKS or unicodedata.combining(c) for c in epithet)
