"""What all looks of a garden taught, as a person asks for it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from slipwright.cli.learn import _comparisons, _counted, _plants
from slipwright.records.answers.contrasts import Contrast
from slipwright.records.answers.findings.found import Found, PlantFound, TaxonFound
from slipwright.records.keeping import diary
from slipwright.rooting import fitting
from slipwright.rooting.cuttings import CLOCKS

Run = Callable[..., Any]


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let one setting of the spreads stand for all, so that a fit takes a moment."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))


def test_what_was_learned_is_told_by_the_contract_and_again_the_same(example: Path, answer: Run) -> None:
    first = answer("learn", "learn", "--garden", example)
    assert first["is_new"]
    assert first["converged"]
    assert first["n_looks"] > first["n_batches"] > 10
    assert {"tent", "ripeness"} <= {one["term"] for one in first["effects"]}
    assert 0 < first["prior_share"] < 1
    assert {(one["name"], one["clock"]) for one in first["contrasts"]} >= {
        ("tent", "loss"),
        ("dip", "rooting"),
    }
    assert all(" times as fast as " in one["text"] for one in first["contrasts"])
    assert {one["has_row"] for one in first["taxa"]} == {True}
    again = answer("learn", "learn", "--garden", example)
    assert not again["is_new"]
    assert again == first | {"is_new": False, "learned_up_to": again["learned_up_to"]}
    anew = answer("learn", "learn", "--garden", example, "--anew")
    unlike = {name: anew[name] for name in ("seconds", "learned_up_to")}
    assert anew == first | unlike


def test_one_more_look_is_something_new(example: Path, answer: Run, run: Run) -> None:
    before = answer("learn", "learn", "--garden", example)
    batch = answer("batches", "batches", "--garden", example)["batches"][0]["batch"]
    run("look", batch, "--rooted", 1, "--by", "bea", "--garden", example, "--on", "2015-10-20")
    after = answer("learn", "learn", "--garden", example)
    assert after["is_new"]
    assert after["n_looks"] == before["n_looks"] + 1
    assert after["data_hash"] != before["data_hash"]


def test_in_words_it_says_what_is_learned_and_what_is_still_believed(example: Path, run: Run) -> None:
    told = run("learn", "--garden", example).output
    assert told.startswith("Learned from ")
    assert "times as fast as" in told
    assert "comparisons are still mostly what was believed before" in told
    assert "how much is still handbook" in " ".join(told.split())
    assert "any plant" not in told
    assert told.count("teach nothing and are left out") == 1
    assert run("learn", "--garden", example).output.startswith("Nothing new: this was learned from ")


def test_a_garden_without_a_count_has_nothing_to_learn_from(
    tmp_path: Path, run: Run, answer: Run, nothing_yet: Path
) -> None:
    tables = tmp_path / "tables"
    tables.mkdir()
    head = "name,latitude_deg,longitude_deg,time_zone\n"
    (tables / "garden.csv").write_text(f"{head}New Quay,41,-72,America/New_York\n", encoding="utf-8")
    assert diary.stands("learn-asked") is None
    run("load", tables)
    assert diary.stands("learn-asked") is not None
    assert answer("learn", "learn")["n_batches"] == 0
    assert "nothing to learn from" in run("learn").output


def test_a_plant_without_a_page_is_marked_as_one() -> None:
    def found(taxon: str, *, has_row: bool) -> PlantFound:
        rooting, loss = (TaxonFound(taxon, "hardwood", name, 0, 0.5, 1, has_row) for name in CLOCKS)
        return PlantFound(taxon, "hardwood", rooting, loss)

    told = _plants([found("Rosa", has_row=True), found("Nothofagus antarctica", has_row=False)])
    assert "* no page: as a multiple of any plant" in told[1]
    assert told[2].startswith("   Rosa ")
    assert told[3].startswith(" * Nothofagus antarctica ")


def test_one_is_one_and_thousands_are_parted_as_on_the_pages() -> None:
    assert _counted(1, "look", "looks") == "1 look"
    assert _counted(3020, "look", "looks") == "3\u00a0020 looks"


def test_where_nothing_moved_no_more_comparisons_are_spoken_of() -> None:
    believed = Contrast("tent", "loss", 0.5, 1.1, 2, 0.5, 1, 2, 0.95)
    told = _comparisons(Found((), (), (), [believed], ()))
    assert len(told) == 1
    assert told[0].startswith("No comparison has been moved far")
