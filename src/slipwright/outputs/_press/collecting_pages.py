"""The pages of a collecting sheet: how to cut, then the weeks with a row for each plant."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from slipwright.craft.days import day_in_words
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, all_in_tongue, in_tongue, joined
from slipwright.outputs._press.bundle_drawing import BUNDLE_MM, draw_bundle
from slipwright.outputs._press.collecting_words import CollectingSheet, CollectingWeek, Shoots
from slipwright.outputs._press.framed import refused_part, warned_part
from slipwright.outputs._press.grid import Column, GridHead, GridRow, wide_columns
from slipwright.outputs._press.paging import Pages
from slipwright.outputs._press.paper import Paper
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.sheet_head import name_line
from slipwright.outputs._press.sheet_parts import BesidePart, Part, StackPart
from slipwright.outputs._press.stem import Wood
from slipwright.outputs._press.typeface import Run
from slipwright.outputs._press.working_sheet import (
    FOOT_MM,
    MARGIN_MM,
    TitlePart,
    TurnedTitle,
    WeekHead,
    counted,
    nodes_text,
    step_part,
    weekday_text,
)
from slipwright.outputs.measures import day_text, length_text

_TEXT_PT: Final = 9.5
_STEP_PT: Final = 10.0
_NAME_PT: Final = 11.5
_FIGURE_PT: Final = 17.0


def columns_of_collecting(width_mm: float) -> tuple[Column, ...]:
    """Return the columns of a collecting sheet.

    Parameters
    ----------
    width_mm : float
        Width between the margins [mm].

    Returns
    -------
    tuple of Column
        Words first, then the boxes to write in.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> [one.is_box for one in columns_of_collecting(184.0)]
    [False, False, False, False, True, True, True]
    """
    columns = [
        Column(Said("Shoots"), 20.0),
        Column(Said("Bundles"), 25.0),
        Column(Said("For"), 49.0),
        Column(Said("Bring in by"), 25.0),
        Column(Said("Number cut"), 16.0, True),
        Column(Said("Brought in at"), 17.0, True),
        Column(Said("By whom"), 23.0, True),
    ]
    return wide_columns(columns, width_mm)


def sentence_of_collecting(sheet: CollectingSheet) -> str:
    """Return what a collecting sheet comes to.

    Parameters
    ----------
    sheet : CollectingSheet
        The sheet, with at least one week.

    Returns
    -------
    str
        Shoots, plants and weeks in a sentence.

    References
    ----------
    Our own wording.
    """
    first, last = sheet.weeks[0].week, sheet.weeks[-1].week
    rows = [shoots for week in sheet.weeks for shoots in week.shoots]
    n, plants = sum(one.n_shoots or 0 for one in rows), len({one.plant for one in rows})
    told = counted(n, Said("1 shoot"), Said("{n} shoots"))
    of = counted(plants, Said("1 plant"), Said("{n} plants"))
    if first == last:
        return Said(
            "{shoots} from {plants}, in the week of {day}.", shoots=told, plants=of, day=day_text(first)
        )
    days = Said("{first} to {last}", first=day_in_words(first, beside=last), last=day_text(last))
    return Said("{shoots} from {plants}, weeks of {days}.", shoots=told, plants=of, days=days)


@dataclass(frozen=True)
class _BundlePart:
    """The drawn bundle."""

    n_each: int
    wood: Wood
    tag: tuple[str, ...]

    @property
    def height_mm(self) -> float:
        return BUNDLE_MM[1]

    def draw(self, paper: Paper, x: float, top: float) -> None:
        draw_bundle(paper, x, top, self.n_each, self.wood, self.tag)


class Placing:
    """The sheet set on pages; its words are already in its tongue but for those made here."""

    def __init__(
        self, sheet: CollectingSheet, size_mm: tuple[float, float], translate: Callable[[str], str]
    ) -> None:
        self._sheet, self._translate = sheet, translate
        self._woods = dict(sheet.wood_words)
        self.pages = Pages(size_mm, MARGIN_MM, FOOT_MM)
        self._width = self.pages.width_mm
        self._columns = all_in_tongue(columns_of_collecting(self._width), translate)
        self._place_head()
        for week in sheet.weeks:
            self._place_week(week)

    def _told(self, text: str) -> str:
        return in_tongue(text, self._translate)

    def _place_head(self) -> None:
        title = self._told(Said("Collecting sheet"))
        sentence = paragraph(
            self._told(sentence_of_collecting(self._sheet)), size_pt=13, width_mm=self._width, face="bold"
        )
        self.pages.place(TitlePart(title, sentence, self._width), 4.0)
        self.pages.begins_with = lambda _: [(TurnedTitle(title, self._width), 2.0)]
        wood: Wood = next((one.wood for week in self._sheet.weeks for one in week.shoots), "semi-hardwood")
        tag = (Said("plant, wood"), Said("day, number"))
        bundle = _BundlePart(self._sheet.n_each, wood, tag)
        if not self._sheet.steps:
            self.pages.place(bundle)
            return
        wide = self._width - BUNDLE_MM[0] - 5.0
        steps = [step_part(i, step, wide, _STEP_PT) for i, step in enumerate(self._sheet.steps, start=1)]
        self.pages.place(BesidePart(((0.0, StackPart(tuple(steps), 0.6)), (wide + 5.0, bundle))), 4.0)

    def _place_week(self, week: CollectingWeek) -> None:
        title, head = (
            self._told(Said("Collecting sheet")),
            GridHead(self._columns, self._width, self._told(Said("No."))),
        )
        words = self._told(Said("Week of {day}", day=day_text(week.week)))
        rows = [self._row(one) for one in week.shoots]
        parts: list[Part] = []
        if week.refused:
            not_cut = self._told(Said("Not to be cut"))
            parts.append(refused_part(week.refused, not_cut, self._width, _TEXT_PT))
        if week.cautions:
            parts.append(warned_part(week.cautions, self._width, _TEXT_PT - 0.5))
        then = sum(part.height_mm + 2.0 for part in parts)
        then += head.height_mm + rows[0].height_mm if rows else 0.0
        self.pages.begins_with = lambda _: [(TurnedTitle(title, self._width), 2.0)]
        self.pages.place(WeekHead(words, self._sums(week), self._width), 2.0, then_mm=then)
        for part in parts:
            self.pages.place(part, 2.0 if rows or part is not parts[-1] else 6.0)
        if not rows:
            return
        self.pages.place(head, 0.0, then_mm=rows[0].height_mm)
        again = self._told(Said("{title}: week of {day}, continued", title=title, day=day_text(week.week)))
        self.pages.begins_with = lambda _: [(TurnedTitle(again, self._width), 2.0), (head, 0.0)]
        for row in rows[:-1]:
            self.pages.place(row, 0.0)
        self.pages.place(rows[-1], 6.0)

    def _sums(self, week: CollectingWeek) -> Paragraph:
        known = [one.n_shoots for one in week.shoots if one.n_shoots is not None]
        plants = counted(len({one.plant for one in week.shoots}), Said("1 plant"), Said("{n} plants"))
        parts = [
            counted(sum(known), Said("1 shoot"), Said("{n} shoots")) if known else "",
            plants if known else "",
        ]
        if any(one.n_shoots is None for one in week.shoots):
            parts.append(Said("of some no number is known: cut what gives the cuttings"))
        text = self._told(joined(parts, "; "))
        return paragraph(text, size_pt=10.5, width_mm=self._width)

    def _row(self, one: Shoots) -> GridRow:
        figure = self._told(plain(one.n_shoots, 0)) if one.n_shoots is not None else ""
        day = weekday_text(one.bring_in_by)
        texts = [figure, _bundles(one, self._sheet.n_each), self._for(one), day]
        looks: list[tuple[float, Literal["bold", "regular"]]] = [
            (_FIGURE_PT, "bold"),
            (11.0, "bold"),
            (_TEXT_PT, "regular"),
            (11.5, "bold"),
        ]
        cells = tuple(
            paragraph(self._told(text), size_pt=pt, width_mm=column.width_mm - 2.0, face=face, leading=1.18)
            for text, (pt, face), column in zip(texts, looks, self._columns, strict=False)
        )
        lead: list[Run] = [(one.plant, "bold")]
        if one.place:
            lead.append((f"  {one.place}", "regular"))
        lead += [("   ", "regular"), *name_line(one.name_runs, "regular")]
        if one.common_name:
            lead.append((f", {one.common_name}", "regular"))
        wide = sum(column.width_mm for column in self._columns if not column.is_box) - 2.0
        numbers = ", ".join(str(n) for n in one.numbers)
        return GridRow(
            paragraph(numbers, size_pt=10.0, width_mm=8.0, face="bold", leading=1.15),
            paragraph(lead, size_pt=_NAME_PT, width_mm=wide, leading=1.18),
            cells,
            self._columns,
            self._width,
        )

    def _for(self, one: Shoots) -> str:
        wood = self._woods.get(one.wood, one.wood)
        cuttings = counted(one.n_cuttings, Said("1 cutting"), Said("{n} cuttings"))
        size: Sequence[str] = ()
        if one.length_mm:
            size = [length_text(*one.length_mm, first=self._sheet.first)]
        if one.n_nodes:
            size = [*size, nodes_text(*one.n_nodes)]
        return joined([Said("{wood}, {cuttings}", wood=wood, cuttings=cuttings), *size], ", ")


def _bundles(one: Shoots, n_each: int) -> str:
    if one.n_shoots is None:
        return Said("as many as give the cuttings")
    full, over = divmod(one.n_shoots, n_each)
    parts = [Said("{n} of {each}", n=full, each=n_each)] if full else []
    return joined([*parts, *([Said("{n} of {each}", n=1, each=over)] if over else [])], " + ")
