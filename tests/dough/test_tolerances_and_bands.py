"""Tolerances and bands as they are read: a baker's own over the shipped ones, each fault in one line, styles by rye."""

from __future__ import annotations

from pathlib import Path

import pytest

from adapter.dough.readings.differences import drift
from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.measured import measure
from adapter.dough.readings.registry import READING_KEYS
from adapter.dough.tables.bands import Bands, Style, load_bands, load_tolerances
from adapter.formula.model import Formula
from adapter.formula.problems import InputProblem


def one_line(problem: InputProblem) -> str:
    assert "\n" not in str(problem) and "Traceback" not in str(problem)
    return str(problem)


TOLERANCE = '[[tolerance]]\nreading = "sugar"\nvalue = 2\nunit = "% of flour"\nin_drift = true\nweight = 1\n'
TOLERANCE += 'tag = "own"\nsource = "this kitchen"\n'
BAND = '[[band]]\nstyle = "rye"\nreading = "ph"\nlow = 4\nhigh = 5\ntag = "own"\nsource = "this kitchen"\n'


def with_tolerances(folder: Path, text: str) -> Kitchen:
    (folder / "tolerances.toml").write_text(text, encoding="utf-8")
    return load_kitchen([folder])


def test_an_own_tolerance_lies_over_the_shipped_one(tmp_path: Path, kitchen: Kitchen, dark_loaf: Formula) -> None:
    changed = with_tolerances(tmp_path, TOLERANCE)
    assert changed.tolerances["sugar"].value == 2
    assert {k: v for k, v in changed.tolerances.items() if k != "sugar"} == {
        k: v for k, v in kitchen.tolerances.items() if k != "sugar"
    }
    sweeter = dark_loaf.with_lines(
        line if line.ingredient != "honey" else line.with_grams(90.0) for line in dark_loaf.lines
    )
    by_shipped, by_own = (drift(measure(k, sweeter, measure(k, dark_loaf))) for k in (kitchen, changed))
    more = (measure(kitchen, sweeter).value("sugar") - measure(kitchen, dark_loaf).value("sugar")) / 1.0
    assert by_shipped - by_own == pytest.approx(more / 2, rel=1e-9)


BAD_TOLERANCES = {
    "value zero": ("value = 2", "value = 0"),
    "value negative": ("value = 2", "value = -1"),
    "value missing": ("value = 2\n", ""),
    "value a text": ("value = 2", 'value = "2"'),
    "in_drift a text": ("in_drift = true", 'in_drift = "yes"'),
    "unknown tag": ('tag = "own"', 'tag = "sure"'),
    "source missing": ('source = "this kitchen"\n', ""),
    "reading missing": ('reading = "sugar"\n', ""),
    "weight not a number": ("weight = 1", "weight = nan"),
    "unknown reading": ('"sugar"', '"sugr"'),
    "weight negative": ("weight = 1", "weight = -1"),
    "unknown key": ("weight = 1", "weigth = 1"),
    "model spread negative": ("weight = 1", "weight = 1\nmodel_spread = -2"),
    "twice": (TOLERANCE, TOLERANCE + TOLERANCE),
    "table misspelt": ("[[tolerance]]", "[[tolerances]]"),
}


def test_an_own_band_lies_over_the_shipped_one(tmp_path: Path, kitchen: Kitchen) -> None:
    (tmp_path / "bands.toml").write_text(BAND, encoding="utf-8")
    bands = load_bands(READING_KEYS, [tmp_path])
    assert (bands.bands["rye", "ph"].low, bands.bands["rye", "ph"].high) == (4, 5)
    assert bands.bands["wheat", "ph"] == kitchen.bands.bands["wheat", "ph"]
    assert bands.styles == kitchen.bands.styles


BAD_BANDS = {
    "low above high": ("low = 4", "low = 6"),
    "low is high": ("low = 4", "low = 5"),
    "unknown style": ('"rye"', '"ry"'),
    "high missing": ("high = 5\n", ""),
    "source missing": ('source = "this kitchen"\n', ""),
    "unknown reading": ('"ph"', '"pH"'),
    "unknown key": ("high = 5", "high = 5\nhihg = 6"),
    "twice": (BAND, BAND + BAND),
    "style of no range": (BAND, '[[style]]\nname = "odd"\nmin_rye = 90\nmax_rye = 20\n'),
    "table misspelt": ("[[band]]", "[[bands]]"),
}


BAD = {
    ("tolerances.toml", fault): (TOLERANCE.replace(old, new), load_tolerances)
    for fault, (old, new) in BAD_TOLERANCES.items()
} | {("bands.toml", fault): (BAND.replace(old, new), load_bands) for fault, (old, new) in BAD_BANDS.items()}


@pytest.mark.parametrize(("file", "fault"), BAD)
def test_a_bad_row_is_one_line(file: str, fault: str, tmp_path: Path) -> None:
    text, load = BAD[file, fault]
    (tmp_path / file).write_text(text, encoding="utf-8")
    with pytest.raises(InputProblem) as caught:
        load(READING_KEYS, [tmp_path])
    assert file in one_line(caught.value)


@pytest.mark.parametrize(
    ("rye", "style"), [(0, "wheat"), (9.99, "wheat"), (10, "mixed wheat"), (50, "mixed rye"), (90, "rye"), (100, "rye")]
)
def test_style_by_rye_share(rye: float, style: str, kitchen: Kitchen) -> None:
    """CP: wheat below 10 % rye, mixed wheat to 49, mixed rye to 89, rye from 90."""
    assert kitchen.bands.style_for(rye).name == style


def test_styles_that_overlap_or_leave_a_gap() -> None:
    """The narrower within a wide one; beyond its end the wide one again; in a gap, and below all, the nearest below."""
    styles = [Style(name, low, high, "own", "trial") for name, low, high in (
        ("wide", 5.0, 60.0), ("narrow", 20.0, 30.0), ("dark", 80.0, 100.0),
    )]  # fmt: skip
    bands = Bands(tuple(styles), {})
    found = {rye: bands.style_for(rye).name for rye in (0.0, 5.0, 20.0, 30.0, 30.1, 60.0, 79.9, 80.0, 100.0)}
    assert list(found.values()) == ["wide", "wide", "narrow", "narrow", "wide", "wide", "narrow", "dark", "dark"]
    for end, name in ((80.0, "dark"), (30.0, "narrow")):
        for off in (-4e-10, -1e-13, 1e-13, 4e-10):
            assert bands.style_for(end + off).name == name, "a sum of grams is exact to so much"
    assert [bands.style_for(rye).name for rye in (80.0 - 4e-9, 30.0 + 4e-9)] == ["narrow", "wide"]
