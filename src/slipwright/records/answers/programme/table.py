"""A programme as a table, and its weeks as days of a calendar."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from typing import Any
from urllib.parse import quote

from slipwright.craft.cane import BUNDLE
from slipwright.outputs.calendar import Event
from slipwright.records.answers.programme.paper_lines import PaperLine, end_of, weeks_of

#: text of the table; all else is numbers and days
TEXTS = (
    *("want", "taxon", "wood", "cutting", "method", "cover", "plant", "container", "medium", "parts"),
    *("auxin", "auxin_form", "leaves", "shoots"),
)
#: columns that stand in the content under the same name
_PLAIN = (
    *("week", "stick_on", "want", "taxon", "wood", "cutting", "method", "cover", "plant", "n_to_stick"),
    *("n_containers", "container", "n_per_container", "cells", "medium", "litres", "water_l", "auxin"),
    *("auxin_form", "dip_ml", "labels", "hours", "hours_in_all", "cost", "leaves", "look_on", "pot_from"),
)
COLUMNS = (
    "line",
    *_PLAIN[: _PLAIN.index("water_l")],
    *("parts", "water_l", "auxin", "auxin_form"),
    *("auxin_mg_per_l", "auxin_mg_per_l_to", "auxin_mg_per_kg", "auxin_mg_per_kg_to"),
    *("dip_ml", "powder_g", "powder_g_to", "labels", "hours", "hours_in_all", "cost"),
    *("shoots", "n_shoots", "n_bundles"),
    *("length_mm", "length_mm_to", "n_nodes", "n_nodes_to", "leaves", "wound"),
    *("rooted_p10", "rooted_p50", "rooted_p90"),
    *("look_on", "pot_from", "opens_on", "closes_on", "may_be_multiplied"),
)
#: what a line of a plant that may not be multiplied keeps: what it was, and no number to cut or stick
_WITHOUT_NUMBERS = ("line", "week", "want", "taxon", "wood", "method", "plant")
#: lines told in one entry of the calendar
_MOST_TOLD = 40


def rows_of_programme(lines: Iterable[PaperLine]) -> Iterator[dict[str, object]]:
    """Yield each line with every number of it, as the rows of a table with ``COLUMNS``."""
    for line in lines:
        row = _row(line)
        if line.why_not:
            row = {name: row[name] for name in _WITHOUT_NUMBERS}
        yield {**row, "may_be_multiplied": "no" if line.why_not else "yes"}


def _row(line: PaperLine) -> dict[str, object]:
    told = line.told
    row: dict[str, object] = {name: told.get(name) for name in _PLAIN}
    for name in ("auxin_mg_per_l", "auxin_mg_per_kg", "powder_g", "length_mm", "n_nodes"):
        row[name], row[f"{name}_to"] = _ends(told.get(name))
    for share in ("p10", "p50", "p90"):
        row[f"rooted_{share}"] = (told.get("p_rooted") or {}).get(share)
    for name in ("opens_on", "closes_on"):
        row[name] = (told.get("window") or {}).get(name)
    known = [one["n_shoots"] for one in line.shoots]
    is_known = bool(known) and None not in known
    bundles = sum(-(-n // BUNDLE) for n in known) if is_known else None
    return {
        **row,
        "line": line.number,
        "parts": ";".join(f"{part['name']}:{part['litres']:g}" for part in told.get("parts") or ()),
        "wound": "yes" if told.get("wound") in (True, "yes") else "no",
        "shoots": ";".join(f"{one['plant']}:{_count(one['n_shoots'])}" for one in line.shoots),
        "n_shoots": sum(known) if is_known else None,
        "n_bundles": bundles,
    }


def _ends(value: Any) -> tuple[object, object]:
    if isinstance(value, list | tuple):
        return value[0], value[1]
    return value, value


def _count(n: int | None) -> str:
    return "" if n is None else str(n)


def events_of_programme(
    lines: Sequence[PaperLine],
    *,
    domain: str,
    changed_at: datetime | None,
) -> tuple[Event, ...]:
    """Return an entry for each week of a programme in which there is something to cut and stick."""
    found = []
    for week, some in weeks_of(lines).items():
        allowed = [line for line in some if not line.why_not]
        if allowed:
            found.append(_event(week, allowed, domain, changed_at))
    return tuple(found)


def _event(week: date, lines: Sequence[PaperLine], domain: str, changed_at: datetime | None) -> Event:
    n = sum(line.told["n_to_stick"] for line in lines)
    batches = "1 batch" if len(lines) == 1 else f"{len(lines)} batches"
    hours = sum(line.told.get("hours") or 0.0 for line in lines)
    time = f", about {hours:.1f} h" if hours else ""
    told = [_line(line) for line in lines[:_MOST_TOLD]]
    if len(lines) > _MOST_TOLD:
        told.append(f"and {len(lines) - _MOST_TOLD} more: see the crew sheet")
    return Event(
        f"programme-{quote(week.isoformat(), safe='')}@{domain}",
        week,
        f"Cut and stick: {n:,} {'cutting' if n == 1 else 'cuttings'}, {batches}{time}",
        end_of(week),
        "\n".join(told),
        categories=("programme",),
        changed_at=changed_at,
    )


def _line(line: PaperLine) -> str:
    told = line.told
    shoots = ", ".join(
        one["plant"] if one["n_shoots"] is None else f"{one['plant']} ({one['n_shoots']} shoots)"
        for one in line.shoots
        if one["plant"]
    )
    source = f" from {shoots}" if shoots else ""
    return (
        f"{line.number}. {line.day:%a} {line.day.day} {line.day:%b}: {told['n_to_stick']} {line.wood} "
        f"of {line.taxon}{source}, for {told['want']}"
    )
