from datetime import UTC, date, datetime, timedelta

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from slipwright.advice.calendar import calendar_events
from slipwright.advice.walk import BatchOnRound, PlantOnRound
from slipwright.handbook import load_handbook
from slipwright.outputs.calendar import calendar_feed
from slipwright.rooting.counts import BatchCounts, LookCounts

HANDBOOK = load_handbook()
ROSE = HANDBOOK.page_of("Rosa")
LAVENDER = HANDBOOK.page_of("Lavandula")
STUCK = date(2026, 8, 1)


def look(days, **counts):
    return LookCounts(STUCK + timedelta(days=days), **counts)


def events_on(days, *looks, plants=(), **options):
    counts = BatchCounts(STUCK, 12, looks)
    batch = BatchOnRound("K7Q2M9T3", "Lavandula", "softwood", counts, place="Tent 1", page=LAVENDER)
    found = calendar_events(
        [batch], plants, on=STUCK + timedelta(days=days), generator=np.random.default_rng(1), **options
    )
    return {event.uid: event for event in found}


def test_a_new_batch_has_looks_potting_and_giving_up():
    events = events_on(0)
    looks = [f"K7Q2M9T3-look-{n}@slipwright" for n in range(1, 5)]
    assert set(events) == {*looks, "K7Q2M9T3-pot-up@slipwright", "K7Q2M9T3-give-up@slipwright"}
    assert [(events[uid].on - STUCK).days for uid in looks] == [7, 14, 21, 28]
    assert "Place: Tent 1." in events[looks[0]].description


def test_a_moved_look_keeps_its_uid():
    early, late = events_on(0), events_on(10)
    uid = "K7Q2M9T3-look-1@slipwright"
    assert early[uid].on == STUCK + timedelta(days=7)
    assert late[uid].on == STUCK + timedelta(days=10)


def test_after_a_look_the_next_has_the_next_number_and_rot_hastens_it():
    events = events_on(9, look(9, n_lost=2, cause="mould"))
    assert "K7Q2M9T3-look-1@slipwright" not in events
    assert events["K7Q2M9T3-look-2@slipwright"].on == STUCK + timedelta(days=14)


def test_potting_spans_its_likely_days_and_keeps_its_uid_when_they_move():
    uid = "K7Q2M9T3-pot-up@slipwright"
    new, rooted = events_on(0)[uid], events_on(28, look(28, n_rooted=5, n_lost=0))[uid]
    assert STUCK < new.on <= new.until
    assert rooted.on == STUCK + timedelta(days=28)


def test_potting_overdue_is_due_now():
    due = events_on(28, look(21, n_rooted=5, n_lost=0))["K7Q2M9T3-pot-up@slipwright"]
    assert due.description.startswith("Due now: 5 cuttings rooted and unpotted.")
    assert "8 times in 10" in events_on(0)["K7Q2M9T3-pot-up@slipwright"].description


def test_of_a_plant_nobody_asked_for_only_the_best_wood_is_listed():
    def woods(**plant):
        plants = [PlantOnRound("R1", "Rosa", ROSE, **plant)]
        cuts = [uid for uid in events_on(30, plants=plants) if uid.startswith("cut-")]
        return [uid.removeprefix("cut-R1-").partition("-2")[0] for uid in cuts]

    assert woods() == ["semi-hardwood"]
    assert set(woods(n_wanted=5)) == {"softwood", "semi-hardwood", "hardwood"}


def test_a_batch_that_is_over_leaves_the_calendar():
    assert events_on(30, look(30, n_rooted=0, n_lost=12)) == {}


def test_another_garden_has_other_uids():
    ours, theirs = events_on(0, domain="a.example"), events_on(0, domain="b.example")
    assert not set(ours) & set(theirs)


def test_windows_of_wanted_plants_keep_plant_wood_and_year_in_their_uid():
    plants = [
        PlantOnRound("Rose / gate", "Rosa", ROSE, n_wanted=5),
        PlantOnRound("R2", "Rosa", ROSE, n_wanted=0),
        PlantOnRound("R3", "Rosa", ROSE, may_stick=False),
        PlantOnRound("R4", "Rosa", None),
    ]
    cuts = [event for uid, event in events_on(0, plants=plants).items() if uid.startswith("cut-")]
    assert {event.uid.split("-")[1] for event in cuts} == {"Rose%20%2F%20gate"}
    semi = next(event for event in cuts if "semi-hardwood-2026" in event.uid)
    assert semi.until > semi.on
    assert "5 wanted" in semi.description


@settings(max_examples=40, deadline=None)
@given(
    st.integers(-5, 400),
    st.lists(
        st.builds(
            look,
            st.integers(0, 300),
            n_rooted=st.none() | st.integers(0, 6),
            n_lost=st.none() | st.integers(0, 6),
        ),
        max_size=4,
    ),
    st.booleans(),
)
def test_every_calendar_can_be_fed(days, looks, south):
    plants = [PlantOnRound("P", "Rosa", page) for page in HANDBOOK.pages[:3]]
    plants = [PlantOnRound(f"P{i}", plant.taxon, plant.page) for i, plant in enumerate(plants)]
    events = events_on(days, *looks, plants=plants, south=south)
    feed = calendar_feed(events.values(), name="Garden", stamp=datetime(2026, 9, 1, tzinfo=UTC))
    assert feed.count(b"BEGIN:VEVENT") == len(events)
    for uid, event in events.items():
        assert uid.startswith("cut-") or event.on >= STUCK + timedelta(days=days)


def test_a_batch_long_unseen_is_looked_at_and_neither_due_to_pot_nor_given_up():
    events = events_on(130, look(60, n_rooted=0, n_lost=0))
    assert events["K7Q2M9T3-look-2@slipwright"].on == STUCK + timedelta(days=130)
    assert "K7Q2M9T3-give-up@slipwright" not in events
    assert events["K7Q2M9T3-pot-up@slipwright"].description.startswith("After a look:")
    assert "K7Q2M9T3-give-up@slipwright" in events_on(130, look(129, n_rooted=0, n_lost=11))
