"""The pages of a crew sheet: week by week what to mix, the ways with their steps, and a row for each line."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from slipwright.craft.days import day_in_words
from slipwright.craft.figures import plain
from slipwright.craft.said import Said, all_in_tongue, in_tongue, joined
from slipwright.outputs._press.crew_words import CrewLine, CrewSheet, CrewWeek, Mix, Way
from slipwright.outputs._press.framed import refused_part, warned_part
from slipwright.outputs._press.grid import Column, GridHead, GridRow, wide_columns
from slipwright.outputs._press.paging import Pages
from slipwright.outputs._press.paragraphs import Paragraph, paragraph
from slipwright.outputs._press.sheet_head import name_line
from slipwright.outputs._press.sheet_parts import BesidePart, Part, StackPart, TextPart, shortest_cut
from slipwright.outputs._press.small_cutting import SMALL_MM
from slipwright.outputs._press.typeface import Face, Run
from slipwright.outputs._press.working_sheet import (
    FOOT_MM,
    MARGIN_MM,
    Load,
    TitlePart,
    TurnedTitle,
    WeekHead,
    counted,
    nodes_text,
    step_part,
    weekday_text,
)
from slipwright.outputs.measures import First, day_text, hours_text, length_text, one_volume_text, volume_text

_TEXT_PT: Final = 9.5
_NAME_PT: Final = 11.0
_FIGURE_PT: Final = 16.0
_STEP_PT: Final = 9.5
_BETWEEN_MM: Final = 5.0


def columns_of_crew(width_mm: float) -> tuple[Column, ...]:
    """Return the columns of a crew sheet.

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
    >>> [one.width_mm for one in columns_of_crew(184.0) if one.is_box]
    [16.0, 22.0]
    """
    columns = [
        Column(Said("Stick"), 17.0),
        Column(Said("On"), 24.0),
        Column(Said("Containers"), 31.0),
        Column(Said("Medium"), 22.0),
        Column(Said("Dip"), 17.0),
        Column(Said("Labels"), 14.0),
        Column(Said("Hours"), 15.5),
        Column(Said("Stuck"), 16.0, True),
        Column(Said("By whom"), 22.0, True),
    ]
    return wide_columns(columns, width_mm)


def sentence_of_crew(sheet: CrewSheet) -> str:
    """Return what a crew sheet comes to.

    Parameters
    ----------
    sheet : CrewSheet
        The sheet, with at least one week.

    Returns
    -------
    str
        Cuttings, batches and weeks in a sentence.

    References
    ----------
    Our own wording.
    """
    lines = [line for week in sheet.weeks for line in week.lines]
    cuttings = counted(sum(line.n_to_stick for line in lines), Said("1 cutting"), Said("{n} cuttings"))
    batches = counted(len(lines), Said("1 batch"), Said("{n} batches"))
    first, last = sheet.weeks[0].week, sheet.weeks[-1].week
    if first == last:
        day = day_text(first)
        return Said(
            "{cuttings} in {batches}, in the week of {day}.", cuttings=cuttings, batches=batches, day=day
        )
    days = Said("{first} to {last}", first=day_in_words(first, beside=last), last=day_text(last))
    return Said("{cuttings} in {batches}, weeks of {days}.", cuttings=cuttings, batches=batches, days=days)


class Placing:
    """The sheet set on pages; its words are already in its tongue but for those made here."""

    def __init__(
        self, sheet: CrewSheet, size_mm: tuple[float, float], translate: Callable[[str], str]
    ) -> None:
        self._sheet, self._translate = sheet, translate
        self.pages = Pages(size_mm, MARGIN_MM, FOOT_MM)
        self._width = self.pages.width_mm
        self._columns = all_in_tongue(columns_of_crew(self._width), translate)
        self._head = GridHead(self._columns, self._width, self._told(Said("No.")))
        self._title = self._told(Said("Crew sheet"))
        sentence = paragraph(
            self._told(sentence_of_crew(sheet)), size_pt=13, width_mm=self._width, face="bold"
        )
        self.pages.place(TitlePart(self._title, sentence, self._width), 4.0)
        for week in sheet.weeks:
            self._place_week(week)

    def _told(self, text: str) -> str:
        return in_tongue(text, self._translate)

    def _begin_with(self, words: str, *more: Part) -> None:
        """Say what further pages begin with."""
        title = TurnedTitle(words, self._width)
        self.pages.begins_with = lambda _: [(title, 2.0), *((part, 0.0) for part in more)]

    def _place_week(self, week: CrewWeek) -> None:
        day = day_text(week.week)
        words = self._told(Said("Week of {day}", day=day))
        parts: list[Part] = []
        if week.refused:
            heading = self._told(Said("Not to be multiplied"))
            parts.append(refused_part(week.refused, heading, self._width, _TEXT_PT))
        if week.mixes:
            parts.append(TextPart(self._mixes(week)))
        if week.mixing_cautions:
            parts.append(warned_part(week.mixing_cautions, self._width, _TEXT_PT - 0.5))
        then = sum(part.height_mm + 2.0 for part in parts)
        then += self._way_mm(week.ways[0]) if week.ways else 0.0
        self._begin_with(self._title)
        self.pages.place(WeekHead(words, self._sums(week), self._width, self._load(week)), 2.0, then_mm=then)
        again = self._told(Said("{title}: week of {day}, continued", title=self._title, day=day))
        for part in parts:
            self.pages.place(part, 2.0 if week.ways or part is not parts[-1] else 6.0)
        for way in week.ways:
            self._begin_with(again)
            self._place_way(way, again)

    def _way_mm(self, way: Way) -> float:
        """Height of the steps of a way and its first line [mm]."""
        return self._steps(way).height_mm + 1.5 + self._head.height_mm + self._row(way.lines[0]).height_mm

    def _place_way(self, way: Way, again: str) -> None:
        rows = [self._row(line) for line in way.lines]
        first = self._head.height_mm + rows[0].height_mm
        self.pages.place(self._steps(way), 1.5, then_mm=first)
        self.pages.place(self._head, 0.0, then_mm=rows[0].height_mm)
        title = paragraph(way.title, size_pt=11.5, width_mm=self._width, face="bold")
        self._begin_with(again, TextPart(title), self._head)
        for row in rows[:-1]:
            self.pages.place(row, 0.0)
        self.pages.place(rows[-1], 5.0)

    def _steps(self, way: Way) -> StackPart:
        """Return title and steps of a way, its cutting drawn on the right, where the eye looks for it."""
        title = TextPart(paragraph(way.title, size_pt=13.0, width_mm=self._width, face="bold"))
        drawn = SMALL_MM[0] + _BETWEEN_MM if way.cutting else 0.0
        whole = self._width - drawn
        wide = whole if len(way.steps) == 1 else (whole - _BETWEEN_MM) / 2
        steps = [step_part(i, step, wide, _STEP_PT) for i, step in enumerate(way.steps, start=1)]
        cut = shortest_cut(steps)
        columns: list[tuple[float, Part]] = [
            (0.0, StackPart(tuple(steps[:cut]), 0.0)),
            (wide + _BETWEEN_MM, StackPart(tuple(steps[cut:]), 0.0)),
        ]
        if way.cutting:
            columns.append((self._width - SMALL_MM[0], way.cutting))
        return StackPart((title, BesidePart(tuple(columns))), 1.0)

    def _load(self, week: CrewWeek) -> Load | None:
        if week.hours is None or week.hours_room is None:
            return None
        words = Said(
            "{hours} of the crew's {room}", hours=hours_text(week.hours), room=hours_text(week.hours_room)
        )
        return Load(week.hours, week.hours_room, self._told(words))

    def _sums(self, week: CrewWeek) -> Paragraph:
        lines, first = week.lines, self._sheet.first
        hours = sum(line.hours or 0.0 for line in lines)
        dip = sum(line.dip_ml or 0.0 for line in lines)
        litres = sum(line.litres or 0.0 for line in lines)
        parts = [
            counted(sum(line.n_to_stick for line in lines), Said("1 cutting"), Said("{n} cuttings")),
            counted(sum(line.n_containers for line in lines), Said("1 container"), Said("{n} containers")),
            Said("{litres} of medium", litres=volume_text(litres, first=first)) if litres else "",
            Said("{ml} of dip", ml=volume_text(dip / 1000, first=first)) if dip else "",
            counted(sum(line.n_labels for line in lines), Said("1 label"), Said("{n} labels")),
            Said("{hours} of sticking", hours=hours_text(hours)) if hours else "",
        ]
        if week.hours is not None and week.hours_room is None:
            parts.append(Said("{hours} in all", hours=hours_text(week.hours)))
        wide = self._width - (60.0 if self._load(week) else 0.0)
        text = self._told(joined(parts, "; ")) if lines else ""
        return paragraph(text, size_pt=10.0, width_mm=wide)

    def _mixes(self, week: CrewWeek) -> Paragraph:
        runs: list[Run] = [(self._told(Said("Mix for the week:")) + " ", "bold")]
        for k, mix in enumerate(week.mixes):
            litres = volume_text(mix.litres, first=self._sheet.first)
            each = [
                Said("{volume} of {part}", volume=one_volume_text(n, units=self._sheet.first), part=name)
                for name, n in mix.parts
            ]
            parts = joined(each, ", ")
            named = joined([mix.medium, litres], ", ") if mix.medium else litres
            words = named
            if _settles(mix):
                words = Said("{mix} once settled, of loose parts: {parts}", mix=named, parts=parts)
            elif parts:
                words = Said("{mix}: {parts}", mix=named, parts=parts)
            runs.append((("; " if k else "") + self._told(words), "regular"))
        runs.append((".", "regular"))
        return paragraph(runs, size_pt=10.0, width_mm=self._width)

    def _row(self, line: CrewLine) -> GridRow:
        first = self._sheet.first
        pots = Said(
            "{n} × {container}, {each} in each",
            n=plain(line.n_containers, 0),
            container=line.container or Said("container"),
            each=line.n_per_container,
        )
        looks: list[tuple[str, float, Face]] = [
            (plain(line.n_to_stick, 0), _FIGURE_PT, "bold"),
            (weekday_text(line.day), 10.5, "bold"),
            (pots, _TEXT_PT, "regular"),
            (_volume(line.litres, first), 11.0, "bold"),
            self._dip(line),
            (plain(line.n_labels, 0), 11.0, "bold"),
            ("–" if line.hours is None else hours_text(line.hours), 10.5, "bold"),
        ]
        cells = tuple(
            paragraph(self._told(text), size_pt=pt, width_mm=column.width_mm - 2.0, face=face, leading=1.18)
            for (text, pt, face), column in zip(looks, self._columns, strict=False)
        )
        wide = sum(column.width_mm for column in self._columns if not column.is_box) - 2.0
        return GridRow(
            paragraph(str(line.number), size_pt=11.0, width_mm=8.0, face="bold", leading=1.15),
            paragraph(self._lead(line), size_pt=_NAME_PT, width_mm=wide, leading=1.2),
            cells,
            self._columns,
            self._width,
        )

    def _dip(self, line: CrewLine) -> tuple[str, float, Face]:
        if line.dip_ml is None and line.hormone:
            return line.hormone, _TEXT_PT, "regular"
        ml = None if line.dip_ml is None else line.dip_ml / 1000
        return _volume(ml, self._sheet.first), 11.0, "bold"

    def _lead(self, line: CrewLine) -> list[Run]:
        """Return the line over the cells: what it is, how long, from which plant, for which want."""
        name = name_line(line.name_runs)
        size = [length_text(*line.length_mm, first=self._sheet.first)] if line.length_mm else []
        if line.n_nodes:
            size.append(nodes_text(*line.n_nodes))
        plant = Said("from {plant}", plant=line.plant) if line.plant else ""
        want = Said("for {want}", want=line.want) if line.want else ""
        more = joined([line.common_name, joined(size, ", "), plant, want], "; ")
        return [*name, ("  " + self._told(more), "regular")] if more else name


def _settles(mix: Mix) -> bool:
    """Return whether the parts of a medium are more, told apart, than what they come to."""
    return sum(n for _, n in mix.parts) > 1.01 * mix.litres


def _volume(litres: float | None, first: First) -> str:
    """Return a volume in one measure, for a narrow column; the sums of the week give both."""
    return "–" if litres is None else one_volume_text(litres, units=first)
