"""The handbook as a page to read: every value with its treatment, and on whose word it stands."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from slipwright.handbook._values import MONTHS
from slipwright.handbook.finding import Handbook
from slipwright.handbook.pages import Amount, Dose, Origin, Page, Range, Season, Spread, Statement, WoodLeaf
from slipwright.handbook.reading import LISTS

Lists = Mapping[str, tuple[Statement, ...]]

_HEADS = {
    "hazard_notes": "What may hurt",
    "stock_plant": "The stock plant",
    "collecting": "Collecting",
    "storing": "Storing",
    "hygiene": "Cleanliness",
    "winter": "Winter",
    "light": "Light, once planted",
    "water": "Water, once planted",
    "planting": "Planting out",
    "cutting_back": "Cutting back",
    "restricted": "Where the law limits it",
    "rights": "Rights",
    "notes": "Notes",
}
_POT_UP = {
    "at-once": "at once",
    "after-new-growth": "after new growth",
    "undisturbed-until-spring": "undisturbed until spring",
}
_COVERS = {
    "closed-bag": "a bag that may be tied",
    "loose-tent": "a loose tent, aired daily, never tied",
    "frame": "a cold frame or cool glass, never a tied bag",
    "none": "none",
}
_AUXINS = {"iba": "IBA", "naa": "NAA", "k-iba": "K-IBA", "k-naa": "K-NAA"}

_TONGUES = {"es": "Spanish"}

_OPENING = """\
# The handbook

What Slipwright knows before a garden has records of its own. This page is generated from the files in
`src/slipwright/handbook`; run `python -m slipwright.handbook` after changing one.

**How to read the figures.** "about 62 % (38 to 82)" means: as likely above 62 as below, and 8 times in 10
between 38 and 82. A figure without a range is a single published one. Where several rows say the same
thing differently, the sums use the first; the others stand beside it because they were published, and they
disagree.

**On whose word.** A number in square brackets is a published source, listed at the end. Else one of two
marks: *common practice, no source* (growers do it, and nobody's figures stand behind it here) or *from
memory* (a recalled figure, to be replaced when a source has been read).

**Names.** What people call a plant stands in English under `common_names` of its file, and in another
tongue under `common_names_es` (so far Spanish, with its source or mark); a plant answers to all of them.

**When.** Dates are the middles of edges that are weeks wide; the stage of the shoot decides. The southern
dates are the northern ones six months later.
"""


def handbook_markdown(handbook: Handbook) -> str:
    """Return the whole handbook as one Markdown page.

    Parameters
    ----------
    handbook : Handbook
        The handbook to print.

    Returns
    -------
    str
        Markdown: what holds for every plant, then the pages genus by genus, then the sources.

    References
    ----------
    The layout is our own; each value is printed with the source or mark it carries.

    Examples
    --------
    >>> from slipwright.handbook import load_handbook
    >>> handbook_markdown(load_handbook()).splitlines()[0]
    '# The handbook'
    """
    cite = _Citations()
    body = [*_every_plant(handbook, cite)]
    for genus in dict.fromkeys(page.genus for page in handbook.pages):
        body += _genus(handbook, genus, cite)
    return "\n".join([_OPENING, *_contents(handbook), *body, *cite.listed()]) + "\n"


class _Citations:
    """Numbers the sources in the order they are first named."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}

    def __call__(self, origin: Origin) -> str:
        if origin.mark:
            return f"*{origin.mark}*"
        numbers = [self._numbers.setdefault(one.text, len(self._numbers) + 1) for one in origin.sources]
        return " ".join(f"[[{number}]](#sources)" for number in numbers)

    def listed(self) -> Iterator[str]:
        yield "## Sources\n"
        for text, number in self._numbers.items():
            yield f"{number}. {text}{'' if text.endswith('?') else '.'}"


def _contents(handbook: Handbook) -> Iterator[str]:
    yield "**Pages.**\n"
    for page in handbook.pages:
        anchor = "".join(letter for letter in page.title.lower() if letter.isalnum() or letter in " -")
        yield f"- [{page.title}](#{anchor.replace(' ', '-')}): {_taxa(page)}"
    yield ""


def _taxa(page: Page) -> str:
    return ", ".join(f"*{taxon}*" for taxon in page.taxa)


def _every_plant(handbook: Handbook, cite: _Citations) -> Iterator[str]:
    yield "## For every plant\n"
    yield from _statement_lists(handbook.general, cite, level="###")


def _genus(handbook: Handbook, genus: str, cite: _Citations) -> Iterator[str]:
    pages = [page for page in handbook.pages if page.genus == genus]
    lists = [_own_lists(page, handbook.general) for page in pages]
    shared = {
        name: tuple(one for one in lists[0][name] if all(one in other[name] for other in lists))
        for name in LISTS
    }
    yield f"## Genus *{genus}*\n"
    for page, own in zip(pages, lists, strict=True):
        yield from _page(page, cite)
        yield from _statement_lists(_without(own, shared) if len(pages) > 1 else own, cite, level="####")
    if len(pages) > 1:
        yield f"### All of *{genus}*\n"
        yield from _statement_lists(shared, cite, level="####")


def _own_lists(page: Page, general: Lists) -> dict[str, tuple[Statement, ...]]:
    return _without({name: getattr(page, name) for name in LISTS}, general)


def _without(lists: Lists, others: Lists) -> dict[str, tuple[Statement, ...]]:
    return {
        name: tuple(one for one in found if one not in others.get(name, ())) for name, found in lists.items()
    }


def _statement_lists(lists: Lists, cite: _Citations, *, level: str) -> Iterator[str]:
    for name, head in _HEADS.items():
        if lists.get(name):
            yield f"{level} {head}\n"
            yield from _statements(lists[name], cite)
            yield ""


def _statements(statements: Iterable[Statement], cite: _Citations) -> Iterator[str]:
    for one in statements:
        woods = f" ({', '.join(one.woods)})" if one.woods else ""
        yield f"- {one.text}{woods} {cite(one.origin)}"


def _page(page: Page, cite: _Citations) -> Iterator[str]:
    yield f"### {page.title}\n"
    yield f"{page.summary}\n"
    yield f"- Answers for: {_taxa(page)}"
    yield f"- Called: {', '.join(page.common_names)}"
    for tongue, names in page.names_in.items():
        yield f"- Called in {_TONGUES[tongue]}: {', '.join(names)} {cite(page.names_in_origin[tongue])}"
    if page.synonyms:
        yield "- Older names: " + ", ".join(f"*{name}* (*{page.taxon_of[name]}*)" for name in page.synonyms)
    yield f"- Leaf: {page.leaf_habit}{_note(page.leaf_habit_note)} {cite(page.leaf_habit_origin)}"
    armed = "has prickles" if page.prickles else "no prickles"
    yield f"- Stems: {armed}{_note(page.prickles_note)} {cite(page.prickles_origin)}"
    yield f"- Top cut above the bud: {_range(page.top_stub_mm)} {cite(page.top_stub_mm.origin)}"
    parts = ", ".join(f"{name} {amount:g}" for name, amount in page.medium.items())
    yield f"- Medium, in parts by volume: {parts}{_note(page.medium_note)} {cite(page.medium_origin)}"
    if page.n_per_pot and page.pot_volume_l:
        pot = page.pot_volume_l
        yield (
            f"- To a pot of {pot.value:g} L{_note(pot.note)} {cite(pot.origin)}: "
            f"{_range(page.n_per_pot)} {cite(page.n_per_pot.origin)}"
        )
    if page.survive_percent:
        yield (
            f"- Survive: {_spread(page.survive_percent)} {page.survive_percent.treatment} "
            f"{cite(page.survive_percent.origin)}"
        )
    yield ""
    yield from _bloom(page, cite)
    for leaf in page.woods.values():
        yield from _wood(leaf, cite)


def _bloom(page: Page, cite: _Citations) -> Iterator[str]:
    rule = page.bloom
    yield "#### Bloom\n"
    how_often = "once a year" if rule.flowers == "once" else "again and again"
    yield f"- Flowers {how_often}: {_season(rule.bloom, cite)}"
    for words, gap in (
        ("before first flower", rule.gap_before_days),
        ("after last flower", rule.gap_after_days),
    ):
        yield f"- Keep clear {words}: {_amount(gap)} {cite(gap.origin)}"
    cost = rule.spent_cost
    yield f"- A spent shoot: odds of rooting times {cost.value:g}{_note(cost.note)} {cite(cost.origin)}"
    yield f"- Why: {rule.reason.text} {cite(rule.reason.origin)}"
    yield from _statements(rule.notes, cite)
    yield ""


def _wood(leaf: WoodLeaf, cite: _Citations) -> Iterator[str]:
    yield f"#### {leaf.wood.capitalize()}\n"
    for season in leaf.seasons:
        yield f"- When: {_season(season, cite)}"
    note = leaf.cutting_note
    if note:
        yield f"- Form: {leaf.cutting}; {note.text} {cite(note.origin)}"
    yield f"- Leaves {leaf.leaves}: {leaf.leaves_note.text} {cite(leaf.leaves_note.origin)}"
    if leaf.leafless_from and leaf.leafless_note:
        yield (
            f"- Leafless from {_day(leaf.leafless_from)} (south: {_day(_south(leaf.leafless_from))}): "
            f"{leaf.leafless_note.text} {cite(leaf.leafless_note.origin)}"
        )
    for one in leaf.cover:
        yield f"- Cover: {one.text} {cite(one.origin)}"
    yield f"- Kind of cover: {_COVERS[leaf.cover_kind]} {cite(leaf.cover_kind_origin)}"
    for change in leaf.cover_from:
        yield (
            f"- Kind of cover from {_day(change.day)} (south: {_day(_south(change.day))}): "
            f"{_COVERS[change.kind]}. {change.text} {cite(change.origin)}"
        )
    yield f"- Pot up {_POT_UP[leaf.pot_up]}: {leaf.pot_up_note.text} {cite(leaf.pot_up_note.origin)}"
    yield from _statements(leaf.notes, cite)
    yield "\n| what | how much | under what, and remarks | on whose word |\n|---|---|---|---|"
    for what, how_much, remarks, origins in _rows(leaf):
        yield f"| {what} | {how_much} | {remarks} | {'; '.join(map(cite, origins))} |"
    yield ""


def _rows(leaf: WoodLeaf) -> Iterator[tuple[str, str, str, list[Origin]]]:
    """Lay out the values of one wood, contradicting ones one under the other."""
    for what, spreads in (
        ("rooted", leaf.rooted_percent),
        ("lost", leaf.lost_percent),
        ("time to root", leaf.weeks_to_root),
        ("weaning", (leaf.weaning_days,)),
        ("to finished", (leaf.months_to_finished,)),
    ):
        for place, one in enumerate(spreads):
            remarks = "; ".join(part for part in (one.treatment, one.note) if part)
            yield what if place == 0 else f"{what}, beside it", _spread(one), remarks, [one.origin]
    patience = leaf.patience_days
    yield "patience", f"{patience.value:g} days", patience.note, [patience.origin]
    for place, length in enumerate((leaf.length_mm, *leaf.other_lengths_mm)):
        yield "length" if place == 0 else "length, beside it", _range(length), length.note, [length.origin]
    others = [("nodes", leaf.n_nodes), ("under the medium", leaf.buried), ("thickness", leaf.diameter_mm)]
    others += [("warmth of the medium", leaf.medium_c), ("light in a day", leaf.light_mol_m2_day)]
    for what, found in others:
        if found:
            yield what, _range(found), found.note, [found.origin]
    for dose in leaf.doses:
        seconds = [dose.seconds.origin] if dose.seconds and dose.seconds.origin != dose.origin else []
        yield "hormone", _dose(dose), dose.note, [dose.origin, *seconds]


def _dose(dose: Dose) -> str:
    if dose.form == "none":
        return "none"
    strength = f"{dose.low:g}" if dose.low == dose.high else f"{dose.low:g} to {dose.high:g}"
    lasting = f" for {_lasting(dose.seconds)}" if dose.seconds else ""
    return f"{dose.form.replace('-', ' ')}, {_AUXINS[dose.auxin]} {strength} {dose.unit}{lasting}"


def _lasting(seconds: Range) -> str:
    if seconds.low < 120:
        return _range(seconds)
    return _range(Range(seconds.low / 60, seconds.high / 60, "min", seconds.origin))


def _note(note: str) -> str:
    return f" ({note})" if note else ""


def _amount(amount: Amount) -> str:
    return f"{amount.value:g} {amount.unit}{_note(amount.note)}"


def _range(found: Range) -> str:
    numbers = f"{found.low:g}" if found.low == found.high else f"{found.low:g} to {found.high:g}"
    return f"{numbers} {'of the length' if found.unit == 'share' else found.unit}"


def _spread(spread: Spread) -> str:
    if spread.p10 == spread.p90:
        return f"{spread.p50:g} {spread.unit}"
    return f"about {spread.p50:g} {spread.unit} ({spread.p10:g} to {spread.p90:g})"


def _season(season: Season, cite: _Citations) -> str:
    north = f"{_day(season.opens)} to {_day(season.closes)}"
    south = f"{_day(_south(season.opens))} to {_day(_south(season.closes))}"
    return f"{season.stage}; north {north}, south {south} {cite(season.origin)}"


def _south(day: tuple[int, int]) -> tuple[int, int]:
    month = (day[0] + 5) % 12 + 1
    longest = {2: 28, 4: 30, 6: 30, 9: 30, 11: 30}.get(month, 31)
    return month, min(day[1], longest)


def _day(day: tuple[int, int]) -> str:
    return f"{day[1]} {MONTHS[day[0] - 1]}"
