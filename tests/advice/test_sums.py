"""Sums of the bench answer with a range, what they rest on and how far to trust them, in any tongue."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest

from slipwright.advice.sums import SUMS, Reckoned
from slipwright.advice.sums.asking import Blank
from slipwright.craft.errors import BadArgument
from slipwright.craft.said import Said, all_in_tongue

#: what is filled in where nothing stands in a blank at first
FILLED: dict[str, dict[str, Any]] = {
    "drain-test": {"volume": 2800.0, "added": 2100.0, "drained": 700.0, "height": 15.0},
    "light": {"sunshine": 10.0},
    "mist": {"caught": 20.0, "can": 10.0, "minutes": 10.0},
    "dip": {"plant": "rose", "alcohol": 50.0},
    "pot-height": {"top": 16.5, "bottom": 13.0, "above": 2.0},
    "air": {"leaf": 20.0},
}
UNITS = "kPa MJ mol ml L US gal qt fl oz cm in ft mm mg kg IBA NAA FAO CIAAW min DLI"


def start(blank: Blank) -> Any:
    text = str(blank.start)
    if blank.kind == "day":
        return date(2026, 6, 21)
    if blank.name == "lat":
        return 41.0
    if not text:
        return "" if blank.kind in ("text", "word") else None
    if blank.kind == "lengths":
        return tuple(float(part) for part in text.replace(",", " ").split())
    return {"number": float, "whole": int}.get(blank.kind, str)(text)


def asked(name: str, **more: Any) -> dict[str, Any]:
    return {blank.name: start(blank) for blank in SUMS[name].blanks} | FILLED.get(name, {}) | more


def reckoned(name: str, **more: Any) -> Reckoned:
    return SUMS[name].reckon(asked(name, **more), "metric")


def much(found: Reckoned, what: str) -> str:
    return next(str(line.much) for line in found.lines if line.what == what).replace("\u00a0", " ")


@pytest.mark.parametrize("name", SUMS)
def test_every_sum_says_its_range_its_sources_and_how_far_to_trust_it(name: str) -> None:
    found = reckoned(name)
    assert found.answer.endswith(".")
    assert found.range
    assert found.trust
    assert found.holds
    assert found.sources


@pytest.mark.parametrize("name", SUMS)
def test_us_measures_can_come_first(name: str) -> None:
    assert SUMS[name].reckon(asked(name), "us").answer


@pytest.mark.parametrize("name", SUMS)
def test_every_sentence_is_told_in_another_tongue(name: str) -> None:
    def shouted(template: str) -> str:
        parts = re.split(r"(\{[^}]*\})", template)
        return "".join(part if part.startswith("{") else part.upper() for part in parts)

    found = all_in_tongue(reckoned(name), shouted)
    table = [cell for row in found.table.rows for cell in row] if found.table else []
    texts = [found.answer, found.range, found.trust, found.holds, *found.notes, *found.sources, *table]
    texts += [*found.cautions, *(part for line in found.lines for part in (line.what, line.much))]
    for text in texts:
        kept = re.sub(r"Irrigation and Drainage Paper|Rosa", "", str(text)).replace("\u00a0", " ")
        small = [word for word in re.findall(r"\b[a-z]{3,}\b", kept) if word not in UNITS.split()]
        assert small == [], text


@pytest.mark.parametrize("name", SUMS)
def test_labels_and_choices_can_be_told_in_another_tongue(name: str) -> None:
    one = SUMS[name]
    for blank in one.blanks:
        texts = [blank.label, blank.hint, *(words for _word, words in blank.choices)]
        assert all(isinstance(text, Said) for text in texts if text), blank.name
    assert all(isinstance(text, Said) for text in (one.title, one.about, one.group))


@pytest.mark.parametrize("name", SUMS)
def test_what_stands_in_a_blank_at_first_lies_in_its_range(name: str) -> None:
    for blank in SUMS[name].blanks:
        value = start(blank)
        if blank.kind in ("number", "whole") and value is not None:
            assert blank.low <= value <= blank.high, blank.name
        if blank.kind == "word" and value:
            assert value in dict(blank.choices)


def test_number_gives_what_is_likely_of_it() -> None:
    found = reckoned("number")
    assert found.answer == "Stick 54 cuttings: 24 or more root 9 times in 10."
    assert found.range == "Between 24 and 46 root, 8 times in 10."
    assert much(reckoned("number", each=8), "In pots") == "7 pots"


def test_a_cane_that_gives_none_says_why() -> None:
    assert reckoned("cane", nodes=(3.0, 4.0)).answer.startswith("None from this cane: ")


def test_mix_needs_a_part_and_warns_of_dust_where_there_is_dust() -> None:
    assert any("Dust" in caution for caution in reckoned("mix").cautions)
    assert not any(
        "Dust" in caution for caution in reckoned("mix", perlite=None, vermiculite=None, bark=1.0).cautions
    )
    with pytest.raises(BadArgument, match="another part"):
        reckoned("mix", perlite=None, vermiculite=None)


def test_a_drain_test_reaches_other_pots_only_where_its_height_is_known() -> None:
    assert reckoned("drain-test", height=None).table is None
    table = reckoned("drain-test").table
    assert table is not None
    assert "estimate" in table.title
    assert table.rows[-1] == ("15 cm (6 in)", "50", "25")  # the pot that was tested


def test_an_estimated_medium_is_called_an_estimate_in_the_answer() -> None:
    assert "an estimate" in reckoned("pot-height").answer
    assert any("our own estimate" in source for source in reckoned("pot-height").sources)


def test_peat_is_trusted_less_than_the_rest_for_a_measured_core_was_off_by_more() -> None:
    assert "10 points" in reckoned("pot-height").range
    assert "15 points" in reckoned("pot-height", medium="peat").range


def test_one_width_of_a_pot_asks_for_the_other() -> None:
    with pytest.raises(BadArgument) as error:
        reckoned("pot-height", bottom=None)
    assert error.value.argument == "bottom"


def test_a_dip_is_measured_as_finely_as_a_syringe() -> None:
    found = reckoned("dip", want=2468.0)
    assert found.answer.startswith("Measure 12.3 ml (0.417 US fl oz)")
    assert found.doubts == ()
    assert any("may come out" in note for note in found.notes)
    assert not any("may come out" in note for note in reckoned("dip", auxin="k-iba").notes)


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("dip", {"stock": 100_000.0, "want": 30_000.0, "plant": ""}),
        ("dip", {"stock": 100_000.0, "want": 15_000.0, "plant": "lavender"}),
        ("weigh", {"want": 30_000.0, "plant": ""}),
        ("weigh", {"want": 50.0, "plant": "lavender"}),
        ("talc", {"percent": 3.0, "plant": "willow-leaved nothing"}),
    ],
)
def test_a_slip_of_ten_times_is_doubted(name: str, more: dict[str, Any]) -> None:
    if "nothing" in more.get("plant", ""):
        with pytest.raises(BadArgument) as error:
            reckoned(name, **more)
        assert error.value.argument == "plant"
    else:
        assert reckoned(name, **more).doubts


def test_the_strength_that_is_doubted_is_that_of_the_acid() -> None:
    salt = {"stock": 100_000.0, "plant": "", "auxin": "k-iba"}
    assert not reckoned("dip", want=23_000.0, **salt).doubts
    assert reckoned("dip", want=24_000.0, **salt).doubts


def test_a_talc_is_never_turned_into_a_liquid() -> None:
    found = reckoned("talc", percent=0.8)
    assert much(found, "Strength") == "8 000 mg/kg"
    assert all("mg/L" not in str(line.much) for line in found.lines)


def test_hormone_sums_say_that_the_label_is_law() -> None:
    for name in ("dip", "weigh", "talc"):
        assert "label is law" in reckoned(name).cautions[0]


def test_light_goes_by_the_best_that_is_known_and_asks_for_something() -> None:
    by_radiation = reckoned("light", radiation=30.6)
    assert "31" in by_radiation.answer
    assert "radiation measured" in by_radiation.holds
    with pytest.raises(BadArgument, match="be given"):
        reckoned("light", sunshine=None)


def test_a_can_test_wants_all_of_it() -> None:
    assert "28 s" in much(reckoned("mist", caught=19.635), "A burst lasts")
    with pytest.raises(BadArgument) as error:
        reckoned("mist", can=None)
    assert error.value.argument == "can"


def test_the_sun_that_never_rises_throws_no_shadow() -> None:
    found = reckoned("sun", lat=80.0, on=date(2026, 12, 21))
    assert "does not rise" in found.answer
    assert "−" in much(found, "Highest, at its noon")
    assert all("shadow" not in str(line.what) for line in found.lines)


def test_a_day_whose_warmest_lies_below_its_coldest_is_refused_in_words_of_the_page() -> None:
    for name, more in (
        ("degree-days", {"tmin": 20.0, "tmax": 5.0}),
        ("light", {"sunshine": None, "tmin": 20.0, "tmax": 5.0}),
        ("degree-days", {"base": 10.0, "upper": 5.0}),
        ("mist", {"caught": 90_000.0, "can": 1.0, "minutes": 1.0}),
    ):
        with pytest.raises(BadArgument) as error:
            reckoned(name, **more)
        assert isinstance(error.value.rule, Said)
        assert "_" not in str(error.value.rule)
        assert SUMS[name].blank_of(error.value.argument) is not None


def test_what_lies_outside_the_equations_is_told() -> None:
    assert any("never tried" in note for note in reckoned("air", air=-12.0).notes)
    assert not any("never tried" in note for note in reckoned("air").notes)
    assert any("never tried" in note for note in reckoned("mist", wind=2.0).notes)


def test_a_day_too_hot_for_any_shade_sends_the_bag_elsewhere() -> None:
    assert "whatever the shade" in reckoned("tent", tmax=36.0, light=900.0).answer
    bright = reckoned("tent", tmax=24.0, light=400.0)
    assert "Shade it before noon" in bright.answer
    assert much(bright, "Shade, to stay likely below 35 °C") == "hold back 10 % of that light at least"


def test_every_complaint_of_the_craft_finds_its_blank() -> None:
    for name, argument in (
        ("number", "mean"),
        ("cane", "node_mm"),
        ("drain-test", "drained_ml"),
        ("dip", "want_mg_per_l"),
        ("sun", "lat_deg"),
        ("degree-days", "tmax_c"),
    ):
        assert SUMS[name].blank_of(argument) is not None
    assert SUMS["number"].blank_of("nothing") is None
