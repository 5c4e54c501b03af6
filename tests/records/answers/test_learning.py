"""What a garden learned is kept, read back as it was, and learned again only where there is more."""

from __future__ import annotations

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
from slipwright.records import services
from slipwright.records.answers import learning, refit
from slipwright.records.answers.contrasts import contrasts_of
from slipwright.records.answers.findings import Found, Remark, found_from, remarks_on
from slipwright.records.answers.histories import history_of
from slipwright.records.answers.learning import learned_of, learned_or_prior
from slipwright.records.answers.refit import learn
from slipwright.records.models import FitNode, Garden, GardenFit, Member
from slipwright.records.packed import mark_of_looks, mark_of_node, packed_node, unpacked_node
from slipwright.records.selectors.fits import FitNow, fit_now, newest_full_fit
from slipwright.records.services import fits
from slipwright.rooting import fitting
from slipwright.rooting.counts import BatchCounts, LookCounts
from slipwright.rooting.cuttings import Cuttings
from slipwright.rooting.fitting import Start
from slipwright.rooting.history import BatchRecord
from slipwright.rooting.learned import Kind, before_records
from tests.records.making import stick

HANDBOOK = load_handbook()
DAY = date(2025, 10, 15)
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
    assert read.looks_seen == {record.kind.path[-1]: 1}
    assert read.behind == dict.fromkeys(((), *record.kind.path[:2]), (2, 2))


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


def test_a_batch_whose_looks_became_others_is_left_to_its_season(
    garden: Garden, now: datetime, batches: list[str]
) -> None:
    learn(fresh(garden), HANDBOOK, now=now)
    seen = LookCounts(DAY, n_rooted=8, n_lost=1)
    node = kind_of(batches[0]).path[-1]

    def known(*looks: LookCounts) -> bool:
        counts = {batches[0]: BatchCounts(date(2025, 10, 1), 20, looks)}
        found = learned_of(fresh(garden), [kind_of(batches[0])], counts=counts)
        assert found
        return node in found.nodes and node in found.looks_seen

    assert known(seen)
    assert known(seen, LookCounts(DAY + timedelta(days=3), n_rooted=2))
    assert not known(replace(seen, n_rooted=7))
    assert not known(LookCounts(DAY - timedelta(days=3), n_rooted=2), seen)
    assert not known()


def test_ended_batches_and_seasons_gone_by_are_not_kept(
    garden: Garden, grower: Member, now: datetime, batches: list[str]
) -> None:
    old = stick(garden, grower, now, stuck_on=date(2024, 10, 1), n_stuck=5).batch
    services.record_look(garden=garden, by=grower, now=now, batch=old, on=date(2024, 11, 1), n_lost=5)
    learn(fresh(garden), HANDBOOK, now=now)
    found = learned_of(fresh(garden), [kind_of(batches[0]), replace(ROSE, season="2024", batch=old)])
    assert found
    kept = {node[0]: node for node in found.nodes}
    assert set(kept) == {"genus", "taxon", "wood", "season", "batch"}
    assert kept["season"][-1] == "2025"
    assert kept["batch"][-1] == batches[0]


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
    assert remark.in_words.startswith("Counts do not add up in A, B and 5 more:")


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


def test_marks_tell_nodes_and_looks_apart() -> None:
    assert mark_of_node(("taxon", "Rosa", "a")) != mark_of_node(("taxon", "Ros", "aa"))
    assert 0 <= mark_of_node(()) < 2**63
    counts = BatchCounts(DAY, 5, (LookCounts(DAY, n_rooted=1), LookCounts(DAY, n_rooted=2)))
    assert mark_of_looks(counts, 1) != mark_of_looks(counts, 2)
