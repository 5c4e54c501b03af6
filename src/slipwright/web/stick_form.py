"""What the form of a sticking sent, as the lots to be recorded."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from datetime import date
from typing import Any, cast

from django.utils.translation import gettext as _

from slipwright.records import words
from slipwright.records.answers.stick_choices import Choices
from slipwright.records.answers.sticking import FELT, ToStick, lot_of_way
from slipwright.records.canonical import Value
from slipwright.records.errors import BadValue
from slipwright.records.services import Lot
from slipwright.records.services.entry import id_beside
from slipwright.web.asked import Posted, told
from slipwright.web.way_shown import way_as_shown

PARTS = ("upper", "middle", "lower")


def lots_of(posted: Posted, known: ToStick, choices: Choices, today: date, *, is_kept: bool) -> list[Lot]:
    """Return the lots a form asks to keep; raise ``BadValue`` where a field is missing or wrong.

    ``is_kept`` says that the form was kept already and is sent once more.
    """
    graded = _graded(posted)
    cover = _cover_of_place(choices, posted.text("place"))
    said = _said(posted)
    base = _base(posted, known, choices, is_kept=is_kept)
    lot = lot_of_way(base, said, place_cover=cover) | {
        "taxon": known.taxon,
        "plant": known.plant,
        "stuck_on": posted.day("stuck_on") or today,
        "want": posted.text("want"),
        "note": posted.text("note"),
    }
    if not lot.get("wood"):
        felt = FELT.get(posted.text("firmness"), (0, ""))[1]
        if not felt:
            raise _no_wood()
        lot["wood"] = felt
    entry_id = server_id(posted)
    return [
        cast(Lot, lot | {"n_stuck": n, "part": part, "id": id_beside(entry_id, part) if i else entry_id})
        for i, (part, n) in enumerate(graded)
    ]


def missing(posted: Posted, choices: Choices) -> list[BadValue]:
    """Return what a form leaves empty that must be said: the number, the place, the wood."""
    found = []
    if not posted.text("n_stuck") and posted.text("grade") != "three":
        found.append(_no_number())
    if (choices.places or choices.far_places) and not posted.text("place"):
        found.append(_no_place())
    said = [posted.text(name) for name in ("way", "method", "wood", "firmness")]
    if not any(said) or (said[0] == "other" and not any(said[1:])):
        found.append(_no_wood())
    return found


def in_words(error: BadValue) -> dict[str, Any]:
    """Return what is wrong with the name of its field as the page has it."""
    return told(error, _labels())


def server_id(posted: Posted) -> str:
    """Return the id the form was given out with."""
    entry_id = posted.text("entry_id")
    try:
        return str(uuid.UUID(entry_id))
    except ValueError:
        raise BadValue("entry_id", _("the form is too old; open it again"), entry_id) from None


def _graded(posted: Posted) -> list[tuple[str, int]]:
    """Return part and number of each lot: one, or those of the graded three that hold any."""
    n = posted.whole("n_stuck")
    if posted.word("grade", ("one", "three")) == "three":
        counts = [(part, posted.whole(f"n_{part}") or 0) for part in PARTS]
        together = sum(count for _part, count in counts)
        if not together:
            raise BadValue("n_upper", _("say how many went into each lot"))
        if n is not None and n != together:
            rule = _("upper, middle and lower come to %(together)s, but %(n)s were stuck in all")
            raise BadValue("n_stuck", rule % {"together": together, "n": n})
        return [(part, count) for part, count in counts if count]
    if not n:
        raise _no_number()
    return [(posted.word("part", words.PARTS), n)]


def _base(posted: Posted, known: ToStick, choices: Choices, *, is_kept: bool) -> Mapping[str, Value]:
    way = posted.word("way", ("usual", "handbook", "other"))
    if way == "usual":
        return way_as_shown(posted, way, known.usual.lot if known.usual else {}, is_kept=is_kept)
    if way == "handbook":
        return way_as_shown(posted, way, known.by_handbook, is_kept=is_kept)
    method = posted.text("method")
    if not method:
        return {}
    found = dict(choices.methods).get(method)
    if found is None:
        raise BadValue("method", _("must be one of the choices"), method)
    return found


def _said(posted: Posted) -> dict[str, Value]:
    form = posted.word("auxin_form", words.AUXIN_FORMS)
    strength = posted.number("strength")
    unit = posted.word("strength_unit", ("mg/L", "mg/kg"))
    in_powder = unit == "mg/kg" or (not unit and form == "talc")
    said: dict[str, Any] = {
        "wood": posted.word("wood", words.WOODS),
        "cutting": posted.word("cutting", words.CUTTINGS),
        "shoot": posted.word("shoot", words.SHOOTS),
        "leaves": posted.word("leaves", words.LEAVES),
        "wound": posted.word("wound", words.WOUNDS),
        "n_nodes": posted.whole("n_nodes"),
        "length_mm": posted.number("length_mm"),
        "n_shoots": posted.whole("n_shoots"),
        "days_from_bloom": posted.signed("days_from_bloom"),
        "auxin": posted.word("auxin", words.AUXINS),
        "auxin_form": form,
        "auxin_mg_per_kg" if in_powder else "auxin_mg_per_l": strength,
        "dip_s": posted.number("dip_s"),
        "medium": posted.text("medium"),
        "cover": posted.word("cover", words.COVERS),
        "container": posted.text("container"),
        "n_per_container": posted.whole("n_per_container"),
        "place": posted.text("place"),
        "cut_on": posted.day("cut_on"),
        "stored": posted.word("stored", words.STORED),
        "minutes": posted.number("minutes"),
    }
    return said


def _cover_of_place(choices: Choices, place: str) -> str:
    places = (*choices.places, *choices.far_places)
    if places and not place:
        raise _no_place()
    return next((one.cover for one in places if one.place == place), "")


def _no_number() -> BadValue:
    return BadValue("n_stuck", _("say how many you stuck"))


def _no_place() -> BadValue:
    return BadValue("place", _("say where they stand"))


def _no_wood() -> BadValue:
    return BadValue("wood", _("choose the wood: bend a shoot, or choose another way"))


def _labels() -> dict[str, str]:
    return {
        "n_stuck": _("How many"),
        "anyway": _("Leave it this season"),
        "place": _("Place"),
        "wood": _("The wood"),
        "way": _("The way"),
        "method": _("The way"),
        "n_upper": _("Grade into lots"),
        "stuck_on": _("Day of sticking"),
        "cut_on": _("Day of cutting"),
        "n_nodes": _("Nodes on each"),
        "length_mm": _("Length"),
        "n_shoots": _("Shoots cut"),
        "dip_s": _("Seconds in the dip"),
        "strength": _("Strength"),
        "auxin_mg_per_l": _("Strength"),
        "auxin_mg_per_kg": _("Strength"),
        "n_per_container": _("How many to each"),
        "days_from_bloom": _("Days from bloom"),
        "ground": _("The ground"),
        "medium": _("Medium"),
        "container": _("Container"),
        "want": _("For the want"),
        "note": _("Note"),
        "entry_id": _("This form"),
        "minutes": _("Minutes it took"),
    }
