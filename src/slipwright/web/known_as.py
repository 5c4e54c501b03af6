"""What people call a plant: the garden's own word, and the handbook's in the tongue of the page."""

from __future__ import annotations

from slipwright.handbook import load_handbook
from slipwright.web.tongue import tongue


def known_as(name: str, taxon: str) -> str:
    """Return a common name in the tongue of the page where it is the handbook's; else as it was written."""
    page = load_handbook().page_of(taxon) if name else None
    if page is None:
        return name
    known = {one.lower() for of in ("en", *page.names_in) for one in page.common_names_in(of)}
    here = page.common_names_in(tongue())
    if name.lower() not in known or name.lower() in (one.lower() for one in here):
        return name
    return next(iter(page.names_of(taxon, tongue())), "") or name
