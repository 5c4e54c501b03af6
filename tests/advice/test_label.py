from datetime import date

import pytest

from slipwright.advice.label import label_of_batch, treatment_words


def test_a_label_sets_the_name_by_the_code_for_cultivated_plants():
    label = label_of_batch(
        code="K7Q2M9T3", taxon="Salvia rosmarinus 'Harbour Mist'", stuck_on=date(2026, 9, 1)
    )
    assert label.name_runs == (("Salvia rosmarinus", True), (" ‘Harbour Mist’", False))
    assert label.stuck_on == date(2026, 9, 1)


def test_a_name_not_written_by_the_code_stands_as_it_is():
    assert label_of_batch(code="old 12", taxon="the red one").name_runs == (("the red one", False),)


@pytest.mark.parametrize(
    ("given", "line"),
    [
        ({}, ""),
        ({"auxin": "none"}, "no hormone"),
        ({"auxin": "none", "cover": "mist"}, "no hormone · mist"),
        ({"cover": "open"}, ""),
        ({"auxin": "iba"}, "IBA"),
        ({"auxin": "k-iba", "auxin_form": "gel", "auxin_mg_per_l": 2500.0}, "K-IBA 2\u00a0500 gel"),
        (
            {"auxin": "iba", "auxin_mg_per_l": 1000, "auxin2": "naa", "auxin2_mg_per_l": 500},
            "IBA 1\u00a0000 + NAA 500",
        ),
        (
            {"auxin": "iba", "auxin_form": "talc", "auxin_mg_per_kg": 8000, "cover": "tent"},
            "IBA 8\u00a0000 talc · tent",
        ),
    ],
)
def test_treatment_stands_in_one_short_line(given, line):
    assert treatment_words(**given) == line
    assert len(line) < 32
