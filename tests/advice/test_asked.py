from slipwright.advice.asked import Named, NotKnown, plant_named
from slipwright.handbook import load_handbook

HANDBOOK = load_handbook()


def test_every_name_of_every_page_finds_that_page():
    for page in HANDBOOK.pages:
        for name in (*page.taxa, *page.synonyms):
            found = plant_named(HANDBOOK, name)
            assert isinstance(found, Named)
            assert found.page.key == page.key


def test_a_cultivar_keeps_its_name():
    found = plant_named(HANDBOOK, "rose 'Lantern Keeper'")
    assert found.taxon == "Rosa 'Lantern Keeper'"
    assert found.remark == ""


def test_a_beginning_is_taken_to_mean_the_shortest_name_with_it():
    found = plant_named(HANDBOOK, "laven")
    assert found.page.genus == "Lavandula"
    assert found.remark.startswith("taken to mean")


def test_a_slip_of_the_pen_is_met_with_names_near_it():
    found = plant_named(HANDBOOK, "lavendar")
    assert isinstance(found, NotKnown)
    assert "lavender" in found.near


def test_one_right_word_of_two_still_helps():
    assert any(
        "Hydrangea" in name or "hydrangea" in name for name in plant_named(HANDBOOK, "hydrangia zzz").near
    )


def test_no_name_is_not_known():
    assert plant_named(HANDBOOK, "   ") == NotKnown("   ", ())
