"""A QR symbol as SVG, for a page: dark on light in every theme, or it is not read."""

from __future__ import annotations

from slipwright.outputs.qr import QUIET_MODULES, qr_symbol
from slipwright.outputs.svg import Svg


def qr_drawing(text: str, title: str) -> str:
    """Return the QR symbol of a text, its quiet zone included.

    Parameters
    ----------
    text : str
        What the symbol holds.
    title : str
        What it is, for those who do not see it.

    Returns
    -------
    str
        An SVG drawing of one user unit a module; its class ``qr-N`` says how many units it is wide, so that
        a page shows each module on whole dots.

    References
    ----------
    ISO/IEC 18004:2015, 5.3.8 (quiet zone).

    Examples
    --------
    >>> "qr-29" in qr_drawing("K7Q2M9T3", "QR code of the label")
    True
    """
    symbol = qr_symbol(text)
    side = symbol.n_modules + 2 * QUIET_MODULES
    svg = Svg(side, side, title, f"qr qr-{side}")
    svg.part("rect", "qr-light", width=side, height=side)
    d = "".join(
        f"M{x + QUIET_MODULES} {y + QUIET_MODULES}h{w}v{h}h-{w}z" for x, y, w, h in symbol.rectangles()
    )
    svg.part("path", "qr-dark", d=d, shape_rendering="crispEdges")
    return str(svg)
