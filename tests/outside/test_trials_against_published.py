"""Trials against published tables, and figures other programs make of them.

The tables are in ``data`` with their sources. Figures: R 4.2.2 ``glm`` and ``power.prop.test``; statsmodels
0.15.0; NumPyro 0.22.0 (NUTS, 20,000 draws) and JAGS 4.3.1 (4 chains of 100,000), on Python 3.11.7 and Debian
12. A WinBUGS run read in a tutorial (Qi Tao 2008, WinBUGS part 2, in Chinese) agrees with the gamma prior's.
"""

from __future__ import annotations

import csv
from functools import cache
from pathlib import Path

import pytest

from slipwright.rooting.trial_power import power_to_tell
from slipwright.rooting.trial_priors import EffectPrior, spread_prior
from slipwright.rooting.trial_sizes import plan_trial
from slipwright.rooting.trial_table import factors_in, read_trial
from slipwright.rooting.trials import DEFAULT_EFFECTS, TrialFit, fit_trial

DATA = Path(__file__).parent / "data"
#: normal priors of standard deviation 1,000 on every part: variances of a million
FLAT = EffectPrior(1000.0, 1000.0)
CROWDER = ("crowder1978_table3_orobanche.csv", "germinated", "n", "seed*root", "plate")
BARTLETT = ("bartlett1935_plum_root_cuttings.csv", "alive", "n")
MEAD = ("mead2002_germination.csv", "germ", "seeds")
YIFRU = ("yifru2005_cuttings.csv", "rooted", "stuck")


@cache
def fit(
    file: str,
    rooted: str,
    stuck: str,
    by: str,
    unit: str = "",
    spread: str = "half-normal:0.5",
    effects: EffectPrior = DEFAULT_EFFECTS,
) -> TrialFit:
    with (DATA / file).open(encoding="utf-8", newline="") as lines:
        rows = list(enumerate(csv.DictReader(lines), 2))
    sets = factors_in(by, list(rows[0][1]))
    factors = list(dict.fromkeys(factor for one in sets for factor in one))
    trial = read_trial(rows, rooted=rooted, stuck=stuck, factors=factors, unit=unit)
    return fit_trial(trial, sets, spread_prior=spread_prior(spread), effect_prior=effects)


def means(found: TrialFit) -> dict[str, float]:
    return {effect.term: effect.mean for effect in found.effects}


# --- Crowder 1978, table 3: 21 plates of seeds -------------------------------------------------------

TERMS = ("intercept", "seed[O73]", "root[CUCUMBER]", "seed[O73]:root[CUCUMBER]")
#: prior of the spread: means and sds of the four terms and of the spread, and their source
REFERENCES = {
    "NUTS, sigma uniform to 10": (
        "uniform:10",
        (-0.544, 0.056, 1.359, -0.828, 0.351),
        (0.216, 0.350, 0.303, 0.481, 0.150),
    ),
    "NUTS, 1/sigma^2 gamma(.001,.001)": (
        "inverse-gamma:0.001,0.001",
        (-0.550, 0.078, 1.352, -0.816, 0.284),
        (0.193, 0.320, 0.271, 0.436, 0.144),
    ),
    "NUTS, sigma half-normal(.5)": (
        "half-normal:0.5",
        (-0.546, 0.068, 1.353, -0.822, 0.318),
        (0.202, 0.333, 0.283, 0.456, 0.135),
    ),
    "JAGS, 1/sigma^2 gamma(.001,.001)": (
        "inverse-gamma:0.001,0.001",
        (-0.5540, 0.0847, 1.3551, -0.8270, 0.2822),
        (0.1914, 0.3120, 0.2714, 0.4336, 0.1383),
    ),
}


@pytest.mark.parametrize("name", REFERENCES)
def test_crowder_s_seeds_under_the_reference_s_own_prior(name: str) -> None:
    spread, mean, sd = REFERENCES[name]
    found = fit(*CROWDER, spread, FLAT)
    for effect, term, m, s in zip(found.effects, TERMS, mean, sd, strict=False):
        assert effect.term == term
        assert effect.mean == pytest.approx(m, abs=0.05 * s)
        assert effect.sd == pytest.approx(s, rel=0.05)
    assert found.spread.mean == pytest.approx(mean[4], abs=0.05 * sd[4])
    assert found.spread.sd == pytest.approx(sd[4], rel=0.05)


def test_the_prior_of_the_spread_moves_the_spread() -> None:
    # JAGS: .2822 under the gamma, .3510 (.1504) under the uniform; alpha2 1.3670 (.3062), alpha0 -.5525
    wide = fit(*CROWDER, "uniform:10", FLAT)
    assert wide.spread.mean == pytest.approx(0.3510, abs=0.05 * 0.1504)
    assert means(wide)["root[CUCUMBER]"] == pytest.approx(1.3670, abs=0.05 * 0.3062)
    assert means(wide)["intercept"] == pytest.approx(-0.5525, abs=0.05 * 0.2144)
    assert fit(*CROWDER, "inverse-gamma:0.001,0.001", FLAT).spread.mean < wide.spread.mean - 0.05


def test_the_usual_priors_hardly_move_crowder_s_effects() -> None:
    usual, flat = fit(*CROWDER), fit(*CROWDER, "half-normal:0.5", FLAT)
    for ours, theirs in zip(usual.effects, flat.effects, strict=True):
        assert ours.mean == pytest.approx(theirs.mean, abs=0.05 * theirs.sd)


def test_crowder_s_pearson_chi_square_equals_glm() -> None:
    found = fit(*CROWDER)
    assert found.pearson_chi2 == pytest.approx(31.651145, abs=1e-5)
    assert found.df == 17


def test_crowder_s_plates_differ_by_more_than_chance() -> None:
    assert fit(*CROWDER).extra_variation == "present"


# --- Bartlett 1935: plum root cuttings, four cells of 240 --------------------------------------------


def test_bartlett_s_odds_ratios_and_no_interaction() -> None:
    found = fit(*BARTLETT, "time*length")
    got = means(found)
    assert got["time[Spring]"] < 0
    assert got["length[Short]"] < 0
    # odds ratios now:spring 3.448979592 for long, 5.423963134 for short cuttings: ln 1.2381, 1.6908
    assert -got["time[Spring]"] == pytest.approx(1.2381, abs=0.06)
    apart = got["time[Spring]:length[Short]"]
    assert -got["time[Spring]"] - apart == pytest.approx(1.6908, abs=0.06)
    interaction = found.effects[3]
    assert interaction.q10 < 0 < interaction.q90
    assert "no sign that factors act differently together" in found.verdict


def test_bartlett_s_two_factors_equal_glm_when_units_are_held_alike() -> None:
    # glm: 0.7137711854, -1.4275423708, -1.0176914795; standard errors .1217, .1465, .1455
    found = fit(*BARTLETT, "time+length", "", "uniform:0.001", FLAT)
    expected = ((0.7137711854, 0.1216689618), (-1.4275423708, 0.1464621383), (-1.0176914795, 0.1454797588))
    for effect, (mean, error) in zip(found.effects, expected, strict=True):
        assert effect.mean == pytest.approx(mean, abs=0.05 * error)
        assert effect.sd == pytest.approx(error, rel=0.02)
    assert found.pearson_chi2 == pytest.approx(2.270479, abs=1e-5)
    assert found.df == 1
    # Mantel-Haenszel 4.17738617, 3.131999583 to 5.571697810 at 95 in 100: the odds of spring are its inverse
    spring = found.contrasts[0]
    assert 1 / 5.571697810 < spring.odds[0] < 1 / 3.131999583


# --- Mead, Curnow and Hasted 2002: 64 dishes without extra variation ---------------------------------


def test_mead_s_dishes_show_no_extra_variation() -> None:
    found = fit(*MEAD, "temp*conc")
    assert found.extra_variation == "none_found"
    assert found.pearson_chi2 == pytest.approx(53.9545, abs=1e-3)
    assert found.df == 48
    assert len(found.effects) == 16
    assert "no sign that units differ by more than chance" in found.verdict


def test_mead_s_dishes_differ_as_soon_as_a_factor_is_left_out() -> None:
    assert fit(*MEAD, "temp").extra_variation == "present"


# --- Mamushet Yifru 2005: cuttings in 48 plots of 12 (T101 to T112) ----------------------------------


def test_yifru_s_plots_differ_by_more_than_chance() -> None:
    found = fit(*YIFRU, "stock_age_years*position*iba_percent", "plot")
    assert (found.n_units, found.n_rooted, found.n_stuck, found.df) == (48, 234, 576, 36)
    assert found.extra_variation == "present"
    assert found.spread.q10 > 0.5


def test_yifru_s_pooled_shares_lie_in_the_ranges_of_their_cells() -> None:
    with (DATA / YIFRU[0]).open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert all("Yifru 2005" in row["source"] for row in rows)
    pooled = {"0": 45, "0.5": 100, "2": 89}  # by dose, of 192 each
    for dose, total in pooled.items():
        assert sum(int(row["rooted"]) for row in rows if row["iba_percent"] == dose) == total
    found = fit(*YIFRU, "stock_age_years*position*iba_percent", "plot")
    n_held = sum(cell.q10 <= cell.n_rooted / cell.n_stuck <= cell.q90 for cell in found.cell_means)
    assert n_held >= 11


# --- planning ----------------------------------------------------------------------------------------


def test_size_without_a_spread_equals_power_prop_test() -> None:
    # R: power.prop.test(p1=.5, p2=.7, power=.8) gives n = 92.99884 an arm
    shares = (0.5, 0.7)
    at = [power_to_tell(shares, n_units_per_arm=1, n_per_unit=n, spread=0) for n in (92, 93)]
    assert 93 - (at[1] - 0.8) / (at[1] - at[0]) == pytest.approx(92.99884, abs=1e-4)
    assert plan_trial({"none": 0.5, "iba": 0.7}, spread=0, n_per_unit=1).size.n_units_per_arm == 93


def test_power_without_a_spread_equals_statsmodels() -> None:
    # power_proportions_2indep at 40 an arm: 0.44553, which counts the wrong side too
    ours = power_to_tell((0.5, 0.7), n_units_per_arm=5, n_per_unit=8, spread=0)
    assert ours == pytest.approx(0.44553, abs=1e-4)
