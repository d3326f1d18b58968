"""Pantry files: read, refused, written anew and over a person's own; any pantry is read back as itself."""

from __future__ import annotations

import math
import tempfile
from collections import Counter
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
import tomli
from formula_strategies import CATALOGUE, NAMES, names
from hypothesis import given, settings
from hypothesis import strategies as st

from adapter.files.pantry_file import pantry_from_text, read_pantry, read_pantry_and_stamp, read_sample_pantry
from adapter.files.pantry_saving import pantry_text, write_pantry
from adapter.files.places import sample_pantry
from adapter.files.toml.blocks import comments_of
from adapter.formula.catalogue import Catalogue
from adapter.formula.pantry import MEASUREMENT_RANGES, Measured, Measurement, Pantry, Stock
from adapter.formula.problems import InputProblem

steady = settings(deadline=None, max_examples=30)

measurements = st.fixed_dictionaries(
    {},
    optional={
        key: st.builds(Measured, st.floats(low, high), st.none() | st.floats(0, high))
        for key, (low, high) in MEASUREMENT_RANGES.items()
    },
).map(lambda figures: Measurement(**figures) if figures else None)
stocks = st.builds(
    Stock,
    st.sampled_from(NAMES[:12]),
    st.none() | st.floats(0, 1e6) | st.integers(0, 5000).map(float),
    st.none() | st.floats(0, 1e4),
    st.none() | st.dates(),
    measurements,
)
pantries = st.builds(Pantry, names, st.lists(stocks, max_size=6).map(tuple))


@steady
@given(pantries)
def test_new_text_is_read_as_the_same_pantry(pantry: Pantry) -> None:
    assert pantry_from_text(pantry_text(pantry), CATALOGUE, "x.toml") == pantry


@steady
@given(pantries, pantries)
def test_one_pantry_saved_over_another_is_read_as_itself(first: Pantry, second: Pantry) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "pantry.toml")
        write_pantry(first, path, CATALOGUE)
        lines = path.read_text("utf-8").splitlines()
        before = "\n".join(f"# above {n}\n{line}  # beside {n}" if line else line for n, line in enumerate(lines))
        path.write_text(before + "\n[mine]\nx = 1 # y\n", "utf-8")
        write_pantry(second, path, CATALOGUE)
        after = path.read_text("utf-8")
        assert read_pantry(path, CATALOGUE) == second
        assert not Counter(comments_of(before)) - Counter(comments_of(after))
        assert tomli.loads(after)["mine"] == {"x": 1}


@steady
@given(pantries)
def test_saving_without_a_change_changes_no_byte(pantry: Pantry) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "pantry.toml")
        path.write_text("# mine\n" + pantry_text(pantry) + "# end\n", "utf-8")
        before = path.read_text("utf-8")
        write_pantry(pantry, path, CATALOGUE)
        assert path.read_text("utf-8") == before


STORE = """\
# The dry store
[pantry]
name = "Store"  # by the stairs

[[stock]]
ingredient = "buttermilk"
amount = "1 pint"  # the blue can
price_per_kg = 2.5

  [stock.packet]  # off the can
  sugar = 4.1  # weighed twice
  ph = { value = 4.5, spread = 0.1 }

# plenty
[[stock]]
ingredient = "water"

[[stock]]
ingredient = "cider vinegar"
grams = 750
best_before = 2031-05-04 # printed
packet = { acid_percent = 5 }
"""


def test_a_persons_pantry_keeps_its_hand(tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "store.toml"
    path.write_text(STORE)
    pantry, stamp = read_pantry_and_stamp(path, catalogue)
    assert pantry.grams_of("buttermilk") == pytest.approx(473.176 * 1.036, rel=0.01)
    assert math.isinf(pantry.grams_of("water")) and pantry.grams_of("honey") == 0
    assert pantry.stock[0].measurement == Measurement(sugar=Measured(4.1), ph=Measured(4.5, 0.1))
    assert pantry.stock[2].best_before == date(2031, 5, 4)

    milk = replace(pantry.stock[0], measurement=Measurement(sugar=Measured(4.4), ph=Measured(4.5, 0.1)))
    changed = pantry.with_stock(milk).with_stock(Stock("honey", 200.0)).with_stock(replace(pantry.stock[2], grams=5.0))
    write_pantry(changed, path, catalogue, stamp)
    after = path.read_text()
    assert read_pantry(path, catalogue) == changed
    expected = STORE.replace("sugar = 4.1 ", "sugar = 4.4 ").replace("grams = 750", "grams = 5")
    assert after == expected + '\n[[stock]]\ningredient = "honey"\ngrams = 200\n'


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("a = 1", "is no pantry file"),
        ("[pantry]\nname = 3", "name = 3 is not a text"),
        ("stock = 3", "stock is not an array"),
        ("[stock]\ningredient = 'x'", "stock is not an array"),
        ("[[stock]]\ngrams = 3", "stock 1: has no ingredient"),
        ("[[stock]]\ningredient = 'kefirr'", "unknown ingredient"),
        ("[[stock]]\ningredient = 'kefir'\ngrams = -1", "is negative"),
        ("[[stock]]\ningredient = 'kefir'\ngrams = nan", "not a finite number"),
        ("[[stock]]\ningredient = 'kefir'\ngrams = true", "is not a number"),
        ("[[stock]]\ningredient = 'kefir'\ngrams = 1e9", "is out of range"),
        ("[[stock]]\ningredient = 'kefir'\namount = '3 blinks'", "no unit 'blinks'"),
        ("[[stock]]\ningredient = 'kefir'\ngrams = 1\namount = '1 g'", "both grams and amount"),
        ("[[stock]]\ningredient = 'kefir'\nbest_before = 'soon'", "is not a date"),
        ("[[stock]]\ningredient = 'kefir'\nprice_per_kg = '2'", "is not a number"),
        ("[[stock]]\ningredient = 'kefir'\n[stock.packet]\nsuger = 2", "suger is not a figure"),
        ("[[stock]]\ningredient = 'kefir'\n[stock.packet]\nsugar = 101", "out of range"),
        ("[[stock]]\ningredient = 'kefir'\n[stock.packet]\nph = { spread = 1 }", "has no value"),
    ],
)
def test_a_bad_pantry_gives_one_clear_line(text: str, words: str, tmp_path: Path, catalogue: Catalogue) -> None:
    path = tmp_path / "store.toml"
    path.write_text(text)
    with pytest.raises(InputProblem) as caught:
        read_pantry(path, catalogue)
    line = str(caught.value)
    assert words in line and line.startswith(str(path)) and "\n" not in line
    with pytest.raises(InputProblem, match="cannot be saved over"):
        write_pantry(Pantry("x"), path, catalogue)
    assert path.read_text() == text


def test_the_sample_pantry_is_in_order(catalogue: Catalogue) -> None:
    sample = sample_pantry()
    if sample is None:
        pytest.skip("no sample pantry ships yet")
    assert read_sample_pantry(sample, catalogue).stock
