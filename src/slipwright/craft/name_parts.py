"""The parts of a plant's name and how they are written together."""

from __future__ import annotations

from dataclasses import dataclass

#: characters of a cultivar epithet, spaces left out, allowed since 1996
EPITHET_LIMIT = 30


class NotAPlantName(ValueError):
    """A text is not a name by the ICNCP; carries the text and the rule it breaks.

    Parameters
    ----------
    text : str
        What was received.
    rule : str
        The rule, with what to write instead where that is plain.

    References
    ----------
    Not a figure: it says which rule was broken.

    Examples
    --------
    >>> raise NotAPlantName("rosa", "a genus begins with a capital: write Rosa")
    Traceback (most recent call last):
    slipwright.craft.name_parts.NotAPlantName: 'rosa': a genus begins with a capital: write Rosa
    """

    def __init__(self, text: str, rule: str) -> None:
        shown = text if len(text) <= 60 else text[:57] + "..."
        super().__init__(f"{shown!r}: {rule}")
        self.text = text
        self.rule = rule

    def __reduce__(self) -> tuple[type[NotAPlantName], tuple[str, str]]:
        """Rebuild from the two parts, so that the error survives a trip between processes."""
        return type(self), (self.text, self.rule)


@dataclass(frozen=True)
class PlantName:
    """A name in its parts, each as stored: straight quotes left out, words single-spaced.

    Attributes
    ----------
    genus : str
        Genus, with a capital.
    genus_mark : str
        ``×`` before a hybrid genus, ``+`` before a graft-chimaera, else empty.
    species : str
        Epithet of the species, or empty.
    is_hybrid : bool
        Whether ``×`` stands before the epithet of the species.
    ranks : tuple of (str, str)
        Ranks below the species with their epithets, as ``("subsp.", "latifolia")``.
    grex : str
        Grex epithet without the word grex, or empty.
    group : str
        Group epithet without the word Group, or empty.
    cultivar : str
        Cultivar epithet without quotes, or empty.
    """

    genus: str
    genus_mark: str = ""
    species: str = ""
    is_hybrid: bool = False
    ranks: tuple[tuple[str, str], ...] = ()
    grex: str = ""
    group: str = ""
    cultivar: str = ""

    @property
    def botanical(self) -> str:
        """The name down to species or lower rank, without grex, Group and cultivar."""
        return "".join(text for text, _ in self._botanical_runs())

    def canonical(self) -> str:
        """Return the name as it is stored: single spaces, × and straight single quotes.

        Returns
        -------
        str
            Text that :func:`slipwright.craft.names.plant_name` reads back to an equal name.

        References
        ----------
        The pages named at :func:`slipwright.craft.names.plant_name`.

        Examples
        --------
        >>> PlantName("Lavandula", species="intermedia", is_hybrid=True, cultivar="Sea Fret").canonical()
        "Lavandula × intermedia 'Sea Fret'"
        """
        end = self._cultivated()
        if self.cultivar:
            end += f" '{self.cultivar}'"
        return self.botanical + end

    def runs(self) -> tuple[tuple[str, bool], ...]:
        """Return the name for print, as runs of text each with whether it is italic.

        Returns
        -------
        tuple of (str, bool)
            Runs in order; joined they are the name with typographic quotes.

        References
        ----------
        Genus, species and lower epithets italic; ×, ranks, grex, Group and cultivar upright:
        examples under the ICNCP, liquisearch.com.

        Examples
        --------
        >>> PlantName("Rosa", cultivar="Lantern Keeper").runs()
        (('Rosa', True), (' ‘Lantern Keeper’', False))
        """
        end = self._cultivated()
        if self.cultivar:
            end += " ‘" + self.cultivar.replace("'", "’") + "’"
        runs = self._botanical_runs()
        return (*runs, (end, False)) if end else runs

    def remarks(self) -> tuple[str, ...]:
        """Return what is doubtful about the name, though it can be used.

        Returns
        -------
        tuple of str
            Remarks in words, often none.

        References
        ----------
        Plant naming, docslib.org/doc/7727060, after the ICNCP 9th ed.: at most 30 characters
        without spaces and quotes, from 1 January 1996; not numerals alone or a single letter.

        Examples
        --------
        >>> PlantName("Rosa", cultivar="42").remarks()
        ("a cultivar epithet of numerals alone is not allowed: '42'",)
        """
        found = []
        n = sum(1 for c in self.cultivar if c != " ")
        if n > EPITHET_LIMIT:
            found.append(
                f"a cultivar epithet of {n} characters is longer than the {EPITHET_LIMIT} allowed since "
                f"1996: '{self.cultivar}'"
            )
        if self.cultivar and self.cultivar.replace(" ", "").isdecimal():
            found.append(f"a cultivar epithet of numerals alone is not allowed: '{self.cultivar}'")
        if len(self.cultivar) == 1 and self.cultivar.isalpha():
            found.append(f"a cultivar epithet of a single letter is not allowed: '{self.cultivar}'")
        return tuple(found)

    def __str__(self) -> str:
        return self.canonical()

    def _botanical_runs(self) -> tuple[tuple[str, bool], ...]:
        runs: list[tuple[str, bool]] = []
        if self.genus_mark:
            runs.append((self.genus_mark + " ", False))
        if self.species and not self.is_hybrid:
            runs.append((f"{self.genus} {self.species}", True))
        else:
            runs.append((self.genus, True))
        if self.species and self.is_hybrid:
            runs += [(" × ", False), (self.species, True)]
        for rank, epithet in self.ranks:
            runs += [(f" {rank} ", False), (epithet, True)]
        return tuple(runs)

    def _cultivated(self) -> str:
        grex = f" {self.grex} grex" if self.grex else ""
        if not self.group:
            return grex
        return f"{grex} ({self.group} Group)" if self.cultivar else f"{grex} {self.group} Group"
