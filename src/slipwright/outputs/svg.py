"""Writing a drawing as SVG: classes for looks, never a style, every word escaped."""

from __future__ import annotations

from html import escape


class Svg:
    """A drawing that grows part by part and is told in words to those who do not see it.

    Parameters
    ----------
    width : float
        Width of the drawing [user units, px at 1:1].
    height : float
        Height of the drawing [user units, px at 1:1].
    title : str
        What it shows, in a sentence; empty for one that only repeats the words beside it.
    kind : str
        Further classes of the drawing.
    """

    def __init__(self, width: float, height: float, title: str = "", kind: str = "") -> None:
        self.width = width
        self.height = height
        self.title = title
        self.kind = kind
        self._parts: list[str] = []

    def part(self, name: str, look: str = "", **attributes: float | str) -> None:
        """Add an element; ``stroke_width`` in an attribute's name is written ``stroke-width``."""
        told = "".join(
            f' {key.replace("_", "-")}="{_figure(value)}"' for key, value in attributes.items() if value != ""
        )
        look = f' class="{escape(look)}"' if look else ""
        self._parts.append(f"<{name}{look}{told}/>")

    def line(self, x1: float, y1: float, x2: float, y2: float, look: str = "d-ink d-line") -> None:
        """Add a straight line."""
        self.part("line", look, x1=x1, y1=y1, x2=x2, y2=y2)

    def path(self, d: str, look: str = "d-ink d-line") -> None:
        """Add a path."""
        self.part("path", look, d=d)

    def through(
        self, points: list[tuple[float, float]], look: str = "d-ink d-line", *, closed: bool = False
    ) -> None:
        """Add straight lines through points."""
        if points:
            d = "M" + "L".join(f"{_figure(x)} {_figure(y)}" for x, y in points)
            self.path(d + "Z" * closed, look)

    def rect(self, x: float, y: float, width: float, height: float, look: str = "d-sheet") -> None:
        """Add a rectangle."""
        self.part("rect", look, x=x, y=y, width=width, height=height)

    def circle(self, cx: float, cy: float, r: float, look: str = "d-solid") -> None:
        """Add a circle."""
        self.part("circle", look, cx=cx, cy=cy, r=r)

    def text(self, x: float, y: float, words: str, look: str = "") -> None:
        """Add words; ``mid`` and ``end`` in ``look`` set where ``x`` lies in them."""
        look = f' class="{escape(look)}"' if look else ""
        self._parts.append(f'<text{look} x="{_figure(x)}" y="{_figure(y)}">{escape(words)}</text>')

    def pattern(self, name: str, size: float, inside: str, turn: float = 0.0) -> None:
        """Define a texture, to be used as ``fill="url(#name)"``; ``inside`` is SVG written by us."""
        turned = f' patternTransform="rotate({_figure(turn)})"' if turn else ""
        self._parts.insert(
            0,
            f'<defs><pattern id="{escape(name)}" width="{_figure(size)}" height="{_figure(size)}" '
            f'patternUnits="userSpaceOnUse"{turned}>{inside}</pattern></defs>',
        )

    def __str__(self) -> str:
        """Return the drawing."""
        kind = f"drawing {self.kind}".strip()
        told = f' role="img" aria-label="{escape(self.title)}"' if self.title else ' aria-hidden="true"'
        return (
            f'<svg class="{escape(kind)}" viewBox="0 0 {_figure(self.width)} {_figure(self.height)}"'
            f'{told} focusable="false">{"".join(self._parts)}</svg>'
        )


def _figure(value: float | str) -> str:
    if isinstance(value, str):
        return escape(value)
    return f"{value:.2f}".rstrip("0").rstrip(".") or "0"
