"""The pages that are looked at by machine and by eye: name, address, and who looks."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Page:
    """A page of the demonstration garden; ``{batch}`` and the like are filled in from it."""

    name: str
    address: str
    signed_in: bool = True
    on_phone: bool = False


PAGES = (
    Page("today", "/", on_phone=True),
    Page("look", "/batches/{batch}/look", on_phone=True),
    Page("pot-up", "/batches/{to_pot}/pot-up", on_phone=True),
    Page("pot-up-wait", "/batches/{to_wait}/pot-up", on_phone=True),
    Page("stick", "/stick?plant={plant}", on_phone=True),
    Page("stick-choose", "/stick", on_phone=True),
    Page("stick-refused", "/stick?plant={protected}", on_phone=True),
    Page("stuck", "/stick/done?b={batch}", on_phone=True),
    Page("batches", "/batches", on_phone=True),
    Page("batch", "/batches/{batch}", on_phone=True),
    Page("batch-ended", "/batches/{ended}"),
    Page("growing-on", "/growing-on"),
    Page("outcome", "/batches/{potted}/outcome"),
    Page("give-away-card", "/batches/{potted}/card"),
    Page("plants", "/plants"),
    Page("plant", "/plants/{plant}"),
    Page("plant-protected", "/plants/{protected}"),
    Page("wants", "/wants"),
    Page("places", "/rows/places"),
    Page("place", "/rows/places/row?key={place}"),
    Page("methods", "/rows/methods"),
    Page("method", "/rows/methods/row?key={method}"),
    Page("new-plant", "/rows/plants/new"),
    Page("labels", "/labels"),
    Page("search", "/search?q=rosa"),
    Page("garden", "/garden"),
    Page("one-pot", "/one-pot", signed_in=False),
    Page(
        "one-pot-answer",
        "/one-pot?plant=climbing+rose&on=2015-10-20&at=41,-72&want=5&have=tent&shoot=spent",
        signed_in=False,
    ),
    Page("sign-in", "/sign-in", signed_in=False),
)
