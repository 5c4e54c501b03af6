"""The three steps by which a phone comes to trust the garden's machine: fetch, compare, switch on."""

from __future__ import annotations

from slipwright.outputs.svg import Svg

WIDTH, HEIGHT = 160, 132


def trust_drawing(step: str, title: str) -> str:
    """Return the drawing of one step.

    Parameters
    ----------
    step : str
        ``fetch``: a certificate comes to the phone; ``compare``: its signs are held against those on the
        garden's machine; ``switch``: trust is switched on in the settings.
    title : str
        What it shows, for those who do not see it.

    Returns
    -------
    str
        An SVG drawing.

    References
    ----------
    Our own layout.

    Examples
    --------
    >>> "Trust it" in trust_drawing("switch", "Trust it")
    True
    """
    svg = Svg(WIDTH, HEIGHT, title, "trust-step")
    {"fetch": _fetch, "compare": _compare, "switch": _switch}[step](svg)
    return str(svg)


def _phone(svg: Svg, x: float) -> None:
    svg.part("rect", "d-sheet d-ink d-thick", x=x, y=6, width=66, height=120, rx=9)
    svg.line(x + 26, 14, x + 40, 14, "d-ink d-thick")


def _certificate(svg: Svg, x: float, y: float) -> None:
    """Draw a sheet with lines and a seal."""
    svg.part("rect", "d-inset d-ink d-line", x=x, y=y, width=44, height=34, rx=2)
    for i in (8, 14, 20):
        svg.line(x + 6, y + i, x + (38 if i < 20 else 22), y + i, "d-edge d-line")
    svg.path(f"M{x + 30} {y + 30}v13l4.500-3.500 4.500 3.500v-13z", "d-enamelfill")
    svg.circle(x + 34.5, y + 26, 7, "d-brass d-line")


def _fetch(svg: Svg) -> None:
    _phone(svg, 84)
    _certificate(svg, 95, 62)
    svg.path("M117 26v24M108 42l9 10 9-10", "d-enamel d-thick")
    svg.path("M10 108h52M16 108V72h40v36M24 84h24M24 92h24", "d-ink d-line")
    svg.path("M28 58a14 14 0 0 1 20 0M21 50a24 24 0 0 1 34 0", "d-enamel d-thick")
    svg.circle(38, 65, 3)


def _signs(svg: Svg, x: float, y: float, width: float) -> None:
    """Draw groups of four signs as short bars: only that they are alike is to be seen."""
    for row in range(3):
        for group, look in enumerate(("d-enamelfill", "d-solid", "d-madderfill")):
            place = (group + row) % 3
            svg.rect(x + place * width / 3, y + 12 * row, width / 3 - 5, 6, look)


def _compare(svg: Svg) -> None:
    svg.part("rect", "d-sheet d-ink d-thick", x=4, y=26, width=76, height=60, rx=3)
    svg.path("M42 86v14M22 102h40", "d-ink d-thick")
    _signs(svg, 14, 40, 60)
    _phone(svg, 90)
    _signs(svg, 99, 40, 52)
    svg.path("M108 96l10 10 20-20", "d-enamel d-thick")


def _switch(svg: Svg) -> None:
    _phone(svg, 47)
    for y in (30, 50, 96):
        svg.line(56, y, 86, y, "d-edge d-line")
        svg.circle(100, y, 3, "d-plate d-edge d-line")
    svg.part("rect", "d-brasswash", x=50, y=62, width=60, height=24)
    svg.line(56, 74, 78, 74, "d-ink d-thick")
    svg.part("rect", "d-enamelfill", x=84, y=67, width=24, height=14, rx=7)
    svg.circle(100, 74, 5, "d-sheet")
