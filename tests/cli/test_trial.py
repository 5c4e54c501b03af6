"""Trials: a table in, what it taught out; and the next trial laid out."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
DIPS = (EXAMPLES / "rose-dips.csv", "--rooted", "rooted", "--stuck", "stuck")
Run = Callable[..., Any]


@pytest.fixture
def table(tmp_path: Path) -> Callable[..., Path]:
    def write(*lines: str, encoding: str = "utf-8") -> Path:
        file = tmp_path / "trial.csv"
        file.write_text("\n".join(lines) + "\n", encoding=encoding)
        return file

    return write


def test_a_trial_answers_in_json(answer: Run) -> None:
    data = answer("trial", "trial", *DIPS, "--by", "dip*part", "--unit", "pot", "--reference", "dip=none")
    assert [effect["term"] for effect in data["effects"]] == [
        "intercept",
        "dip[iba 1000]",
        "part[middle]",
        "dip[iba 1000]:part[middle]",
    ]
    assert data["n_units"] == 24
    assert data["dispersion"]["df"] == 20
    assert data["extra_variation"] == "present"
    assert data["verdict"].startswith("dip iba 1000 did better than none, by ")
    assert data["contrasts"][0]["p_above_0"] > 0.975
    assert "cell_means" not in data


def test_cell_means_are_shares(answer: Run) -> None:
    data = answer("trial", "trial", *DIPS, "--by", "dip", "--reference", "dip=none", "--cell-means")
    none, iba = data["cell_means"]
    assert (none["cell"], iba["cell"]) == ("dip[none]", "dip[iba 1000]")
    assert none["mean"] == pytest.approx(none["n_rooted"] / none["n_stuck"], abs=0.03)
    assert none["q10"] < none["mean"] < none["q90"]


def test_a_trial_answers_in_words(run: Run) -> None:
    said = run("trial", *DIPS, "--by", "dip*part", "--unit", "pot", "--cell-means").stdout
    assert "8 times in 10" in said
    assert "104 of 192 rooted, in 24 units" in said
    assert "Extra variation: present" in said
    assert "dip[none]:part[tip]: " in said


def test_priors_can_be_given(answer: Run) -> None:
    given = ("--spread-prior", "uniform:10", "--effect-prior", "1000,1000")
    data = answer("trial", "trial", *DIPS, "--by", "dip", *given)
    assert data["priors"] == {"spread": "uniform:10", "mean_sd": 1000.0, "level_sd": 1000.0}


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--by", "dose"), ["by must name columns", "'dose'", "dip, part"]),
        (("--by", "dip", "--unit", "tray"), ["--unit", "no column tray"]),
        (("--by", "dip+pot", "--unit", "pot"), ["--unit", "given to --by as well"]),
        (("--by", "dip", "--reference", "dip=naa"), ["level of dip", "'naa'"]),
        (("--by", "dip", "--reference", "dip"), ["NAME=VALUE"]),
        (("--by", "dip", "--spread-prior", "flat"), ["half-normal:SCALE"]),
        (("--by", "dip", "--effect-prior", "3"), ["--effect-prior"]),
    ],
)
def test_what_will_not_do_is_named(run: Run, options: tuple[str, ...], words: list[str]) -> None:
    said = run("trial", *DIPS, *options, code=2).stderr
    for word in words:
        assert word in said


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        (("dip,rooted,stuck", "none,13,12"), ["row 2, rooted", "at most stuck", "'13'"]),
        (("dip,rooted,stuck", "none,3,12", "iba,0.4,12"), ["row 3, rooted", "no share"]),
        (("dip,rooted,stuck", "none,3"), ["row 2", "3 cells"]),
        (("dip,rooted,stuck", "none,,12"), ["at least one"]),
        (("dip;rooted;stuck", "none;3;12"), ["semicolons"]),
        (("dip,dip,rooted,stuck", "a,b,3,12"), ["dip", "twice"]),
        (("",), ["first line must name the columns"]),
        (("dip,rooted,stuck", '"none,3,12'), ["row 2", "CSV"]),
    ],
)
def test_a_bad_table_is_named_by_row_field_and_rule(
    run: Run, table: Callable[..., Path], lines: tuple[str, ...], words: list[str]
) -> None:
    said = run("trial", table(*lines), "--rooted", "rooted", "--stuck", "stuck", "--by", "", code=2).stderr
    for word in words:
        assert word in said


def test_a_table_that_is_not_there_is_named(run: Run) -> None:
    columns = ("--rooted", "rooted", "--stuck", "stuck")
    assert "none.csv cannot be read: No such file" in run("trial", "none.csv", *columns, code=2).stderr
    assert "name the trial's table" in run("trial", *columns, code=2).stderr


def test_a_table_in_another_encoding_is_refused(run: Run, table: Callable[..., Path]) -> None:
    file = table("dip,rooted,stuck", "né,3,12", encoding="utf-16")
    assert "UTF-8" in run("trial", file, "--rooted", "rooted", "--stuck", "stuck", code=2).stderr


def test_a_formula_in_a_cell_is_a_name_and_nothing_more(answer: Run, table: Callable[..., Path]) -> None:
    file = table("dip,rooted,stuck", "none,3,12", '"=HYPERLINK(""x"")",7,12', "'=1+1,5,12")
    data = answer("trial", "trial", file, "--rooted", "rooted", "--stuck", "stuck", "--by", "dip")
    assert [effect["term"] for effect in data["effects"]][1:] == ['dip[=HYPERLINK("x")]', "dip[=1+1]"]


def test_a_file_of_marks_from_a_spreadsheet_is_read(answer: Run, table: Callable[..., Path]) -> None:
    file = table("dip,rooted,stuck", "none,3,12", "", "iba,7,12", encoding="utf-8-sig")
    assert (
        answer("trial", "trial", file, "--rooted", "rooted", "--stuck", "stuck", "--by", "dip")["n_rows"] == 2
    )


def test_a_trial_loads_neither_django_nor_the_whole_of_scipy() -> None:
    code = (
        "import sys; from slipwright.cli import main\n"
        f"try: main(['trial', {str(DIPS[0])!r}, '--rooted', 'rooted', '--stuck', 'stuck', '--by', 'dip'])\n"
        "except SystemExit: pass\n"
        "print(sorted({'django', 'scipy.stats'} & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=60, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"


# --- plan --------------------------------------------------------------------------------------------

ARMS = ("trial", "plan", "--arm", "none=0.5", "--arm", "iba 1000=0.8", "--per-unit", "4")


def test_a_plan_answers_in_json(answer: Run) -> None:
    data = answer("trial-plan", *ARMS, "--seed", 4)
    assert data["power"] >= 0.8
    assert data["n_units"] == len(data["layout"]) == 2 * data["n_units_per_arm"]
    assert data["n_cuttings"] == 4 * data["n_units"]
    assert data["spread"] == 0.5
    assert {size["n_per_unit"] for size in data["alternatives"]} >= {1, 8, 24}
    assert answer("trial-plan", *ARMS, "--seed", 4) == data


def test_a_baseline_and_a_difference_are_two_arms(answer: Run) -> None:
    data = answer("trial-plan", "trial", "plan", "--baseline", 0.5, "--difference", 0.2, "--spread", 0)
    assert data["arms"] == [{"arm": "usual", "share": 0.5}, {"arm": "new", "share": 0.7}]
    assert data["n_units_per_arm"] * data["n_per_unit"] == 96  # 93 an arm, in pots of 8


def test_a_plan_takes_its_spread_from_an_earlier_trial(answer: Run) -> None:
    earlier = ("--spread-from", *DIPS, "--by", "dip*part", "--unit", "pot")
    data = answer("trial-plan", *ARMS, *earlier)
    spread = answer("trial", "trial", *DIPS, "--by", "dip*part", "--unit", "pot")["spread"]
    assert data["spread"] == pytest.approx(spread["mean"], abs=1e-4)
    assert "rose-dips.csv" in data["spread_rests_on"]


def test_a_layout_is_filled_in_and_read_back(run: Run, answer: Run, tmp_path: Path) -> None:
    layout, labels = tmp_path / "layout.csv", tmp_path / "labels.pdf"
    said = run(*ARMS, "--layout", layout, "--labels", labels, "--taxon", "Rosa 'Lantern Keeper'").stdout
    assert f"slipwright trial {layout} --rooted rooted --stuck stuck --by arm" in said
    assert labels.read_bytes().startswith(b"%PDF")
    with layout.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    read_back = (layout, "--rooted", "rooted", "--stuck", "stuck", "--by", "arm", "--unit", "unit")
    assert "at least one" in run("trial", *read_back, code=2).stderr
    for row in rows[1:]:
        row["rooted"] = "1" if row["arm"] == "none" else "4"
    with layout.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    data = answer("trial", "trial", *read_back, "--reference", "arm=none")
    assert data["n_units"] == len(rows) - 1
    assert data["verdict"].startswith("arm iba 1000 did better than none")
    assert "row has no count in rooted" in data["warnings"][0]


def test_an_arm_that_looks_like_a_formula_comes_back_as_it_was(answer: Run, tmp_path: Path) -> None:
    layout = tmp_path / "layout.csv"
    answer("trial-plan", "trial", "plan", "--arm", "-iba=0.5", "--arm", "+iba=0.9", "--layout", layout)
    text = layout.read_text(encoding="utf-8")
    assert "'-iba" in text
    layout.write_text(text.replace(",8,,", ",8,6,"), encoding="utf-8")
    data = answer("trial", "trial", layout, "--rooted", "rooted", "--stuck", "stuck", "--by", "arm")
    assert {data["contrasts"][0]["level"], data["contrasts"][0]["against"]} == {"-iba", "+iba"}


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), "give either --arm"),
        (("--arm", "none=0.5"), "2 to 24 arms"),
        (("--arm", "none=0.5", "--arm", "iba=0.5"), "share of iba must differ"),
        (("--arm", "none=half", "--arm", "iba=0.5"), "give a share as 0.6"),
        (("--arm", "none=0.5", "--arm", "none=0.6"), "given twice"),
        (("--arm", "none=0.5", "--baseline", "0.5", "--difference", "0.1"), "give either --arm"),
        (("--baseline", "0.9", "--difference", "0.2"), "share must lie"),
        (("--baseline", "0.5", "--difference", "0.2", "--rooted", "r"), "belong to --spread-from"),
        (("--baseline", "0.5", "--difference", "0.2", "--labels", "x.pdf", "--stock", "a9"), "stock"),
    ],
)
def test_a_plan_that_cannot_be_is_refused(run: Run, options: tuple[str, ...], words: str) -> None:
    assert words in run("trial", "plan", *options, code=2).stderr


def test_with_several_arms_a_plan_tells_each_and_all_and_warns(answer: Run, run: Run) -> None:
    arms = ("trial", "plan", "--arm", "none=0.5", "--arm", "iba=0.7", "--arm", "naa=0.7", "--seed", 4)
    data = answer("trial-plan", *arms)
    assert data["power_all"] < data["power"] - 0.05
    assert 0.05 < data["p_false_alarm"] < 0.15
    assert "though none differs" in data["warnings"][0]
    said = run(*arms).stdout
    assert "all of them" in said
    assert "all arms, in 100" in said
    assert data["warnings"][0] in said
    two = answer("trial-plan", *ARMS, "--seed", 4)
    assert two["power_all"] == two["power"]
    assert two["warnings"] == []


def test_one_pot_against_one_pot_is_never_more_than_probable(
    run: Run, answer: Run, table: Callable[..., Path]
) -> None:
    file = table("dip,rooted,stuck", "none,0,40", "iba,40,40")
    counts = (file, "--rooted", "rooted", "--stuck", "stuck", "--by", "dip")
    verdict = answer("trial", "trial", *counts)["verdict"]
    assert "iba probably did better than none" in verdict
    assert "one unit an arm cannot tell the arm from the pot" in verdict
    said = run("trial", *counts).stdout
    assert "odds times over 1,000" in said
    assert not re.search(r"\de[+-]\d", said)


def test_two_pots_an_arm_are_not_told_so(answer: Run, table: Callable[..., Path]) -> None:
    file = table("dip,rooted,stuck", "none,1,40", "none,0,40", "iba,40,40", "iba,39,40")
    verdict = answer("trial", "trial", file, "--rooted", "rooted", "--stuck", "stuck", "--by", "dip")[
        "verdict"
    ]
    assert verdict.startswith("dip iba did better than none")
    assert "cannot tell the arm" not in verdict


def test_one_unit_is_counted_as_one(run: Run, table: Callable[..., Path]) -> None:
    file = table("rooted,stuck", "18,20")
    assert "in 1 unit\n" in run("trial", file, "--rooted", "rooted", "--stuck", "stuck").stdout


def test_of_a_long_layout_a_few_blocks_are_told_and_the_file_has_all(run: Run, tmp_path: Path) -> None:
    long = ("trial", "plan", "--baseline", "0.5", "--difference", "0.05", "--seed", 1)
    said, file = run(*long).stdout, tmp_path / "layout.csv"
    assert 1 < len(re.findall(r"^block +\d", said, re.M)) < 20
    (more,) = re.findall(r"and ([\d,]+) blocks more: write them all with --layout FILE", said)
    n_blocks = int(more) + len(re.findall(r"^block +\d", said, re.M))
    assert "in the layout's file" in run(*long, "--layout", file).stdout
    assert len(file.read_text(encoding="utf-8").splitlines()) == 2 * n_blocks + 1
    short = run("trial", "plan", *ARMS[2:], "--seed", 1).stdout
    assert "blocks more" not in short
