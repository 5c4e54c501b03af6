"""The drawings and the words beside them on the page for sticking."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.text import capfirst
from django.utils.translation import gettext as _

from slipwright.craft.said import in_tongue
from slipwright.outputs.drawings import bend, cane, shoot
from slipwright.outputs.drawings.pots import PotFromAbove
from slipwright.outputs.measures import day_text, length_text
from slipwright.records.answers.stick_choices import Choices
from slipwright.records.answers.sticking import Number, ToStick
from slipwright.records.models import Container
from slipwright.web import ways
from slipwright.web.asked import whole_of
from slipwright.web.days import in_form
from slipwright.web.named import named
from slipwright.web.stages import firmness_words, stage_words


def said(known: ToStick, units: str) -> dict[str, Any]:
    """Return what the page says of the number, the bloom, the cuts and what to mind."""
    number, near = known.number, known.near_bloom
    lot = known.way_first
    found: dict[str, Any] = {
        "cautions_cut": known.cautions_at("cutting"),
        "cautions_dip": known.cautions_at("mixing", "dipping"),
        "cautions_cover": known.cautions_at("covering", "warming"),
        "dip_words": ways.hormone_in_words(lot),
        "stub_words": _stub(known, units),
        "size_words": _size_words(known, units),
        "seen_words": _seen(known),
        "number_words": "",
        "season_words": _season(known),
        "out_of_season_words": _out_of_season(known),
        "bloom_now": _of_ten(near.now) if near and near.now else "",
        "bloom_clear": _of_ten(near.clear) if near and near.clear else "",
    }
    if number and number.n_to_stick:
        found |= _number(number)
    return found


def _season(known: ToStick) -> str:
    """Say in words whether the wood of the answer is in season on the day asked about."""
    plan = known.plan
    if plan is None:
        return ""
    opening, on = plan.opening, known.advice.asked.on
    window, wood = opening.window, capfirst(str(ways.WOODS[opening.wood]))
    if opening.from_on > on:
        return _("%(wood)s is next, from about %(on)s.") % {"wood": wood, "on": day_text(opening.from_on)}
    said = {"wood": wood, "on": in_form(window.closes_on, "j M")}
    if window.sure_from and window.sure_to and window.sure_from <= on <= window.sure_to:
        return _("%(wood)s is surely in season, to about %(on)s.") % said
    return _("%(wood)s is near the edge of its season, to about %(on)s: bend the shoot to be sure.") % said


def _out_of_season(known: ToStick) -> str:
    """Say of the usual way that its wood is not in season, and which is, if any."""
    out = known.out_of_season
    if out is None:
        return ""
    words = {
        "wood": capfirst(str(ways.WOODS[out.wood])),
        "other": capfirst(str(ways.WOODS[out.another_now])) if out.another_now else "",
        "on": day_text(out.from_on) if out.from_on else "",
    }
    first = (
        _("The usual way takes wood out of season: %(wood)s is next from about %(on)s.")
        if out.from_on
        else _("The usual way takes wood out of season: %(wood)s.")
    )
    then = (
        _("%(other)s is in season, so the handbook’s way is chosen.")
        if out.another_now
        else _("No other wood is in season either.")
    )
    return f"{first} {then}" % words


def _number(number: Number) -> dict[str, Any]:
    want, n = number.need.want, number.n_to_stick
    words = _(
        "%(want)s, %(n)s wanted by %(on)s: %(short)s more rooted are needed. "
        "Stick %(stick)s for about %(promised)s."
    ) % {
        "short": number.need.n_short,
        "want": want.want,
        "n": want.n_wanted,
        "on": day_text(want.ready_by),
        "stick": n,
        "promised": in_tongue(tenths(number.p_reached or 0.0), _),
    }
    if number.need.survive < 1:
        words += " " + _("Not all live: about %(share)s rooted ones come to be %(as)s.") % {
            "share": in_tongue(tenths(number.need.survive), _),
            "as": named(want.ready_as),
        }
    rows = sorted([*number.others, (n, number.p_reached or 0.0)])
    return {
        "number_words": words,
        "wished": in_tongue(tenths(float(want.assurance)), _),
        "others": [(other, in_tongue(tenths(chance), _)) for other, chance in rows],
    }


def _size_words(known: ToStick, units: str) -> str:
    """Say how long a cutting the handbook takes, and on whose word."""
    plan = known.plan
    if plan is None:
        return ""
    leaf = plan.leaf
    size = leaf.length_mm
    length = length_text(size.low, size.high, first="us" if units == "us" else "metric")
    low, high = round(leaf.n_nodes.low), round(leaf.n_nodes.high)
    nodes = str(low) if low == high else _("%(low)s to %(high)s") % {"low": low, "high": high}
    return _("The handbook, for %(wood)s %(form)s: %(length)s, nodes: %(nodes)s. (%(origin)s)") % {
        "wood": ways.WOODS[leaf.wood],
        "form": ways.CUTTINGS[leaf.cutting],
        "length": in_tongue(length, _),
        "nodes": nodes,
        "origin": in_tongue(size.origin.words, _),
    }


def _seen(known: ToStick) -> str:
    """Say what was last seen and felt of the stock plant."""
    stock = known.stock
    if stock is None:
        return ""
    found = []
    if stock.bbch is not None and stock.bbch_on:
        found.append(
            _("%(on)s: %(stage)s.") % {"on": day_text(stock.bbch_on), "stage": stage_words(stock.bbch)}
        )
    felt = firmness_words(stock.firmness_tip, stock.firmness_mid, stock.firmness_base)
    if felt and stock.firmness_on:
        found.append(_("%(on)s, felt: %(felt)s.") % {"on": day_text(stock.firmness_on), "felt": felt})
    return " ".join(found)


def tenths(share: float) -> str:
    """Return a chance as so many in 10."""
    if share < 0.05:
        return _("under 1 in 10")
    if share > 0.95:
        return _("over 9 in 10")
    return _("%(n)s in 10") % {"n": round(share * 10)}


def _of_ten(points: tuple[float, float, float]) -> str:
    low, middle, high = (round(share * 10) for share in points)
    return _("%(middle)s (%(low)s to %(high)s)") % {"low": low, "middle": middle, "high": high}


def _stub(known: ToStick, units: str) -> str:
    if known.page is None:
        return ""
    stub = known.page.top_stub_mm
    length = length_text(stub.low, stub.high, first="us" if units == "us" else "metric")
    return _("%(genus)s: leave %(length)s of wood above the top bud. (%(origin)s)") % {
        "genus": known.page.genus,
        "length": in_tongue(length, _),
        "origin": in_tongue(stub.origin.words, _),
    }


def pictures(known: ToStick) -> dict[str, Any]:
    """Return the choices that carry a drawing: value, name, words under it, drawing."""
    spent = _("its bloom is over")
    if known.page and known.page.bloom.spent_cost.value < 1:
        spent = _("open; somewhat fewer root")
    return {
        "bends": [
            ("folds", _("Folds over"), _("too soft; wait a week"), bend.bent_shoot("folds")),
            ("snaps", _("Snaps clean"), _("softwood"), bend.bent_shoot("snaps")),
            ("springs", _("Springs back"), _("semi-hardwood"), bend.bent_shoot("springs")),
            ("stiff", _("Won’t bend"), _("hardwood, when dormant"), bend.bent_shoot("stiff")),
        ],
        "shoots": [
            ("vegetative", _("Vegetative"), _("best: no flower on it"), shoot.shoot_tip("vegetative")),
            ("spent", _("Spent"), spent, shoot.shoot_tip("spent")),
            ("budded", _("Budded"), _("refused: choose another"), shoot.shoot_tip("budded")),
            ("flowering", _("Flowering"), _("refused: choose another"), shoot.shoot_tip("flowering")),
        ],
        "forms": [
            ("piece", _("Piece"), _("of a shoot"), cane.form_of_cutting("piece")),
            ("tip", _("Tip"), _("keeps its tip"), cane.form_of_cutting("tip")),
            ("heel", _("Heel"), _("sliver of old wood"), cane.form_of_cutting("heel")),
            ("mallet", _("Mallet"), _("slice of old wood"), cane.form_of_cutting("mallet")),
            ("single-node", _("Single node"), _("one bud, one leaf"), cane.form_of_cutting("single-node")),
        ],
        "cane_svg": _cane(known),
        "n_more_pieces": max(len(known.cane.cuttings) - cane.MOST_PIECES, 0) if known.cane else 0,
    }


def pots(known: ToStick, choices: Choices, typed: Mapping[str, Any]) -> dict[str, Any]:
    """Return the pot of the way from above, and how far apart its cuttings stand."""
    lot = known.way_first
    named = str(typed.get("container") or lot.get("container") or "")
    n = str(typed.get("n_per_container") or lot.get("n_per_container") or "")
    found = next((one for one in choices.containers if one.container == named), None)
    each = whole_of(n)
    if found is None or not each:
        words = ways.pots_in_words({"container": named, "n_per_container": n})
        if words and known.usual is None and not typed.get("container") and not typed.get("n_per_container"):
            words = _("the handbook: %(pots)s") % {"pots": words}
        return {"pot_svg": "", "pot_words": words}
    pot = PotFromAbove(each, **_size(found))
    apart = pot.apart_mm
    said = _("%(n)s in a %(pot)s") % {"n": each, "pot": found.container}
    title = (
        said
        if apart is None
        else _("%(said)s, %(apart)s apart") % {"said": said, "apart": in_tongue(length_text(apart), _)}
    )
    return {"pot_svg": pot.svg(title), "pot_words": title}


def _size(container: Container) -> dict[str, Any]:
    def number(value: Any) -> float | None:
        return None if value is None else float(value)

    return {
        "width_mm": number(container.width_mm),
        "length_mm": number(container.length_mm),
        "volume_ml": number(container.volume_ml),
        "cells": container.cells,
    }


def _cane(known: ToStick) -> str:
    if known.cane is None or known.cane.form != "piece" or not known.cane.cuttings:
        return ""
    return cane.cane_apart(
        known.cane,
        tip_words=_("Tip: leave out"),
        base_words=_("Base: leave out"),
        top_cut_words=(_("Flat top"), _("above a bud")),
        base_cut_words=(_("Slant base"), _("below a node")),
        title=_("A shoot taken apart into cuttings, tip up"),
    )
