"""What a way of making cuttings is called on the crew sheet."""

from __future__ import annotations

from slipwright.records.answers.programme.steps import title_of_way

WAY = {"wood": "softwood", "cutting": "tip", "cover": "tent", "method": "Currant, softwood"}


def test_the_places_of_its_cover_are_named_where_they_are_known() -> None:
    named = title_of_way(WAY, {"tent": "Tent 1, Shelf", "mist": "North bench"})
    assert named == "Softwood tip cuttings, under a tent or bag (Tent 1, Shelf), method Currant, softwood"
    for places in ({}, {"tent": ""}):
        assert title_of_way(WAY, places).startswith("Softwood tip cuttings, under a tent or bag, method")
