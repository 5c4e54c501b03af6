"""A page is found by every name a grower may use for a plant."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slipwright.craft.names import plant_name
from slipwright.handbook import load_handbook

HANDBOOK = load_handbook()
TAXA = sorted(taxon for page in HANDBOOK.pages for taxon in page.taxa)
SPOKEN = sorted(name for page in HANDBOOK.pages for name in (*page.common_names, *page.synonyms))


@pytest.mark.parametrize(
    ("words", "page", "taxon", "kind"),
    [
        ("rosemary", "rosemary", "Salvia rosmarinus", "common name"),
        ("Rosemary", "rosemary", "Salvia rosmarinus", "common name"),
        ("Rosmarinus officinalis", "rosemary", "Salvia rosmarinus", "older name"),
        ("rosmarinus officinalis 'Fog'", "rosemary", "Salvia rosmarinus 'Fog'", "older name"),
        ("Rosa 'Ice Lantern'", "rose", "Rosa 'Ice Lantern'", "botanical name"),
        ("Rosa ‘Ice Lantern’", "rose", "Rosa 'Ice Lantern'", "botanical name"),
        ("Rosa Ice Lantern", "rose", "Rosa 'Ice Lantern'", "botanical name"),
        ("rose 'Widow's Lamp'", "rose", "Rosa 'Widow's Lamp'", "common name"),
        ("climbing rose", "rose", "Rosa", "common name"),
        ("climbing  ROSE", "rose", "Rosa", "common name"),
        ("roses", "rose", "Rosa", "common name"),
        ("dog rose", "rose-once", "Rosa canina", "common name"),
        ("apothecary's rose 'Saltmarsh Dawn'", "rose-once", "Rosa gallica 'Saltmarsh Dawn'", "common name"),
        ("Rosa x damascena", "rose-once", "Rosa × damascena", "botanical name"),
        ("Rosa damascena", "rose-once", "Rosa × damascena", "botanical name"),
        ("rosa rugosa", "rose", "Rosa rugosa", "botanical name"),
        ("ROSA RUGOSA", "rose", "Rosa rugosa", "botanical name"),
        ("Rosa rugosa 'Saltmarsh Dawn'", "rose", "Rosa rugosa 'Saltmarsh Dawn'", "botanical name"),
        ("Hydrangea macrophylla subsp. serrata", "hydrangea", "Hydrangea serrata", "older name"),
        ("Hydrangea strigosa", "hydrangea", "Hydrangea strigosa", "botanical name"),
        ("currants", "currant", "Ribes", "common name"),
        ("old climbing rose", "rose", "Rosa", "common name"),
        ("miniature roses", "rose", "Rosa", "common name"),
        ("rose bush", "rose", "Rosa", "common name"),
        ("garden lavender 'Saltmarsh Dawn'", "lavender", "Lavandula 'Saltmarsh Dawn'", "common name"),
        ("rose Ice Lantern", "rose", "Rosa 'Ice Lantern'", "common name"),
    ],
)  # fmt: skip
def test_one_name_answers_exactly(words: str, page: str, taxon: str, kind: str) -> None:
    (match,) = HANDBOOK.find(words)
    assert (match.page.key, match.taxon, match.kind, match.exact) == (page, taxon, kind, True)


@pytest.mark.parametrize(
    ("words", "taxa"),
    [
        ("ramb", {"Rosa wichurana"}),
        ("rosa rub", {"Rosa rubiginosa", "Rosa glauca"}),
        ("hydrangea climbing", {"Hydrangea petiolaris", "Hydrangea seemannii"}),
        ("rock rose", {"Rosa"}),
        ("Rose Mallow", {"Rosa"}),
        ("rose of Sharon", {"Rosa"}),
        ("cotton lavender", {"Lavandula"}),
        ("Lavender Cotton", {"Lavandula"}),
        ("Russian sage", {"Salvia officinalis"}),
        ("fuchsia flowered", {"Ribes speciosum"}),
        ("azalea mo", {"Rhododendron molle"}),
        ("Salvia", {"Salvia officinalis", "Salvia rosmarinus", "Salvia jordanii"}),
    ],
)
def test_part_of_a_name_offers_what_it_may_be(words: str, taxa: set[str]) -> None:
    found = HANDBOOK.find(words)
    assert {match.taxon for match in found} == taxa
    assert not any(match.exact for match in found)


@pytest.mark.parametrize(
    "words", ["", "   ", "'Ice Lantern'", "Salvia nemorosa", "Quercus", "Geranium sanguineum"]
)
def test_what_the_handbook_has_not_is_not_found(words: str) -> None:
    assert HANDBOOK.find(words) == ()


@pytest.mark.parametrize(
    ("taxon", "page"),
    [
        ("Rosa", "rose"),
        ("Rosa 'Ice Lantern'", "rose"),
        ("Rosa rugosa", "rose"),
        ("Rosa canina", "rose-once"),
        ("Rosa canina 'Saltmarsh Dawn'", "rose-once"),
        ("Rosa x alba", "rose-once"),
        ("Rosa Gallica Group 'Saltmarsh Dawn'", "rose-once"),
        ("Rosmarinus officinalis 'Saltmarsh Grey'", "rosemary"),
        ("Salvia officinalis", "sage"),
        ("Hydrangea quercifolia", "hydrangea-oakleaf"),
        ("Hydrangea strigosa", "hydrangea"),
    ],
)
def test_a_taxon_finds_its_species_first_and_then_its_genus(taxon: str, page: str) -> None:
    found = HANDBOOK.page_of(taxon)
    assert found is not None
    assert found.key == page


@pytest.mark.parametrize("taxon", ["Salvia", "Salvia nemorosa", "Quercus robur", "rosemary", ""])
def test_a_taxon_without_a_page_finds_none(taxon: str) -> None:
    assert HANDBOOK.page_of(taxon) is None


@pytest.mark.parametrize("taxon", TAXA)
def test_every_taxon_is_a_name_by_the_code_and_finds_its_page(taxon: str) -> None:
    assert str(plant_name(taxon)) == taxon
    page = HANDBOOK.page_of(taxon)
    assert page is not None
    assert taxon in page.taxa


@given(st.sampled_from(SPOKEN), st.sampled_from([str.lower, str.upper, str.title, str]))
def test_every_spoken_name_is_found_in_any_case(name: str, spelled: object) -> None:
    (match,) = HANDBOOK.find(spelled(name))  # type: ignore[operator]
    assert match.exact
    assert match.taxon == match.page.taxon_of.get(match.matched, match.taxon)


@pytest.mark.parametrize(
    ("name", "taxon"),
    [
        ("rosal", "Rosa"),
        ("rosales", "Rosa"),
        ("mi rosal", "Rosa"),
        ("lavanda", "Lavandula"),
        ("lavandin", "Lavandula × intermedia"),
        ("esquejes de romero", "Salvia rosmarinus"),
        ("grosella negra", "Ribes nigrum"),
    ],
)
def test_a_spanish_name_answers_in_either_tongue(name: str, taxon: str) -> None:
    for tongue in ("en", "es"):
        (match,) = HANDBOOK.find(name, tongue)
        assert (match.taxon, match.exact) == (taxon, True)


def test_a_word_that_is_a_genus_elsewhere_is_a_plant_only_to_those_who_call_it_so() -> None:
    (match,) = HANDBOOK.find("salvia", "es")
    assert (match.taxon, match.exact) == ("Salvia officinalis", True)
    assert not any(match.exact for match in HANDBOOK.find("salvia"))


@given(st.text(max_size=40))
def test_any_words_may_be_asked(words: str) -> None:
    assert all(match.page in HANDBOOK.pages for match in HANDBOOK.find(words))
    page = HANDBOOK.page_of(words)
    assert page is None or page in HANDBOOK.pages
