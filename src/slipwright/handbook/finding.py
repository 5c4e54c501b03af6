"""Finding the page of a plant by any name a grower may use for it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from slipwright.handbook._names import as_botanical, begins, name_words, rank, split, with_cultivar
from slipwright.handbook.pages import Page, Source, Statement

#: words a gardener sets before a plant's name without meaning another plant. Any other word may: a
#: rock rose is no rose, and cotton lavender no lavender.
_BEFORE = {"garden", "old", "my", "our", "the", "a", "potted", "young", "bush", "standard"}
_BEFORE |= {"el", "la", "un", "una", "mi", "nuestro", "nuestra", "de", "del", "viejo", "vieja"}
_BEFORE |= {"esqueje", "esquejes", "planta", "plantas", "mata", "matas"}
#: such words for one name only
_BEFORE_ONE = {
    "rose": {"climbing", "rambling", "shrub", "hybrid", "tea", "floribunda", "miniature", "patio", "modern"},
    "lavender": {"dwarf", "hardy"},
    "rosemary": {"upright", "prostrate", "trailing"},
    "hydrangea": {"mophead", "lacecap"},
}
#: words set after it
_AFTER = {"bush", "bushes", "plant", "plants", "hedge", "cutting", "cuttings"}
_AFTER |= {"viejo", "vieja", "joven", "en", "maceta", "de", "jardin"}


@dataclass(frozen=True)
class Match:
    """A page found by a name: the taxon to write down, the name that matched and what kind of name it is."""

    page: Page
    taxon: str
    matched: str
    kind: Literal["botanical name", "older name", "common name"]
    exact: bool


@dataclass(frozen=True)
class _Name:
    words: tuple[str, ...]
    taxon: str
    matched: str
    kind: Literal["botanical name", "older name", "common name"]
    page: Page
    #: of a common name
    tongue: str = ""

    def answer(self, cultivar: str, *, exact: bool, taxon: str = "") -> Match:
        return Match(
            self.page, with_cultivar(taxon or self.taxon, cultivar), self.matched, self.kind, exact=exact
        )


@dataclass(frozen=True)
class Handbook:
    """Every page of the handbook, and the statements that hold for every plant."""

    pages: tuple[Page, ...]
    #: by the name of the list they head on each page
    general: Mapping[str, tuple[Statement, ...]] = field(default_factory=dict)
    sources: tuple[Source, ...] = ()

    @cached_property
    def _names(self) -> tuple[_Name, ...]:
        names = []
        for page in self.pages:
            names += [_Name(name_words(taxon), taxon, taxon, "botanical name", page) for taxon in page.taxa]
            for kind, spoken in (("older name", page.synonyms), ("common name", page.common_names)):
                tongue = "en" if kind == "common name" else ""
                names += [
                    _Name(name_words(name), page.taxon_of[name], name, kind, page, tongue)  # type: ignore[arg-type]
                    for name in spoken
                ]
        for page in self.pages:
            for tongue, stands_for in page.names_in.items():
                names += [
                    _Name(name_words(name), taxon, name, "common name", page, tongue)
                    for name, taxon in stands_for.items()
                ]
        return tuple(names)

    @cached_property
    def _heard(self) -> dict[str, tuple[_Name, ...]]:
        return {}

    def _names_heard(self, tongue: str) -> tuple[_Name, ...]:
        """Every name, but not the word of another tongue that is a genus to a speaker of this one."""
        genera = {name_words(page.genus) for page in self.pages}
        if tongue not in self._heard:
            self._heard[tongue] = tuple(
                name for name in self._names if name.tongue in ("", "en", tongue) or name.words not in genera
            )
        return self._heard[tongue]

    @cached_property
    def _botanical(self) -> dict[tuple[str, ...], _Name]:
        return {name.words: name for name in self._names if name.kind != "common name"}

    def _common(self, tongue: str) -> frozenset[tuple[str, ...]]:
        return frozenset(name.words for name in self._names_heard(tongue) if name.kind == "common name")

    def page_of(self, taxon: str) -> Page | None:
        """Return the page of a botanical name, or None where the handbook has none.

        Parameters
        ----------
        taxon : str
            Botanical name, older or present, with or without a cultivar in single quotes.

        Returns
        -------
        Page or None
            The page that names the group or the species, else the page of the whole genus.

        References
        ----------
        The order species, then genus is our own rule: a page of a species is written because
        it differs from the rest of its genus.

        Examples
        --------
        >>> from slipwright.handbook import load_handbook
        >>> load_handbook().page_of("Rosa 'Ice Lantern'").key
        'rose'
        """
        name, _ = split(taxon)
        words = name_words(name)
        for length in range(len(words), 0, -1):
            found = self._botanical.get(words[:length])
            if found is not None:
                return found.page
        return None

    def find(self, words: str, tongue: str = "en") -> tuple[Match, ...]:
        """Return the pages that answer to some words, the best match first.

        Parameters
        ----------
        words : str
            A common name, a botanical name or an older name, in any case, with or without a
            cultivar after it; or the beginning of such names.
        tongue : str
            The language of the speaker, in two letters. Common names of every tongue answer; a word that
            names a genus does so as a common name only to those who speak that tongue ("salvia").

        Returns
        -------
        tuple of Match
            Where one name answers exactly, that match alone: a name of the handbook, with a cultivar
            or with words of the garden about it ("old climbing rose", "rose bush"), or a species under
            its genus. Else offers, none of them exact, one a taxon: names that hold every word given
            or its beginning, else names held in the words given. Empty where nothing answers.

        References
        ----------
        The names are those of the handbook's own files; the cultivar is written in single
        quotes by the International Code of Nomenclature for Cultivated Plants, 9th edition
        2016, Scripta Horticulturae 18.

        Examples
        --------
        >>> from slipwright.handbook import load_handbook
        >>> match = load_handbook().find("Rosmarinus officinalis 'Saltmarsh Grey'")[0]
        >>> match.taxon, match.kind
        ("Salvia rosmarinus 'Saltmarsh Grey'", 'older name')
        """
        name, cultivar = split(words)
        wanted = name_words(name)
        if not wanted:
            return ()
        exact = (
            self._exact(wanted, cultivar, tongue)
            or self._by_garden_words(wanted, cultivar, tongue)
            or self._by_plain_cultivar(name, cultivar, tongue)
        )
        if exact is not None:
            return (exact,)
        names = self._names_heard(tongue)
        begun = [one for one in names if begins(one.words, wanted)]
        begun = [one for one in begun if one.tongue in ("", tongue)] or begun
        if not begun:
            exact = self._by_genus(name, wanted, cultivar, tongue)
            if exact is not None:
                return (exact,)
        matches = [
            one.answer(cultivar, exact=False)
            for one in begun or names
            if begun or set(one.words) < set(wanted)
        ]
        matches.sort(key=lambda match: rank(match.matched, wanted))
        # One line a taxon: the name that fits best.
        return tuple({match.taxon: match for match in reversed(matches)}.values())[::-1]

    def _exact(self, wanted: tuple[str, ...], cultivar: str, tongue: str) -> Match | None:
        singular = ((*wanted[:-1], wanted[-1].removesuffix(end)) for end in ("s", "es"))
        for words in dict.fromkeys((wanted, *singular)):
            for entry in self._names_heard(tongue):
                if words in (entry.words, (*entry.words[:-1], entry.words[-1].removesuffix("s"))):
                    return entry.answer(cultivar, exact=True)
        return None

    def _by_garden_words(self, wanted: tuple[str, ...], cultivar: str, tongue: str) -> Match | None:
        """Take the longest common name that stands among words of the garden alone."""
        for length in range(len(wanted) - 1, 0, -1):
            for start in range(len(wanted) - length + 1):
                before, called = wanted[:start], wanted[start : start + length]
                known = _BEFORE | _BEFORE_ONE.get(called[-1].removesuffix("s"), set())
                if known.issuperset(before) and _AFTER.issuperset(wanted[start + length :]):
                    found = self._exact(called, cultivar, tongue)
                    if found is not None and name_words(found.matched) in self._common(tongue):
                        return found
        return None

    def _by_genus(self, name: str, wanted: tuple[str, ...], cultivar: str, tongue: str) -> Match | None:
        """Answer a species without a page of its own by the page above it, under its own name."""
        for length in range(len(wanted) - 1, 0, -1):
            found = self._botanical.get(wanted[:length])
            # "hydrangea bush" is a genus only to those who know it for one.
            if found is not None and not (name.islower() and found.words in self._common(tongue)):
                return found.answer(cultivar, exact=True, taxon=as_botanical(name))
        return None

    def _by_plain_cultivar(self, name: str, cultivar: str, tongue: str) -> Match | None:
        """Take capitalised words after a known name for a cultivar written without quotes.

        After a common name only if that has small letters: a Rose Mallow is no rose.
        """
        if cultivar or name.isupper():
            return None
        parts = name.split()
        for length in range(len(parts) - 1, 0, -1):
            rest = parts[length:]
            if all(part[0].isupper() for part in rest) and rest[-1] != "Group":
                found = self._exact(name_words(" ".join(parts[:length])), " ".join(rest), tongue)
                if found is not None and (found.kind != "common name" or parts[length - 1].islower()):
                    return found
        return None
