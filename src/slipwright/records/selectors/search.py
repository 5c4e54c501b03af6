"""Finding what somebody typed: batches by code, plants by any of their names, places, wants, ways."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple, TypeVar

from slipwright.handbook import Handbook
from slipwright.records import codes
from slipwright.records.models import BatchState, Garden, Method, Place, Plant, Sticking, Taxon, Want
from slipwright.records.selectors.batches import BatchNow, states_of_batches

Row = TypeVar("Row", bound=tuple[object, ...])

#: of each kind this many are shown
AT_MOST = 20
#: signs that stand for a plain one on a keyboard
_PLAIN = str.maketrans(
    {"’": "'", "‘": "'", "`": "'", "´": "'", "“": '"', "”": '"', "×": "x", "–": "-", "ß": "ss"}
)


class TaxonFound(NamedTuple):
    """A plant by its names."""

    taxon: str
    common_name: str
    sold_as: str


class PlantFound(NamedTuple):
    """A stock plant."""

    plant: str
    taxon: str
    place: str


class PlaceFound(NamedTuple):
    """A place."""

    place: str
    kind: str


class WantFound(NamedTuple):
    """A want."""

    want: str
    taxon: str
    n_wanted: int


class MethodFound(NamedTuple):
    """A way of sticking."""

    method: str
    wood: str


@dataclass(frozen=True, slots=True)
class Found:
    """What was found, kind by kind; at most so many of each."""

    #: the batch whose code this is, if it is one and only one
    exact: str = ""
    batches: tuple[BatchNow, ...] = ()
    taxa: tuple[TaxonFound, ...] = ()
    plants: tuple[PlantFound, ...] = ()
    places: tuple[PlaceFound, ...] = ()
    wants: tuple[WantFound, ...] = ()
    methods: tuple[MethodFound, ...] = ()

    @property
    def n(self) -> int:
        """How much was found in all."""
        kinds = (self.batches, self.taxa, self.plants, self.places, self.wants, self.methods)
        return sum(len(kind) for kind in kinds)


def search(garden: Garden, text: str, handbook: Handbook | None = None) -> Found:
    """Return what answers to some words: each must stand somewhere in a name. Eight queries at most.

    A batch answers to its whole code or to four and more of its first characters, in any case, with
    or without hyphen; open batches of the plants found stand beside them. Capitals, accents and the
    forms of quotation marks make no difference. A plant answers also to what the handbook has people
    call it, in any tongue.
    """
    words = plain(text).split()
    if not words:
        return Found()
    by_code, exact = _by_code(garden, text.strip())
    taxa = [
        found
        for found in map(TaxonFound._make, _rows(Taxon, garden, "taxon", "common_name", "sold_as"))
        if _fits(words, (*found, *_spoken(handbook, found.taxon)))
    ]
    names = {found.taxon for found in taxa}
    plants = [
        found
        for found in map(PlantFound._make, _rows(Plant, garden, "plant", "taxon__taxon", "place__place"))
        if found.taxon in names or _fits(words, found)
    ]
    places = _fitting(words, map(PlaceFound._make, _rows(Place, garden, "place", "kind")))
    wants = [
        found
        for found in map(WantFound._make, _rows(Want, garden, "want", "taxon__taxon", "n_wanted"))
        if found.taxon in names or _fits(words, found)
    ]
    methods = _fitting(words, map(MethodFound._make, _rows(Method, garden, "method", "wood")))
    return Found(
        exact,
        tuple(_batches(garden, by_code, [found.taxon for found in taxa[:AT_MOST]])),
        *(tuple(kind[:AT_MOST]) for kind in (taxa, plants, places, wants, methods)),  # type: ignore[arg-type]
    )


def plain(text: str) -> str:
    """Return text as it is compared: no accents, no capitals, plain quotation marks.

    >>> plain("Rosa ‘Été’")
    "rosa 'ete'"
    """
    apart = unicodedata.normalize("NFKD", text.translate(_PLAIN))
    return "".join(sign for sign in apart if not unicodedata.combining(sign)).casefold()


def _spoken(handbook: Handbook | None, taxon: str) -> tuple[str, ...]:
    """Return every common name the handbook has for a taxon."""
    page = handbook.page_of(taxon) if handbook else None
    if page is None:
        return ()
    return tuple(name for tongue in ("en", *page.names_in) for name in page.names_of(taxon, tongue))


def _fits(words: Iterable[str], row: Iterable[object]) -> bool:
    there = plain(" ".join(str(part) for part in row if part))
    return all(word in there for word in words)


def _fitting(words: list[str], rows: Iterable[Row]) -> list[Row]:
    return [row for row in rows if _fits(words, row)]


def _rows(model: Any, garden: Garden, *columns: str) -> Iterable[Any]:
    found: Iterable[Any] = model.rows.of(garden).order_by(columns[0]).values_list(*columns)
    return found


def _by_code(garden: Garden, asked: str) -> tuple[list[int], str]:
    """Return the keys of the batches with this code, or one that begins so; and the code if it is one's.

    The beginning is looked up as a stretch of the index, never by looking at every code.
    """
    tidy = codes.tidy(asked)
    found = {row[1]: row[0] for row in _codes(garden, batch__in={asked, tidy})}
    if found:
        exact = asked if asked in found else next(iter(found))
        return [found[exact]], exact
    if not codes.SHORT <= len(tidy) <= codes.LENGTH:
        return [], ""
    stretch = _codes(garden, batch__gte=tidy, batch__lte=tidy + "Z" * codes.LENGTH)
    begun = [(pk, batch) for pk, batch in stretch if batch.startswith(tidy)]
    return [pk for pk, _ in begun], begun[0][1] if len(begun) == 1 else ""


def _codes(garden: Garden, **which: object) -> list[tuple[int, str]]:
    rows = Sticking.rows.of(garden).filter(**which).order_by("batch").values_list("pk", "batch")
    return list(rows[:AT_MOST])


def _batches(garden: Garden, by_code: list[int], taxa: list[str]) -> list[BatchNow]:
    """Return batches by their key first, then the newest open ones of some plants."""
    keys = list(by_code)
    if taxa and len(keys) < AT_MOST:
        rows = BatchState.rows.of(garden).filter(ended_on=None, batch__taxon__taxon__in=taxa)
        newest = rows.order_by("-batch_id").values_list("batch_id", flat=True)
        keys += [pk for pk in newest[:AT_MOST] if pk not in by_code]
    if not keys:
        return []
    found = {now.pk: now for now in states_of_batches(garden, [Sticking(pk=pk) for pk in keys])}
    return [found[pk] for pk in keys[:AT_MOST] if pk in found]
