"""Where the batches of a load stand, summed in the scratch before the garden is held."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from typing import Any

from slipwright.craft.rights import standing as rights_on
from slipwright.records import sums
from slipwright.records.columns import table_named
from slipwright.records.models import Act, Garden, Look, Potting, Sticking, Taxon, Withdrawal
from slipwright.records.states import beyond, columns_of, local_day
from slipwright.records.sums import LookSeen, PottedUp
from slipwright.records.tables.among import taken_back_here, withdrawn_here
from slipwright.records.tables.links import LISTED
from slipwright.records.tables.progress import Progress
from slipwright.records.tables.report import LoadReport, remark
from slipwright.records.tables.scratch import Scratch, in_chunks

_LOOK = tuple(name for name in LookSeen.__dataclass_fields__ if name not in ("entry_id", "on", "number"))
#: What the scratch keeps of a ``BatchState``: batch and place by their keys.
STATE = (
    "n",
    "batch",
    "place",
    *(
        name
        for name in columns_of(sums.Standing(1), garden_id=0, batch_id=0, place_id=None, withdrawn_on=None)
        if not name.endswith("_id")
    ),
)

FLAG_WORDS = {
    sums.MORE_THAN_STUCK: "more rooted, were lost or were removed than were stuck",
    sums.WAITING_DIFFERS: "the number counted as still waiting is not what the sum leaves",
    sums.TWO_LOOKS_FROM_ONE: "two looks follow the same look; the later one counts until a person picks",
    sums.LOST_MORE_THAN_ROOTED: "more rooted cuttings were lost than had rooted",
    sums.POTTED_MORE_THAN_ROOTED: "more were potted than had rooted",
    sums.TRIED_DIFFERS: "more of those tried had rooted than were tried",
    sums.BEFORE_STICKING: "it was looked at or potted before it was stuck",
}


@lru_cache(4096)
def _day(text: str) -> date:
    return date.fromisoformat(text)


@dataclass(slots=True)
class _Batch:
    n_stuck: int
    stuck_on: date
    place: str | None
    withdrawn_on: date | None = None
    looks: list[LookSeen] = field(default_factory=list)
    pottings: list[PottedUp] = field(default_factory=list)
    moves: list[tuple[date, int, str]] = field(default_factory=list)
    #: The file and the last line of the load that has to do with it.
    told: tuple[str, int] = ("batches.csv", 0)


class Standings:
    """Sums every batch that the load touches.

    ``first`` says, for each table, the server number its new entries will be numbered after.
    """

    def __init__(
        self, garden: Garden | None, first: dict[str, int], scratch: Scratch, report: LoadReport
    ) -> None:
        self._garden = garden
        self._first = first
        self._scratch = scratch
        self._report = report
        for name in ("looks", "pottings", "acts"):
            if scratch.has(name):
                scratch.index(name, "batch")
        if scratch.has("batches"):
            scratch.index("batches", "batch")

    def sum_all(self, progress: Progress) -> int:
        """Write where each batch stands into the scratch; return how many there are."""
        self._scratch.make("states", STATE)
        codes = sorted(self._touched())
        done = 0
        for chunk in in_chunks(codes, 200):
            batches = self._gathered(chunk)
            self._scratch.write("states", STATE, map(self._state, batches, batches.values()))
            done += len(chunk)
            progress(done, len(codes), "summing batches")
        return done

    def _touched(self) -> set[str]:
        queries = {
            "batches": "SELECT batch FROM batches",
            "looks": "SELECT DISTINCT batch FROM looks",
            "pottings": "SELECT DISTINCT batch FROM pottings",
            "acts": "SELECT DISTINCT batch FROM acts WHERE act = 'move' AND batch IS NOT NULL",
            "withdrawals": "SELECT DISTINCT of_batch FROM withdrawals WHERE of_batch IS NOT NULL",
        }
        return {
            row[0]
            for name, sql in queries.items()
            if name in self._scratch.tables
            for row in self._scratch.rows(sql)
        }

    def _state(self, code: str, batch: _Batch) -> tuple[Any, ...]:
        stands = sums.standing(batch.n_stuck, batch.stuck_on, batch.looks, batch.pottings)
        for flag in sorted(stands.flags):
            self._report.warn(remark(*batch.told, "batch", code, f"flagged {flag}: {FLAG_WORDS[flag]}"))
        place = max(batch.moves)[2] if batch.moves else batch.place
        columns = columns_of(stands, garden_id=0, batch_id=0, place_id=None, withdrawn_on=batch.withdrawn_on)
        if (fault := beyond(columns)) is not None:
            rule = f"{fault[0]} of this batch {fault[1]}; this makes it {columns[fault[0]]:,}"
            self._report.reject(batch.told[0].removesuffix(".csv"), remark(*batch.told, "batch", code, rule))
        rest = (_plain(columns[name]) for name in STATE[3:])
        return (None, code, place, *rest)

    def _gathered(self, codes: Sequence[str]) -> dict[str, _Batch]:
        """Return some batches with all that stands of them, in the load and in the garden."""
        listed = json.dumps(codes)
        found: dict[str, _Batch] = {}
        for code, n_stuck, stuck_on, place, line in self._new(
            "batches", "batch, n_stuck, stuck_on, place, line", listed, stands=False
        ):
            found[code] = _Batch(n_stuck, _day(stuck_on), place, told=("batches.csv", line))
        known = [code for code in codes if code not in found]
        if self._garden is not None and known:
            self._gather_kept(self._garden, known, found)
        self._gather_new(listed, found)
        return found

    def _new(self, name: str, columns: str, listed: str, *, stands: bool = True) -> Iterator[tuple[Any, ...]]:
        """Yield columns of the new entries of some batches, in the order of their rows."""
        if name not in self._scratch.tables:
            return
        kept = f"NOT {taken_back_here(table_named(name), self._scratch)}" if stands else "1"
        sql = f'SELECT {columns} FROM "{name}" WHERE batch IN {LISTED} AND {kept} ORDER BY n'
        yield from self._scratch.rows(sql, listed)

    def _gather_new(self, listed: str, found: dict[str, _Batch]) -> None:
        first = self._first
        for code, line, entry_id, on, k, *rest in self._new(
            "looks", f'batch, line, entry_id, "on", k, {", ".join(_LOOK)}', listed
        ):
            batch = found[code]
            batch.looks.append(LookSeen(entry_id, _day(on), first["looks"] + k, rest[0] or "", *rest[1:]))
            batch.told = ("looks.csv", line)
        for code, line, on, k, n_potted in self._new("pottings", 'batch, line, "on", k, n_potted', listed):
            batch = found[code]
            batch.pottings.append(PottedUp(_day(on), first["pottings"] + k, n_potted))
            if batch.told[0] != "looks.csv":
                batch.told = ("pottings.csv", line)
        for code, on, k, act, place in self._new("acts", 'batch, "on", k, act, to_place', listed):
            if act == "move" and place is not None:
                found[code].moves.append((_day(on), first["acts"] + k, place))
        self._gather_withdrawn(listed, found)

    def _gather_withdrawn(self, listed: str, found: dict[str, _Batch]) -> None:
        if "withdrawals" not in self._scratch.tables:
            return
        sql = f"SELECT of_batch, line, withdraws_kind, at FROM withdrawals WHERE of_batch IN {LISTED}"
        for code, line, kind, at in self._scratch.rows(sql, listed):
            batch = found[code]
            if kind == Sticking.kind:
                batch.withdrawn_on = _day(at[:10])
            if not batch.told[1]:
                batch.told = ("withdrawals.csv", line)

    def _gather_kept(self, garden: Garden, codes: Sequence[str], found: dict[str, _Batch]) -> None:
        ids = {}
        rows = Sticking.rows.of(garden).filter(batch__in=codes)
        for code, entry_id, n_stuck, stuck_on, place in rows.values_list(
            "batch", "entry_id", "n_stuck", "stuck_on", "place__place"
        ):
            found[code] = _Batch(n_stuck, stuck_on, place)
            ids[entry_id] = code
        taken = Withdrawal.rows.of(garden).filter(withdraws_kind=Sticking.kind, withdraws__in=ids)
        for entry_id, at, offset in taken.values_list("withdraws", "at", "at_offset_min"):
            found[ids[entry_id]].withdrawn_on = local_day(at, offset)
        for code, *rest in self._kept(Look, codes, "entry_id", "on", "number", *_LOOK):
            found[code].looks.append(LookSeen(*rest))
        for code, _, *rest in self._kept(Potting, codes, "entry_id", "on", "number", "n_potted"):
            found[code].pottings.append(PottedUp(*rest))
        for code, _, on, number, act, place in self._kept(
            Act, codes, "entry_id", "on", "number", "act", "to_place__place"
        ):
            if act == "move" and place is not None:
                found[code].moves.append((on, number, place))

    def _kept(self, model: Any, codes: Sequence[str], *names: str) -> Iterator[tuple[Any, ...]]:
        """Yield the batch and some columns, its id first, of what stands of batches in the garden."""
        gone = withdrawn_here(self._scratch, model.kind)
        rows = model.rows.of(self._garden).standing().filter(batch__batch__in=codes).order_by("number")
        for row in rows.values_list("batch__batch", *names):
            if row[1] not in gone:
                yield row


def _plain(value: Any) -> Any:
    if isinstance(value, date):
        return value.isoformat()
    return int(value) if isinstance(value, bool) else value


def warn_of_rights(garden: Garden | None, scratch: Scratch, report: LoadReport) -> None:
    """Warn of every new batch of a plant that was protected, without a licence, on its day."""
    if not scratch.has("batches"):
        return
    protected = _protected(garden, scratch)
    ask: Callable[[str, str], str] = lru_cache(4096)(lambda taxon, on: _why_not(protected[taxon], on))
    for line, taxon, on in scratch.rows("SELECT line, taxon, stuck_on FROM batches ORDER BY n"):
        if taxon in protected and (why := ask(taxon, on)):
            report.warn(remark("batches.csv", line, "taxon", taxon, f"loads as history. {why}"))


def _protected(garden: Garden | None, scratch: Scratch) -> dict[str, tuple[str | None, ...]]:
    """Return the rights of the taxa that are protected, as they are after the load."""
    names = ("taxon", "rights", "rights_until", "licence", "licence_until")
    rows: Iterable[tuple[Any, ...]] = ()
    if garden is not None:
        rows = Taxon.rows.of(garden).values_list(*names)
    found = {taxon: tuple(_plain(value) for value in rest) for taxon, *rest in rows}
    if "taxa" in scratch.tables:
        found |= {taxon: tuple(rest) for taxon, *rest in scratch.rows(f"SELECT {', '.join(names)} FROM taxa")}
    return {taxon: rest for taxon, rest in found.items() if rest[0] in ("protected", "licensed")}


def _why_not(rights: tuple[str | None, ...], on: str) -> str:
    word, until, licence, licence_until = rights
    found = rights_on(
        word or "unknown",
        rights_until=_day(until) if until else None,
        licence=licence or "",
        licence_until=_day(licence_until) if licence_until else None,
        on=_day(on),
    )
    return "" if found.allowed else found.reason
