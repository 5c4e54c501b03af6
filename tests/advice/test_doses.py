"""A strength far off the usual is doubted, and talc has a scale of its own."""

from __future__ import annotations

from slipwright.advice.doses import doubts_of_strength, usual_strengths
from slipwright.handbook import load_handbook

PAGES = load_handbook().pages


def test_nothing_the_handbook_gives_is_doubted() -> None:
    for page in PAGES:
        for form in ("quick-dip", "talc"):
            usual = usual_strengths([page], form)  # type: ignore[arg-type]
            for strength in usual or ():
                assert doubts_of_strength(strength, usual, form=form) == ()  # type: ignore[arg-type]


def test_a_talc_does_not_count_among_the_dips() -> None:
    willow = [page for page in PAGES if page.taxa[0] == "Salix"]
    assert usual_strengths(willow) is None
    dips = usual_strengths(PAGES)
    talcs = usual_strengths(PAGES, "talc")
    assert dips is not None
    assert talcs is not None
    assert dips != talcs
    lavender = [page for page in PAGES if page.taxa[0] == "Lavandula"]
    of_talc = [dose for leaf in lavender[0].woods.values() for dose in leaf.doses if dose.form == "talc"]
    assert usual_strengths(lavender, "talc") == (
        min(dose.low for dose in of_talc),
        max(dose.high for dose in of_talc),
    )


def test_a_soak_of_a_day_and_a_dip_of_seconds_have_scales_of_their_own() -> None:
    rose = [page for page in PAGES if page.key == "rose"]
    soak, dip = usual_strengths(rose, "soak"), usual_strengths(rose)
    assert soak is not None
    assert dip is not None
    assert soak[1] < dip[0]
    assert all((usual_strengths([page]) or (1,))[0] > 0 for page in PAGES), "no hormone is no strength"


def test_strengths_of_one_acid_say_nothing_of_the_other() -> None:
    tender = [page for page in PAGES if page.key == "lavender-tender"]
    naa = usual_strengths(tender, auxin="naa")
    assert naa == usual_strengths(tender, auxin="k-naa")
    assert naa != usual_strengths(tender, auxin="iba")
    assert usual_strengths([page for page in PAGES if page.key == "pomegranate"], auxin="naa") is None


def test_ten_times_off_and_beyond_all_use_are_two_doubts() -> None:
    assert len(doubts_of_strength(30_000, (1000, 3000))) == 2
    assert len(doubts_of_strength(12_000, (1000, 3000))) == 1
    assert doubts_of_strength(12_000) == ()
    assert "mg/kg" in doubts_of_strength(30_000, form="talc")[0]
