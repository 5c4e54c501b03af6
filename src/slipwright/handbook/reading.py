"""Reading the handbook's files: strictly, so that a slip in a file is found before it reaches a bench."""

from __future__ import annotations

import hashlib
import re
import tomllib
from collections.abc import Iterable, Mapping
from functools import cache
from pathlib import Path
from typing import Any

from slipwright.handbook._entries import Entry, HandbookError
from slipwright.handbook._leaves import bloom_rule, leaves_of_woods
from slipwright.handbook._names import name_words
from slipwright.handbook._values import Sources, amount, range_of, spread, statement
from slipwright.handbook.finding import Handbook
from slipwright.handbook.pages import Origin, Page, Source, Statement

#: the lists of statements a page holds; those under [every] are put in front of the page's own
LISTS = (
    "stock_plant",
    "collecting",
    "storing",
    "hygiene",
    "winter",
    "light",
    "water",
    "planting",
    "cutting_back",
    "rights",
    "restricted",
    "hazard_notes",
    "notes",
)
_MAY_BE_EMPTY = ("light", "water", "planting", "cutting_back", "restricted", "hazard_notes", "notes")
_HAZARDS = ("thorns", "irritant-sap", "toxic")
#: tongues beside English in which a page may name its plants, under ``common_names_xx``
TONGUES = ("es",)
_KEY = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")


def read_handbook(general: str, genera: Mapping[str, str]) -> Handbook:
    """Return the handbook read from the text of its files.

    Parameters
    ----------
    general : str
        Text of ``general.toml``: what holds for every plant.
    genera : Mapping of str to str
        Text of each genus file by its file name; the name is the genus in small letters.

    Returns
    -------
    Handbook
        Every page, in the order of the files and of the pages in them.

    Raises
    ------
    HandbookError
        Where a file breaks a rule: unknown or missing key, wrong type or unit, a per cent
        outside 0 to 100, 10/50/90 out of order, a source nobody listed, a value without source
        or mark, the same name twice.

    References
    ----------
    The format is our own; it is written in TOML 1.0.
    """
    top = Entry("general.toml", "", _parsed("general.toml", general))
    shared = Sources(_source_list(top))
    every = top.table("every")
    defaults = {key: every.raw(key) for key in ("medium", "n_per_pot", "pot_volume_l")}
    front = _lists(every, shared)
    every.done()
    top.done()
    pages: list[Page] = []
    sources = dict(shared.known)
    for file, text in genera.items():
        entry = Entry(file, "", _parsed(file, text))
        own = _source_list(entry)
        for key in own.keys() & shared.known.keys():
            entry.fail("must not use the key of a source of general.toml", key, "source")
        known = Sources(shared.known | own)
        pages += _genus(entry, known, front, defaults)
        for key in own:
            if key not in known.named:
                entry.fail("must not list a source nobody names", key, "source")
        shared.named |= known.named
        sources |= {f"{file}:{key}": source for key, source in own.items()}
    for key in shared.known:
        if key not in shared.named:
            raise HandbookError("general.toml", "source", "must not list a source nobody names", key)
    _refuse_double_names(pages)
    return Handbook(tuple(pages), front, tuple(sources.values()))


@cache
def load_handbook() -> Handbook:
    """Return the handbook that comes with the package, read once.

    Returns
    -------
    Handbook
        Every page of the package's own files.

    Raises
    ------
    HandbookError
        Where one of the files breaks a rule.

    References
    ----------
    Each value of the files names its own source or mark.

    Examples
    --------
    >>> load_handbook().page_of("Rosa canina").key
    'rose-once'
    """
    folder = Path(__file__).parent
    genera = {file.name: file.read_text("utf-8") for file in sorted((folder / "genera").glob("*.toml"))}
    return read_handbook((folder / "general.toml").read_text("utf-8"), genera)


@cache
def handbook_mark() -> str:
    """Return a mark of the handbook that comes with the package: another one for every edition.

    Returns
    -------
    str
        Twelve hexadecimal digits.

    References
    ----------
    SHA-256, FIPS 180-4 (from memory).

    Examples
    --------
    >>> len(handbook_mark())
    12
    """
    folder = Path(__file__).parent
    whole = hashlib.sha256()
    for file in (folder / "general.toml", *sorted((folder / "genera").glob("*.toml"))):
        whole.update(f"{file.name}\n".encode() + file.read_bytes())
    return whole.hexdigest()[:12]


def _parsed(file: str, text: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise HandbookError(file, "", f"is not TOML, or states a key twice: {error}") from error


def _source_list(entry: Entry) -> dict[str, Source]:
    found: dict[str, Source] = {}
    for source in entry.tables("source", may_be_absent=True):
        key = source.text("key")
        if key in found:
            source.fail("must not state a source twice", key, "key")
        found[key] = Source(key, source.text("text"))
        source.done()
    return found


def _lists(entry: Entry, sources: Sources) -> dict[str, tuple[Statement, ...]]:
    return {
        key: tuple(statement(item, sources) for item in entry.tables(key, may_be_absent=True))
        for key in LISTS
    }


def _genus(
    entry: Entry,
    sources: Sources,
    front: Mapping[str, tuple[Statement, ...]],
    defaults: Mapping[str, Any],
) -> Iterable[Page]:
    genus = entry.text("genus")
    if entry.file != f"{genus.lower()}.toml":
        entry.fail("must be the genus the file is named for", genus, "genus")
    if "every" in entry:
        every = entry.table("every")
        own = _lists(every, sources)
        every.done()
        front = {key: front[key] + own[key] for key in LISTS}
    tables = entry.raw("page")
    if not isinstance(tables, dict) or not tables:
        entry.fail("must hold at least one page", tables, "page")
    entry.done()
    pages = []
    for key, table in tables.items():
        page = Entry(entry.file, f"page.{key}", table)
        if not _KEY.fullmatch(key):
            page.fail("must be named in small letters, figures and hyphens", key)
        pages.append(_page(page, genus, key, tables, sources, front, defaults))
    return pages


def _page(
    entry: Entry,
    genus: str,
    key: str,
    siblings: Mapping[str, Any],
    sources: Sources,
    front: Mapping[str, tuple[Statement, ...]],
    defaults: Mapping[str, Any],
) -> Page:
    taxa = entry.texts("taxa")
    for taxon in taxa:
        if taxon.split()[0] != genus:
            entry.fail(f"must begin with the genus {genus}", taxon, "taxa")
    common, older = (_names(entry, kind, taxa) for kind in ("common_names", "older_names"))
    spoken = {
        tongue: _names_in(entry.table(f"common_names_{tongue}"), taxa, sources)
        for tongue in TONGUES
        if f"common_names_{tongue}" in entry
    }
    habit = entry.table("leaf_habit")
    prickles = entry.table("prickles")
    hazards = entry.texts("hazards") if "hazards" in entry else ()
    for hazard in hazards:
        if hazard not in _HAZARDS:
            entry.fail(f"must be among {', '.join(_HAZARDS)}", hazard, "hazards")
    general = {
        name: entry.table(name) if name in entry else Entry("general.toml", f"every.{name}", defaults[name])
        for name in defaults
    }
    parts, parts_origin, parts_note = _medium(general["medium"], sources)
    own = _lists(entry, sources)
    lists = {name: front[name] + own[name] for name in LISTS}
    page = Page(
        key=key,
        genus=genus,
        taxa=taxa,
        synonyms=tuple(older),
        common_names=tuple(common),
        leaf_habit=habit.word("value", ("deciduous", "evergreen", "semi-evergreen")),
        shoot_word=entry.word("shoot_word", ("shoot", "cane")),
        prickles=prickles.truth("value"),
        bloom=bloom_rule(entry.table("bloom"), sources),
        top_stub_mm=range_of(entry.table("top_stub_mm"), "mm", sources),
        woods=leaves_of_woods(entry, key, siblings, sources),
        hazards=hazards,  # type: ignore[arg-type]
        medium=parts,
        medium_origin=parts_origin,
        medium_note=parts_note,
        survive_percent=spread(entry.table("survive_percent"), "%", sources),
        title=entry.text("title"),
        summary=entry.text("summary"),
        leaf_habit_origin=sources.origin(habit),
        leaf_habit_note=habit.optional_text("note"),
        prickles_origin=sources.origin(prickles),
        prickles_note=prickles.optional_text("note"),
        n_per_pot=range_of(general["n_per_pot"], "cuttings", sources),
        pot_volume_l=amount(general["pot_volume_l"], "L", sources),
        taxon_of={**common, **older},
        names_in={tongue: names for tongue, (names, _) in spoken.items()},
        names_in_origin={tongue: origin for tongue, (_, origin) in spoken.items()},
        **lists,
    )
    habit.done()
    prickles.done()
    entry.done()
    _check_page(entry, page)
    return page


def _names(entry: Entry, kind: str, taxa: tuple[str, ...]) -> dict[str, str]:
    if kind == "older_names" and kind not in entry:
        return {}
    table = entry.table(kind)
    found = {name: table.word(name, taxa) for name in table.unread()}
    if not found:
        entry.fail("must hold at least one name", key=kind)
    return found


def _names_in(entry: Entry, taxa: tuple[str, ...], sources: Sources) -> tuple[dict[str, str], Origin]:
    """Take what people of another tongue call the plants, and on whose word."""
    origin = sources.origin(entry)
    found = _names(entry, "names", taxa)
    entry.done()
    return found, origin


def _medium(entry: Entry, sources: Sources) -> tuple[dict[str, float], Origin, str]:
    table = entry.table("parts")
    parts = {name: table.number(name) for name in table.unread()}
    if not parts or min(parts.values()) <= 0:
        entry.fail("must hold at least one material, each with parts above nought", parts, "parts")
    entry.word("unit", ("parts by volume",))
    origin, note = sources.origin(entry), entry.optional_text("note")
    entry.done()
    return parts, origin, note


def _check_page(entry: Entry, page: Page) -> None:
    for name in LISTS:
        if name not in _MAY_BE_EMPTY and not getattr(page, name):
            entry.fail("must hold at least one statement", key=name)
    if page.hazards and not page.hazard_notes:
        entry.fail("must say in words what each hazard does", list(page.hazards), "hazard_notes")
    if page.prickles and "thorns" not in page.hazards:
        entry.fail("must name thorns where the plant has prickles", list(page.hazards), "hazards")


def _refuse_double_names(pages: Iterable[Page]) -> None:
    keys: dict[str, str] = {}
    names: dict[tuple[str, ...], tuple[str, str]] = {}
    for page in pages:
        file, where = f"{page.genus.lower()}.toml", f"page.{page.key}"
        if page.key in keys:
            raise HandbookError(file, where, f"must not use the key of a page of {keys[page.key]}", page.key)
        keys[page.key] = file
        # On one page the genus Hydrangea and the common name hydrangea may be one word for one thing.
        spoken = [item for names in page.names_in.values() for item in names.items()]
        for name, taxon in (*((taxon, taxon) for taxon in page.taxa), *page.taxon_of.items(), *spoken):
            stands_for = (page.key, taxon)
            other = names.setdefault(name_words(name), stands_for)
            if other != stands_for:
                rule = f"must not use a name that stands for {other[1]} on the page {other[0]}"
                raise HandbookError(file, where, rule, name)
