"""One page of a year sheet: head, months on the brass rule, plants, key."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, timedelta
from typing import Final

from slipwright.craft.said import in_tongue
from slipwright.outputs._press import palette
from slipwright.outputs._press.lines import line_width_mm, wrapped
from slipwright.outputs._press.paper import Paper, Point
from slipwright.outputs._press.paragraphs import paragraph
from slipwright.outputs._press.sheet_head import name_line
from slipwright.outputs._press.signs import draw_notebook, draw_open_book
from slipwright.outputs._press.typeface import Run, text_width_mm, typographic
from slipwright.outputs._press.year_row import (
    DaysAcross,
    YearBar,
    bars_that_meet,
    draw_bar,
    draw_hump,
    draw_too_near,
    draw_word,
    humps_of,
    lanes_of,
    name_of_bloom,
)
from slipwright.outputs._press.year_told import YearRow, YearSheet
from slipwright.outputs.measures import day_text

#: rows are never higher than as if there were so many
LEAST_ROWS: Final = 9
MARGIN_MM: Final = 8.0
NAME_MM: Final = 57.0
RULE_MM: Final = 4.6
_HEAD_MM: Final = 25.5
_NAME_PT: Final = (12.5, 12.0, 11.5, 11.0, 10.5, 10.0, 9.5, 9.0, 8.5, 8.0)
_SECOND_PT: Final = (10.5, 10.0, 9.5, 9.0, 8.5, 8.0)


class YearPage:
    """One page: head, months on the brass rule, plants, key."""

    def __init__(
        self,
        paper: Paper,
        sheet: YearSheet,
        rows: Sequence[YearRow],
        size: tuple[float, float],
        turned: str,
        translate: Callable[[str], str],
    ) -> None:
        self.paper, self.sheet, self.rows, self.turned = paper, sheet, rows, turned
        self.left, self.right = MARGIN_MM, size[0] - MARGIN_MM
        self.foot = size[1] - MARGIN_MM
        first = date(sheet.year, 1, 1)
        start = self.left + NAME_MM
        self.days = DaysAcross(first, date(sheet.year, 12, 31), start, self.right - start)
        self.made = ""
        if sheet.made_on:
            said = sheet.words.made if any(row.own_records for row in sheet.rows) else sheet.words.made_book
            self.made = said.format(day=in_tongue(day_text(sheet.made_on), translate))
        self.notes = [
            line
            for note in sheet.notes
            for line in paragraph(note, size_pt=9, width_mm=self.right - self.left).lines
        ]
        self.key = self._key_lines()
        self.rows_top = MARGIN_MM + _HEAD_MM
        key_mm = 6.6 * len(self.key) + 4.4 * len(self.notes) + 1.5
        self.row_mm = (self.foot - key_mm - self.rows_top) / max(len(rows), LEAST_ROWS)

    def draw(self) -> None:
        """Draw it all."""
        self._head()
        foot = self.rows_top + self.row_mm * len(self.rows)
        for month in range(1, 13, 1):
            if month % 2 == 0:
                left, right = self._month(month)
                self.paper.box(left, self.rows_top, right - left, foot - self.rows_top,
                               fill=palette.INSET, stroke=None)  # fmt: skip
        for i, row in enumerate(self.rows):
            self._row(row, self.rows_top + i * self.row_mm)
        self._key(foot)

    # -- head ---------------------------------------------------------------------------------

    def _head(self) -> None:
        paper, top = self.paper, MARGIN_MM
        title: list[Run] = [(self.sheet.words.title.format(year=self.sheet.year), "bold")]
        paper.text(title, self.left, top + 6.2, 22)
        said = f"{self.sheet.garden}. " if self.sheet.garden else ""
        right = "   ".join(part for part in (self.turned, self.made) if part)
        made: list[Run] = [(right, "regular")]
        paper.text_right(made, self.right, top + 5.6, 9.5, palette.INK2)
        room = self.right - self.left
        line = wrapped([(said + self.sheet.words.bend, "regular")], size_pt=11, width_mm=room, max_lines=1)
        paper.text(line.lines[0], self.left, top + 12.4, 11, palette.INK2)
        rule = self.rows_top - RULE_MM
        paper.box(self.days.left_mm, rule, self.days.width_mm, RULE_MM, fill=palette.BRASS, width_pt=0.9)
        ticks: list[tuple[Point, Point]] = []
        for month in range(1, 13):
            left, right_mm = self._month(month)
            name: list[Run] = [(self.sheet.words.months[month - 1], "bold")]
            paper.text_centred(name, (left + right_mm) / 2, rule - 1.7, 11)
            first = date(self.sheet.year, month, 1)
            if month > 1:
                paper.line([(left, rule), (left, rule + RULE_MM)], width_pt=1.1)
            for week in (7, 14, 21, 28):
                day = first + timedelta(days=week)
                if day.month == month and day.day <= 29:
                    x = self.days.at(day)
                    ticks.append(((x, rule + 0.55 * RULE_MM), (x, rule + RULE_MM)))
        paper.strokes(ticks, width_pt=0.6)

    def _month(self, month: int) -> tuple[float, float]:
        year = self.sheet.year
        after = date(year + month // 12, month % 12 + 1, 1)
        return self.days.at(date(year, month, 1)), self.days.after(after - timedelta(days=1))

    # -- one plant ----------------------------------------------------------------------------

    def _row(self, row: YearRow, top: float) -> None:
        high = self.row_mm
        self._near(row, top, high)
        self._name(row, top, high)
        bars = [bar for bar in bars_that_meet(row.bars) if self.days.touches(bar)]
        humps = humps_of(row.bloom)
        split = bool(row.note) or _share_days(bars, humps)
        foot = top + high - 0.7
        n_lanes = max(lanes_of(bars), default=0) + 1
        share = 0.52 if n_lanes == 1 else 0.62 if n_lanes == 2 else 0.74  # of the row for its bars
        tall = (0.9 - share if split else 0.74) * high
        outlines = [[(self.days.at(day), foot - tall * p) for day, p in hump] for hump in humps]
        for outline in outlines:
            draw_hump(self.paper, outline, foot)
        area = (top + 1.0, share * high - 0.6) if split else (top + 0.2 * high, 0.6 * high)
        self._bars(bars, *area)
        bounds = (self.days.left_mm, self.right)
        for outline in outlines:
            name_of_bloom(self.paper, self.sheet.words.bars, outline, foot, bounds)
        if row.note:
            self._note(row.note, top, 0.52 * high if humps else high)
        edge = top + high
        self.paper.line([(self.left, edge), (self.right, edge)], width_pt=0.6, colour=palette.EDGE)

    def _near(self, row: YearRow, top: float, high: float) -> None:
        for first, last in row.too_near:
            left, right = self.days.at(first), self.days.after(last)
            if right - left > 0.3:
                draw_too_near(self.paper, left, top + 0.6, right - left, high - 1.2)

    def _bars(self, bars: Sequence[YearBar], top: float, high: float) -> None:
        lanes = lanes_of(bars)
        shared = [
            any(lanes[j] != lanes[i] and _overlap(bars[i], bars[j]) for j in range(len(bars)))
            for i in range(len(bars))
        ]
        n = max(lanes, default=0) + 1
        for bar, lane, is_shared in zip(bars, lanes, shared, strict=True):
            lane_mm = high / n if is_shared else min(high, 9.0)
            y = top + lane * high / n if is_shared else top + (high - lane_mm) / 2
            tall = lane_mm - (0.5 if is_shared else 0.0)
            left, right = self.days.at(bar.opens_on), self.days.after(bar.closes_on)
            draw_bar(self.paper, bar.wood, left, y, right - left, tall)
            draw_word(
                self.paper,
                self.sheet.words.bars[bar.wood],
                ((left + right) / 2, y + tall / 2),
                right - left,
                most_pt=min(10.5, tall * 2.05),
                wood=bar.wood,
                high_mm=tall,
                bounds=(self.days.left_mm, self.right),
            )

    def _note(self, note: str, top: float, high: float) -> None:
        room = self.days.width_mm - 8.0
        words = paragraph(note, size_pt=9, width_mm=room, face="regular")
        wide = max((line_width_mm(line, 9) for line in words.lines), default=0.0)
        y = top + (high - words.height_mm) / 2
        x = self.days.left_mm + 3.0
        self.paper.box(x, y - 0.4, wide + 3.0, words.height_mm + 0.8, fill=palette.SHEET, width_pt=0.7)
        words.draw(self.paper, x + 1.5, y)

    def _name(self, row: YearRow, top: float, high: float) -> None:
        room = NAME_MM - 10.0
        name, pt = _sized(name_line(row.name_runs), _NAME_PT, room)
        second, small = (
            _sized([(typographic(row.second), "bold")], _SECOND_PT, room) if row.second else ([], 0.0)
        )
        middle = top + high / 2
        if second:
            self.paper.text(name, self.left, middle - 0.7, pt)
            self.paper.text(second, self.left, middle + 0.38 * small + 0.4, small)
        else:
            self.paper.text(name, self.left, middle + 1.5, pt)
        sign = draw_notebook if row.own_records else draw_open_book
        sign(self.paper, self.left + NAME_MM - 5.2, middle)

    # -- key ----------------------------------------------------------------------------------

    def _key_lines(self) -> list[list[tuple[str, float]]]:
        """Return the parts of the key line by line, each with its place [mm]."""
        lines: list[list[tuple[str, float]]] = [[]]
        x = self.left
        for kind, words in self.sheet.words.key.items():
            wide = _swatch_mm(kind) + 1.5 + text_width_mm(words, "regular", 9)
            if lines[-1] and x + wide > self.right:
                lines.append([])
                x = self.left
            lines[-1].append((kind, x))
            x += wide + 2.6
        return lines

    def _key(self, top: float) -> None:
        paper = self.paper
        for n, line in enumerate(self.key):
            y = top + 2.0 + 6.6 * n
            for kind, x in line:
                wide = _swatch_mm(kind)
                if kind == "own":
                    draw_notebook(paper, x + 2.6, y + 2.3)
                elif kind == "book":
                    draw_open_book(paper, x + 3.4, y + 2.3)
                elif kind == "near":
                    draw_too_near(paper, x, y, wide, 4.6)
                    paper.box(x, y, wide, 4.6, stroke=palette.MALLOW, width_pt=0.8)
                elif kind == "bloom":
                    rise = (0.0, 0.35, 0.8, 1.0, 1.0, 0.8, 0.35, 0.0)
                    hump = [(x + wide * i / 7, y + 4.6 - 4.2 * p) for i, p in enumerate(rise)]
                    draw_hump(paper, hump, y + 4.6)
                else:
                    draw_bar(paper, kind, x, y, wide, 4.6)
                words: list[Run] = [(self.sheet.words.key[kind], "regular")]
                paper.text(words, x + wide + 1.5, y + 3.4, 9)
        y = top + 2.0 + 6.6 * len(self.key) + 2.4
        for row in self.notes:
            paper.text(row, self.left, y, 9, palette.INK2)
            y += 4.4


def _swatch_mm(kind: str) -> float:
    return {"own": 5.2, "book": 6.8}.get(kind, 8.0)


def _share_days(bars: Sequence[YearBar], humps: Sequence[Sequence[tuple[date, float]]]) -> bool:
    """Whether any bar lies on days on which bloom is drawn."""
    return any(
        bar.opens_on <= hump[-1][0] and bar.closes_on >= hump[0][0] for bar in bars for hump in humps if hump
    )


def _overlap(one: YearBar, other: YearBar) -> bool:
    return one.opens_on <= other.closes_on and other.opens_on <= one.closes_on


def _sized(runs: Sequence[Run], sizes: Sequence[float], room_mm: float) -> tuple[Sequence[Run], float]:
    """Return a line at the largest size that fits, cut at the smallest if it must be."""
    for size in sizes:
        if line_width_mm(runs, size) <= room_mm:
            return runs, size
    return wrapped(runs, size_pt=sizes[-1], width_mm=room_mm, max_lines=1).lines[0], sizes[-1]
