"""All that pages and papers tell of a programme, as plain data to be kept."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from slipwright.craft.said import Said
from slipwright.records.answers.programme.binds import told_binds
from slipwright.records.answers.programme.diff import told_beside, told_diff, was_changed
from slipwright.records.answers.programme.lines import line_facts, told_line
from slipwright.records.answers.programme.load import told_room, told_shoots, told_weeks
from slipwright.records.answers.programme.offers import told_offers
from slipwright.records.answers.programme.planning import GardenProgramme
from slipwright.records.answers.programme.promised import told_wants
from slipwright.records.answers.programme.told import told_of_programme
from slipwright.records.answers.programme.why import whys_of
from slipwright.records.answers.sayings import put_away
from slipwright.records.packed_plan import CONTENT_VERSION
from slipwright.records.selectors.fits import fit_now
from slipwright.season.planning import N_FRESH
from slipwright.season.programme import Programme


def content_of(
    found: GardenProgramme,
    before_content: Mapping[str, Any] | None = None,
    before_programme: Programme | None = None,
    *,
    change: Mapping[str, Any] | None = None,
    n_fresh: int = N_FRESH,
) -> dict[str, Any]:
    """Return all that is told of a programme as JSON; sentences are as ``sayings.put_away`` makes them.

    ``before_content`` and ``before_programme`` are of the programme it is held against, ``change`` is what
    was tried in it. At most two queries.
    """
    problem, programme = found.problem, found.programme
    told = told_of_programme(found)
    facts = line_facts(found)
    changed = was_changed(found, before_content, before_programme)
    lines = [
        {**told_line(found, one), "why": put_away(why), "is_changed": changed.of(one.line)}
        for one, why in zip(facts, whys_of(found, facts), strict=True)
    ]
    return {
        "version": CONTENT_VERSION,
        "on": problem.given.on.isoformat(),
        "seed": programme.seed,
        "currency": problem.garden.currency,
        "made_seconds": round(found.seconds, 2),
        "change": dict(change or {}),
        "rests_on": _rests_on(found),
        "n_fresh": n_fresh,
        "cost": round(programme.cost, 2),
        "penalty": round(programme.penalty, 2),
        "bound": round(programme.bound, 2),
        "gap": round(max(programme.gap, 0.0), 6),
        "wants": told_wants(told, facts),
        "lines": lines,
        "weeks": told_weeks(found, facts, lines),
        "room": told_room(found),
        "shoots": told_shoots(found),
        "binds": told_binds(found),
        "changes": told_offers(found, told, facts),
        "diff": told_diff(found, changed),
        "beside": told_beside(found, before_content, before_programme),
        "standing": [{"batch": one.batch, "want": one.want} for one in problem.season.standing],
        "notes": [put_away(note) for note in told.notes],
    }


def _rests_on(found: GardenProgramme) -> dict[str, Any]:
    fit = fit_now(found.problem.garden) if found.problem.is_learned else None
    if fit is None:
        text = Said("Rests on the handbook alone; nothing is learned from this garden's looks yet.")
        return {"n_batches": 0, "n_looks": 0, "is_learned": False, "text": put_away(text)}
    text = Said(
        "Rests on {batches} of your own batches (looks at them: {looks}), and on the handbook.",
        batches=fit.n_batches,
        looks=fit.n_looks,
    )
    return {
        "n_batches": fit.n_batches,
        "n_looks": fit.n_looks,
        "is_learned": True,
        "text": put_away(text),
    }
