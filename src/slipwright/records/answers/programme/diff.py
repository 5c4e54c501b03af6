"""What a programme changes of the one before, batch by batch with the reason, and both in figures."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from slipwright.advice._wording import tenths
from slipwright.craft.said import Said
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.stops import rows_in_words
from slipwright.records.answers.sayings import put_away
from slipwright.season.asked import Season, Standing, Want
from slipwright.season.changes import Change, changes, side_by_side
from slipwright.season.programme import Line, Programme

_MARKS = {"added": "new", "moved": "moved", "resized": "resized"}
_WHY = {
    "": Said("As before."),
    "stuck": Said("Stuck by now."),
    "want_new": Said("This want is new."),
    "want_gone": Said("This want is gone, or its day is past."),
    "want_changed": Said("Another number, day or assurance is wished."),
    "closed": Said("This way is no longer open."),
    "others": Said("All wants together are met for less this way."),
}


@dataclass(frozen=True, slots=True, eq=False)
class Changed:
    """What changed since a programme before; nothing where there was none."""

    changes: Sequence[Change]
    taxa: Mapping[str, str]

    def of(self, line: Line) -> str:
        """Return how a batch of now differs: "new", "moved", "resized", or not at all."""
        for one in self.changes:
            if one.now is line:
                return _MARKS.get(one.kind, "")
        return ""


def was_changed(
    found: GardenProgramme,
    before_content: Mapping[str, Any] | None,
    before: Programme | None,
) -> Changed:
    """Return what changed since the programme before."""
    if before is None:
        return Changed((), {})
    problem = found.problem
    wants = (before_content or {}).get("wants", [])
    told = changes(
        before,
        found.programme,
        problem.season,
        problem.draws,
        season_before=_season_of(before_content) if before_content else None,
    )
    return Changed(told, {one["want"]: one["taxon"] for one in wants})


def _season_of(content: Mapping[str, Any]) -> Season:
    """Return of a season before what tells whether a want was changed, or stuck for."""
    wants = tuple(
        Want(
            one["want"],
            one["taxon"],
            one["n_wanted"],
            date.fromisoformat(one["ready_by"]),
            min(max(one["assurance"], 0.01), 0.99),
            (),
        )
        for one in content["wants"]
    )
    standing = tuple(Standing(one["batch"], one["want"], {}) for one in content.get("standing", ()))
    return Season(wants, (), standing)


def told_diff(found: GardenProgramme, changed: Changed) -> list[dict[str, Any]]:
    """Return what changed as plain data, what stayed left out."""
    number = {id(line): n for n, line in enumerate(found.programme.lines)}
    taxa = {**changed.taxa, **{one.want: one.taxon for one in found.problem.given.wants}}
    return [
        {
            "want": one.want,
            "taxon": taxa.get(one.want, ""),
            "kind": one.kind,
            "was": _line(one.was) if one.was else None,
            "now": {"n": number[id(one.now)], **_line(one.now)} if one.now else None,
            "why": put_away(_why(found, one)),
        }
        for one in changed.changes
        if one.kind != "kept"
    ]


def _line(line: Line) -> dict[str, Any]:
    return {
        "id": f"{line.want}/{line.option}",
        "week": line.week.isoformat(),
        "taxon": line.taxon,
        "wood": line.wood,
        "method": line.method,
        "plant": line.plant,
        "n_to_stick": line.n_to_stick,
        "n_containers": line.n_containers,
        "cost": round(line.cost, 2),
    }


def _why(found: GardenProgramme, one: Change) -> str:
    if one.reason == "outlook" and one.p_was is not None and one.p_now is not None:
        return Said(
            "What was planned would now give it {now}; {was} were promised.",
            now=tenths(one.p_now),
            was=tenths(one.p_was),
        )
    if one.reason == "room":
        row = next(row for row in found.problem.season.rows if row.row == one.row)
        return Said("What was planned no longer fits: {where}.", where=rows_in_words([row]))
    return _WHY.get(one.reason, _WHY["others"])


def told_beside(
    found: GardenProgramme, before_content: Mapping[str, Any] | None, before: Programme | None
) -> dict[str, Any] | None:
    """Return two programmes side by side in figures, before first; none where there was none before."""
    if before is None:
        return None
    both = side_by_side(before, found.programme)
    taxa = {one["want"]: one["taxon"] for one in (before_content or {}).get("wants", ())}
    taxa |= {one.want: one.taxon for one in found.problem.given.wants}
    return {
        "cost": [round(cost, 2) for cost in both.cost],
        "penalty": [round(penalty, 2) for penalty in both.penalty],
        "n_to_stick": list(both.n_to_stick),
        "n_batches": list(both.n_batches),
        "n_short": list(both.n_short),
        "wants": [
            {
                "want": want,
                "taxon": taxa.get(want, ""),
                "promised": [round(p, 4) for p in promised],
                "planned": list(planned),
            }
            for want, planned, promised in both.wants
        ],
    }
