"""One thing of a season taken to be other than it is: what would happen then."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from slipwright.craft.said import Said
from slipwright.records.answers.programme.given import Given
from slipwright.records.errors import Refused
from slipwright.records.selectors import WantNow
from slipwright.records.selectors.programme import Room
from slipwright.records.words import COVERS

_BIG = 1_000_000
_MANY = 100_000
_FAR = timedelta(days=5 * 366)


def changed(given: Given, change: Mapping[str, Any]) -> Given:
    """Return what wants are met from with one thing changed; the same where nothing is.

    ``change`` is plain data with a ``kind`` and what that takes: ``room`` (``place``, and ``factor`` or
    ``more_m2``), ``hours`` (``more_h`` a week), ``shoots`` (``plant``, ``more``), ``want_n`` (``want``,
    ``n``), ``want_by`` (``want``, ``on``), ``want_assurance`` (``want``, ``p``), ``cover`` (``taxon``,
    ``cover``) or ``no_method`` (``method``). Refused where it names what is not there.
    """
    if not change:
        return given
    kind = str(change.get("kind", ""))
    if kind not in _KINDS:
        raise Refused(Said("There is no such change: {kind}", kind=kind))
    try:
        return _KINDS[kind](given, change)
    except Refused:
        raise
    except (KeyError, TypeError, ValueError) as error:
        raise Refused(Said("This change cannot be read: {kind}", kind=kind)) from error


def _room(given: Given, change: Mapping[str, Any]) -> Given:
    named = str(change["place"])
    mine = [one for one in given.rooms if named in (one.place, _word_of(one)) and one.room_m2 is not None]
    if not mine:
        raise Refused(Said("No room is written down for {place}", place=named))
    if "factor" in change:
        factor = _number(change["factor"], least=0.0)
        wider = {one.place: (one.room_m2 or 0.0) * factor for one in mine}
    else:
        # one place more, or more of one: which of them has it makes no difference
        wider = {mine[0].place: max((mine[0].room_m2 or 0.0) + _number(change["more_m2"]), 0.0)}
    rooms = [replace(one, room_m2=wider.get(one.place, one.room_m2)) for one in given.rooms]
    return replace(given, rooms=rooms)


def _word_of(room: Room) -> str:
    return "nursery" if room.kind == "nursery" else room.cover


def _hours(given: Given, change: Mapping[str, Any]) -> Given:
    more = _number(change["more_h"])
    if not given.hours:
        raise Refused(Said("No hours are written down: no limit is kept"))
    return replace(given, more_h=given.more_h + more)


def _shoots(given: Given, change: Mapping[str, Any]) -> Given:
    named, more = str(change["plant"]), int(_number(change["more"]))
    counted = {
        one.plant for of_taxon in given.plants.values() for one in of_taxon if one.n_may_go is not None
    }
    if named not in counted:
        together = named.split("; ")
        if not counted.issuperset(together):
            raise Refused(Said("Nobody counted the shoots of {plant}", plant=named))
        # of plants that are cut together, which of them has more makes no difference
        named = together[0]
    plants = {
        taxon: [
            replace(one, n_may_go=max((one.n_may_go or 0) + more, 0)) if one.plant == named else one
            for one in of_taxon
        ]
        for taxon, of_taxon in given.plants.items()
    }
    return replace(given, plants=plants)


def _want_n(given: Given, change: Mapping[str, Any]) -> Given:
    n = int(_number(change["n"], least=1, most=_MANY))
    return _with_want(given, change, lambda one: replace(one, n_wanted=n))


def _want_by(given: Given, change: Mapping[str, Any]) -> Given:
    day = date.fromisoformat(str(change["on"]))
    if not given.on <= day <= given.on + _FAR:
        raise Refused(Said("A want's day must lie within five years from today"))
    return _with_want(given, change, lambda one: replace(one, ready_by=day))


def _want_assurance(given: Given, change: Mapping[str, Any]) -> Given:
    p = _number(change["p"], least=0.0, most=1.0)
    return _with_want(given, change, lambda one: replace(one, assurance=Decimal(str(p))))


def _with_want(given: Given, change: Mapping[str, Any], edit: Callable[[WantNow], WantNow]) -> Given:
    named = str(change["want"])
    mine = next((one for one in given.wants if one.want == named), None)
    if mine is None:
        raise Refused(Said("There is no want called {want}", want=named))
    if mine.ready_by < given.on:
        raise Refused(Said("{want}: its day is past", want=named))
    wants: Sequence[WantNow] = [edit(one) if one is mine else one for one in given.wants]
    # as `selectors.wants` orders them
    wants = sorted(wants, key=lambda one: (one.ready_by, one.want))
    return replace(given, wants=wants, last_day=max(one.ready_by for one in wants))


def _cover(given: Given, change: Mapping[str, Any]) -> Given:
    taxon, cover = str(change["taxon"]), str(change["cover"])
    if taxon not in given.taxa:
        raise Refused(Said("There is no plant called {taxon}", taxon=taxon))
    if cover not in COVERS:
        raise Refused(Said("There is no such cover: {cover}", cover=cover))
    return replace(given, covers={**given.covers, taxon: cover})


def _no_method(given: Given, change: Mapping[str, Any]) -> Given:
    named = str(change["method"])
    ways = [one for one in given.ways if one.method != named]
    if len(ways) == len(given.ways):
        raise Refused(Said("There is no method called {method}", method=named))
    return replace(given, ways=ways)


def _number(value: Any, *, least: float = -_BIG, most: float = _BIG) -> float:
    number = float(value)
    if not (math.isfinite(number) and least <= number <= most):
        raise ValueError(value)
    return number


_KINDS: Mapping[str, Callable[[Given, Mapping[str, Any]], Given]] = {
    "room": _room,
    "hours": _hours,
    "shoots": _shoots,
    "want_n": _want_n,
    "want_by": _want_by,
    "want_assurance": _want_assurance,
    "cover": _cover,
    "no_method": _no_method,
}
