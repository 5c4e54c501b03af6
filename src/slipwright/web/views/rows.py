"""The rows of a garden: places, ways, pots, media, kinds, plants, people; and what is wanted."""

from __future__ import annotations

from datetime import date
from typing import Any
from urllib.parse import urlencode

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from slipwright.handbook import load_handbook
from slipwright.records import roles, selectors
from slipwright.records.answers.air import air_of_places
from slipwright.records.answers.wanted import wanted_of
from slipwright.records.canonical import Value
from slipwright.records.columns import Table, table_named
from slipwright.records.errors import BadValue, ChangedSince, NotFound, Refused, UnknownRow
from slipwright.records.services import add_reference, edit_reference
from slipwright.web.asked import Posted
from slipwright.web.membership import GardenRequest, access
from slipwright.web.planned_shown import planned_shown
from slipwright.web.row_form import SEEN, carried, fields_of, key_of, read_row, seen, shown, texts_of
from slipwright.web.row_labels import TABLES, label_of
from slipwright.web.saved import remember
from slipwright.web.sure import require_sure
from slipwright.web.views.readings import shown_air

_GOVERNED = ("garden", "members")
#: where a row is shown once it is saved, if not in the list of its table
_OWN_PAGES = {"wants": "wants"}


@require_GET
@access("member")
def wants(request: GardenRequest) -> HttpResponse:
    """Show what is wanted, how far it has come, and how many more to stick."""
    found = wanted_of(request.garden, load_handbook(), on=request.today)
    wanted = sorted(
        (one for one in found if one.state != "past"),
        key=lambda one: max(one.stick_from or date.max, request.today),
    )
    planned = {one.need.want.want: planned_shown(one.planned) for one in wanted if one.planned}
    context = {
        "wanted": wanted,
        "past": [one for one in found if one.state == "past"],
        "planned_wants": planned,
        "planned_on": request.garden.plan.on if request.garden.plan else None,
    }
    return render(request, "web/wants.html", context)


@require_GET
@access("member")
def rows(request: GardenRequest, table: str) -> HttpResponse:
    """Show the rows of a table, each with its main columns."""
    what = _table(table)
    if table == "garden":
        return redirect("row", table)
    listed = [
        {"name": " ".join(key_of(what, row)), "address": _address(what, row), "facts": _facts(table, row)}
        for row in selectors.reference_rows(request.garden, table)
    ]
    return render(request, "web/rows.html", _context(request, table, listed=listed))


@require_http_methods(["GET", "POST"])
@access(roles.EDIT)
def new(request: GardenRequest, table: str) -> HttpResponse:
    """Add a row: an empty form, or what was typed into it."""
    _table(table)
    if table == "garden":
        raise NotFound(_("a garden is made when Slipwright is set up, not here"))
    roles.require(request.member, _right(table), request.garden)
    _sure_of(request, table)
    if request.method != "POST":
        typed = {name: str(value) for name, value in request.GET.items() if name in table_named(table).names}
        return _form(request, table, typed, is_new=True)
    try:
        row = read_row(table, Posted(request), is_new=True)
        _add(request, table, row)
    except BadValue as error:
        return _form(request, table, _typed(request), is_new=True, wrong=error, status=422)
    except Refused as error:
        return _form(request, table, _typed(request), is_new=True, refused=error, status=422)
    return _saved(request, table, row)


@require_http_methods(["GET", "POST"])
@access("member")
def row(request: GardenRequest, table: str) -> HttpResponse:
    """Show one row, and to those who may change it, its form."""
    what = _table(table)
    key = (
        [] if table == "garden" else [request.GET.get(name, "") for name in ("key", "key2")][: len(what.key)]
    )
    before = selectors.reference_row(request.garden, table, key)
    if request.method != "POST":
        return _form(request, table, texts_of(before), is_new=False, before=before, carries=carried(before))
    roles.require(request.member, _right(table), request.garden)
    _sure_of(request, table)
    held = {name: text for name, text in texts_of(before).items() if name in what.key}
    again: dict[str, Any] = {"is_new": False, "before": before, "status": 422}
    again["carries"] = request.POST.get(SEEN, "")
    try:
        saw = seen(Posted(request))
        changes = read_row(table, Posted(request), is_new=False)
        edit_reference(
            garden=request.garden,
            by=request.member,
            now=request.now,
            table=table,
            key=tuple(before[name] for name in what.key),
            changes=changes,
            seen=saw,
        )
    except ChangedSince as error:
        return _asked_again(request, table, error, {**_typed(request), **held}, seen=saw or {})
    except BadValue as error:
        return _form(request, table, {**_typed(request), **held}, wrong=error, **again)
    except Refused as error:
        return _form(request, table, {**_typed(request), **held}, refused=error, **again)
    return _saved(request, table, before)


def _asked_again(
    request: GardenRequest, table: str, error: ChangedSince, typed: dict[str, str], *, seen: dict[str, str]
) -> HttpResponse:
    """Show the form with what was typed in the columns both changed, what stands now in the others."""
    row = dict(error.row)
    values = {name: text for name, text in typed.items() if text.strip() != seen.get(name, "").strip()}
    return _form(
        request,
        table,
        {**texts_of(row), **values},
        is_new=False,
        before=row,
        carries=carried(row),
        since={name: _since(shown(table, row, name)) for name in error.columns},
        status=422,
    )


def _since(now: str) -> str:
    """Say what somebody else made of a column, beside what was typed."""
    if not now:
        return _("emptied by somebody else in the meantime; what you wrote stands here")
    return _("now “%(now)s”, changed by somebody else; what you wrote stands here") % {"now": now}


def _add(request: GardenRequest, table: str, row: dict[str, Value]) -> None:
    """Add a row, unless the very same is there already: a second press on the button changes nothing."""
    there = selectors.row_there(request.garden, table, row)
    if there == "same":
        return
    key = table_named(table).key[0]
    if there == "other":
        raise BadValue(key, _("is taken: another row is called so already"), row[key])
    add_reference(garden=request.garden, by=request.member, now=request.now, table=table, row=row)


def _saved(request: GardenRequest, table: str, row: dict[str, Value]) -> HttpResponse:
    name = " ".join(key_of(table_named(table), row)) or request.garden.name
    remember(request, _("Kept: %(name)s") % {"name": name}, [])
    if table == "plants":
        return redirect("plant", name)
    if table == "garden":
        return redirect("row", table)
    if table in _OWN_PAGES:
        return redirect(_OWN_PAGES[table])
    return redirect("rows", table)


def _form(
    request: GardenRequest,
    table: str,
    values: dict[str, str],
    *,
    is_new: bool,
    before: dict[str, Value] | None = None,
    carries: str = "",
    wrong: BadValue | None = None,
    refused: Refused | None = None,
    since: dict[str, str] | None = None,
    status: int = 200,
) -> HttpResponse:
    may_change = roles.may(request.member, _right(table))
    what = table_named(table)
    name = " ".join(key_of(what, before)) if before and what.key else ""
    is_place = table == "places" and bool(name)
    beside = since or ({wrong.column: wrong.rule} if wrong else {})
    context = _context(
        request,
        table,
        fields=fields_of(request.garden, table, values, is_new=is_new, wrong=beside),
        facts=_facts(table, before, every=True) if before and not may_change else [],
        is_new=is_new,
        name=name,
        uses=_uses(request, table, name) if name else [],
        may_change=may_change,
        carries=carries,
        since={label_of(table, column): rule for column, rule in (since or {}).items()},
        wrong=_labelled(table, wrong) if wrong else None,
        refused=refused,
        has_mist=is_place and (before or {}).get("cover") == "mist",
        air=[shown_air(request, air) for air in air_of_places(request.garden, name)] if is_place else [],
    )
    return render(request, "web/row.html", context, status=status)


def _labelled(table: str, wrong: BadValue) -> dict[str, Any]:
    """Return what is wrong with the field's own words."""
    known = wrong.column in table_named(table).names
    rule = wrong.rule
    if isinstance(wrong, UnknownRow):
        rule = _("is not in the list of this garden")
    return {
        "column": wrong.column,
        "label": label_of(table, wrong.column) if known else "",
        "rule": rule,
        "value": wrong.value,
    }


def _uses(request: GardenRequest, table: str, name: str) -> list[tuple[str, int]]:
    words = {
        "batches": _("batches"),
        "pottings": _("pottings"),
        "acts": _("acts"),
        "looks": _("looks"),
        "stages": _("stages seen"),
        "firmness": _("bent shoots"),
        "readings": _("readings"),
        "beds": _("looks at the bed"),
    }
    used = selectors.uses_of(request.garden, table, name)
    return [
        (words.get(other) or (str(TABLES[other].title).lower() if other in TABLES else other), n)
        for other, n in used.items()
    ]


def _facts(table: str, row: dict[str, Value], *, every: bool = False) -> list[tuple[str, str]]:
    columns = table_named(table).names if every else TABLES[table].main
    said = ((label_of(table, name), shown(table, row, name)) for name in columns)
    return [(label, value) for label, value in said if value]


def _context(request: GardenRequest, table: str, **more: Any) -> dict[str, Any]:
    return {
        "table": table,
        "words": TABLES[table],
        "tables": [(name, words.title) for name, words in TABLES.items()],
        "may_add": table != "garden" and roles.may(request.member, _right(table)),
        **more,
    }


def _address(what: Table, row: dict[str, Value]) -> str:
    named = dict(zip(("key", "key2"), key_of(what, row), strict=False))
    return f"{reverse('row', args=[what.name])}?{urlencode(named)}"


def _typed(request: GardenRequest) -> dict[str, str]:
    return {name: str(value) for name, value in request.POST.items()}


def _table(table: str) -> Table:
    if table not in TABLES:
        raise NotFound(_("there is no list of %(table)s to change here") % {"table": table})
    return table_named(table)


def _sure_of(request: GardenRequest, table: str) -> None:
    """Ask for the password before a row of weight is changed."""
    if table in _GOVERNED and request.method == "POST":
        require_sure(request)


def _right(table: str) -> str:
    return roles.GOVERN if table in _GOVERNED else roles.EDIT
