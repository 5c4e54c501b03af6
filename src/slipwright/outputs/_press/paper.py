"""Paper: a page measured in millimetres from its top left corner, written out as PDF.

The PDF holds no clock time, so the same data give the same bytes, and every font is embedded.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Final

from slipwright.craft.said import Said, in_tongue
from slipwright.outputs._press import palette
from slipwright.outputs._press.lines import line_width_mm
from slipwright.outputs._press.typeface import PT_PER_MM, Face, Run, font_name, typeset

A4_MM: Final = (210.0, 297.0)
LETTER_MM: Final = (215.9, 279.4)
PAPERS_MM: Final = {"a4": A4_MM, "letter": LETTER_MM}
HAIRLINE_PT: Final = 0.25
Point = tuple[float, float]


#: what readers call the language of a paper (BCP 47); each catalogue has its own
_LANGUAGE: Final = Said("en")


@dataclass(frozen=True)
class Printed:
    """A finished PDF, and whatever a person should be told about it."""

    pdf: bytes
    n_pages: int
    n_labels: int = 0
    warnings: tuple[str, ...] = ()


class Paper:
    """Pages of one size, drawn on in millimetres from the top left corner, y downwards."""

    def __init__(
        self,
        size_mm: tuple[float, float],
        *,
        title: str,
        subject: str = "",
        translate: Callable[[str], str] = str,
    ) -> None:
        self.width_mm, self.height_mm = size_mm
        self._out = io.BytesIO()
        from slipwright.outputs._press import ink

        self._ink = ink
        lang = in_tongue(_LANGUAGE, translate)
        self._canvas = ink.new_canvas(self._out, size_mm, title, subject, lang)
        self._top_pt = self.height_mm * PT_PER_MM
        self._forms: dict[str, str] = {}
        self._lost: dict[str, str] = {}
        self._notes: list[str] = []
        self._translate = translate
        self.n_pages = 0

    # -- what a person should know ------------------------------------------------------------

    def note(self, text: str) -> None:
        """Keep a warning, once."""
        if text not in self._notes:
            self._notes.append(text)

    def told(self, text: str) -> str:
        """Return words of a drawing in the tongue of the paper."""
        return in_tongue(text, self._translate)

    # -- text ---------------------------------------------------------------------------------

    def text(
        self, runs: Sequence[Run], x: float, y: float, size_pt: float, colour: str = palette.INK
    ) -> float:
        """Write one line with its baseline at y; returns where it ends [mm]."""
        self._canvas.setFillColor(self._ink.colour(colour))
        line = self._canvas.beginText(x * PT_PER_MM, self._up(y))
        for text, wished in runs:
            done = typeset(text, wished)
            if done.lost:
                self._lost[text] = done.lost
            for part, face in done.runs:
                line.setFont(font_name(face), size_pt)
                line.textOut(part)
        self._canvas.drawText(line)
        return x + line_width_mm(runs, size_pt)

    def text_right(
        self, runs: Sequence[Run], x: float, y: float, size_pt: float, colour: str = palette.INK
    ) -> None:
        """Write one line that ends at x."""
        self.text(runs, x - line_width_mm(runs, size_pt), y, size_pt, colour)

    def text_centred(
        self, runs: Sequence[Run], x: float, y: float, size_pt: float, colour: str = palette.INK
    ) -> None:
        """Write one line with its middle at x."""
        self.text(runs, x - line_width_mm(runs, size_pt) / 2, y, size_pt, colour)

    def plain(self, text: str, x: float, y: float, size_pt: float, face: Face = "regular") -> float:
        """Write one line in one face; returns where it ends [mm]."""
        return self.text([(text, face)], x, y, size_pt)

    # -- shapes -------------------------------------------------------------------------------

    def line(
        self,
        points: Sequence[Point],
        *,
        width_pt: float = 0.8,
        colour: str = palette.INK,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw a line through points; dash in points of length."""
        self.shape(points, stroke=colour, width_pt=width_pt, dash=dash, closed=False)

    def shape(
        self,
        points: Sequence[Point],
        *,
        fill: str | None = None,
        stroke: str | None = palette.INK,
        width_pt: float = 0.8,
        dash: Sequence[float] = (),
        closed: bool = True,
    ) -> None:
        """Draw a polygon, or an open line if not closed."""
        path = self._canvas.beginPath()
        path.moveTo(points[0][0] * PT_PER_MM, self._up(points[0][1]))
        for x, y in points[1:]:
            path.lineTo(x * PT_PER_MM, self._up(y))
        if closed:
            path.close()
        self._paint(path, fill, stroke, width_pt, dash)

    def strokes(
        self,
        pairs: Sequence[tuple[Point, Point]],
        *,
        width_pt: float = 0.8,
        colour: str = palette.INK,
        round_ends: bool = False,
    ) -> None:
        """Draw many short lines in one go; one without length is a dot where the ends are round."""
        path = self._canvas.beginPath()
        for (x1, y1), (x2, y2) in pairs:
            path.moveTo(x1 * PT_PER_MM, self._up(y1))
            path.lineTo(x2 * PT_PER_MM, self._up(y2))
        self._canvas.setLineCap(int(round_ends))
        self._paint(path, None, colour, width_pt, ())
        self._canvas.setLineCap(0)

    def curve(
        self,
        start: Point,
        parts: Sequence[tuple[Point, Point, Point]],
        *,
        fill: str | None = None,
        stroke: str | None = palette.INK,
        width_pt: float = 0.8,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw Bézier curves from start, each given by two handles and its end; closed if filled."""
        path = self._canvas.beginPath()
        path.moveTo(start[0] * PT_PER_MM, self._up(start[1]))
        for part in parts:
            path.curveTo(*(v for x, y in part for v in (x * PT_PER_MM, self._up(y))))
        if fill:
            path.close()
        self._paint(path, fill, stroke, width_pt, dash)

    def trace(
        self,
        steps: Sequence[tuple[str, tuple[Point, ...]]],
        *,
        fill: str | None = None,
        stroke: str | None = palette.INK,
        width_pt: float = 0.8,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw a path of moves "M", lines "L", Bézier curves "C" and closings "Z"."""
        path = self._canvas.beginPath()
        for kind, points in steps:
            flat = [v for x, y in points for v in (x * PT_PER_MM, self._up(y))]
            {"M": path.moveTo, "L": path.lineTo, "C": path.curveTo, "Z": path.close}[kind](*flat)
        self._paint(path, fill, stroke, width_pt, dash)

    def circle(
        self,
        x: float,
        y: float,
        r: float,
        *,
        fill: str | None = None,
        stroke: str | None = palette.INK,
        width_pt: float = 0.8,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw a circle of radius r about (x, y)."""
        path = self._canvas.beginPath()
        path.circle(x * PT_PER_MM, self._up(y), r * PT_PER_MM)
        self._paint(path, fill, stroke, width_pt, dash)

    def box(
        self,
        x: float,
        y: float,
        w: float,
        h: float,
        *,
        fill: str | None = None,
        stroke: str | None = palette.INK,
        width_pt: float = 0.8,
        corner: float = 0.0,
        dash: Sequence[float] = (),
    ) -> None:
        """Draw a rectangle from its top left corner."""
        path = self._canvas.beginPath()
        left, bottom = x * PT_PER_MM, self._up(y + h)
        if corner:
            path.roundRect(left, bottom, w * PT_PER_MM, h * PT_PER_MM, corner * PT_PER_MM)
        else:
            path.rect(left, bottom, w * PT_PER_MM, h * PT_PER_MM)
        self._paint(path, fill, stroke, width_pt, dash)

    def _paint(
        self, path: Any, fill: str | None, stroke: str | None, width_pt: float, dash: Sequence[float]
    ) -> None:
        if fill:
            self._canvas.setFillColor(self._ink.colour(fill))
        if stroke:
            self._canvas.setStrokeColor(self._ink.colour(stroke))
            self._canvas.setLineWidth(width_pt)
            self._canvas.setLineJoin(1)
            self._canvas.setDash(*((list(dash),) if dash else ()))
        self._canvas.drawPath(path, fill=int(bool(fill)), stroke=int(bool(stroke)))

    # -- whole drawings -----------------------------------------------------------------------

    def stamp(
        self, name: str, marks: Callable[[], str], size: int, x: float, y: float, side_mm: float
    ) -> None:
        """Place a drawing made of PDF marks on a square grid of ``size`` steps; kept once a name."""
        if name not in self._forms:
            self._forms[name] = f"stamp{len(self._forms)}"
            self._ink.keep_drawing(self._canvas, self._forms[name], marks(), size)
        step = side_mm * PT_PER_MM / size
        self._canvas.saveState()
        self._canvas.transform(step, 0, 0, step, x * PT_PER_MM, self._up(y + side_mm))
        self._canvas.setFillColor(self._ink.colour("#000000"))
        self._canvas.doForm(self._forms[name])
        self._canvas.restoreState()

    @contextmanager
    def turned(self, x: float, y: float, degrees: float) -> Iterator[None]:
        """Draw with the origin at (x, y), turned anticlockwise; restores the page afterwards."""
        kept = self._top_pt
        self._canvas.saveState()
        self._canvas.translate(x * PT_PER_MM, self._up(y))
        self._canvas.rotate(degrees)
        self._top_pt = 0.0
        yield
        self._canvas.restoreState()
        self._top_pt = kept

    @contextmanager
    def inside(self, points: Sequence[Point]) -> Iterator[None]:
        """Draw only within a polygon."""
        self._canvas.saveState()
        path = self._canvas.beginPath()
        path.moveTo(points[0][0] * PT_PER_MM, self._up(points[0][1]))
        for x, y in points[1:]:
            path.lineTo(x * PT_PER_MM, self._up(y))
        path.close()
        self._canvas.clipPath(path, stroke=0, fill=0)
        yield
        self._canvas.restoreState()

    def next_page(self) -> None:
        """End this page."""
        self._canvas.showPage()
        self.n_pages += 1

    def finish(self, n_labels: int = 0) -> Printed:
        """End the last page and write everything out."""
        self.next_page()
        self._ink.write_out(self._canvas)
        lost = tuple(
            f"no font holds {' '.join(chars)} in {text.strip()!r}: printed as the plain letter or as ?"
            for text, chars in self._lost.items()
        )
        return Printed(self._out.getvalue(), self.n_pages, n_labels, (*self._notes, *lost))

    def _up(self, y: float) -> float:
        return self._top_pt - y * PT_PER_MM
