"""What a garden learned is kept, read back as it was, and learned again only where there is more."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import date, datetime, timedelta
from functools import partial
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from slipwright.handbook import load_handbook
from slipwright.records import model_version, selectors, services
from slipwright.records.answers import learning, refit
from slipwright.records.answers import taught as answers_taught
from slipwright.records.answers.contrasts import Contrast, contrasts_of
from slipwright.records.answers.findings.found import Found, Remark, TaxonFound, found_from, remarks_on
from slipwright.records.answers.histories import history_of, record_of
from slipwright.records.answers.history_mark import mark_of
from slipwright.records.answers.learning import learned_of, learned_or_prior
from slipwright.records.answers.refit import _behind, learn
from slipwright.records.answers.round import forecast_of_batch
from slipwright.records.answers.taught import plant_taught, taught
from slipwright.records.models import FitNode, Garden, GardenFit, Member, Place, Sticking
from slipwright.records.packed import (
    mark_of_node,
    packed_node,
    packed_seen,
    unpacked_node,
    unpacked_seen,
)
from slipwright.records.selectors.fits import FitNow, fit_now, newest_full_fit
from slipwright.records.services import fits
from slipwright.rooting import fitting
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.fitting import Start
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, Seen, before_records
from tests.records.making import stick

HANDBOOK = load_handbook()
DAY = date(2025, 10, 15)
NOW_ON = date(2025, 10, 20)
ROSE = Kind("Rosa", "Rosa 'Pale Ferry'", "semi-hardwood", "2025")


def look(garden: Garden, by: Member, now: datetime, batch: str, day: int = 14, **counts: Any) -> Any:
    """Write down a look some days after sticking."""
    on = date(2025, 10, 1) + timedelta(days=day)
    return services.record_look(garden=garden, by=by, now=now, batch=batch, on=on, **counts)


def fresh(garden: Garden) -> Garden:
    """Return the garden as it is now."""
    return Garden.objects.get(pk=garden.pk)


def now_known(garden: Garden) -> FitNow:
    """Return what was learned last."""
    found = fit_now(fresh(garden))
    assert found
    return found


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let one setting of the spreads stand for all, so that a fit takes a moment."""
    monkeypatch.setattr(fitting, "fit", partial(fitting.fit, integrate_up_to=0))


@pytest.fixture
def batches(garden: Garden, grower: Member, now: datetime) -> list[str]:
    """Three batches, two of them looked at."""
    codes = [stick(garden, grower, now).batch for _ in range(3)]
    look(garden, grower, now, codes[0], n_rooted=8, n_lost=1)
    look(garden, grower, now, codes[1], n_rooted=2, n_lost=5)
    return codes


def kind_of(batch: str) -> Kind:
    """Return where a batch of roses stands."""
    return replace(ROSE, batch=batch)


def test_before_anything_was_counted_there_is_only_what_is_believed(
    garden: Garden, grower: Member, now: datetime
) -> None:
    stick(garden, grower, now)
    assert not learn(fresh(garden), HANDBOOK, now=now)
    assert learned_of(fresh(garden), [ROSE]) is None
    assert fit_now(fresh(garden)) is None
    assert learned_or_prior(fresh(garden), [ROSE]) is before_records()


def test_what_is_read_back_is_what_was_fitted(garden: Garden, now: datetime, batches: list[str]) -> None:
    history = history_of(garden, HANDBOOK)
    drawn = fitting.fit(history).learned()
    assert learn(fresh(garden), HANDBOOK, now=now)
    record = next(one for one in history if one.kind.batch == batches[0])
    read = learned_of(fresh(garden), [record.kind])
    assert read is not None
    was, read_back = drawn.clocks(record.cuttings, record.kind), read.clocks(record.cuttings, record.kind)
    for part in ("level", "slope", "bend"):
        assert np.abs(getattr(was, part) - getattr(read_back, part)).max() < 0.005
    told = Seen(record.counts.informing, record.cuttings.terms(), record.kind.offset)
    assert read.seen == {record.kind.path[-1]: told}
    assert read.behind == dict.fromkeys(((), *record.kind.path[:3]), (2, 2))


def test_a_page_reads_the_shared_draws_and_its_own_nodes_once(
    garden: Garden, now: datetime, batches: list[str]
) -> None:
    learn(fresh(garden), HANDBOOK, now=now)
    garden = fresh(garden)
    with CaptureQueriesContext(connection) as asked:
        learned_of(garden, [kind_of(batches[0])])
    assert len(asked) == 2
    with CaptureQueriesContext(connection) as again:
        learned_of(garden, [kind_of(batches[0])])
        learned_of(garden, [ROSE])
    assert len(again) == 0


def test_the_same_records_give_the_same_numbers(garden: Garden, now: datetime, batches: list[str]) -> None:
    kept = []
    for _ in range(2):
        assert learn(fresh(garden), HANDBOOK, now=now, anew=True)
        row = GardenFit.rows.get(pk=now_known(garden).pk)
        row.found["shown"].pop("seconds")  # how long it took is no number of the garden
        nodes = FitNode.rows.filter(fit=row).order_by("node").values_list("node", "draws")
        kept.append((row.data_hash, row.found, bytes(row.shared or b""), [(n, bytes(d)) for n, d in nodes]))
    assert kept[0] == kept[1]


def test_records_learned_from_are_not_learned_from_again(
    garden: Garden, grower: Member, now: datetime, batches: list[str]
) -> None:
    assert learn(fresh(garden), HANDBOOK, now=now)
    first = now_known(garden)
    assert not first.is_stale
    assert not learn(fresh(garden), HANDBOOK, now=now)
    services.record_note(garden=garden, by=grower, now=now, about=batches[0], at=now, text="by the door")
    assert now_known(garden).is_stale
    later = now + timedelta(hours=1)
    assert not learn(fresh(garden), HANDBOOK, now=later)
    told = now_known(garden)
    assert (told.pk, told.is_stale, told.learned_up_to) == (first.pk, False, later)
    look(garden, grower, now, batches[2], n_rooted=1)
    assert learn(fresh(garden), HANDBOOK, now=later)
    assert now_known(garden).pk > first.pk


def test_a_refit_goes_on_from_the_one_before_unless_much_is_new(
    garden: Garden, grower: Member, now: datetime, batches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    learn(fresh(garden), HANDBOOK, now=now)
    look(garden, grower, now, batches[0], 18, n_rooted=1)
    learn(fresh(garden), HANDBOOK, now=now, full=False)
    assert now_known(garden).is_full
    monkeypatch.setattr(refit, "MUCH_NEW", 0.5)
    look(garden, grower, now, batches[1], 18, n_rooted=1)
    learn(fresh(garden), HANDBOOK, now=now, full=False)
    warm = now_known(garden)
    assert not warm.is_full
    whole = newest_full_fit(garden)
    assert whole
    assert whole.pk < warm.pk
    assert learn(fresh(garden), HANDBOOK, now=now)
    assert now_known(garden).is_full


def rooted_by_its_end(garden: Garden, batch: str) -> float:
    """Return the mean of what a batch will have rooted."""
    sticking = Sticking.rows.get(batch=batch)
    return forecast_of_batch(fresh(garden), HANDBOOK, sticking, on=NOW_ON).days[-1].rooted.mean


def test_a_corrected_look_counts_as_it_stands_and_no_longer_as_it_was_learned(
    garden: Garden, grower: Member, owner: Member, now: datetime, batches: list[str]
) -> None:
    slip = look(garden, grower, now, batches[2], n_rooted=0, n_lost=16)
    learn(fresh(garden), HANDBOOK, now=now)
    services.withdraw(
        garden=garden, by=owner, now=now, withdraws=slip.entry_id, reason="the other way round", at=now
    )
    unlearned = rooted_by_its_end(garden, batches[2])
    look(garden, grower, now, batches[2], n_rooted=6, n_lost=0)
    corrected = rooted_by_its_end(garden, batches[2])
    learn(fresh(garden), HANDBOOK, now=now)
    assert rooted_by_its_end(garden, batches[2]) == pytest.approx(corrected, abs=1)
    assert 5 < unlearned < corrected


def test_what_was_believed_to_be_stuck_when_it_was_learned_is_kept(
    garden: Garden, grower: Member, now: datetime, batches: list[str]
) -> None:
    look(garden, grower, now, batches[2], n_rooted=18, n_lost=0)
    learn(fresh(garden), HANDBOOK, now=now)
    Place.rows.filter(garden=garden, place="mist-1").update(medium_temp_c=11)
    cold = rooted_by_its_end(garden, batches[2])
    learn(fresh(garden), HANDBOOK, now=now)
    assert rooted_by_its_end(garden, batches[2]) == pytest.approx(cold, abs=0.5)


def test_other_media_are_counted_from_the_one_usual_when_it_was_learned(
    garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    media = ("grit", "leafmould")
    for medium in media:
        row = {"medium": medium, "parts": f"{medium}:1"}
        services.add_reference(garden=garden, by=owner, now=now, table="media", row=row)
    first = stick(garden, grower, now, medium=media[1])
    look(garden, grower, now, first.batch, n_rooted=5)
    learn(fresh(garden), HANDBOOK, now=now)
    for _ in range(3):
        stick(garden, grower, now, medium=media[0])

    def medium_of_first() -> str:
        (now_of,) = selectors.states_of_batches(garden, [first])
        return record_of(fresh(garden), HANDBOOK, now_of).cuttings.medium

    assert medium_of_first() == ""
    learn(fresh(garden), HANDBOOK, now=now)
    assert medium_of_first() == media[1]


def test_where_nothing_counts_any_more_no_fit_holds_any_more(
    garden: Garden, grower: Member, owner: Member, now: datetime
) -> None:
    codes = [stick(garden, grower, now).batch for _ in range(2)]
    looks = [look(garden, grower, now, code, n_rooted=0, n_lost=18) for code in codes]
    learn(fresh(garden), HANDBOOK, now=now)
    for one in looks:
        services.withdraw(
            garden=garden, by=owner, now=now, withdraws=one.entry_id, reason="the wrong pots", at=now
        )
    assert learn(fresh(garden), HANDBOOK, now=now)
    assert fit_now(fresh(garden)) is None
    assert learned_or_prior(fresh(garden), [ROSE]) is before_records()
    assert not FitNode.rows.exists()
    assert not GardenFit.rows.exists()
    assert not learn(fresh(garden), HANDBOOK, now=now)


def test_a_fit_of_older_records_does_not_take_the_place_of_a_newer_one(
    garden: Garden, grower: Member, now: datetime, batches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    learn(fresh(garden), HANDBOOK, now=now)
    once: list[int] = []

    def other_reads_more(node: Any) -> int:
        if not once:
            once.append(1)
            look(garden, grower, now, batches[2], n_rooted=9)
            assert learn(fresh(garden), HANDBOOK, now=now)
        return mark_of_node(node)

    monkeypatch.setattr(refit, "mark_of_node", other_reads_more)
    with pytest.raises(fits.Overtaken):
        learn(fresh(garden), HANDBOOK, now=now, anew=True)
    assert now_known(garden).n_looks == 3
    assert not now_known(garden).is_stale


def test_another_edition_of_the_handbook_is_another_model(monkeypatch: pytest.MonkeyPatch) -> None:
    before = model_version.model_version()
    monkeypatch.setattr(model_version, "handbook_mark", lambda: "another")
    assert model_version.model_version.__wrapped__() != before


def test_of_what_another_model_found_nothing_is_told(
    garden: Garden, now: datetime, batches: list[str]
) -> None:
    learn(fresh(garden), HANDBOOK, now=now)
    GardenFit.rows.filter(pk=now_known(garden).pk).update(
        version="0-old", found={"contrasts": [{"name": "x"}]}
    )
    told = taught(fresh(garden))
    assert told
    assert not told.fit.is_of_this_model
    assert (told.found.contrasts, told.plants) == ((), ())
    assert learn(fresh(garden), HANDBOOK, now=now, full=False)
    anew = taught(fresh(garden))
    assert anew
    assert anew.fit.is_of_this_model
    assert len(anew.plants) == 1


def test_a_plant_in_the_south_is_told_by_the_season_of_the_south(
    garden: Garden, now: datetime, batches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    Garden.objects.filter(pk=garden.pk).update(latitude_deg=-38)
    learn(fresh(garden), HANDBOOK, now=now)
    told = taught(fresh(garden))
    assert told
    asked: list[Kind] = []
    monkeypatch.setattr(answers_taught, "learned_of", lambda _, kinds: asked.extend(kinds))
    plant_taught(fresh(garden), HANDBOOK, told.plants[0], on=DAY)
    assert asked[0].path == history_of(fresh(garden), HANDBOOK)[0].kind.path[:4]


def test_batches_ended_long_ago_and_seasons_gone_by_are_not_kept(
    garden: Garden, grower: Member, now: datetime, batches: list[str]
) -> None:
    old, ended = (
        stick(garden, grower, now, stuck_on=date(year, 7, 1), n_stuck=5).batch for year in (2024, 2025)
    )
    for batch, year in ((old, 2024), (ended, 2025)):
        services.record_look(garden=garden, by=grower, now=now, batch=batch, on=date(year, 9, 1), n_lost=5)
    learn(fresh(garden), HANDBOOK, now=now)
    kinds = [kind_of(batches[0]), kind_of(ended), replace(ROSE, season="2024", batch=old)]
    found = learned_of(fresh(garden), kinds)
    assert found
    assert {node[0] for node in found.nodes} == {"genus", "taxon", "wood", "season", "batch"}
    assert {node[-1] for node in found.nodes if node[0] == "season"} == {"2025"}
    assert {node[-1] for node in found.nodes if node[0] == "batch"} == {batches[0], ended}


def test_only_the_last_two_fits_keep_their_draws(garden: Garden, now: datetime, batches: list[str]) -> None:
    for _ in range(fits.FITS_KEPT + 2):
        learn(fresh(garden), HANDBOOK, now=now, anew=True)
    kept = GardenFit.rows.of(garden).order_by("-pk")
    assert len(kept) == fits.FITS_KEPT
    assert [one.shared is not None for one in kept[:3]] == [True, True, False]
    assert set(FitNode.rows.values_list("fit", flat=True)) == {kept[0].pk, kept[1].pk}
    assert all(one.found["effects"] for one in kept)


def test_a_fit_that_breaks_off_leaves_the_one_before(
    garden: Garden, now: datetime, batches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    learn(fresh(garden), HANDBOOK, now=now)
    before = now_known(garden)

    def breaking(draws: Any, n: list[int] = []) -> bytes:  # noqa: B006
        n.append(1)
        if len(n) > 3:
            raise OSError("no room")
        return packed_node(draws)

    monkeypatch.setattr(fits, "AT_ONCE", 2)
    monkeypatch.setattr(refit, "packed_node", breaking)
    with pytest.raises(OSError, match="no room"):
        learn(fresh(garden), HANDBOOK, now=now, anew=True)
    assert now_known(garden).pk == before.pk
    assert learned_of(fresh(garden), [kind_of(batches[0])])
    monkeypatch.undo()
    later = now + timedelta(hours=2)
    learn(fresh(garden), HANDBOOK, now=later, anew=True)
    assert set(FitNode.rows.values_list("fit", flat=True)) == {before.pk, fresh(garden).fit_id}


def test_of_two_at_once_the_second_does_not_hold_without_its_draws(
    garden: Garden, now: datetime, batches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    learn(fresh(garden), HANDBOOK, now=now)
    once: list[int] = []

    def other_is_quicker(node: Any) -> int:
        if not once:
            once.append(1)
            learn(fresh(garden), HANDBOOK, now=now, anew=True)
            learn(fresh(garden), HANDBOOK, now=now, anew=True)
        return mark_of_node(node)

    monkeypatch.setattr(refit, "mark_of_node", other_is_quicker)
    with pytest.raises(fits.Overtaken):
        learn(fresh(garden), HANDBOOK, now=now, anew=True)
    assert learned_of(fresh(garden), [ROSE])


def test_draws_of_another_model_are_not_used(
    garden: Garden, now: datetime, batches: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    learn(fresh(garden), HANDBOOK, now=now)
    learning._SHARED.clear()
    monkeypatch.setattr(learning, "model_version", lambda: "another")
    assert learned_of(fresh(garden), [ROSE]) is None


def test_what_was_found_comes_back_from_where_it_is_kept(
    garden: Garden, grower: Member, now: datetime, batches: list[str]
) -> None:
    look(garden, grower, now, batches[0], 18, n_rooted=30)
    learn(fresh(garden), HANDBOOK, now=now)
    found = found_from(now_known(garden).found)
    assert found_from(found.as_kept()) == found
    assert {(one.taxon, one.wood) for one in found.taxa} == {(ROSE.taxon, ROSE.wood)}
    assert 0 < found.prior_share < 1
    assert [(one.kind, one.batches) for one in found.remarks] == [("does-not-add-up", (batches[0],))]


def test_a_batch_far_off_its_kind_is_named_the_furthest_first() -> None:
    def node(batch: str) -> tuple[str, ...]:
        return replace(ROSE, batch=batch).path[-1]

    effects = {node("near"): (0.5, -0.5), node("far"): (0.1, 1.2), node("further"): (-2.0, 0.0)}
    stands_in: Any = SimpleNamespace(converged=False, start=lambda: Start(np.zeros(9), {}, effects))
    found = remarks_on(stands_in, [])
    assert [(one.kind, one.batches) for one in found] == [
        ("not-settled", ()),
        ("fits-badly", ("further", "far")),
    ]
    assert "went further, far." in found[1].in_words
    assert "did not settle" in found[0].in_words


def test_more_batches_than_can_be_named_are_counted() -> None:
    remark = Remark("does-not-add-up", 7, ("A", "B"))
    assert remark.in_words.startswith("The numbers written down for A, B and 5 more do not agree")


@pytest.mark.parametrize(
    ("looks", "adds_up"),
    [
        ([LookCounts(DAY, n_rooted=5, n_lost=1, n_waiting=4)], True),
        ([LookCounts(DAY, n_rooted=5, n_lost=1, n_waiting=3)], False),
        ([LookCounts(DAY, n_rooted=5, n_waiting=3)], True),
        ([LookCounts(DAY, n_rooted=5, n_waiting=6)], False),
        ([LookCounts(DAY, n_rooted=5), LookCounts(DAY, n_rooted=6)], False),
        ([LookCounts(DAY), LookCounts(DAY, n_waiting=2)], True),
    ],
)
def test_counts_add_up_where_none_says_otherwise(looks: list[LookCounts], adds_up: bool) -> None:
    record = BatchRecord(Cuttings(), kind_of("A"), BatchCounts(date(2025, 10, 1), 10, tuple(looks)))
    stands_in: Any = SimpleNamespace(converged=True, start=lambda: Start(np.zeros(9), {}, {}))
    assert (not remarks_on(stands_in, [record])) == adds_up


def test_comparisons_of_the_prior_alone_are_all_prior() -> None:
    contrasts = contrasts_of(before_records())
    assert all(one.is_mostly_prior for one in contrasts)
    uncovered = next(one for one in contrasts if (one.name, one.clock) == ("uncovered", "loss"))
    assert uncovered.prior_p50 == pytest.approx(3.32, abs=0.01)
    assert uncovered.p50 == pytest.approx(uncovered.prior_p50, rel=0.1)
    assert Found((), (), (), contrasts, ()).learned == []


def test_a_comparison_that_moved_far_is_no_longer_mostly_belief_however_wide_it_is() -> None:
    prior = before_records()
    moved = replace(prior, coefficients={**prior.coefficients, "tent": prior.coefficients["tent"] + 0.5})
    one = next(one for one in contrasts_of(moved) if (one.name, one.clock) == ("tent", "rooting"))
    assert one.prior_share < 0.2
    assert not one.is_mostly_prior


def test_a_plant_far_off_what_was_believed_is_hardly_belief_any_more() -> None:
    near = TaxonFound("Rosa", "hardwood", "rooting", 0.0, 0.9, 1.0, has_row=True)
    assert near.prior_share == pytest.approx(0.81)
    assert replace(near, mean=-2.0).prior_share < 0.15


def test_a_comparison_is_said_in_words() -> None:
    contrasts = contrasts_of(before_records())
    tent = next(one for one in contrasts if (one.name, one.clock) == ("tent", "loss"))
    told = replace(tent, p10=1.08, p50=1.4, p90=1.82)
    assert told.in_words == (
        "Cuttings under a tent or in a bag are lost about 1.4 times as fast as cuttings under mist "
        "(8 times in 10: 1.1 to 1.8)."
    )


def test_what_is_slower_is_told_from_the_other_side() -> None:
    bare = next(one for one in contrasts_of(before_records()) if (one.name, one.clock) == ("base", "rooting"))
    told = replace(bare, p10=0.0625, p50=0.08, p90=0.125)
    assert told.in_words == (
        "Cuttings from the middle root about 12 times as fast as cuttings from the woody base "
        "(8 times in 10: 8 to 16)."
    )
    unclear = replace(bare, p10=0.9, p50=1.1, p90=1.3)
    assert unclear.in_words == (
        "Cuttings from the woody base root 0.9 to 1.3 times as fast as cuttings from the middle: "
        "no clear difference."
    )


def test_a_node_takes_four_bytes_a_draw_and_loses_nothing_that_counts() -> None:
    draws = np.random.default_rng(1).normal(scale=2, size=(2, 1000))
    kept = packed_node(draws)
    assert len(kept) == 4000
    assert np.abs(unpacked_node(kept) - draws).max() < 0.005


def test_marks_tell_nodes_apart() -> None:
    assert mark_of_node(("taxon", "Rosa", "a")) != mark_of_node(("taxon", "Ros", "aa"))
    assert 0 <= mark_of_node(()) < 2**63


def test_what_draws_were_told_of_a_batch_comes_back_from_where_it_is_kept() -> None:
    looks = (LookCounts(DAY, n_rooted=1, n_waiting=4), LookCounts(DAY, n_lost=4, cause="given-up"))
    seen = Seen(BatchCounts(DAY, 5, looks), {"warmth": 0.1, "medium[sand]": 1.0}, (0.25, -1 / 3))
    assert unpacked_seen(json.loads(json.dumps(packed_seen(seen)))) == seen


def _tent_loss(**points: Any) -> Contrast:
    contrasts = contrasts_of(before_records())
    tent = next(one for one in contrasts if (one.name, one.clock) == ("tent", "loss"))
    return replace(tent, prior_share=0.1, **points)


def test_the_end_that_decides_is_never_written_as_no_difference() -> None:
    clear = _tent_loss(p10=1.02, p50=1.3, p90=1.5)
    assert clear.is_clear
    assert "(8 times in 10: 1.02 to 1.5)" in clear.in_words
    slower = _tent_loss(p10=0.7, p50=0.8, p90=0.98)
    assert "1.2 times as fast" in slower.in_words
    assert "1.02 to 1.4" in slower.in_words
    for low, high in ((1.004, 1.5), (0.74, 0.998), (0.74, 1.03)):
        assert "no clear difference" in _tent_loss(p10=low, p50=(low + high) / 2, p90=high).in_words
    assert "0.74 to 1.03" in _tent_loss(p10=0.74, p50=0.9, p90=1.03).in_words


def test_what_turned_out_the_same_is_no_difference_but_is_counted() -> None:
    same, differs = _tent_loss(p10=1.01, p50=1.03, p90=1.08), _tent_loss(p10=1.1, p50=1.4, p90=1.8)
    unknown = replace(same, prior_share=0.9)
    found = Found((), (), (), [same, differs, unknown], ())
    assert found.learned == [differs]
    assert (found.n_same, found.n_prior) == (1, 1)


def test_what_moved_most_from_the_belief_comes_first_then_the_clear_ones() -> None:
    points = {"prior_p10": 5.0, "prior_p50": 14.0, "prior_p90": 40.0}
    as_believed = _tent_loss(p10=6.0, p50=14.0, p90=33.0, **points)
    shifted = _tent_loss(p10=0.5, p50=1.4, p90=4.0, **points)
    narrowed = _tent_loss(p10=13.5, p50=14.0, p90=14.5, **points)
    found = Found((), (), (), [as_believed, narrowed, shifted], ())
    assert found.learned[0] == narrowed
    assert found.learned[1:] == [as_believed, shifted]
    far = replace(shifted, p50=0.3)
    assert Found((), (), (), [as_believed, narrowed, far], ()).learned == [far, narrowed, as_believed]
    assert min(shifted.moved, narrowed.moved) > 4 * as_believed.moved
    assert _tent_loss(p10=5.0, p50=14.0, p90=40.0, **points).moved == pytest.approx(0, abs=1e-6)


def test_what_was_believed_is_told_of_the_same_side_as_what_was_learned() -> None:
    points = {"prior_p10": 0.02, "prior_p50": 0.07, "prior_p90": 0.2}
    assert _tent_loss(p10=0.0625, p50=0.08, p90=0.125, **points).believed == pytest.approx(
        (1 / 0.07, 1 / 0.2, 1 / 0.02)
    )
    assert _tent_loss(p10=0.5, p50=0.8, p90=1.5, **points).believed == (0.07, 0.02, 0.2)


def test_batches_behind_are_counted_by_wood_too() -> None:
    stuck = BatchCounts(date(2025, 10, 1), 10, (LookCounts(DAY, n_rooted=1),))
    soft = [replace(kind_of(code), wood="softwood") for code in "AB"]
    history = [BatchRecord(Cuttings(), kind, stuck) for kind in (*soft, kind_of("C"))]
    behind = _behind(history, mark_of(history))
    assert behind[soft[0].path[2]] == (2, 2)
    assert behind[soft[0].path[1]] == (3, 3)


def test_no_part_of_the_work_is_ever_less_than_none(garden: Garden, grower: Member, now: datetime) -> None:
    code = stick(garden, grower, now, n_stuck=30).batch
    services.record_look(
        garden=garden, by=grower, now=now, batch=code, on=date(2025, 10, 15), n_rooted=2, n_lost=9
    )
    parts: list[int] = []
    assert learn(fresh(garden), HANDBOOK, now=now, progress=lambda part, *_: parts.append(part))
    assert min(parts) == 0
