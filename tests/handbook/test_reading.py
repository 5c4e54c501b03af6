"""Every rule of the handbook's files finds the slip it is there for, and says where."""

from __future__ import annotations

import pytest

from slipwright.handbook import HandbookError, load_handbook, read_handbook
from tests.handbook.smallest import FILE, GENERAL, GENUS, assert_slip_is_found, read, slip, swapped

_ONCE_A_FILE = ('genus = "', "[[source]]", 'key = "', 'text = "', "title = ", "summary = ")
SECOND_PAGE = '\n[page.other]\ntitle = "Others"\nsummary = "Another."\n' + "\n".join(
    line
    for line in GENUS.replace("page.testaria", "page.other").splitlines()
    if line and not line.startswith(_ONCE_A_FILE)
).replace("[page.other]\n", "", 1)

SLIPS = [
    slip(
        "unknown key of a page",
        'shoot_word = "shoot"',
        'shoot_word = "shoot"\nshoot_wort = "x"',
        "page.testaria.shoot_wort",
        "is not a key",
    ),
    slip(
        "unknown key of a file",
        'genus = "Testaria"',
        'genus = "Testaria"\nfamily = "x"',
        "family",
        "is not a key",
    ),
    slip(
        "missing key of a page",
        'summary = "A plant of the tests."\n',
        "",
        "page.testaria.summary",
        "is missing",
    ),
    slip(
        "text for a truth",
        "prickles = { value = true",
        'prickles = { value = "yes"',
        "page.testaria.prickles.value",
        "must be true or false",
    ),
    slip("number for a text", 'title = "Testarias"', "title = 5", "page.testaria.title", "must be a text"),
    slip(
        "blank text",
        'title = "Testarias"',
        'title = " "',
        "page.testaria.title",
        "must be a text without blanks",
    ),
    slip(
        "number among names",
        'taxa = ["Testaria", "Testaria prima"]',
        'taxa = ["Testaria", 5]',
        "page.testaria.taxa",
        "must hold only texts",
    ),
    slip(
        "same taxon twice",
        'taxa = ["Testaria", "Testaria prima"]',
        'taxa = ["Testaria", "Testaria"]',
        "page.testaria.taxa",
        "must not name the same twice",
    ),
    slip(
        "taxon of another genus",
        'taxa = ["Testaria", "Testaria prima"]',
        'taxa = ["Testaria", "Testaria prima", "Rosa"]',
        "page.testaria.taxa",
        "must begin with the genus",
    ),
    slip(
        "unknown word",
        'value = "deciduous"',
        'value = "bare"',
        "page.testaria.leaf_habit.value",
        "must be one of deciduous, evergreen",
    ),
    slip(
        "unknown hazard",
        'hazards = ["thorns"]',
        'hazards = ["thorns", "teeth"]',
        "page.testaria.hazards",
        "must be among thorns",
    ),
    slip(
        "prickles without thorns",
        'hazards = ["thorns"]\n',
        "",
        "page.testaria.hazards",
        "must name thorns where the plant has prickles",
    ),
    slip(
        "hazard without words",
        'hazard_notes = [ { text = "Gloves.", mark = "from memory" } ]\n',
        "",
        "page.testaria.hazard_notes",
        "must say in words what each hazard does",
    ),
    slip(
        "same source twice",
        'text = "A trial, 2001"',
        'text = "A trial, 2001"\n[[source]]\nkey = "trial"\ntext = "Again"',
        "source[2].key",
        "must not state a source twice",
    ),
    slip(
        "source nobody names",
        'text = "A trial, 2001"',
        'text = "A trial, 2001"\n[[source]]\nkey = "idle"\ntext = "Unused"',
        "source",
        "must not list a source nobody names",
    ),
    slip(
        "source of the general file",
        'text = "A trial, 2001"',
        'text = "A trial, 2001"\n[[source]]\nkey = "pots"\ntext = "Again"',
        "source",
        "must not use the key of a source of general.toml",
    ),
    slip(
        "duplicate key",
        'title = "Testarias"',
        'title = "Testarias"\ntitle = "Twice"',
        "",
        "states a key twice",
    ),
    slip("open quotes", 'title = "Testarias"', 'title = "Testarias', "", "is not TOML"),
    slip(
        "file of another genus",
        'genus = "Testaria"',
        'genus = "Rosa"',
        "genus",
        "must be the genus the file is named for",
    ),
    slip(
        "common name of a stranger",
        '"testbush" = "Testaria"',
        '"testbush" = "Rosa"',
        "page.testaria.common_names.testbush",
        "must be one of Testaria, Testaria prima",
    ),
    slip(
        "name of another tongue without a mark",
        '"testbush" = "Testaria"\n',
        '"testbush" = "Testaria"\n[page.testaria.common_names_es.names]\n"prueba" = "Testaria"\n',
        "page.testaria.common_names_es",
        "must name either a source or a mark",
    ),
    slip(
        "name of another tongue for a stranger",
        '"testbush" = "Testaria"\n',
        '"testbush" = "Testaria"\n[page.testaria.common_names_es]\nmark = "from memory"\n'
        'names = { prueba = "Rosa" }\n',
        "page.testaria.common_names_es.names.prueba",
        "must be one of Testaria, Testaria prima",
    ),
    slip(
        "no common name",
        '"testbush" = "Testaria"',
        "",
        "page.testaria.common_names",
        "must hold at least one name",
    ),
    slip(
        "older name that is in use",
        '"Probaria prima" = "Testaria prima"',
        '"Testaria prima" = "Testaria"',
        "page.testaria",
        "must not use a name that stands for Testaria prima",
    ),
    slip(
        "like a page that is not there",
        "[page.testaria.hardwood]",
        '[page.testaria.hardwood]\nlike = "other"',
        "page.testaria.hardwood.like",
        "must be another page of this file",
    ),
    slip(
        "unknown wood",
        "[page.testaria.hardwood]",
        "[page.testaria.driftwood]",
        "page.testaria",
        "must hold at least one of the woods",
    ),
    slip(
        "unknown list for every page",
        'text = "A trial, 2001"',
        'text = "A trial, 2001"\n[every]\nadvice = []',
        "every.advice",
        "is not a key",
    ),
]


def test_the_smallest_handbook_passes() -> None:
    page = read().pages[0]
    assert page.key == "testaria"
    assert page.woods["hardwood"].leafless_from == (11, 10)
    assert page.medium == {"perlite": 1, "vermiculite": 1}


def test_files_of_the_package_pass() -> None:
    genera = {page.genus for page in load_handbook().pages}
    assert genera == {
        *("Buxus", "Ficus", "Forsythia", "Fuchsia", "Hebe", "Hydrangea", "Lavandula", "Pelargonium"),
        *("Philadelphus", "Punica", "Rhododendron", "Ribes", "Rosa", "Salix", "Salvia", "Weigela"),
    }


def test_the_handbook_is_read_once() -> None:
    assert load_handbook() is load_handbook()


@pytest.mark.parametrize(("old", "new", "where", "rule"), SLIPS)
def test_slip_in_a_page_is_found_and_placed(old: str, new: str, where: str, rule: str) -> None:
    assert_slip_is_found(old, new, where, rule)


@pytest.mark.parametrize(
    ("old", "new", "where", "rule"),
    [
        ("value = 2.69", "value = -2", "every.pot_volume_l.value", "must not be below nought"),
        ("perlite = 1", "perlite = 0", "every.medium.parts", "each with parts above nought"),
        ("[every]", "[every]\ncolour = 1", "every.colour", "is not a key"),
        ("[every]", '[[source]]\nkey = "idle"\ntext = "Unused"\n[every]', "source", "nobody names"),
        (
            'winter = [ { text = "Keep off frost.", mark = "from memory" } ]',
            "",
            "page.testaria.winter",
            "at least one",
        ),
    ],
)
def test_slip_of_the_general_file_is_found(old: str, new: str, where: str, rule: str) -> None:
    with pytest.raises(HandbookError) as caught:
        read(general=swapped(GENERAL, old, new))
    assert caught.value.where == where
    assert rule in caught.value.rule


def test_two_pages_may_not_answer_to_one_name() -> None:
    with pytest.raises(
        HandbookError, match="must not use a name that stands for Testaria on the page testaria"
    ):
        read(GENUS + SECOND_PAGE)


def test_two_files_may_not_share_a_page_key() -> None:
    other = (
        GENUS.replace("Testaria", "Probaria")
        .replace("Probaria prima", "Probaria altera")
        .replace("testbush", "y")
    )
    with pytest.raises(HandbookError, match=r"must not use the key of a page of testaria\.toml"):
        read_handbook(GENERAL, {FILE: GENUS, "probaria.toml": other})


def test_lists_for_every_page_stand_before_the_page_s_own() -> None:
    genus = swapped(GENUS, 'text = "A trial, 2001"', 'text = "A trial, 2001"\n[every]\n'
                    'hygiene = [ { text = "Every testaria.", mark = "from memory" } ]')  # fmt: skip
    genus = swapped(genus, 'shoot_word = "shoot"', 'shoot_word = "shoot"\n'
                    'hygiene = [ { text = "This page.", mark = "from memory" } ]')  # fmt: skip
    said = [one.text for one in read(genus).pages[0].hygiene]
    assert said == ["Wash pots.", "Every testaria.", "This page."]


def test_a_wood_like_another_page_s_keeps_what_it_does_not_state() -> None:
    names = SECOND_PAGE.replace('taxa = ["Testaria", "Testaria prima"]', 'taxa = ["Testaria altera"]')
    names = names.replace('"testbush" = "Testaria"', '"other bush" = "Testaria altera"')
    names = names.replace('[page.other.older_names]\n"Probaria prima" = "Testaria prima"', "")
    head, _, _ = names.partition("[page.other.hardwood]")
    wood = (
        '[page.other.hardwood]\nlike = "testaria"\n'
        'patience_days = { value = 150, unit = "days", mark = "from memory" }\n'
    )
    first, second = read(GENUS + head + wood).pages
    assert second.woods["hardwood"].patience_days.value == 150
    assert second.woods["hardwood"].rooted_percent == first.woods["hardwood"].rooted_percent
