"""A batch not yet stuck, forecast by what a garden learned."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from slipwright.records.models import Garden, Taxon
from slipwright.rooting import fitting

Run = Callable[..., Any]
NEW = ("forecast", "--new")


@pytest.fixture
def learned(example: Path, run: Run, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Give the example garden, which has learned; one setting of the spreads stands for all."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))
    run("learn")
    return example


def _days(told: Any) -> Any:
    return told["days"][-1]["rooted"]


def test_with_its_garden_it_rests_on_the_batches_learned_from(learned: Path, answer: Run) -> None:
    new = (*NEW, "Rosa 'Lantern Keeper'", "--wood", "semi-hardwood")
    alone = answer("forecast", *new, "--at", "41,-72")
    told = answer("forecast", *new, "--garden", learned)
    assert alone["rests_on"]["text"] == "Rests on the handbook alone."
    assert told["rests_on"]["text"].startswith("Rests on your ")
    assert "batches of Rosa 'Lantern Keeper' and the handbook" in told["rests_on"]["text"]
    assert told["rests_on"]["n_batches"] > 1
    assert told["rests_on"]["prior_share"] < 1 == alone["rests_on"]["prior_share"]
    assert _days(told) != _days(alone)


def test_which_garden_may_be_said_by_its_name(learned: Path, answer: Run, run: Run) -> None:
    new = (*NEW, "rosemary", "--wood", "softwood")
    by_name = answer("forecast", *new, "--in", "Saltmarsh Lane Community Garden")
    assert by_name == answer("forecast", *new, "--garden", learned)
    assert "Nowhere" in run(*new, "--in", "Nowhere", code=2).stderr


def test_a_plant_never_stuck_rests_on_its_genus_and_one_of_no_genus_there_on_all(
    learned: Path, answer: Run
) -> None:
    def words(taxon: str) -> str:
        told = answer("forecast", *NEW, taxon, "--wood", "softwood", "--garden", learned)
        return str(told["rests_on"]["text"])

    assert "of other Salvia and the handbook" in words("Salvia officinalis 'New Quay'")
    assert "of other plants and the handbook" in words("Weigela florida")


def test_a_plant_the_garden_has_and_the_handbook_not_is_told_with_a_warning(
    learned: Path, answer: Run, run: Run
) -> None:
    garden = Garden.objects.get()
    Taxon.rows.create(garden=garden, taxon="Correa 'Tern'", common_name="tern bells", patience_days=50)
    told = [
        answer("forecast", *NEW, name, "--wood", "softwood", "--on", "2015-10-20", "--garden", learned)
        for name in ("Correa 'Tern'", "tern bells", "Correa alba")
    ]
    assert told[0] == told[1]
    assert told[0]["give_up_on"] == "2015-12-09"
    for one in told:
        assert one["rests_on"]["text"].startswith("Rests on your ")
        assert "the handbook has no page for this one" in one["rests_on"]["text"]
    refused = run(*NEW, "baobab", "--wood", "softwood", "--garden", learned, code=2).stderr
    assert "Saltmarsh Lane Community Garden has no plant baobab, and the handbook has no page" in refused


def test_the_garden_says_its_hemisphere_and_its_own_day(learned: Path, answer: Run, run: Run) -> None:
    new = (*NEW, "rosemary", "--wood", "hardwood")

    def potted() -> str:
        return str(answer("forecast", *new, "--on", "2016-06-01", "--garden", learned)["pot_up_on"]["p50"])

    north = potted()
    Garden.objects.update(latitude_deg=-34)
    assert potted() != north
    assert "if stuck on 2015-10-20" in run(*new, "--garden", learned).stdout
    assert "--at" in run(*new, "--garden", learned, "--at", "41,-72", code=2).stderr
    assert "hardwood" in run(*NEW, "rosemary", "--garden", learned, code=2).stderr


def test_a_garden_that_has_not_learned_says_so(example: Path, run: Run) -> None:
    told = run(*NEW, "rosemary", "--wood", "softwood", "--garden", example).stdout
    assert "Rests on the handbook alone. Nothing is learned from this garden's looks yet" in told


def test_wood_out_of_season_is_told_with_the_days_on_which_it_is_right(learned: Path, run: Run) -> None:
    new = (*NEW, "rose", "--wood", "softwood", "--on")
    for where in (("--at", "41,-72"), ("--garden", learned)):
        out = run(*new, "2015-01-10", *where).stdout
        assert "Out of season on 2015-01-10: by the handbook softwood is right from 2015-06-10 to" in out
        assert "Out of season" not in run(*new, "2015-07-01", *where).stdout
    assert "softwood is right from 2015-12" in run(*new, "2015-07-01", "--at", "-35,150").stdout
