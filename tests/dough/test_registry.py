"""The registry of readings: whole, in order, and everything that lists readings walks it.

Whoever adds a reading learns here, and from `otherloaf check`, what is still missing.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from importlib import import_module
from pathlib import Path
from pkgutil import iter_modules

import pytest

from adapter.dough import readings as readings_room
from adapter.dough.readings.kitchen import Kitchen, load_kitchen
from adapter.dough.readings.linear import Share
from adapter.dough.readings.measured import Measured
from adapter.dough.readings.reading import Reading
from adapter.dough.readings.registry import BESIDE_READINGS, READING_KEYS, READINGS, change_unit, rounded
from adapter.dough.tables.bands import load_bands, load_tolerances
from adapter.dough.why.explain_reading import explain
from adapter.formula.ingredient import TAGS
from adapter.formula.model import Formula, Line
from adapter.formula.problems import InputProblem

Read = Callable[..., Measured]
NEW = "bench_smell"
"""A key that no reading has."""

SYMBOL = re.compile(r"(?<![\w'])(?:SID|aw|I_ref|[B-Zb-z])\b")
"""What stands for something in a formula, and is no word."""


def family_modules() -> list[str]:
    """The modules of the readings' room that hold readings of their own."""
    names = [f"{readings_room.__name__}.{module.name}" for module in iter_modules(readings_room.__path__)]
    return [name for name in names if getattr(import_module(name), "READINGS", READINGS) is not READINGS]


def test_every_reading_of_every_family_is_in_the_registry_once() -> None:
    written: list[Reading] = []
    for name in family_modules():
        module = import_module(name)
        written += module.READINGS
        loose = [value for value in vars(module).values() if isinstance(value, Reading)]
        assert all(value in module.READINGS for value in loose), f"{name}: a reading is missing in its READINGS"
    assert len(set(READING_KEYS)) == len(READING_KEYS), "two readings have the same key"
    assert sorted(reading.key for reading in written) == sorted(READING_KEYS), "a family is missing in the registry"


def test_readings_say_what_they_are_called_and_how_sure_they_are() -> None:
    faults = []
    for reading in READINGS:
        said = reading.key, reading.basis, reading.label, reading.claim
        if not all(text.strip() for text in said) or reading.tag not in TAGS:
            faults.append(reading.key)
        if reading.unit and not reading.short_unit and reading.unit != "index":
            faults.append(f"{reading.key}: no short unit for {reading.unit!r}")
        if reading.decimals < 0 or (reading.signed_decimals or 0) < 0:
            faults.append(f"{reading.key}: decimals")
    assert not faults
    assert len({reading.label for reading in READINGS}) == len(READINGS), "two readings are called the same"


def test_what_is_linear_can_be_kept(kitchen: Kitchen) -> None:
    linear = {reading.key for reading in READINGS if isinstance(reading, Share)}
    rows = {reading.key for reading in READINGS if reading.is_row}
    assert rows - linear == {"ph"}, "any other curve would need a proof that its gradient holds for any change"
    beside = {share.key for share in BESIDE_READINGS}
    assert not beside & set(READING_KEYS), "a reading is still among what is BESIDE the readings, which would win"
    assert set(kitchen.quantities) == linear | beside
    assert set(kitchen.keepable) == set(kitchen.quantities) | rows


def test_a_share_of_what_is_no_total_is_named(kitchen: Kitchen) -> None:
    for share in (Share(key=NEW, top={"lactase": 1.0}), Share(key=NEW, top={"lactose": 1.0}, below="lactase")):
        with pytest.raises(LookupError, match="'lactase' is no total"):
            share.quantity(kitchen.composer.layout, kitchen.catalogue.substances)


def test_every_reading_can_be_read_and_explained(dark_loaf: Formula, read: Read) -> None:
    """Its slopes run along all totals, some line brings something to it, and what `why` adds up is its spread."""
    book = read(dark_loaf)
    dough = read(dark_loaf.with_lines((*dark_loaf.lines, Line("rye sourdough", 50.0))), book)
    for reading in READINGS:
        found = explain(dough, reading.key)
        assert len(dough.gradient(reading.key)) == len(dough.totals)
        assert found.inputs, reading.key
        assert found.symbols and found.steps, reading.key
        told = " ".join(clause.split(":")[0] for clause in found.meaning.split(";"))
        for symbol in set(SYMBOL.findall(found.symbols)):
            assert symbol in SYMBOL.findall(told) or f"{symbol} =" in found.symbols, (reading.key, symbol)
        squares = found.model_spread**2 + sum(item.effect**2 for item in found.contributors)
        assert squares == pytest.approx(found.reading.spread**2, rel=1e-9, abs=1e-15), reading.key


def test_acidity_is_told_to_half_a_millilitre_and_its_changes_to_a_tenth() -> None:
    """A titration is read to about half a millilitre: common practice, no source."""
    assert [rounded("tta", value)[0] for value in (7.2, 7.3, 7.74, 7.76)] == [7.0, 7.5, 7.5, 8.0]
    assert rounded("tta", 0.26, signed=True)[0] == 0.3


# --- what is missing is said --------------------------------------------------------------------------------


def test_a_reading_without_a_tolerance_is_named() -> None:
    with pytest.raises(InputProblem, match=NEW) as problem:
        load_tolerances((*READING_KEYS, NEW))
    assert "tolerances.toml" in str(problem.value)
    assert f'[[tolerance]] with reading = "{NEW}"' in str(problem.value)


@pytest.mark.parametrize("table", ["tolerances.toml", "bands.toml"])
def test_a_row_of_no_reading_is_named(table: str, tmp_path: Path) -> None:
    rows = {
        "tolerances.toml": f'[[tolerance]]\nreading = "{NEW}"\nvalue = 1\nunit = "h"\ntag = "A"\nsource = "here"\n',
        "bands.toml": f'[[band]]\nstyle = "rye"\nreading = "{NEW}"\nlow = 1\nhigh = 2\ntag = "A"\nsource = "here"\n',
    }
    (tmp_path / table).write_text(rows[table], encoding="utf-8")
    with pytest.raises(InputProblem, match=f"'{NEW}' is unknown") as problem:
        load_kitchen([tmp_path])
    assert "sweetness" in str(problem.value)
    load_tolerances((*READING_KEYS, NEW), [tmp_path]) if table == "tolerances.toml" else load_bands(
        (*READING_KEYS, NEW), [tmp_path]
    )


def test_a_reading_that_cannot_explain_itself_is_none() -> None:
    class Mute(Reading):
        pass

    with pytest.raises(TypeError, match="working"):
        Mute(key=NEW, basis="nothing", tag="A")  # type: ignore[abstract]


def test_units_of_changes_in_words() -> None:
    """A ratio to the book has no unit; hours, mL of base and shares of the flour have theirs; what is no reading, %."""
    told = {
        "pace": "",
        "rise_time": "h",
        "tta": "mL",
        "salt": "%",
        "leavening_gas": "mL",
        "ash": "%",
        "dough_mass": "g",
    }
    assert {key: change_unit(key) for key in told} == told
