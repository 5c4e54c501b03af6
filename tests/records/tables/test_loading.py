"""Loading: new, known and changed rows, all or nothing, and which garden."""

from __future__ import annotations

import uuid
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from django.db import connection, transaction

from slipwright.records.models import (
    Garden,
    Look,
    Member,
    Place,
    Plant,
    Potting,
    ReferenceEdit,
    Sticking,
    Taxon,
    WeatherDay,
)
from slipwright.records.states import differences
from slipwright.records.tables.loading import load
from tests.databases import Database
from tests.records.tables.folders import NOW, SMALL, UUID, dumped, loaded, n_rows, the_garden, written

LOOKS = (
    "batch,on,n_rooted,n_lost,by,note,id\n"
    "ROSE1,2026-11-01,0,1,ike,,look-1\n"
    'ROSE1,2026-11-08,4,0,wren,"soft at the rim,\nthe rest firm",\n'
    "ROSE2,2026-11-08,,,,,\n"
)


def test_tables_make_a_garden_where_there_is_none(database: Database, tmp_path: Path) -> None:
    report = loaded(tmp_path, SMALL | {"looks": LOOKS})
    garden = the_garden()
    assert report.garden == UUID == str(garden.garden)
    assert report.accepted == 1 + 2 + 2 + 1 + 2 + 3
    assert report.tables["looks"].rows == report.tables["looks"].accepted == 3
    look = Look.rows.get(entry_id="look-1")
    assert (look.batch.batch, look.on, look.n_rooted, look.n_lost) == ("ROSE1", date(2026, 11, 1), 0, 1)
    assert look.by is not None
    assert look.by.member == "ike"
    assert look.received_at == NOW
    assert Look.rows.get(n_rooted=4).note == "soft at the rim,\nthe rest firm"
    assert list(differences(garden)) == []


def test_entries_are_numbered_in_file_order_table_by_table(database: Database, tmp_path: Path) -> None:
    potted = "batch,on,n_potted\nROSE1,2026-12-01,3\n"
    loaded(tmp_path, SMALL | {"looks": LOOKS, "pottings": potted})
    assert list(Sticking.rows.order_by("number").values_list("number", "batch")) == [
        (1, "ROSE1"),
        (2, "ROSE2"),
    ]
    assert list(Look.rows.order_by("number").values_list("number", "on__day")) == [(3, 1), (4, 8), (5, 8)]
    assert Potting.rows.get().number == 6
    assert the_garden().last_number == 6


def test_a_second_load_changes_nothing(database: Database, tmp_path: Path) -> None:
    first = loaded(tmp_path, SMALL | {"looks": LOOKS})
    before = n_rows(), the_garden().last_number, the_garden().last_edit
    second = loaded(tmp_path, SMALL | {"looks": LOOKS})
    assert (second.accepted, second.unchanged) == (0, first.accepted)
    assert (n_rows(), the_garden().last_number, the_garden().last_edit) == before


def test_more_rows_in_the_same_files_take_in_what_is_new(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"looks": LOOKS})
    report = loaded(tmp_path, SMALL | {"looks": LOOKS + "ROSE2,2026-11-15,2,0,,,\n"})
    assert (report.tables["looks"].accepted, report.tables["looks"].unchanged) == (1, 3)
    assert Look.rows.get(n_rooted=2).number == 6
    assert list(differences(the_garden())) == []


def test_new_rows_among_known_ones_are_numbered_without_gaps(database: Database, tmp_path: Path) -> None:
    rows = [f"ROSE1,2026-11-{day:02d},1" for day in range(1, 9)]
    loaded(tmp_path, SMALL | {"looks": "\n".join(["batch,on,n_rooted", *rows[::2]])})
    loaded(tmp_path, SMALL | {"looks": "\n".join(["batch,on,n_rooted", *rows])})
    numbers = Look.rows.order_by("number").values_list("number", "on__day")
    assert list(numbers) == [(3, 1), (4, 3), (5, 5), (6, 7), (7, 2), (8, 4), (9, 6), (10, 8)]
    assert the_garden().last_number == 10


def test_one_bad_line_at_the_end_writes_nothing(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {"looks": LOOKS + "ROSE2,2026-02-30,1,0,,,\n"}
    report = load(written(tmp_path, tables), now=NOW)
    assert (report.n_rejected, report.accepted, report.unchanged) == (1, 0, 0)
    assert report.tables["looks"].rows == 4
    assert set(n_rows().values()) == {0}


def test_a_bad_line_leaves_a_garden_as_it_was(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    before = dumped(the_garden())
    tables = {
        "garden": SMALL["garden"],
        "places": "place,kind\nBench 1,frame\nBench 2,shelf\nBench 3,attic\n",
    }
    report = load(written(tmp_path, tables), now=NOW)
    assert report.n_rejected == 1
    assert dumped(the_garden()) == before


def test_a_known_row_changes_only_the_columns_present(database: Database, tmp_path: Path) -> None:
    places = "place,kind,room_m2,cover,walk_order\nBench 1,bench,2.5,mist,1\n"
    loaded(tmp_path, SMALL | {"places": places})
    report = loaded(tmp_path, {"places": "place,walk_order,cover\nBench 1,7,\n"})
    assert (report.tables["places"].accepted, report.tables["places"].unchanged) == (1, 0)
    bench = Place.rows.get(place="Bench 1")
    assert (bench.kind, bench.room_m2, bench.cover, bench.walk_order) == ("bench", Decimal("2.5"), "", 7)


def test_a_reference_that_changes_is_looked_up_anew(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    loaded(tmp_path, {"plants": "plant,taxon,place\nGate rose,Rosa 'Ferry Bell',Bench 1\n"})
    plant = Plant.rows.get()
    assert (plant.taxon.taxon, plant.place and plant.place.place) == ("Rosa 'Ferry Bell'", "Bench 1")
    loaded(tmp_path, {"plants": "plant,place\nGate rose,\n"})
    assert Plant.rows.get().place is None


def test_every_edit_is_kept_with_what_it_was(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    made = ReferenceEdit.rows.get(table="places", key="Bench 1")
    assert (made.before, made.after) == (None, {"place": "Bench 1", "kind": "bench"})
    assert (made.by, made.at) == (None, NOW)
    loaded(tmp_path, {"places": "place,room_m2\nBench 1,2.50\n"})
    edit = ReferenceEdit.rows.order_by("number").last()
    assert edit is not None
    assert edit.before == {"place": "Bench 1", "kind": "bench"}
    assert edit.after == {"place": "Bench 1", "kind": "bench", "room_m2": "2.5"}
    assert edit.number == the_garden().last_edit == ReferenceEdit.rows.count()


def test_a_change_of_the_garden_itself_is_an_edit(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    report = loaded(tmp_path, {"garden": f"garden,altitude_m,currency\n{UUID},4.5,USD\n"})
    assert report.tables["garden"].accepted == 1
    assert (the_garden().altitude_m, the_garden().name) == (Decimal("4.5"), "Saltmarsh Lane")
    edit = ReferenceEdit.rows.get(table="garden")
    assert edit.before is not None
    assert ("altitude_m" in edit.before, edit.after["altitude_m"]) == (False, "4.5")
    loaded(tmp_path, {"garden": f"garden,altitude_m,currency\n{UUID},,\n"})
    assert (the_garden().altitude_m, the_garden().currency) == (None, "")


def test_weather_is_known_by_its_day_and_the_day_it_was_forecast(database: Database, tmp_path: Path) -> None:
    weather = (
        "on,tmin_c,tmax_c,made_on\n2026-10-24,7,16,\n2026-10-24,6,15,2026-10-22\n2026-10-24,5,14,2026-10-23\n"
    )
    loaded(tmp_path, SMALL | {"weather": weather})
    report = loaded(tmp_path, {"weather": "on,tmax_c,made_on\n2026-10-24,17,\n2026-10-24,15,2026-10-22\n"})
    assert (report.tables["weather"].accepted, report.tables["weather"].unchanged) == (1, 1)
    days = WeatherDay.rows.order_by("tmin_c").values_list("tmin_c", "tmax_c", "made_on__day")
    assert [(float(low), float(high), day) for low, high, day in days] == [
        (5, 14, 23),
        (6, 15, 22),
        (7, 17, None),
    ]
    assert ReferenceEdit.rows.filter(table="weather", key="2026-10-24 2026-10-22").exists()


def test_a_taxon_named_anywhere_is_added_by_its_name(database: Database, tmp_path: Path) -> None:
    wants = (
        "want,taxon,n_wanted,ready_by,ready_as,assurance\n"
        "w1,Lavandula × intermedia 'Sea Fret',5,2027-05-01,potted,0.8\n"
    )
    report = loaded(tmp_path, SMALL | {"wants": wants})
    assert report.tables["taxa"].added == 2
    names = Taxon.rows.order_by("taxon").values_list("taxon", flat=True)
    assert list(names) == ["Lavandula × intermedia 'Sea Fret'", "Rosa 'Lantern Keeper'"]
    assert ReferenceEdit.rows.filter(table="taxa", before__isnull=True).count() == 2
    assert loaded(tmp_path, SMALL | {"wants": wants}).tables.keys() >= {"wants"}
    assert Taxon.rows.count() == 2


def test_a_plant_may_come_from_a_batch_that_stands_further_down(database: Database, tmp_path: Path) -> None:
    plants = "plant,taxon,from_batch\nGate rose,Rosa 'Lantern Keeper',ROSE1\n"
    loaded(tmp_path, SMALL | {"plants": plants})
    assert Plant.rows.get().from_batch == "ROSE1"


def test_text_is_kept_in_one_form(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"members": "member,role,shown_as\nwren,owner,Wre\u0301n\n"})
    assert Member.objects.get().shown_as == "Wr\u00e9n"


def test_a_quotation_mark_in_front_is_taken_away_once(database: Database, tmp_path: Path) -> None:
    shown = "member,role,shown_as\na,owner,'=1+1\nb,owner,''quoted'\nc,owner,=2\nd,owner,'\n"
    loaded(tmp_path, SMALL | {"members": shown})
    names = Member.objects.order_by("member").values_list("shown_as", flat=True)
    assert list(names) == ["=1+1", "'quoted'", "=2", ""]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_lines_may_end_in_three_ways_and_a_byte_order_mark_may_stand_first(
    database: Database, tmp_path: Path, end: str
) -> None:
    text = "\ufeff" + SMALL["members"].replace("\n", end)
    loaded(tmp_path, SMALL | {"members": text})
    assert Member.objects.count() == 2


def test_a_line_break_in_a_note_is_kept_as_a_line_feed(database: Database, tmp_path: Path) -> None:
    looks = 'batch,on,note\r\nROSE1,2026-11-01,"one\r\ntwo"\r\n'
    loaded(tmp_path, SMALL | {"looks": looks})
    assert Look.rows.get().note == "one\ntwo"


def test_blank_lines_are_passed_over(database: Database, tmp_path: Path) -> None:
    report = loaded(tmp_path, SMALL | {"members": "member,role\n\nwren,owner\n,\n\n"})
    assert report.tables["members"].rows == 1


def test_a_file_with_a_header_alone_is_no_rows(database: Database, tmp_path: Path) -> None:
    report = loaded(tmp_path, SMALL | {"looks": "batch,on\n"})
    assert report.tables.get("looks") is None or report.tables["looks"].rows == 0


# Which garden


def test_without_garden_csv_the_only_garden_is_meant(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    loaded(tmp_path, {"places": "place,kind\nShelf,shelf\n"})
    assert Place.rows.of(the_garden()).filter(place="Shelf").exists()


def test_without_garden_csv_and_any_garden_nothing_can_be_loaded(database: Database, tmp_path: Path) -> None:
    report = load(written(tmp_path, {"places": SMALL["places"]}), now=NOW)
    assert [(bad.file, bad.line) for bad in report.rejected] == [("garden.csv", 0)]
    assert "there is no garden yet" in report.rejected[0].rule


def test_a_name_alone_finds_the_only_garden_again(database: Database, tmp_path: Path) -> None:
    tables = SMALL | {
        "garden": "name,latitude_deg,longitude_deg,time_zone\nSaltmarsh Lane,41.1,-72.4,America/New_York\n"
    }
    made = loaded(tmp_path, tables)
    again = loaded(tmp_path, tables)
    assert again.garden == made.garden
    assert again.accepted == 0


def test_another_name_without_a_uuid_is_asked_about(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    tables = {"garden": "name,latitude_deg,longitude_deg,time_zone\nSea Wall,41,-72.4,UTC\n"}
    report = load(written(tmp_path, tables), now=NOW)
    bad = report.rejected[0]
    assert (bad.file, bad.line, bad.column, bad.value) == ("garden.csv", 2, "name", "Sea Wall")
    assert "Saltmarsh Lane" in bad.rule
    assert "--in" in bad.rule


def test_another_uuid_makes_a_second_garden(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    other = str(uuid.uuid4())
    loaded(tmp_path, SMALL | {"garden": SMALL["garden"].replace(UUID, other)})
    assert Garden.objects.count() == 2
    assert Sticking.rows.filter(batch="ROSE1").count() == 2
    report = load(written(tmp_path, {"places": SMALL["places"]}), now=NOW)
    assert "there are several gardens" in report.rejected[0].rule
    report = loaded(tmp_path, {"places": SMALL["places"]}, within=other)
    assert report.garden == other


def test_within_names_the_garden_and_lets_it_be_renamed(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    tables = {"garden": "name,latitude_deg,longitude_deg,time_zone\nSea Wall,41.1,-72.4,America/New_York\n"}
    loaded(tmp_path, tables, within="Saltmarsh Lane")
    assert the_garden().name == "Sea Wall"


def test_within_and_the_uuid_must_agree(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    other = SMALL["garden"].replace(UUID, str(uuid.uuid4()))
    report = load(written(tmp_path, SMALL | {"garden": other}), now=NOW, within="Saltmarsh Lane")
    assert "is not the garden asked for" in report.rejected[0].rule


def test_within_must_name_a_garden(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    report = load(written(tmp_path, {"places": SMALL["places"]}), now=NOW, within="Sea Wall")
    assert "there is no garden called 'Sea Wall'" in report.rejected[0].rule


def test_gardens_do_not_see_each_other(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL | {"looks": LOOKS})
    other = str(uuid.uuid4())
    garden = SMALL["garden"].replace(UUID, other)
    loaded(tmp_path, {"garden": garden})
    tables = {"garden": garden, "looks": "batch,on\nROSE1,2026-11-01\n"}
    report = load(written(tmp_path, tables), now=NOW)
    assert [(bad.column, bad.value) for bad in report.rejected] == [("batch", "ROSE1")]


def test_a_load_is_not_part_of_another_transaction(database: Database, tmp_path: Path) -> None:
    with transaction.atomic(), pytest.raises(RuntimeError, match="outside"):
        load(written(tmp_path, SMALL), now=NOW)


def test_progress_is_told_of_each_step(database: Database, tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    loaded(tmp_path, SMALL | {"looks": LOOKS}, progress=lambda *step: told.append(step))
    labels = [label for _, _, label in told]
    assert labels.index("checking looks.csv") < labels.index("summing batches") < labels.index("writing")
    assert all(0 <= done <= total for done, total, _ in told)
    assert told[-1] == (5, 5, "writing")


def test_the_connection_is_left_as_it_was(database: Database, tmp_path: Path) -> None:
    loaded(tmp_path, SMALL)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            attached = [row[1] for row in cursor.execute("PRAGMA database_list").fetchall()]
            assert "staged" not in attached
            assert cursor.execute("PRAGMA cache_size").fetchone()[0] == -20000
        else:
            cursor.execute("SELECT count(*) FROM pg_class WHERE relname LIKE 'staged%'")
            assert cursor.fetchone() == (0,)


def test_cells_are_checked_even_where_the_garden_cannot_be_told(database: Database, tmp_path: Path) -> None:
    garden = SMALL["garden"].replace("41.1", "141")
    tables = SMALL | {"garden": garden, "looks": LOOKS + "ROSE1,tomorrow,,,,,\nROSE9,2026-11-08,,,,,\n"}
    report = load(written(tmp_path, tables), now=NOW)
    assert [(bad.file, bad.line, bad.column) for bad in report.rejected] == [
        ("garden.csv", 2, "latitude_deg"),
        ("looks.csv", 6, "on"),
    ]


def test_a_bad_header_is_no_row(database: Database, tmp_path: Path) -> None:
    report = load(written(tmp_path, SMALL | {"looks": "batch,on,hue,size\nROSE1,2026-11-08,,\n"}), now=NOW)
    assert (report.n_rejected, len(report.rejected)) == (1, 2)
    assert "looks" not in report.tables


def test_a_file_that_cannot_be_read_is_not_told_again_by_what_names_its_rows(
    database: Database, tmp_path: Path
) -> None:
    tables: dict[str, str | bytes] = {**SMALL, "members": b"\xff", "batches": "batch;taxon\n", "looks": LOOKS}
    report = load(written(tmp_path, tables), now=NOW)
    assert [bad.file for bad in report.rejected] == ["members.csv", "batches.csv"]


def test_a_bad_row_of_a_table_that_is_all_bad_is_told_once(database: Database, tmp_path: Path) -> None:
    places = "place,kind,cover\nBench 1,attic,\n"
    report = load(
        written(tmp_path, SMALL | {"places": places, "plants": "plant,taxon,place\np,,\n"}), now=NOW
    )
    assert [(bad.file, bad.column) for bad in report.rejected] == [
        ("places.csv", "kind"),
        ("plants.csv", "taxon"),
    ]


def test_own_rules_and_plans_by_those_who_only_record_are_loaded_with_a_warning(
    database: Database, tmp_path: Path
) -> None:
    trials = "trial,question,arms,units_per_arm,n_per_unit,stop_rule\nTips,Better?,A no;B yes,4,6,8 weeks\n"
    notes = (
        "about,at,text,by\n"
        f"{UUID},2026-11-01T09:00:00+00:00,Own rule (Rosa): Cut early,ike\n"
        f"{UUID},2026-11-01T09:00:00+00:00,Own rule (Rosa): Cut late,wren\n"
        f"{UUID},2026-11-01T09:00:00+00:00,The gate sticks,ike\n"
        'Tips,2026-11-01T09:00:00+00:00,"Trial plan, fixed beforehand.",ike\n'
        'Tips,2026-11-01T09:00:00+00:00,"Trial plan, fixed beforehand. Again",\n'
    )
    report = loaded(tmp_path, SMALL | {"trials": trials, "notes": notes})
    assert [(one.file, one.line, one.column, one.value) for one in report.warnings] == [
        ("notes.csv", 2, "by", "ike"),
        ("notes.csv", 5, "by", "ike"),
    ]
    again = load(tmp_path, now=NOW)
    assert (again.n_warnings, again.tables["notes"].unchanged) == (0, 5)
