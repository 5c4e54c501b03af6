"""Names by the ICNCP. Cultivars here are invented."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from slipwright.craft.names import LENGTH_LIMIT, NotAPlantName, PlantName, plant_name

SMALL = st.text("abcdefghijklmnopqrstuvwxyzë", min_size=1, max_size=9)
GENUS = st.builds(lambda a, b: a + b, st.sampled_from("ABLRSHP"), SMALL)
SPECIES = SMALL.filter(
    lambda w: w not in ("x", "var", "ssp", "subsp", "forma", "sp", "spp", "group", "gx", "cv", "grex", "cvar")
)
WORD = st.builds(lambda a, b: a + b, st.sampled_from("ABÉ1Ž"), st.text("abcé'-.!n", max_size=7))
EPITHET = (
    st.lists(WORD, min_size=1, max_size=3)
    .map(" ".join)
    .filter(lambda e: "' '" not in e and not e.endswith("'"))
)
GROUPS = (
    st.lists(SMALL.map(str.capitalize), min_size=1, max_size=2)
    .filter(lambda words: not {"Group", "Gp"} & set(words))
    .map(" ".join)
)
RANKS = st.lists(
    st.tuples(st.sampled_from(["subsp.", "var.", "f."]), SPECIES), max_size=3, unique_by=lambda r: r[0]
).map(lambda ranks: tuple(sorted(ranks, key=lambda r: ["subsp.", "var.", "f."].index(r[0]))))


@st.composite
def names(draw: st.DrawFn) -> PlantName:
    species = draw(st.one_of(st.just(""), SPECIES))
    return PlantName(
        genus=draw(GENUS),
        genus_mark=draw(st.sampled_from(["", "×", "+"])),
        species=species,
        is_hybrid=bool(species) and draw(st.booleans()),
        ranks=draw(RANKS) if species else (),
        grex=draw(st.one_of(st.just(""), GROUPS)),
        group=draw(st.one_of(st.just(""), GROUPS)),
        cultivar=draw(st.one_of(st.just(""), EPITHET.map(lambda e: unicodedata.normalize("NFC", e)))),
    )


@settings(deadline=None)
@given(names())
def test_a_name_written_is_the_name_read(name: PlantName) -> None:
    assert plant_name(name.canonical()) == name


@settings(deadline=None)
@given(names())
def test_the_printed_name_reads_back_too(name: PlantName) -> None:
    printed = "".join(text for text, _ in name.runs())
    assert plant_name(printed) == name


@settings(deadline=None)
@given(st.text(max_size=LENGTH_LIMIT + 5))
@example("Rosa '" + "'" * 150)
@example("Rosa " + "(" * 150)
@example("Rosa " + "a-" * 90)
@example("× " * 90)
@example("×")
@example("+")
@example("Rosa ×")
@example("Rosa x 'A'")
def test_any_text_is_read_or_refused_with_a_rule(text: str) -> None:
    try:
        name = plant_name(text)
    except NotAPlantName as refused:
        refusal = refused
    else:
        assert plant_name(name.canonical()) == name
        return
    assert refusal.text == text
    assert refusal.rule


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("Rosa", "Rosa"),
        ("  Rosa   'Lantern  Keeper' ", "Rosa 'Lantern Keeper'"),
        ("Rosa ‘Lantern Keeper’", "Rosa 'Lantern Keeper'"),
        ("Rosa\u00a0´Lantern Keeper`", "Rosa 'Lantern Keeper'"),
        ("Lavandula x intermedia", "Lavandula × intermedia"),
        ("Lavandula X intermedia", "Lavandula × intermedia"),
        ("Lavandula ×intermedia ‘Sea Fret’", "Lavandula × intermedia 'Sea Fret'"),
        ("×Halimiocistus wintonensis", "× Halimiocistus wintonensis"),
        ("x Halimiocistus", "× Halimiocistus"),
        ("+Laburnocytisus", "+ Laburnocytisus"),
        ("Salvia officinalis ssp. lavandulifolia", "Salvia officinalis subsp. lavandulifolia"),
        ("Ribes uva-crispa", "Ribes uva-crispa"),
        ("Rosa canina var. canina forma alba", "Rosa canina var. canina f. alba"),
        ("Mentha x piperita nothosubsp. citrata", "Mentha × piperita nothosubsp. citrata"),
        ("Hydrangea macrophylla Lacecap Group", "Hydrangea macrophylla Lacecap Group"),
        (
            "Hydrangea macrophylla Lacecap Group 'Grey Quay'",
            "Hydrangea macrophylla (Lacecap Group) 'Grey Quay'",
        ),
        (
            "Hydrangea macrophylla (Lacecap Gp) 'Grey Quay'",
            "Hydrangea macrophylla (Lacecap Group) 'Grey Quay'",
        ),
        ("Rhododendron Salt Lane gx 'Buoy'", "Rhododendron Salt Lane grex 'Buoy'"),
        ("Rosa X Group", "Rosa X Group"),
        ("Rosa X grex", "Rosa X grex"),
        ("Rosa 'Gardener's Rest'", "Rosa 'Gardener's Rest'"),
        ("Rosa 'Gardeners' Rest'", "Rosa 'Gardeners' Rest'"),
        ("Rosa 'Lantern 12'", "Rosa 'Lantern 12'"),
        ("Rosa 'E\u0301toile'", "Rosa 'Étoile'"),
    ],
)
def test_names_are_put_right(text: str, canonical: str) -> None:
    assert plant_name(text).canonical() == canonical
    assert str(plant_name(text)) == canonical


@pytest.mark.parametrize(
    ("text", "rule"),
    [
        ("", "a name is needed"),
        (" \t", "a name is needed"),
        ("rosa", "a genus begins with a capital: write Rosa"),
        ("ROSA", "a genus begins with a capital: write Rosa"),
        ("'Lantern Keeper'", "a name begins with a genus"),
        ("R0sa", "a genus is one word of Latin letters"),
        ("Роза", "a genus is one word of Latin letters"),
        ('Rosa "Lantern Keeper"', "single quotes, not double"),
        ("Rosa “Lantern Keeper”", "single quotes, not double"),
        ("Rosa cv. Lantern Keeper", "'cv.' is no longer used"),
        ("Rosa cv. 'Lantern Keeper'", "'cv.' is no longer used"),
        ("Rosa Lantern Keeper", "put it in single quotes"),
        ("Rosa canina L.", "no part of a name"),
        ("Rosa sp.", "write the genus alone"),
        ("Rosa spp", "not the epithet"),
        ("Rosa group", "not the epithet"),
        ("Rosa canina × Rosa gallica", "formula"),
        ("Rosa × 'Buoy'", "formulas of parents"),
        ("Rosa f. alba", "f. stands below a species"),
        ("Rosa canina f. alba var. nova", "var. cannot stand below f."),
        ("Rosa canina var. Nova", "an epithet in small letters follows var."),
        ("Rosa 'lantern keeper'", "begins with a capital"),
        ("Rosa 'Lantern\\Keeper'", "letters, numerals, spaces"),
        ("Rosa 'Lantern", "closing quote"),
        ("Rosa'Lantern'", "a space stands before the opening quote"),
        ("Rosa 'Lantern' (x)", "nothing follows the cultivar epithet"),
        ("Rosa 'Lantern' 'Keeper'", "one cultivar epithet"),
        ("Rosa ''Lantern''", "one cultivar epithet"),
        ("Rosa ''", "begins with a capital"),
        ("Rosa (Buoy) 'Lantern'", "brackets hold a Group"),
        ("Rosa (Buoy Group 'Lantern'", "brackets hold a Group"),
        ("Rosa quay Group", "an epithet with a capital stands before Group"),
        ("Rosa #quay Group", "a grex or Group has letters and a capital initial"),
        ("Rosa\x07", "control characters"),
        ("Rosa 'Lan\u200btern'", "control characters"),
        ("Rosa " + "a" * LENGTH_LIMIT, "at most 200 characters"),
    ],
)
def test_what_is_not_a_name_is_refused_with_the_rule(text: str, rule: str) -> None:
    with pytest.raises(NotAPlantName, match=rule):
        plant_name(text)


def test_only_genus_species_and_lower_epithets_are_italic() -> None:
    name = plant_name("Salvia x sylvestris subsp. mora (Quay Group) 'Gardener's Rest'")
    assert name.runs() == (
        ("Salvia", True),
        (" × ", False),
        ("sylvestris", True),
        (" subsp. ", False),
        ("mora", True),
        (" (Quay Group) ‘Gardener’s Rest’", False),
    )
    assert plant_name("× Halimiocistus wintonensis").runs() == (
        ("× ", False),
        ("Halimiocistus wintonensis", True),
    )


def test_the_botanical_part_leaves_group_and_cultivar_out() -> None:
    assert (
        plant_name("Hydrangea macrophylla (Lacecap Group) 'Grey Quay'").botanical == "Hydrangea macrophylla"
    )
    assert plant_name("Rosa 'Lantern Keeper'").botanical == "Rosa"


def test_a_long_epithet_is_remarked_on_and_kept() -> None:
    assert plant_name("Rosa 'Thirty Letters Long Without Spacing'").remarks() != ()
    assert plant_name("Rosa '" + "A" * 30 + "'").remarks() == ()
    assert plant_name("Rosa 'B'").remarks() != ()
    assert plant_name("Rosa '1812'").remarks() != ()
