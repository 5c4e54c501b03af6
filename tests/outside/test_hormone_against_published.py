"""Dips against published molar masses, worked dilutions and what labels say."""

from __future__ import annotations

import csv
from pathlib import Path

import molmass
import pytest

from slipwright.craft.hormone import (
    MOLAR_G,
    POWDER_MG_EACH,
    as_acid,
    as_salt,
    mg_per_kg_of_percent,
    mg_per_l_of_percent,
    mg_to_weigh,
    mixed_alcohol_percent,
    powder_g,
    stock_ml,
)
from tests.outside.published import published

TRADE = {
    row["id"]: row
    for row in csv.DictReader(
        (Path(__file__).parent / "data" / "trade-values.csv").read_text(encoding="utf-8").splitlines()
    )
}
FORMULAS = {"iba": "C12H13NO2", "k-iba": "C12H12KNO2", "naa": "C12H10O2", "k-naa": "C12H9KO2"}


@pytest.mark.parametrize(("value_id", "auxin"), [("PH096", "iba"), ("PH097", "k-iba"), ("PH098", "naa")])
def test_molar_mass(value_id: str, auxin: str) -> None:
    value, tolerance = published(value_id)
    assert MOLAR_G[auxin] == pytest.approx(value, abs=tolerance)


@pytest.mark.parametrize("auxin", FORMULAS)
def test_molar_masses_equal_those_of_another_reckoning(auxin: str) -> None:
    assert MOLAR_G[auxin] == pytest.approx(molmass.Formula(FORMULAS[auxin]).mass, abs=0.01)


def test_molar_mass_of_the_regulator() -> None:
    # row I001: USDA technical report, 203.24 g/mol
    assert MOLAR_G["iba"] == pytest.approx(float(TRADE["I001"]["value"]), abs=0.005)


def test_salt_equal_to_a_gram_of_acid() -> None:
    value, tolerance = published("PH100")
    assert float(as_salt(1000, "k-iba")) == pytest.approx(value, abs=tolerance)
    value, tolerance = published("PH101")
    assert float(as_acid(1000, "k-iba")) == pytest.approx(value, abs=tolerance)


def test_salt_for_a_litre() -> None:
    # row I003: 1.187 g for 1000 mg/L, 3.562 for 3000, 9.499 for 8000, 11.874 for 10 000
    for want, grams in ((1000, 1.187), (3000, 3.562), (8000, 9.499), (10_000, 11.874)):
        assert float(mg_to_weigh(want, 1000, auxin="k-iba")) / 1000 == pytest.approx(grams, abs=5e-4)


def test_stock_for_half_a_litre() -> None:
    value, tolerance = published("PH102")
    measured = stock_ml(10_000, 3000, 500)
    assert float(measured) == pytest.approx(value, abs=tolerance)
    value, tolerance = published("PH104")
    assert float(mixed_alcohol_percent(measured, 500, 50)) == pytest.approx(value, abs=tolerance)


def test_ten_in_a_hundred_is_a_tenth() -> None:
    # row I009; and of row I006, 1 part in 10 of a 1 % liquid is 1000 mg/L, 1 part and 10 is 909
    assert float(stock_ml(10_000, 1000, 100)) == pytest.approx(10)
    stock = float(mg_per_l_of_percent(1))
    assert stock / 10 == pytest.approx(1000)
    assert stock / 11 == pytest.approx(909, abs=0.5)


def test_talc_in_per_cent() -> None:
    # row I005: 0.1, 0.3, 0.8 % are 1000, 3000, 8000 mg/kg
    assert mg_per_kg_of_percent([0.1, 0.3, 0.8]) == pytest.approx([1000, 3000, 8000])


def test_powder_of_a_label() -> None:
    # row C018: 8 oz treat at least 17,500 cuttings: 13 mg of 0.8 % powder each, 104 micrograms of hormone
    ounce_g, n = 28.349523, 17_500
    each_mg = 8 * ounce_g * 1000 / n
    assert POWDER_MG_EACH[1] == pytest.approx(each_mg, abs=0.05)
    assert powder_g(n)[1] == pytest.approx(8 * ounce_g, rel=0.005)
    assert each_mg * 0.008 * 1000 == pytest.approx(104, abs=0.5)
