import pytest

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


@pytest.mark.parametrize(
    "words",
    [
        "rock rose",
        "Christmas rose",
        "guelder rose",
        "Rose of Sharon",
        "Rose Mallow",
        "sea lavender",
        "cotton lavender",
        "Russian sage",
        "clary sage",
        "azalea",
        "garden",
        "wild",
        "black",
        "oak",
        "laven",
    ],
)
def test_words_that_only_touch_a_name_are_not_known_and_names_are_offered(words):
    found = plant_named(HANDBOOK, words)
    assert isinstance(found, NotKnown)
    assert found.near


def test_a_genus_of_several_pages_is_not_guessed_at_and_offers_one_of_each_first():
    found = plant_named(HANDBOOK, "Salvia")
    assert isinstance(found, NotKnown)
    assert found.near[:2] == ("Salvia rosmarinus", "Salvia officinalis")


@pytest.mark.parametrize(
    "words", ["climbing rose", "old climbing rose", "hybrid tea rose", "rose bush", "roses"]
)
def test_words_of_the_garden_about_a_name_leave_it_the_same_plant(words):
    assert plant_named(HANDBOOK, words).taxon == "Rosa"


@pytest.mark.parametrize("words", ["hydrangea bush", "Hydrangea Bush", "garden hydrangeas"])
def test_a_common_name_that_is_also_a_genus_takes_such_words_too(words):
    assert plant_named(HANDBOOK, words).taxon == "Hydrangea"


def test_a_slip_of_the_pen_is_met_with_names_near_it():
    found = plant_named(HANDBOOK, "lavendar")
    assert isinstance(found, NotKnown)
    assert "lavender" in found.near


@pytest.mark.parametrize(("words", "first"), [("geranium", "zonal geranium"), ("azalea", "deciduous azalea")])
def test_a_word_that_several_plants_share_offers_their_common_names_first(words, first):
    found = plant_named(HANDBOOK, words)
    assert isinstance(found, NotKnown)
    assert found.near[0] == first
    assert all(name.split()[-1] == words for name in found.near)


def test_one_right_word_of_two_still_helps():
    assert any(
        "Hydrangea" in name or "hydrangea" in name for name in plant_named(HANDBOOK, "hydrangia zzz").near
    )


def test_no_name_is_not_known():
    assert plant_named(HANDBOOK, "   ") == NotKnown("   ", ())
