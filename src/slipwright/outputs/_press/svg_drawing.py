"""A drawing of the pages put on paper: the same lines, in the colours that print."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from html import unescape
from typing import Final

from slipwright.craft.errors import BadArgument
from slipwright.outputs._press import palette
from slipwright.outputs._press.paper import Paper, Point
from slipwright.outputs._press.typeface import PT_PER_MM, Face, text_width_mm

_ELEMENT: Final = re.compile(r"<(line|path|rect|circle|text)((?: [\w-]+=\"[^\"]*\")*)(?:/>|>([^<]*)</text>)")
_ATTRIBUTE: Final = re.compile(r' ([\w-]+)="([^"]*)"')
_SIZE: Final = re.compile(r'viewBox="0 0 ([\d.]+) ([\d.]+)"')
_PART: Final = re.compile(r"[A-Za-z]|-?\d+(?:\.\d*)?|-?\.\d+")
#: letters of a drawing in its own units
_LETTERS: Final = 13.5
_PAIRS: Final = {"M": 1, "L": 1, "T": 1, "Q": 2, "S": 2, "C": 3}


def _shown(svg: str) -> str:
    """Return a drawing without what it only defines."""
    first, *rest = svg.split("<defs>")
    return first + "".join(part.partition("</defs>")[2] for part in rest)


@dataclass(frozen=True)
class _Look:
    """How a shape is drawn; widths in units of the drawing."""

    fill: str | None = palette.INK
    stroke: str | None = None
    width: float = 1.0
    dash: tuple[float, ...] = ()


#: by class, in the order in which one overrules another
_CLASSES: Final[dict[str, dict[str, object]]] = {
    "d-ink": {"stroke": palette.INK, "fill": None},
    "d-edge": {"stroke": palette.EDGE, "fill": None},
    "d-hair": {"stroke": palette.HAIR, "fill": None},
    "d-thin": {"width": 1.0},
    "d-line": {"width": 1.7},
    "d-thick": {"width": 3.0},
    "d-dash": {"dash": (5.0, 4.0)},
    "d-sheet": {"fill": palette.SHEET},
    "d-inset": {"fill": palette.INSET},
    "d-plate": {"fill": palette.PLATE},
    "d-solid": {"fill": palette.INK},
    "d-brass": {"fill": palette.BRASS, "stroke": palette.INK},
    "d-brasswash": {"fill": palette.BRASSWASH},
    "d-enamel": {"stroke": palette.ENAMEL, "fill": None},
    "d-enamelfill": {"fill": palette.ENAMEL},
    "d-enamelwash": {"fill": palette.ENAMELWASH, "stroke": palette.ENAMEL},
    "d-enamelmid": {"fill": palette.ENAMELMID},
    "d-madder": {"stroke": palette.MADDER, "fill": None},
    "d-madderfill": {"fill": palette.MADDER},
    "d-mallow": {"stroke": palette.MALLOW, "fill": None},
    "d-mallowmid": {"fill": palette.MALLOWMID, "stroke": palette.MALLOW},
    "d-wood": {"fill": palette.WOOD, "stroke": palette.INK},
    "d-woodmid": {"fill": palette.WOODMID, "stroke": palette.INK},
    "d-woodsoft": {"fill": palette.WOODSOFT, "stroke": palette.INK},
}
_TEXT_COLOURS: Final = {
    "quiet": palette.INK2,
    "on-ink": palette.SHEET,
    "t-rooted": palette.ENAMEL,
    "t-lost": palette.MADDER,
    "t-waiting": palette.BRASSTEXT,
    "t-mallow": palette.MALLOW,
}


def drawing_size(svg: str) -> tuple[float, float]:
    """Return width and height of a drawing in its own units.

    Parameters
    ----------
    svg : str
        A drawing by `slipwright.outputs.svg.Svg`.

    Returns
    -------
    (float, float)
        Width and height [user units].

    Raises
    ------
    BadArgument
        If it is no such drawing.

    References
    ----------
    W3C Scalable Vector Graphics 2, section 8.6 (viewBox).

    Examples
    --------
    >>> from slipwright.outputs.svg import Svg
    >>> drawing_size(str(Svg(120, 80)))
    (120.0, 80.0)
    """
    found = _SIZE.search(svg)
    if not found:
        raise BadArgument("svg", "be a drawing with its size", svg[:40])
    return float(found[1]), float(found[2])


def draw_svg(
    paper: Paper, svg: str, x: float, top: float, width_mm: float, *, least_pt: float = 6.5
) -> float:
    """Draw a drawing of the pages, as wide as told.

    Parameters
    ----------
    paper : Paper
        The page.
    svg : str
        A drawing by `slipwright.outputs.svg.Svg`; its patterns are left out.
    x : float
        Left edge [mm].
    top : float
        Upper edge [mm].
    width_mm : float
        Its width [mm].
    least_pt : float
        Least size of its letters [pt].

    Returns
    -------
    float
        Foot of the drawing [mm].

    References
    ----------
    W3C Scalable Vector Graphics 2, sections 9 and 10 (paths and basic shapes); as much of them as our
    drawings use.
    """
    wide, high = drawing_size(svg)
    scale = width_mm / wide
    pen = _Pen(paper, x, top, scale, least_pt)
    for name, told, words in _ELEMENT.findall(_shown(svg)):
        attributes = {key: unescape(value) for key, value in _ATTRIBUTE.findall(told)}
        pen.draw(name, attributes, unescape(words))
    return top + high * scale


@dataclass(frozen=True)
class _Pen:
    """Puts shapes on the paper, scaled and moved."""

    paper: Paper
    x: float
    top: float
    scale: float
    least_pt: float

    def draw(self, name: str, told: dict[str, str], words: str) -> None:
        if name == "text":
            self._text(told, words)
            return
        look = _look_of(told.get("class", ""))
        if told.get("fill", "").startswith("url("):
            look = replace(look, fill=None)
        draw = {"line": self._line, "path": self._path, "rect": self._rect, "circle": self._circle}[name]
        draw(told, look)

    def _at(self, x: float, y: float) -> Point:
        return self.x + x * self.scale, self.top + y * self.scale

    def _line(self, told: dict[str, str], look: _Look) -> None:
        ends = (
            ("M", (self._at(float(told["x1"]), float(told["y1"])),)),
            (
                "L",
                (self._at(float(told["x2"]), float(told["y2"])),),
            ),
        )
        self._trace(ends, replace(look, fill=None))

    def _path(self, told: dict[str, str], look: _Look) -> None:
        steps = [
            (kind, tuple(self._at(*point) for point in points)) for kind, points in path_steps(told["d"])
        ]
        self._trace(tuple(steps), look)

    def _trace(self, steps: tuple[tuple[str, tuple[Point, ...]], ...], look: _Look) -> None:
        self.paper.trace(
            steps, fill=look.fill, stroke=look.stroke, width_pt=self._pt(look.width), dash=self._dash(look)
        )

    def _rect(self, told: dict[str, str], look: _Look) -> None:
        x, y = self._at(float(told["x"]), float(told["y"]))
        self.paper.box(
            x, y, float(told["width"]) * self.scale, float(told["height"]) * self.scale,
            fill=look.fill, stroke=look.stroke, width_pt=self._pt(look.width),
            corner=float(told.get("rx", 0)) * self.scale, dash=self._dash(look),
        )  # fmt: skip

    def _circle(self, told: dict[str, str], look: _Look) -> None:
        x, y = self._at(float(told["cx"]), float(told["cy"]))
        self.paper.circle(
            x, y, float(told["r"]) * self.scale,
            fill=look.fill, stroke=look.stroke, width_pt=self._pt(look.width), dash=self._dash(look),
        )  # fmt: skip

    def _text(self, told: dict[str, str], words: str) -> None:
        classes = told.get("class", "").split()
        face: Face = "bold" if "strong" in classes else "regular"
        size = max(_LETTERS * self.scale * PT_PER_MM, self.least_pt)
        x, y = self._at(float(told["x"]), float(told["y"]))
        colour = next((_TEXT_COLOURS[one] for one in classes if one in _TEXT_COLOURS), palette.INK)
        wide = text_width_mm(words, face, size)
        x -= wide / 2 if "mid" in classes else wide if "end" in classes else 0.0
        if "halo" in classes:
            tall = 0.7 * size / PT_PER_MM
            self.paper.box(x - 0.4, y - tall - 0.3, wide + 0.8, tall + 0.8, fill=palette.SHEET, stroke=None)
        self.paper.text([(words, face)], x, y, size, colour)

    def _pt(self, width: float) -> float:
        return max(width * self.scale * PT_PER_MM, 0.35)

    def _dash(self, look: _Look) -> tuple[float, ...]:
        return tuple(part * self.scale * PT_PER_MM for part in look.dash)


def _look_of(classes: str) -> _Look:
    named = classes.split()
    look = _Look()
    for name, changes in _CLASSES.items():
        if name in named:
            look = replace(look, **changes)  # type: ignore[arg-type]
    return look


def path_steps(d: str) -> list[tuple[str, tuple[Point, ...]]]:
    """Return a path as moves, lines, cubic curves and closings between absolute points.

    Parameters
    ----------
    d : str
        Path data of a drawing; arcs are not among what our drawings print.

    Returns
    -------
    list of (str, tuple of (float, float))
        "M", "L", "C" or "Z", with the points each takes [user units].

    Raises
    ------
    BadArgument
        If there is a command in it that is not known.

    References
    ----------
    W3C Scalable Vector Graphics 2, section 9.3 (path data); a quadratic curve is the cubic one whose
    handles lie two thirds of the way to its own.

    Examples
    --------
    >>> path_steps("M1 1h2v2z")
    [('M', ((1.0, 1.0),)), ('L', ((3.0, 1.0),)), ('L', ((3.0, 3.0),)), ('Z', ())]
    """
    return _PathReader(d).steps


class _PathReader:
    """Reads path data from left to right."""

    def __init__(self, d: str) -> None:
        self.parts = _PART.findall(d)
        self.place = 0
        self.here: Point = (0.0, 0.0)
        self.start: Point = (0.0, 0.0)
        self.handle: Point | None = None
        self.steps: list[tuple[str, tuple[Point, ...]]] = []
        kind = ""
        while self.place < len(self.parts):
            if self.parts[self.place].isalpha():
                kind = self.parts[self.place]
                self.place += 1
                if kind in "Zz":
                    self.steps.append(("Z", ()))
                    self.here, self.handle = self.start, None
                    continue
            self._take(kind, d)
            kind = {"M": "L", "m": "l"}.get(kind, kind)

    def _number(self) -> float:
        self.place += 1
        return float(self.parts[self.place - 1])

    def _point(self, is_relative: bool) -> Point:
        x, y = self._number(), self._number()
        return (self.here[0] + x, self.here[1] + y) if is_relative else (x, y)

    def _take(self, kind: str, d: str) -> None:
        upper, relative = kind.upper(), kind.islower()
        if upper in ("H", "V"):
            along = self._number()
            base = self.here if relative else (0.0, 0.0)
            to = (base[0] + along, self.here[1]) if upper == "H" else (self.here[0], base[1] + along)
            self._line(to)
            return
        if upper not in _PAIRS:
            raise BadArgument("d", "hold only moves, lines and curves", d[:40])
        points = [self._point(relative) for _ in range(_PAIRS[upper])]
        if upper == "M":
            self.steps.append(("M", (points[0],)))
            self.here = self.start = points[0]
            self.handle = None
        elif upper == "L":
            self._line(points[0])
        elif upper in ("Q", "T"):
            self._quadratic(points[0] if upper == "Q" else self._mirrored(), points[-1])
        else:
            first = self._mirrored() if upper == "S" else points[0]
            self.steps.append(("C", (first, points[-2], points[-1])))
            self.handle, self.here = points[-2], points[-1]

    def _mirrored(self) -> Point:
        if self.handle is None:
            return self.here
        return 2 * self.here[0] - self.handle[0], 2 * self.here[1] - self.handle[1]

    def _line(self, to: Point) -> None:
        self.steps.append(("L", (to,)))
        self.here, self.handle = to, None

    def _quadratic(self, handle: Point, to: Point) -> None:
        one, other = (
            (end[0] + 2 / 3 * (handle[0] - end[0]), end[1] + 2 / 3 * (handle[1] - end[1]))
            for end in (self.here, to)
        )
        self.steps.append(("C", (one, other, to)))
        self.handle, self.here = handle, to
