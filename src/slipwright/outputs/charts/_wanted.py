"""The mark of what is wanted, the same in every drawing."""

from __future__ import annotations

from slipwright.outputs.svg import Svg


def flag(svg: Svg, x: float, top: float, foot: float) -> None:
    """Draw a flag on a stick from ``top`` to ``foot`` at ``x``."""
    svg.line(x, top + 2, x, foot, "d-halo")
    svg.line(x, top, x, foot, "d-ink d-thick")
    svg.path(f"M{x - 6:.1f} {top:.1f}h12l-6 7z", "d-solid")
