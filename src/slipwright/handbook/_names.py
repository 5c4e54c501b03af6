"""Comparing names as people write them: any case, with or without hybrid sign, rank and quotes.

Names that are kept go through ``craft.names``, which is strict; here a beginner's typing is met half way.
"""

from __future__ import annotations

import re
import unicodedata

_QUOTED = re.compile(r"""(?:^|\s+)[‘’'"“](?P<cultivar>[^‘’'"“”]+(?:['’](?=\w)[^‘’'"“”]+)*)[’'"”]\s*$""")
_RANKS = {"subsp.", "subsp", "ssp.", "ssp", "var.", "var", "f.", "forma", "cv.", "cv"}


def split(name: str) -> tuple[str, str]:
    """Return the name and the cultivar after it, without its quotes."""
    quoted = _QUOTED.search(name)
    if quoted is None or not name[: quoted.start()].strip():
        return name.strip(), ""
    return name[: quoted.start()].strip(), " ".join(quoted["cultivar"].replace("’", "'").split())


def with_cultivar(taxon: str, cultivar: str) -> str:
    """Return the taxon with the cultivar, if any, in single quotes after it."""
    return f"{taxon} '{cultivar}'" if cultivar else taxon


def as_botanical(name: str) -> str:
    """Return the name as typed, the genus with its capital, shouted words in small letters."""
    genus, *rest = (word.lower() if word.isupper() and len(word) > 1 else word for word in name.split())
    return " ".join((genus.capitalize(), *rest))


def name_words(name: str) -> tuple[str, ...]:
    """Return the words two spellings of one name share: no case, no accent, no hybrid sign, no rank."""
    apart = unicodedata.normalize("NFKD", name)
    bare = "".join(sign for sign in apart if not unicodedata.combining(sign))
    plain = bare.replace("×", " ").replace("’", "'").replace("-", " ").lower()
    return tuple(word for word in plain.split() if word != "x" and word not in _RANKS)


def rank(matched: str, wanted: tuple[str, ...]) -> tuple[bool, str]:
    """Put names that begin with the first word given in front, then by the alphabet."""
    return not matched.lower().startswith(wanted[0]), matched.lower()


def begins(words: tuple[str, ...], wanted: tuple[str, ...]) -> bool:
    """Return whether every word wanted begins some word of the name."""
    return all(any(word.startswith(part) for word in words) for part in wanted)
