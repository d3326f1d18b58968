"""The bake log: kept beside the formula, read back as written, and what it teaches the kitchen."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from adapter.dough.bake.inputs import BakeInputs
from adapter.dough.bake.mixing import Temperatures
from adapter.dough.bake.plan import BakePlan, bake_plan
from adapter.dough.models.oven import SPREAD
from adapter.dough.models.yeast import GAS_ML_PER_H_PER_G
from adapter.dough.readings.kitchen import GAS_SPREAD, Calibration, Kitchen, load_kitchen
from adapter.dough.readings.measured import Measured, measure
from adapter.files import log_file as bake_log
from adapter.files.log_file import (
    Bake,
    add_bake,
    calibrated_kitchen,
    calibration_from,
    log_folders,
    log_path,
    logs_in,
    read_log,
    with_factors,
)
from adapter.formula.model import Bake as Oven
from adapter.formula.model import Formula, Line, Proof, Tin
from adapter.formula.problems import InputProblem

NOW = datetime(2026, 11, 24, 18, 30)
RYE = Formula(
    "Hut rye",
    (
        Line("wholemeal rye flour", 700.0),
        Line("kefir", 250.0),
        Line("water", 350.0),
        Line("salt", 13.0),
        Line("fresh yeast", 8.0),
    ),
    tin=Tin(0.22, 0.10, 0.22, 0.10, 0.10, lidded=True),
    proof=Proof(26.0, 35.0),
    bake=Oven(165.0, 97.0),
)


@pytest.fixture(scope="module")
def kitchen() -> Kitchen:
    return load_kitchen()


@pytest.fixture(scope="module")
def rye(kitchen: Kitchen) -> Measured:
    return measure(kitchen, RYE)


def planned(measured: Measured, **inputs: object) -> BakePlan:
    return bake_plan(measured, BakeInputs(**inputs), NOW)  # type: ignore[arg-type]


def baked(**values: object) -> Bake:
    return Bake(NOW, "Hut rye", **values)  # type: ignore[arg-type]


FULL = baked(
    dough_c=25.5,
    proof_c=27.0,
    rise_percent=30.0,
    rise_h=1.75,
    oven_c=160.0,
    core_c=96.5,
    bake_min=118.0,
    crumb="moist, a little close",
    notes='said "lovely" \\ [bold]no markup[/] ünd 3 < 5',
    mark=4,
)


# ---------------------------------------------------------------- the file


def test_it_stands_beside_the_formula() -> None:
    assert log_path(Path("breads/hut_rye.toml")) == Path("breads/hut_rye.bakes.toml")


def test_a_bake_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    path = tmp_path / "hut_rye.bakes.toml"
    first, second = FULL, baked(notes="the second", mark=2, gas_factor=1.25, oven_factor=0.9)
    assert add_bake(path, first) == (first,)
    assert add_bake(path, second) == (first, second)
    assert read_log(path) == (first, second)
    with path.open("rb") as file:
        assert [bake["formula"] for bake in tomllib.load(file)["bake"]] == ["Hut rye", "Hut rye"]


def test_what_was_not_measured_is_not_written(tmp_path: Path) -> None:
    path = tmp_path / "a.bakes.toml"
    add_bake(path, baked(mark=3))
    with path.open("rb") as file:
        assert set(tomllib.load(file)["bake"][0]) == {"at", "formula", "mark"}


def test_a_persons_own_words_in_the_file_stay(tmp_path: Path) -> None:
    path = tmp_path / "a.bakes.toml"
    add_bake(path, FULL)
    path.write_text("# the winter bakes\n" + path.read_text(encoding="utf-8") + "# half the oven\n", encoding="utf-8")
    before = path.read_text(encoding="utf-8")
    assert len(add_bake(path, baked(mark=5))) == 2
    assert path.read_text(encoding="utf-8").startswith(before.rstrip("\n"))


def test_no_file_is_no_bake(tmp_path: Path) -> None:
    assert read_log(tmp_path / "none.bakes.toml") == ()


def test_text_from_elsewhere_is_made_harmless(tmp_path: Path) -> None:
    path = tmp_path / "a.bakes.toml"
    add_bake(path, replace(FULL, crumb="close\x1b[31m\u202e", notes="line\nbreak"))
    (bake,) = read_log(path)
    assert bake.crumb == "close[31m" and bake.notes == "line break"
    assert "\x1b" not in path.read_text(encoding="utf-8")


def test_another_program_that_wrote_meanwhile_loses_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = tmp_path / "a.bakes.toml"
    add_bake(path, FULL)
    read = bake_log.read_log

    def read_and_be_overtaken(where: Path) -> tuple[Bake, ...]:
        found = read(where)
        path.write_text(path.read_text(encoding="utf-8") + "\n# overtaken\n", encoding="utf-8")
        return found

    monkeypatch.setattr(bake_log, "read_log", read_and_be_overtaken)
    with pytest.raises(InputProblem, match="changed by another program"):
        add_bake(path, baked(mark=1))
    assert "# overtaken" in path.read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ('[[bake]]\nformula = "a"\n', "is no date and time"),
        ('[[bake]]\nat = "yesterday"\nformula = "a"\n', "is no date and time"),
        ("[[bake]]\nat = 2026-11-24T09:30:00\n", "formula is missing"),
        ('[[bake]]\nat = 2026-11-24T09:30:00\nformula = "a"\nmark = 6\n', "mark = 6 is out of range (1 to 5)"),
        ('[[bake]]\nat = 2026-11-24T09:30:00\nformula = "a"\nmark = 3.5\n', "mark = 3.5 is not a whole number"),
        ('[[bake]]\nat = 2026-11-24T09:30:00\nformula = "a"\ngas_factor = 0\n', "is 0"),
        ('[[bake]]\nat = 2026-11-24T09:30:00\nformula = "a"\ncolour = "brown"\n', "colour"),
        ("[[bake]\n", "is not TOML"),
    ],
)
def test_a_log_that_cannot_be_read_is_one_line(tmp_path: Path, text: str, said: str) -> None:
    path = tmp_path / "a.bakes.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        read_log(path)
    assert said in str(caught.value) and "a.bakes.toml" in str(caught.value)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    ("values", "said"),
    [
        ({}, "nothing was measured"),
        ({"crumb": "  "}, "nothing was measured"),
        ({"dough_c": 80.0}, "the dough's temperature: 80 °C cannot be (0 to 60 °C)"),
        ({"rise_h": 0.2}, "the time of the rise: 0.2 h cannot be"),
        ({"rise_h": float("nan")}, "cannot be"),
        ({"oven_c": 90.0}, "the oven: 90 °C cannot be (105 to 400 °C)"),
        ({"core_c": 101.0}, "the core: 101 °C cannot be (20 to 99.5 °C)"),
        ({"bake_min": 0.0}, "the time in the oven: 0 min cannot be"),
        ({"mark": 0}, "the mark: 0 cannot be (1 to 5)"),
    ],
)
def test_what_cannot_have_been_measured_is_not_written(
    tmp_path: Path, rye: Measured, values: dict[str, object], said: str
) -> None:
    path = tmp_path / "a.bakes.toml"
    for work in (lambda: add_bake(path, baked(**values)), lambda: with_factors(baked(**values), rye)):
        with pytest.raises(InputProblem) as caught:
            work()
        assert said in str(caught.value)
    assert not path.exists()


# ---------------------------------------------------------------- what a bake says


@pytest.mark.parametrize(
    "inputs",
    [
        {},
        {"temperatures": Temperatures(fridge_c=2.0, room_c=15.0), "wanted_dough_c": 20.0},
        {"proof_c": 31.0, "rise_percent": 50.0, "oven_c": 200.0, "core_c": 98.0},
    ],
)
def test_a_bake_exactly_as_planned_says_that_the_model_is_right(rye: Measured, inputs: dict[str, object]) -> None:
    plan = planned(rye, **inputs)
    bake = baked(
        dough_c=plan.mixing.dough_c,
        proof_c=plan.place_c,
        rise_percent=plan.rise_percent,
        rise_h=plan.proof_h.value,
        oven_c=plan.oven_c,
        core_c=plan.core_c,
        bake_min=plan.bake_min.value,
    )
    found = with_factors(bake, rye)
    assert found.gas_factor == pytest.approx(1.0, rel=1e-4)
    assert found.oven_factor == pytest.approx(1.0, rel=1e-4)


def test_a_bake_says_the_same_whatever_was_learned_before(rye: Measured) -> None:
    taught = measure(replace(rye.kitchen, calibration=Calibration(70.0, 0.1, 1.3, 0.1, 3, 3)), rye.formula)
    assert with_factors(FULL, taught) == with_factors(FULL, rye)


def test_a_rise_in_half_the_time_says_about_twice_the_gas(rye: Measured) -> None:
    """At one temperature the gas needed is the same. About twice, since the yeast has less time to grow."""
    usual = planned(rye).proof_h.value
    found = with_factors(baked(dough_c=26.0, rise_percent=35.0, rise_h=(usual - 0.25) / 2.0 + 0.25), rye)
    assert found.gas_factor == pytest.approx(2.0, rel=0.06)
    assert found.oven_factor is None


def test_minutes_without_the_core_teach_the_oven_nothing(rye: Measured) -> None:
    found = with_factors(baked(bake_min=120.0, mark=3), rye)
    assert found.oven_factor is None and found.gas_factor is None


# ---------------------------------------------------------------- what the logs teach


def test_without_a_log_the_kitchen_stays(kitchen: Kitchen) -> None:
    assert calibration_from([]) == Calibration(GAS_ML_PER_H_PER_G, GAS_SPREAD, 1.0, SPREAD, 0, 0)
    assert calibrated_kitchen(kitchen, [Path("no such folder")]) == (kitchen, ())


def test_the_next_prediction_moves_towards_what_was_observed(tmp_path: Path, rye: Measured) -> None:
    before = planned(rye)
    observed_h, observed_min = 0.75 * before.proof_h.value, 1.12 * before.bake_min.value
    bake = baked(
        dough_c=26.0,
        proof_c=26.0,
        rise_percent=35.0,
        rise_h=observed_h,
        oven_c=165.0,
        core_c=97.0,
        bake_min=observed_min,
    )
    add_bake(tmp_path / "hut_rye.bakes.toml", with_factors(bake, rye))
    kitchen, notes = calibrated_kitchen(rye.kitchen, [tmp_path])
    after = planned(measure(kitchen, rye.formula))
    assert notes == ()
    assert observed_h < after.proof_h.value < before.proof_h.value
    assert before.bake_min.value < after.bake_min.value < observed_min
    assert (kitchen.calibration.bakes, kitchen.calibration.oven_bakes) == (1, 1)
    assert after.proof_h.high - after.proof_h.low < before.proof_h.high - before.proof_h.low


def test_five_that_agree_bring_it_there_and_an_odd_one_does_not_take_it_away(tmp_path: Path, rye: Measured) -> None:
    usual = planned(rye).proof_h.value
    path = tmp_path / "hut_rye.bakes.toml"
    for _ in range(5):
        add_bake(path, with_factors(baked(dough_c=26.0, rise_percent=35.0, rise_h=0.8 * usual), rye))
    five = planned(measure(calibrated_kitchen(rye.kitchen, [tmp_path])[0], rye.formula)).proof_h.value
    assert five == pytest.approx(0.8 * usual, rel=0.04)
    add_bake(path, with_factors(baked(dough_c=26.0, rise_percent=35.0, rise_h=4.0 * usual), rye))
    six = planned(measure(calibrated_kitchen(rye.kitchen, [tmp_path])[0], rye.formula)).proof_h.value
    assert six == pytest.approx(five, rel=0.04)


def test_every_log_of_the_kitchen_counts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, rye: Measured) -> None:
    own = tmp_path / "home" / "formulas"
    own.mkdir(parents=True)
    monkeypatch.setenv("OTHERLOAF_HOME", str(own.parent))
    beside = tmp_path / "breads"
    beside.mkdir()
    (beside / "loaf.toml").write_text("", encoding="utf-8")
    bake = with_factors(baked(dough_c=26.0, rise_h=1.5), rye)
    add_bake(beside / "loaf.bakes.toml", bake)
    add_bake(own / "other.bakes.toml", bake)
    folders = log_folders(beside / "loaf.toml")
    assert folders == (own, beside)
    assert [path.name for path in logs_in(folders)] == ["other.bakes.toml", "loaf.bakes.toml"]
    assert calibrated_kitchen(rye.kitchen, folders)[0].calibration.bakes == 2
    assert logs_in([beside, beside]) == logs_in([beside])


def test_a_log_that_cannot_be_read_is_left_out_and_said(tmp_path: Path, rye: Measured) -> None:
    (tmp_path / "broken.bakes.toml").write_text("[[bake]\n", encoding="utf-8")
    add_bake(tmp_path / "good.bakes.toml", with_factors(baked(dough_c=26.0, rise_h=1.5), rye))
    kitchen, notes = calibrated_kitchen(rye.kitchen, [tmp_path])
    assert kitchen.calibration.bakes == 1
    assert len(notes) == 1 and "broken.bakes.toml" in notes[0]
